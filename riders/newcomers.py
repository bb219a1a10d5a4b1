"""Riders whom an official brings in: found by their e-mail address, or made with an account."""

import re
import unicodedata

from django.contrib.auth import get_user_model
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.utils.crypto import get_random_string

from riders.models import Rider

NAME_LONGEST = 30


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
    users = get_user_model().objects
    if email and users.filter(email__iexact=email.strip()).exists():
        raise ValidationError({"email": "Somebody who is no rider has this e-mail address."})
    user: User = users.create_user(
        _free_name(given_name, family_name),
        email=email.strip(),
        first_name=given_name,
        last_name=family_name,
    )
    rider = Rider(
        user=user, given_name=given_name, family_name=family_name, club_name=club_name
    )
    if foot:
        rider.foot = foot
    rider.full_clean()
    rider.save()
    return rider


def _free_name(given_name: str, family_name: str) -> str:
    """A user name that nobody has; the person can sign in by e-mail and never needs it."""
    plain = unicodedata.normalize("NFKD", f"{given_name} {family_name}")
    letters = re.sub(r"[^a-z0-9]+", "-", plain.encode("ascii", "ignore").decode().lower())
    stem = letters.strip("-")[:NAME_LONGEST] or "rider"
    users = get_user_model().objects
    name = stem
    while users.filter(username__iexact=name).exists():
        name = f"{stem}-{get_random_string(5, '23456789abcdefghjkmnpqrstuvwxyz')}"
    return name
