"""Pages that everybody can read: events, divisions, and the rules in force."""

from django.db.models import Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from events.access import Role, has_role
from events.lake_days import season
from events.models import Edition, Event
from events.rules.loading import as_toml
from events.units import units_of
from events.views.lookup import visible_event
from events.views.reading import reading


def home(request: HttpRequest) -> HttpResponse:
    """What the site is for, and every public event."""
    events = season(Event.objects.public().select_related("club", "venue"))
    return render(request, "events/home.html", events._asdict())


def event(request: HttpRequest, event: str) -> HttpResponse:
    """One event with its venue, its deadlines and its divisions."""
    found = visible_event(request.user, event)
    editions = Prefetch("editions", Edition.objects.defer("data", "changes"))
    context = {
        "event": found,
        "divisions": found.divisions.prefetch_related(editions),
        "may_organise": has_role(request.user, found, Role.ORGANISER),
    }
    return render(request, "events/event.html", context)


def division(request: HttpRequest, event: str, division: str) -> HttpResponse:
    """The rules of a division as questions and answers, with the course drawn to scale."""
    found = visible_event(request.user, event)
    divisions = found.divisions.prefetch_related("editions__published_by")
    one = get_object_or_404(divisions, slug=division)
    one.event = found
    shown = None
    if one.edition is not None:
        asked = request.GET.get("round")
        shown = reading(one, one.edition.format, asked, units_of(request))
    context = {
        "event": found,
        "division": one,
        "reading": shown,
        "editions": one.editions.all(),
        "may_organise": has_role(request.user, found, Role.ORGANISER),
    }
    return render(request, "events/division.html", context)


def edition_text(request: HttpRequest, event: str, division: str, number: int) -> HttpResponse:
    """An edition as TOML, to keep or to load elsewhere."""
    found = visible_event(request.user, event)
    editions = Edition.objects.filter(division__event=found, division__slug=division)
    edition = get_object_or_404(editions, number=number)
    name = f"{event}-{division}-{number}.toml"
    return toml_file(as_toml(edition.format), name)


def toml_file(text: str, name: str) -> HttpResponse:
    """Some TOML as a file to keep."""
    response = HttpResponse(text, content_type="application/toml; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
