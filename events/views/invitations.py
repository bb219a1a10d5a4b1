"""Invitations to a role: sending one again, taking one back, opening one, saying yes."""

from typing import cast

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from events.access import Role
from events.invitations import accept, asked_in_words, find, invite, take_back, why_not
from events.limits import limited
from events.models import Invitation, Official
from events.sign_in import proof_required
from events.views.lookup import organised_club

OPENED = "invitation-opened"  # in the session, so that the link itself goes no further
HOME = {Role.ORGANISER: "organise-home", Role.TABLE: "table-home", Role.DOCK: "dock-home"}


def _of_club(request: HttpRequest, club: str, pk: int) -> Invitation:
    found = organised_club(request.user, club)
    held = found.invitations.select_related("event", "letter", "club")
    return get_object_or_404(held, pk=pk)


@limited("invite", per_hour=30)
@login_required
@require_POST
def again(request: HttpRequest, club: str, pk: int) -> HttpResponse:
    """Invite the same person once more: a new letter, a new link, two more weeks."""
    old = _of_club(request, club, pk)
    invite(club=old.club, event=old.event, role=old.role, email=old.email, by=request.user)
    messages.success(
        request,
        _("{email} is invited again. The link of before is over.").format(email=old.email),
    )
    return redirect("club-people", club)


@login_required
@require_POST
def end(request: HttpRequest, club: str, pk: int) -> HttpResponse:
    """Take an invitation back."""
    held = _of_club(request, club, pk)
    take_back(invitation=held, by=request.user)
    messages.success(
        request, _("The invitation of {email} is taken back.").format(email=held.email)
    )
    return redirect("club-people", club)


@never_cache
@limited("invitation", per_hour=60, methods=("GET",))
@require_safe
def opened(request: HttpRequest, token: str) -> HttpResponse:
    """Open the link in the letter; the offer itself is on an address without a secret."""
    found = find(token)
    if found is None:
        return _over(request)
    request.session[OPENED] = found.pk
    return redirect("invitation")


def invitation_opened(request: HttpRequest) -> Invitation | None:
    """The invitation whose link this visitor has opened, while it holds."""
    pk = request.session.get(OPENED)
    if pk is None:
        return None
    held = Invitation.objects.select_related("club", "event", "invited_by")
    return held.filter(pk=pk, good_until__gt=timezone.now()).first()


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def invitation(request: HttpRequest) -> HttpResponse:
    """What is offered: to sign in or join first, or to say yes."""
    found = invitation_opened(request)
    if found is None:
        return _over(request)
    if request.method == "POST":
        return _said_yes(request)
    user = request.user
    context = {
        "invitation": found,
        "question": asked_in_words(found),
        "roles": Official.Role,
        "by": found.invited_by.get_full_name() or _("An organiser"),
        "reason": why_not(found, cast(User, user)) if user.is_authenticated else "",
    }
    return render(request, "events/invitation.html", context)


@proof_required
def _said_yes(request: HttpRequest) -> HttpResponse:
    found = invitation_opened(request)
    if found is None:
        return _over(request)
    try:
        official = accept(invitation=found, user=request.user)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("invitation")
    request.session.pop(OPENED, None)
    role = official.get_role_display().lower()
    messages.success(
        request,
        _("You have the role {role} for {place}.").format(role=role, place=official.place),
    )
    return redirect(HOME[Role(official.role)])


def _over(request: HttpRequest) -> HttpResponse:
    return render(request, "events/invitation_over.html", status=410)
