"""What happens around every request: its reference, its line in the log, its size."""

import logging
import time
from collections.abc import Callable

from django.conf import settings
from django.db import DataError
from django.http import (
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    HttpResponseNotAllowed,
)
from django.template.loader import render_to_string

from events.project.errors import no_page, not_read, too_large
from events.project.references import begin_reference

log = logging.getLogger("events.requests")
Answer = Callable[[HttpRequest], HttpResponseBase]
# A browser shows the answer only if its upload was read to the end; up to this many times the
# limit is read and dropped, beyond it the server cuts the connection.
DRAIN = 8
CHUNK = 64 * 1024


class ReferenceMiddleware:
    """Gives each request a reference and, where asked for, writes one line about it.

    The line names the route and not the address, because addresses of shared plans are
    secret; no query, no name, no visitor's address is written.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        started = time.perf_counter()
        reference = begin_reference()
        response = self.get_response(request)
        response.headers["X-Request-ID"] = reference
        if isinstance(response, HttpResponseNotAllowed) and not response.content:
            response.content = render_to_string("405.html", {"reference": reference})
        if settings.LOG_REQUESTS and request.path != "/health/":
            self.write(request, response, (time.perf_counter() - started) * 1000)
        return response

    @staticmethod
    def write(request: HttpRequest, response: HttpResponseBase, milliseconds: float) -> None:
        """One line about a request."""
        if request.resolver_match is None and response.status_code < 400:
            return  # a static file
        facts = {
            "method": request.method,
            "route": f"/{request.resolver_match.route}" if request.resolver_match else "none",
            "status": response.status_code,
            "ms": round(milliseconds, 1),
        }
        log.info("%(method)s %(route)s %(status)s in %(ms)s ms", facts, extra=facts)


class NulMiddleware:
    """Refuses the character NUL, which no text of ours holds and PostgreSQL cannot store.

    Nothing is at such an address. What comes in a query or a form, and is looked up without a
    field's check before, is refused by the database and answered as what cannot be read.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if "\0" in request.path_info:
            return no_page(request)
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Only the database's refusal of a NUL; every other error is one of ours."""
        if isinstance(error, DataError | ValueError) and "NUL (0x00)" in str(error):
            return not_read(request)
        return None


class SizeMiddleware:
    """Refuses a body larger than MAX_REQUEST_BYTES before anything reads it into memory.

    A body of unknown length is not read at all by Django, so it needs no limit here.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        said = request.META.get("CONTENT_LENGTH") or "0"
        length = int(said) if said.isascii() and said.isdigit() else 0
        if length <= settings.MAX_REQUEST_BYTES:
            return self.get_response(request)
        left = length if length <= settings.MAX_REQUEST_BYTES * DRAIN else 0
        while left > 0 and (read := request.read(min(CHUNK, left))):
            left -= len(read)
        return too_large(request)
