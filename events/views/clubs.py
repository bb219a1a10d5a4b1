"""Organisers' pages: clubs, their people and their venues."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from events.access import Role
from events.forms.clubs import ClubForm, OfficialForm, VenueForm
from events.invitations import invite, role_in_words
from events.limits import limited
from events.models import Club, Event, Venue
from events.services import add_official, create_club, remove_official, save_venue
from events.views.lookup import organised_club, organised_venue


@login_required
def home(request: HttpRequest) -> HttpResponse:
    """The clubs that the user organises, with their events and venues."""
    clubs = Club.objects.filter(
        officials__in=request.user.offices.filter(role=Role.ORGANISER, event=None)
    ).prefetch_related("venues", "events__venue")
    held = Event.objects.held_by(request.user, Role.ORGANISER).select_related("club", "venue")
    context = {"clubs": clubs, "single": held.exclude(club__in=clubs)}
    return render(request, "events/organise_home.html", context)


@login_required
def club_new(request: HttpRequest) -> HttpResponse:
    """Make a club."""
    form = ClubForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        club = create_club(name=form.cleaned_data["name"], by=request.user)
        messages.success(
            request, _("{name} is made, and you are its organiser.").format(name=club.name)
        )
        return redirect("organise-home")
    context = {"form": form, "title": _("Make a club")}
    return render(request, "events/form_page.html", context)


@limited("invite", per_hour=30)
@login_required
def people(request: HttpRequest, club: str) -> HttpResponse:
    """Who may do what for a club, and who is invited to."""
    found = organised_club(request.user, club)
    form = OfficialForm(request.POST or None, club=found)
    if request.method == "POST" and form.is_valid():
        messages.success(request, _given(form, found, request.user))
        return redirect("club-people", club)
    officials = found.officials.select_related("user", "event")
    invited = found.invitations.select_related("event", "letter")
    context = {
        "club": found,
        "form": form,
        "officials": officials.order_by("user__username", "role", "event__first_day"),
        "invitations": [(each, role_in_words(each.role)) for each in invited],
        "is_sent": settings.POST_IS_SENT,
    }
    return render(request, "events/people.html", context)


def _given(form: OfficialForm, club: Club, by: User) -> str:
    """Give the role, or invite to it; what was done, in a sentence."""
    said = form.cleaned_data
    where = {"club": club, "event": said["event"], "role": said["role"], "by": by}
    if form.user is not None:
        add_official(user=form.user, **where)
        return _("{user} has the role.").format(user=form.user)
    invite(email=said["username"], **where)
    return _("{address} is invited, and has the role once the letter is answered.").format(
        address=said["username"]
    )


@login_required
@require_POST
def person_remove(request: HttpRequest, club: str, pk: int) -> HttpResponse:
    """Take a role away from somebody."""
    found = organised_club(request.user, club)
    official = get_object_or_404(found.officials.select_related("user", "event"), pk=pk)
    try:
        remove_official(official=official, by=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(
            request, _("{user} no longer has the role.").format(user=official.user)
        )
    return redirect("club-people", club)


@login_required
def venue_new(request: HttpRequest, club: str) -> HttpResponse:
    """Add a venue to a club."""
    return _venue_page(request, Venue(club=organised_club(request.user, club)))


@login_required
def venue_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a venue."""
    return _venue_page(request, organised_venue(request.user, pk))


def _venue_page(request: HttpRequest, venue: Venue) -> HttpResponse:
    title = (
        _("Change {name}").format(name=venue.name)
        if venue.pk
        else _("Add a venue for {club}").format(club=venue.club)
    )
    form = VenueForm(request.POST or None, instance=venue)
    if form.saved(lambda: save_venue(venue=venue, by=request.user)):
        messages.success(request, _("{name} is saved.").format(name=venue.name))
        return redirect("organise-home")
    return render(request, "events/form_page.html", {"form": form, "title": title})
