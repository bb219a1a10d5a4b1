"""Fetching what an address names, for those who may see it."""

from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser
from django.http import Http404
from django.shortcuts import get_object_or_404

from events.access import Role, has_role, require_organiser
from events.models import Club, Division, Event, Venue

User = AbstractBaseUser | AnonymousUser


def visible_event(user: User, slug: str) -> Event:
    """The event, if it is public or the user organises it; 404 for everybody else."""
    event = get_object_or_404(Event.objects.select_related("club", "venue"), slug=slug)
    if not event.is_public and not has_role(user, event, Role.ORGANISER):
        raise Http404("No such event.")
    return event


def organised_club(user: User, slug: str) -> Club:
    """The club, for its organisers."""
    club = get_object_or_404(Club, slug=slug)
    require_organiser(user, club)
    return club


def organised_venue(user: User, pk: int) -> Venue:
    """The venue, for organisers of its club."""
    venue = get_object_or_404(Venue.objects.select_related("club"), pk=pk)
    require_organiser(user, venue.club)
    return venue


def organised_event(user: User, slug: str) -> Event:
    """The event, for its organisers."""
    event = get_object_or_404(Event.objects.select_related("club", "venue"), slug=slug)
    require_organiser(user, event)
    return event


def organised_division(user: User, pk: int) -> Division:
    """The division, for organisers of its event."""
    found = Division.objects.select_related("event__club", "event__venue")
    division = get_object_or_404(found.prefetch_related("editions"), pk=pk)
    require_organiser(user, division.event)
    return division
