"""Organisers' pages: events and their divisions."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from events.forms.contests import DivisionForm, EventForm
from events.models import Division, Event
from events.services import save_division, save_event, set_public
from events.views.lookup import organised_club, organised_division, organised_event


@login_required
def event(request: HttpRequest, slug: str) -> HttpResponse:
    """Everything about an event that its organisers work on."""
    found = organised_event(request.user, slug)
    context = {
        "event": found,
        "divisions": found.divisions.prefetch_related("editions"),
        "acts": found.acts.select_related("user")[:20],
    }
    return render(request, "events/organise_event.html", context)


@login_required
def event_new(request: HttpRequest, club: str) -> HttpResponse:
    """Add an event to a club."""
    found = organised_club(request.user, club)
    if not found.venues.exists():
        messages.warning(request, _("An event needs a venue: add the lake first."))
        return redirect("venue-new", club)
    return _event_page(request, Event(club=found, time_zone=settings.TIME_ZONE))


@login_required
def event_edit(request: HttpRequest, slug: str) -> HttpResponse:
    """Change an event."""
    return _event_page(request, organised_event(request.user, slug))


def _event_page(request: HttpRequest, event: Event) -> HttpResponse:
    title = (
        _("Change {name}").format(name=event.name)
        if event.pk
        else _("Add an event of {club}").format(club=event.club)
    )
    form = EventForm(request.POST or None, instance=event)
    if form.saved(lambda: save_event(event=event, by=request.user)):
        for warning in form.warnings:
            messages.warning(request, warning)
        messages.success(request, _("{name} is saved.").format(name=event.name))
        return redirect("event-organise", event.slug)
    return render(request, "events/form_page.html", {"form": form, "title": title})


@login_required
@require_POST
def event_public(request: HttpRequest, slug: str) -> HttpResponse:
    """Open an event to everybody, or hide it."""
    found = organised_event(request.user, slug)
    public = request.POST.get("public") == "yes"
    set_public(event=found, public=public, by=request.user)
    done = (
        _("{name} is open to everybody.") if public else _("{name} is hidden from the public.")
    )
    messages.success(request, done.format(name=found.name))
    return redirect("event-organise", slug)


@login_required
def division_new(request: HttpRequest, slug: str) -> HttpResponse:
    """Add a division to an event."""
    found = organised_event(request.user, slug)
    place = found.divisions.count() + 1
    return _division_page(request, Division(event=found, place=place))


@login_required
def division_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a division's name or place."""
    return _division_page(request, organised_division(request.user, pk))


def _division_page(request: HttpRequest, division: Division) -> HttpResponse:
    is_new = division.pk is None
    title = (
        _("Add a division to {event}").format(event=division.event)
        if is_new
        else _("Change {name}").format(name=division.name)
    )
    form = DivisionForm(request.POST or None, instance=division)
    if form.saved(lambda: save_division(division=division, by=request.user)):
        messages.success(request, _("{name} is saved.").format(name=division.name))
        if is_new:
            return redirect("format-edit", division.pk)
        return redirect("event-organise", division.event.slug)
    return render(request, "events/form_page.html", {"form": form, "title": title})
