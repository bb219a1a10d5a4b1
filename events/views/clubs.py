"""Organisers' pages: clubs, their people and their venues."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from events.access import Role
from events.forms.clubs import ClubForm, OfficialForm, VenueForm
from events.models import Club, Venue
from events.services import add_official, create_club, remove_official, save_venue
from events.views.lookup import organised_club, organised_venue


@login_required
def home(request: HttpRequest) -> HttpResponse:
    """The clubs that the user organises, with their events and venues."""
    clubs = Club.objects.filter(
        officials__user=request.user, officials__role=Role.ORGANISER
    ).prefetch_related("venues", "events__venue")
    return render(request, "events/organise_home.html", {"clubs": clubs})


@login_required
def club_new(request: HttpRequest) -> HttpResponse:
    """Make a club."""
    form = ClubForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        club = create_club(name=form.cleaned_data["name"], by=request.user)
        messages.success(request, f"{club.name} is made, and you are its organiser.")
        return redirect("organise-home")
    context = {"form": form, "title": "Make a club"}
    return render(request, "events/form_page.html", context)


@login_required
def people(request: HttpRequest, club: str) -> HttpResponse:
    """Who may do what for a club."""
    found = organised_club(request.user, club)
    form = OfficialForm(request.POST or None, club=found)
    if request.method == "POST" and form.is_valid():
        user, role = form.cleaned_data["username"], form.cleaned_data["role"]
        add_official(club=found, user=user, role=role, by=request.user)
        messages.success(request, f"{user} has the role.")
        return redirect("club-people", club)
    officials = found.officials.select_related("user").order_by("user__username", "role")
    context = {"club": found, "form": form, "officials": officials}
    return render(request, "events/people.html", context)


@login_required
@require_POST
def person_remove(request: HttpRequest, club: str, pk: int) -> HttpResponse:
    """Take a role away from somebody."""
    found = organised_club(request.user, club)
    official = get_object_or_404(found.officials.select_related("user"), pk=pk)
    try:
        remove_official(official=official, by=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(request, f"{official.user} no longer has the role.")
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
    title = f"Change {venue.name}" if venue.pk else f"Add a venue for {venue.club}"
    form = VenueForm(request.POST or None, instance=venue)
    if request.method == "POST" and form.is_valid():
        saved = save_venue(venue=form.instance, by=request.user)
        messages.success(request, f"{saved.name} is saved.")
        return redirect("organise-home")
    return render(request, "events/form_page.html", {"form": form, "title": title})
