"""The JSON interface as a whole. Its parts are named as strings: nothing here imports them.

It is read by scripts of other sites, without cookies and by everybody: what it tells stands on
public pages. Answers carry a tag of their contents, so that asking again costs little.
"""

import hashlib
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.utils.http import quote_etag
from ninja import NinjaAPI
from ninja.errors import ValidationError

KEPT_FOR = 60  # s that an answer may be kept without asking again


class PublicAPI(NinjaAPI):
    """An interface whose answers any site may read."""

    def create_response(
        self, request: HttpRequest, data: Any, *args: Any, **kwargs: Any
    ) -> HttpResponse:
        """The answer as JSON; 304 where the asker has it already."""
        response = super().create_response(request, data, *args, **kwargs)
        if response.status_code == 200:
            etag = quote_etag(hashlib.sha256(response.content).hexdigest()[:32])
            response["ETag"] = etag
            known = get_conditional_response(request, etag=etag, response=response)
            response = response if known is None else known
            response["Cache-Control"] = f"public, max-age={KEPT_FOR}"
        response["Access-Control-Allow-Origin"] = "*"
        return response

    def get_root_path(self, path_params: dict[str, Any]) -> str:
        """Where the interface is found, for its description."""
        return reverse("openapi-json").removesuffix("openapi.json")


api = PublicAPI(
    title="Buoyline",
    version="1",
    description="Contests, their rules, running orders, times and results, as the public pages "
    "show them. Declared runs are never told.",
    docs_url=None,  # it would load from another host
    openapi_url="openapi.json",
)


@api.exception_handler(ValidationError)
def not_understood(request: HttpRequest, error: ValidationError) -> HttpResponse:
    """400, with the name of each value that is wrong and what it should be."""
    said = [
        f"{each['loc'][-1]}: {each['msg'][:1].lower()}{each['msg'][1:]}"
        for each in error.errors
    ]
    return api.create_response(request, {"detail": "; ".join(said) + "."}, status=400)


api.add_router("", "events.exchange.endpoints.router")
api.add_router("", "runsheets.public_data.router")
# Without the interface's own first page: /for-webmasters/ stands for it.
shown = [each for each in api.urls[0] if each.name != "api-root"]
