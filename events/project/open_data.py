"""What holds for every answer of the JSON interface, also for mistakes.

Any site may read it from a visitor's browser, and errors are JSON with a sentence, because a
script cannot read a page.
"""

import hashlib
import re
from collections.abc import Callable
from http import HTTPStatus

from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.utils.cache import get_conditional_response
from django.utils.http import quote_etag

from events.project.references import current_reference

BEGINS = "/api/"
KEPT_FOR = 60  # s that an answer may be kept without asking again
METHODS = "GET, HEAD, OPTIONS"
SENTENCES = {
    400: "This request cannot be read.",
    404: "Nothing is at this address; /api/openapi.json names all there are.",
    405: "This can only be read: ask with GET.",
    413: "More was sent than this site takes; ask with GET.",
    429: "You asked too often. Retry-After tells in how many seconds to ask again.",
    500: "Something went wrong on our side. Tell us the reference.",
}


class OpenDataMiddleware:
    """Opens the interface to other sites and lets nothing but JSON out of it."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if not request.path_info.startswith(BEGINS):
            return self.get_response(request)
        response = self.answer(request)
        if response.status_code >= 400:
            response = in_json(response)
        elif response.status_code == 200:
            response = with_tag(request, response)
        response["Access-Control-Allow-Origin"] = "*"
        response["Access-Control-Expose-Headers"] = "ETag, Retry-After"
        return response

    def answer(self, request: HttpRequest) -> HttpResponseBase:
        """The answer; to HEAD the one to GET, whose body the server leaves out."""
        if request.method == "OPTIONS":
            return _allowed()
        if request.method != "HEAD":
            return self.get_response(request)
        request.method = "GET"
        try:
            return self.get_response(request)
        finally:
            request.method = "HEAD"


def _allowed() -> HttpResponse:
    """What a browser asks before it sends a tag along for a page of another site."""
    response = HttpResponse(status=204)
    response["Allow"] = METHODS
    response["Access-Control-Allow-Methods"] = METHODS
    response["Access-Control-Allow-Headers"] = "If-None-Match"
    response["Access-Control-Max-Age"] = "86400"
    return response


def with_tag(request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
    """The answer with a tag of its contents; 304 where the asker has it already."""
    if not isinstance(response, HttpResponse):
        return response
    etag = quote_etag(hashlib.sha256(response.content).hexdigest()[:32])
    response["ETag"] = etag
    response["Cache-Control"] = f"public, max-age={KEPT_FOR}"
    found = get_conditional_response(request, etag=etag, response=response)
    return response if found is None else found


def in_json(response: HttpResponseBase) -> HttpResponseBase:
    """An error as JSON, with the headers it had; what says so itself already is kept."""
    if response.get("Content-Type", "").startswith("application/json"):
        return response
    said = SENTENCES.get(response.status_code) or HTTPStatus(response.status_code).phrase
    told = {"detail": said, "reference": current_reference()}
    better = JsonResponse(told, status=response.status_code)
    for name, value in response.items():
        if not re.fullmatch("content-(type|length)", name, re.IGNORECASE):
            better[name] = value
    if response.status_code == 405:
        better["Allow"] = METHODS
    return better
