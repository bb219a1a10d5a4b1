"""The units that a visitor reads figures in: a cookie, and the account of who is signed in.

Pages ask the cookie alone, so that no page asks the database for it. Signing in writes the
account's choice into the cookie. A copy that a device keeps stays in the units it was made in,
as every figure in it says, until the page is opened again.
"""

from collections.abc import Callable
from functools import partial
from typing import Any

from django.conf import settings
from django.contrib.auth.signals import user_logged_in
from django.http import HttpRequest, HttpResponseBase
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.account_cookies import at_sign_in
from events.rules.figures import AS_PUBLISHED, CHOICES, Units
from events.site import back_here
from events.units_models import UnitsChoice

COOKIE = "buoyline-units"
KEPT_FOR = 365 * 24 * 3600  # s
LABELS = {
    "length": gettext_lazy("Lengths"),
    "speed": gettext_lazy("Speeds"),
    "mass": gettext_lazy("Weights"),
}
AS_PUBLISHED_WORDS = {
    "length": gettext_lazy("lengths as published"),
    "speed": gettext_lazy("speeds as published"),
    "mass": gettext_lazy("weights as published"),
}
NAMES = {
    "m": gettext_lazy("metres (m)"),
    "ft": gettext_lazy("feet (ft)"),
    "km/h": "km/h",
    "mph": gettext_lazy("miles per hour (mph)"),
    "kg": gettext_lazy("kilograms (kg)"),
    "lb": gettext_lazy("pounds (lb)"),
}


def units_of(request: HttpRequest) -> Units:
    """The units that this visitor likes. The answer then differs by cookie, and says so."""
    request.reads_units = True  # type: ignore[attr-defined]
    return Units.read(request.COOKIES.get(COOKIE, ""))


def in_words(units: Units) -> str:
    """A choice in words: "feet, miles per hour, weights as published"."""
    liked = {kind: getattr(units, kind) for kind in CHOICES}
    if not any(liked.values()):
        return _("as published")
    return ", ".join(unit or str(AS_PUBLISHED_WORDS[kind]) for kind, unit in liked.items())


def keep(response: HttpResponseBase, units: Units) -> None:
    """Write a choice into the visitor's cookie; none is kept of what is the default."""
    if units == AS_PUBLISHED:
        response.delete_cookie(COOKIE, samesite="Lax")
        return
    response.set_cookie(
        COOKIE,
        units.text,
        max_age=KEPT_FOR,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )


class UnitsMiddleware:
    """Says of each answer that differs by the choice that it does."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        if getattr(request, "reads_units", False):
            patch_vary_headers(response, ["Cookie"])
        return response


def take_from_account(sender: Any, request: HttpRequest, user: Any, **_: Any) -> None:
    """At sign-in: what the account says goes before what the device was told."""
    choice = UnitsChoice.objects.filter(user=user).first()
    if choice is not None:
        at_sign_in(request, partial(keep, units=Units.read(choice.units)))


user_logged_in.connect(take_from_account, dispatch_uid="events.units")


class UnitsOnPage:
    """What the form at the foot of every page shows."""

    def __init__(self, request: HttpRequest) -> None:
        self.request = request
        self.units = units_of(request)

    @property
    def in_words(self) -> str:
        """The choice in words."""
        return in_words(self.units)

    @property
    def back(self) -> str:
        """Where to go on after a choice."""
        return back_here(self.request)

    @property
    def fields(self) -> list[tuple[str, str, list[tuple[str, str, bool]]]]:
        """(name, label, (value, words, whether chosen) of each unit) for each kind."""
        return [
            (kind, LABELS[kind], [
                ("", _("as published"), getattr(self.units, kind) is None),
                *((unit, NAMES[unit], getattr(self.units, kind) == unit) for unit in units),
            ])
            for kind, units in CHOICES.items()
        ]  # fmt: skip
