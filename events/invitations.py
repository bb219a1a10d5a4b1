"""Inviting somebody by e-mail to a role, and saying yes.

Whoever says yes has the letter's link and is signed in with an account of the very address
that was invited: the link alone gives nothing to whom it was passed on, and an account alone
gives nothing to who only typed that address when signing up.
"""

import hashlib
from datetime import timedelta

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import get_random_string
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.languages import written_to
from events.models import Club, Event, Invitation, Letter, Official
from events.post import send
from events.services import record, role_at
from events.site import absolute

GOOD_FOR = timedelta(days=14)
KEPT_FOR = timedelta(days=30)  # after it has run out, so that nobody's address stays for ever
TOKEN_LENGTH = 40
ABOUT = gettext_lazy("An invitation to a role")
OVER = gettext_lazy("This invitation holds no more: ask the organiser for a new one.")
ELSE = gettext_lazy(
    "This invitation was sent to {invited}, and you are signed in with "
    "{own}. Sign in with the account of the invited address, or ask the "
    "organiser to invite the address of yours."
)


# What is asked of somebody.
ASKED = {
    Official.Role.ORGANISER: gettext_lazy("Will you organise {place}?"),
    Official.Role.TABLE: gettext_lazy("Will you sit at the table of {place}?"),
    Official.Role.DOCK: gettext_lazy("Will you look after the dock of {place}?"),
}


def asked_in_words(invitation: Invitation) -> str:
    """What the person is asked, as a question."""
    return str(ASKED[Official.Role(invitation.role)]).format(place=invitation.place)


def role_in_words(role: str) -> str:
    """What a role is called on the page."""
    return str(Official.Role(role).label)


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def _unread(letter: Letter | None) -> None:
    """Take away a letter that nobody has seen yet, since its link ends."""
    if letter is not None and letter.state in (Letter.State.WAITING, Letter.State.KEPT):
        letter.delete()


@transaction.atomic
def invite(*, club: Club, event: Event | None, role: str, email: str, by: User) -> Invitation:
    """Offer a role by letter; an earlier offer of the same ends, with its link."""
    Club.objects.select_for_update().get(pk=club.pk)
    own = club.invitations.select_related("letter")
    for old in own.filter(email__iexact=email, role=role, event=event):
        _unread(old.letter)
        old.delete()
    club.invitations.filter(good_until__lt=timezone.now() - KEPT_FOR).delete()
    token = get_random_string(TOKEN_LENGTH)
    made = Invitation(
        club=club, event=event, role=role, email=email, invited_by=by,
        token_hash=_digest(token), good_until=timezone.now() + GOOD_FOR,
    )  # fmt: skip
    made.letter = _write(made, token)
    made.full_clean()
    made.save()
    asked = role_at(role_in_words(role), event)
    what = _("Invited {email} to the role {role}.").format(email=email, role=asked)
    record(club=club, event=event, by=by, what=what)
    return made


def _write(made: Invitation, token: str) -> Letter:
    account = User.objects.filter(email__iexact=made.email, is_active=True).first()
    with written_to(account):
        context = {
            "invitation": made,
            "role": role_in_words(made.role),
            "by": made.invited_by.get_full_name() or _("an organiser"),
            "link": absolute(reverse("key-role", args=[token])),
        }
        return send(
            to=made.email,
            subject=asked_in_words(made),
            text=render_to_string("events/mail/invitation.txt", context),
            club=made.club,
            event=made.event,
            about=str(ABOUT),
            good_for=GOOD_FOR,
        )


@transaction.atomic
def take_back(*, invitation: Invitation, by: User) -> None:
    """End an invitation: its link works no more."""
    event = invitation.event
    what = _("Took back the invitation of {email}: {role}.").format(
        email=invitation.email, role=role_at(role_in_words(invitation.role), event)
    )
    _unread(invitation.letter)
    club = invitation.club
    invitation.delete()
    record(club=club, event=event, by=by, what=what)


def find(token: str) -> Invitation | None:
    """The invitation behind a link; None if it has run out, is ended, or never was."""
    held = Invitation.objects.select_related("club", "event").filter(
        token_hash=_digest(token), good_until__gt=timezone.now()
    )
    return held.first()


def why_not(invitation: Invitation, user: User) -> str:
    """Why this person cannot say yes, in a sentence; empty if they can."""
    if user.email.lower() == invitation.email.lower():
        return ""
    own = user.email or _("an account without an address")
    return str(ELSE).format(invited=invitation.email, own=own)


@transaction.atomic
def accept(*, invitation: Invitation, user: User) -> Official:
    """Take the role. Raises ValidationError with a sentence if that cannot be."""
    held = Invitation.objects.select_for_update().filter(pk=invitation.pk).first()
    if held is None or held.is_over:
        raise ValidationError(OVER)
    reason = why_not(held, user)
    if reason:
        raise ValidationError(reason)
    wanted = {"club": held.club, "event": held.event, "user": user, "role": held.role}
    official = Official.objects.filter(**wanted).first()
    if official is None:
        official = Official(**wanted)
        official.full_clean()
        official.save()
    role = role_at(role_in_words(held.role), held.event)
    what = _("Took the role {role}, as invited.").format(role=role)
    record(club=held.club, event=held.event, by=user, what=what)
    held.delete()
    return official
