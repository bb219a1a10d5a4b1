"""Rules as a small page that a club's own site shows in a frame, and the lines to copy for it.

A box has no form, no cookie and nobody signed in: any site may frame it.
"""

from csp.constants import SELF
from csp.decorators import csp_replace, csp_update
from django.contrib.auth.decorators import login_required
from django.db.models import Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.clickjacking import xframe_options_exempt
from django.views.decorators.http import require_safe

from events.models import Edition, Event
from events.site import absolute
from events.views.lookup import organised_event
from events.views.reading import reading

FRAMED = {"frame-ancestors": ["*"]}
KEPT_FOR = 300  # s


def _public(slug: str) -> Event:
    return get_object_or_404(Event.objects.public().select_related("club", "venue"), slug=slug)


def _shown(request: HttpRequest, context: dict[str, object]) -> HttpResponse:
    answer = render(request, "exchange/box.html", context)
    answer["Cache-Control"] = f"public, max-age={KEPT_FOR}"
    return answer


@xframe_options_exempt
@csp_replace(FRAMED)
@require_safe
def event_box(request: HttpRequest, event: str) -> HttpResponse:
    """The divisions of a public event, with the edition of their rules that is in force."""
    found = _public(event)
    editions = Prefetch("editions", Edition.objects.defer("data", "changes"))
    divisions = found.divisions.prefetch_related(editions)
    return _shown(request, {"event": found, "divisions": divisions})


@xframe_options_exempt
@csp_replace(FRAMED)
@require_safe
def division_box(request: HttpRequest, event: str, division: str) -> HttpResponse:
    """The rules of a division, always those in force."""
    found = _public(event)
    one = get_object_or_404(found.divisions.prefetch_related("editions"), slug=division)
    one.event = found
    shown = None
    if one.edition is not None:
        shown = reading(one, one.edition.format, request.GET.get("round"))
    return _shown(request, {"event": found, "division": one, "reading": shown})


@csp_update({"frame-src": [SELF]})
@login_required
@require_safe
def box_lines(request: HttpRequest, event: str) -> HttpResponse:
    """For organisers: the lines that put a box into a page of the club's own site."""
    found = organised_event(request.user, event)
    places = [("every division", f"/box/{found.slug}/", found.get_absolute_url())]
    for division in found.divisions.all():
        division.event = found
        places.append(
            (division.name, f"/box/{found.slug}/{division.slug}/", division.get_absolute_url())
        )
    boxes = [(name, path, absolute(path), absolute(page)) for name, path, page in places]
    return render(request, "exchange/box_lines.html", {"event": found, "boxes": boxes})
