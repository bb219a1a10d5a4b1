"""Rules as a small page that a club's own site shows in a frame, and the lines to copy for it.

A box has no form, no cookie and nobody signed in: any site may frame it.
"""

from csp.constants import SELF
from csp.decorators import csp_replace, csp_update
from django.contrib.auth.decorators import login_required
from django.db.models import Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.clickjacking import xframe_options_exempt
from django.views.decorators.http import require_safe

from events.models import Division, Edition, Event
from events.site import absolute
from events.views.lookup import organised_event
from events.views.reading import reading

FRAMED = {"frame-ancestors": ["*"]}
KEPT_FOR = 60  # s


def _public(slug: str) -> Event | None:
    return Event.objects.public().select_related("club", "venue").filter(slug=slug).first()


def _shown(**context: object) -> HttpResponse:
    """The box; a frame that has nothing to show says so in its own size, with 404."""
    # Made without the request: nothing of whoever asks can be in it.
    status = 200 if context else 404
    answer = HttpResponse(render_to_string("exchange/box.html", context), status=status)
    answer["Cache-Control"] = f"public, max-age={KEPT_FOR}"
    return answer


@xframe_options_exempt
@csp_replace(FRAMED)
@require_safe
def event_box(request: HttpRequest, event: str) -> HttpResponse:
    """The divisions of a public event, with the edition of their rules that is in force."""
    found = _public(event)
    if found is None:
        return _shown()
    editions = Prefetch("editions", Edition.objects.defer("data", "changes"))
    divisions = found.divisions.prefetch_related(editions)
    return _shown(event=found, divisions=divisions)


@xframe_options_exempt
@csp_replace(FRAMED)
@require_safe
def division_box(request: HttpRequest, event: str, division: str) -> HttpResponse:
    """The rules of a division, always those in force."""
    found = _public(event)
    divisions = Division.objects.filter(event=found).prefetch_related("editions")
    one = divisions.filter(slug=division).first()
    if found is None or one is None:
        return _shown()
    one.event = found
    shown = None
    if one.edition is not None:
        shown = reading(one, one.edition.format, request.GET.get("round"))
    return _shown(event=found, division=one, reading=shown)


@csp_update({"frame-src": [SELF]})
@login_required
@require_safe
def box_lines(request: HttpRequest, event: str) -> HttpResponse:
    """For organisers: the lines that put a box into a page of the club's own site."""
    found = organised_event(request.user, event)
    whole = reverse("event-box", args=[found.slug])
    places = [("", _("all divisions"), whole, found.get_absolute_url())]
    for division in found.divisions.all():
        division.event = found
        box = reverse("division-box", args=[found.slug, division.slug])
        places.append((division.slug, division.name, box, division.get_absolute_url()))
    boxes = [(slug, name, at, absolute(at), absolute(page)) for slug, name, at, page in places]
    return render(request, "exchange/box_lines.html", {"event": found, "boxes": boxes})
