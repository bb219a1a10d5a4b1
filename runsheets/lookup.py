"""Finding what the table's pages are about, for those who may see it."""

from django.contrib import messages
from django.db.models import prefetch_related_objects
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext_lazy

from events.access import require_table
from events.models import Division, Event
from runsheets.lineup import rounds_of

NO_ROUND = gettext_lazy("There is no such round in {division}; choose one below.")


def event_for_table(request: HttpRequest, slug: str) -> Event:
    """The event, for its table only."""
    found = get_object_or_404(Event.objects.select_related("club", "venue"), slug=slug)
    require_table(request.user, found)
    return found


def division_for_table(request: HttpRequest, pk: int) -> Division:
    """The division, for the table of its event only."""
    divisions = Division.objects.select_related("event__club", "event__venue")
    found = get_object_or_404(divisions.prefetch_related("editions"), pk=pk)
    require_table(request.user, found.event)
    return found


def division_and_others(request: HttpRequest, pk: int) -> Division:
    """The division, for the table of its event only, read with all of the event's others."""
    found = get_object_or_404(
        Division.objects.select_related("event__club", "event__venue"), pk=pk
    )
    require_table(request.user, found.event)
    prefetch_related_objects([found.event], "divisions__editions")
    return next(each for each in found.event.divisions.all() if each.pk == pk)


def round_asked(request: HttpRequest, division: Division) -> str | None:
    """The round that was asked for, the first if none was; None if there is no such round."""
    names = rounds_of(division)
    asked = request.GET.get("round", names[0])
    return asked if asked in names else None


def refuse(request: HttpRequest, division: Division, sentence: str) -> HttpResponse:
    """Say why not, on the event's page of the table."""
    messages.error(request, sentence)
    return redirect("table-event", division.event.slug)
