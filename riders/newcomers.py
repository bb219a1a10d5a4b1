"""Riders whom an official brings in: found by their e-mail address, or made with an account."""

import re
import unicodedata
from collections.abc import Sequence

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db.models.functions import Lower
from django.utils.crypto import get_random_string
from django.utils.translation import gettext_lazy

from riders.models import Rider

NAME_LONGEST = 30
PLAIN_SIGNS = "23456789abcdefghjkmnpqrstuvwxyz"  # none that is read as another
TAKEN = gettext_lazy("Somebody who is no rider has this e-mail address.")


def rider_of_email(email: str) -> Rider | None:
    """The rider whose account has this address, whatever its capitals; None if nobody's has."""
    if not email:
        return None
    riders = Rider.objects.filter(user__email__iexact=email.strip(), user__is_active=True)
    return riders.select_related("user").order_by("pk").first()


def make_rider(
    *, given_name: str, family_name: str, email: str, foot: str = "", club_name: str = ""
) -> Rider:
    """A rider with an account that no password opens: its owner comes in by a letter's link.

    Raises ValidationError, by field, for what cannot be a rider.
    """
    if email and User.objects.filter(email__iexact=email.strip()).exists():
        raise ValidationError({"email": TAKEN})
    rider = draft_rider(
        given_name=given_name,
        family_name=family_name,
        email=email,
        foot=foot,
        club_name=club_name,
    )
    save_new([rider])
    return rider


def draft_rider(
    *, given_name: str, family_name: str, email: str, foot: str = "", club_name: str = ""
) -> Rider:
    """As `make_rider`, but neither stored yet nor looked for among those who have accounts."""
    email = User.objects.normalize_email(email.strip())
    user = User(email=email, first_name=given_name, last_name=family_name)
    user.set_unusable_password()
    rider = Rider(
        user=user, given_name=given_name, family_name=family_name, club_name=club_name
    )
    if foot:
        rider.foot = foot
    rider.clean_fields(exclude={"user"})
    return rider


def save_new(riders: Sequence[Rider]) -> None:
    """Store drafted riders with their accounts, by as many statements for one as for many."""
    names = _free_names([_stem(rider) for rider in riders])
    for rider, name in zip(riders, names, strict=True):
        rider.user.username = name
    User.objects.bulk_create([rider.user for rider in riders])
    Rider.objects.bulk_create(riders)


def _stem(rider: Rider) -> str:
    """What a user name begins with."""
    plain = unicodedata.normalize("NFKD", rider.name)
    letters = re.sub(r"[^a-z0-9]+", "-", plain.encode("ascii", "ignore").decode().lower())
    return letters.strip("-")[:NAME_LONGEST] or "rider"


def _free_names(stems: Sequence[str]) -> list[str]:
    """User names that nobody has; people can sign in by e-mail and never need them."""
    names = list(stems)
    taken: set[str] = set()
    while True:
        held = User.objects.annotate(plain=Lower("username")).filter(plain__in=names)
        taken.update(held.values_list("plain", flat=True))
        seen: set[str] = set()
        again = []
        for at, name in enumerate(names):
            if name in taken or name in seen:
                again.append(at)
            seen.add(name)
        if not again:
            return names
        for at in again:
            names[at] = f"{stems[at]}-{get_random_string(5, PLAIN_SIGNS)}"
