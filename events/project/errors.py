"""The pages for what goes wrong. Each shows the reference by which the log can be searched."""

import logging
import math
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.translation import gettext as _

from events.project.references import current_reference

log = logging.getLogger("events.errors")


def _page(request: HttpRequest | None, status: int, **more: object) -> HttpResponse:
    context = {"reference": current_reference(), **more}
    return HttpResponse(
        render_to_string(f"{status}.html", context, request),
        status=status,
    )


def not_read(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """400: what was sent cannot be read."""
    return _page(None, 400)


def not_open(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """403: the page belongs to somebody else."""
    return _page(request, 403)


def out_of_date(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403: the form does not carry the mark that this site gave it."""
    log.warning("Form refused: %s", reason)
    return HttpResponse(
        render_to_string("403_csrf.html", {"reference": current_reference()}), status=403
    )


def no_page(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """404: nothing is at this address."""
    return _page(request, 404)


def too_large(request: HttpRequest) -> HttpResponse:
    """413: more was sent than the site takes."""
    return _page(None, 413)


def too_often(request: HttpRequest, until: datetime) -> HttpResponse:
    """429: tried too often; `until` is when the next try is open."""
    seconds = max(1, math.ceil((until - timezone.now()).total_seconds()))
    log.warning("Tried too often: %s", request.resolver_match and request.resolver_match.route)
    response = _page(None, 429, minutes=math.ceil(seconds / 60), until=until)
    response.headers["Retry-After"] = str(seconds)
    return response


def went_wrong(request: HttpRequest) -> HttpResponse:
    """500: our fault. Even with broken templates or files the reference is told."""
    try:
        return _page(None, 500)
    except Exception:  # whatever is broken, the visitor gets an answer
        log.exception("The page for errors failed as well")
        told = _("Something went wrong on our side. Reference: {reference}").format(
            reference=current_reference()
        )
        return HttpResponse(told, status=500, content_type="text/plain; charset=utf-8")
