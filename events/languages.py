"""The language that somebody reads in: a cookie, the account, or what the browser asks for.

Pages follow the visitor: Django's LocaleMiddleware asks the cookie, then the browser. Letters
follow whom they are written to. Papers hang where everybody reads them, and are in the site's
own language, SITE_LANGUAGE.
"""

from collections.abc import Callable, Iterable
from contextlib import AbstractContextManager
from functools import partial, wraps
from typing import Any, ParamSpec, TypeVar

from django.conf import settings
from django.contrib.auth.models import User
from django.contrib.auth.signals import user_logged_in
from django.http import HttpRequest, HttpResponseBase
from django.middleware.locale import LocaleMiddleware
from django.utils import translation

from events.account_cookies import at_sign_in
from events.language_models import LanguageChoice
from events.site import back_here

P = ParamSpec("P")
R = TypeVar("R")

NAMES = dict(settings.LANGUAGES)
KNOW_NOBODY = ("/api/", "/box/")


def language_of(user: User | None) -> str:
    """The language to write to somebody in; the site's own where they chose none."""
    known = languages_of([user.pk]) if user else {}
    return next(iter(known.values()), settings.LANGUAGE_CODE)


def languages_of(users: Iterable[int]) -> dict[int, str]:
    """The languages that these people chose, by the key of the account; one query for all."""
    wanted = set(users)
    if not wanted:
        return {}
    chosen = LanguageChoice.objects.filter(user__in=wanted, language__in=NAMES)
    return dict(chosen.values_list("user", "language"))


def written_to(user: User | None) -> AbstractContextManager[None]:
    """What is said within is in the language of whom it is written to."""
    return translation.override(language_of(user))


def on_paper() -> AbstractContextManager[None]:
    """What is said within is in the site's own language, whoever asks."""
    return translation.override(settings.LANGUAGE_CODE)


def made_on_paper(make: Callable[P, R]) -> Callable[P, R]:
    """The function with everything that it says in the site's own language: for whatever
    makes a paper, a file or a code of one, which must not depend on who asks."""

    @wraps(make)
    def made(*args: P.args, **named: P.kwargs) -> R:
        with on_paper():
            return make(*args, **named)

    return made


def keep(response: HttpResponseBase, language: str) -> None:
    """Write a choice into the visitor's cookie."""
    response.set_cookie(
        settings.LANGUAGE_COOKIE_NAME,
        language,
        max_age=settings.LANGUAGE_COOKIE_AGE,
        secure=settings.LANGUAGE_COOKIE_SECURE,
        httponly=settings.LANGUAGE_COOKIE_HTTPONLY,
        samesite=settings.LANGUAGE_COOKIE_SAMESITE,
    )


def take_from_account(sender: Any, request: HttpRequest, user: User, **_more: Any) -> None:
    """At sign-in: what the account says goes before what the device was told."""
    language = languages_of([user.pk]).get(user.pk)
    if language:
        at_sign_in(request, partial(keep, language=language))


user_logged_in.connect(take_from_account, dispatch_uid="events.languages")


class LanguageMiddleware(LocaleMiddleware):
    """The visitor's language; of those who know nobody, the one that the browser asks for."""

    def process_request(self, request: HttpRequest) -> None:
        """Have everything that is said until the answer in that language."""
        if request.path_info.startswith(KNOW_NOBODY):
            # Any cache may keep their answers, which say that they differ by this header.
            request.COOKIES.pop(settings.LANGUAGE_COOKIE_NAME, None)
        super().process_request(request)


class LanguageOnPage:
    """What the form at the foot of every page shows."""

    def __init__(self, request: HttpRequest) -> None:
        self.request = request

    @property
    def name(self) -> str:
        """The name of the page's language, in that language."""
        return NAMES.get(translation.get_language() or "", NAMES[settings.LANGUAGE_CODE])

    @property
    def back(self) -> str:
        """Where to go on after a choice."""
        return back_here(self.request)

    @property
    def choices(self) -> list[tuple[str, str, bool]]:
        """(code, name in its own language, whether the page is in it) of each language."""
        now = translation.get_language()
        return [(code, name, code == now) for code, name in settings.LANGUAGES]
