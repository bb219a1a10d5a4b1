"""Letters that let people into their account, and how sure the site is of who they are.

Three ways in: the password; a link that works once and for half an hour; the link in an entry
mail, which works for a month and is more easily passed on. Whoever came by the last one may
plan, declare and enter, yet neither change the address and the password of the account nor
fetch or erase its data.
"""

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import wraps
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import User
from django.contrib.auth.tokens import default_token_generator
from django.contrib.sessions.models import Session
from django.db import transaction
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.encoding import force_bytes
from django.utils.http import urlencode, urlsafe_base64_encode
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from sesame.utils import get_token, get_user

from events.languages import written_to
from events.models import Letter
from events.post import end_links, send
from events.site import absolute

GOOD_FOR = timedelta(seconds=settings.SESAME_MAX_AGE)
SCOPE = "sign-in"
ABOUT_SIGN_IN = gettext_lazy("A link to sign in")
ABOUT_PASSWORD = gettext_lazy("A link to set a password")
ACCOUNTS_MOST = 5  # that share one address
BY_MAIL = "signed-in-by-entry-mail"
ONCE_AT = "signed-in-by-link-at"
PROVE = gettext_lazy(
    "You came by the link in an entry mail. For this the site must be "
    "surer that it is you: have a link sent that works once, or sign out "
    "and sign in with your password."
)


def people_named(who: str) -> list[User]:
    """Active accounts of this user name or address that a letter can reach."""
    found = User.objects.filter(Q(username=who) | Q(email__iexact=who), is_active=True)
    return list(found.exclude(email="").order_by("pk")[:ACCOUNTS_MOST])


def send_sign_in_links(who: str, next_path: str = "") -> None:
    """Write to every account of that name or address; to none if there is none."""
    for user in people_named(who):
        address = reverse("key-once", args=[get_token(user, scope=SCOPE)])
        query = f"?{urlencode({'next': next_path})}" if next_path else ""
        _send_key(user, f"{address}{query}", "sign_in", ABOUT_SIGN_IN)


def send_password_links(who: str) -> None:
    """Write a link that sets a new password; nobody but the person ever reads this letter."""
    for user in people_named(who):
        pk = urlsafe_base64_encode(force_bytes(user.pk))
        token = default_token_generator.make_token(user)
        address = reverse("key-password", args=[pk, token])
        _send_key(user, address, "password", ABOUT_PASSWORD, personal=True)


@transaction.atomic
def _send_key(user: User, path: str, template: str, about: str, personal: bool = False) -> None:
    # Earlier letters that nobody has read yet would only get in the way.
    unread = (Letter.State.WAITING, Letter.State.KEPT)
    context = {"user": user, "link": absolute(path), "minutes": GOOD_FOR.seconds // 60}
    with written_to(user):
        user.letters.filter(about=str(about), club=None, state__in=unread).delete()
        send(
            to=user.email,
            subject=_("{about} for Buoyline").format(about=about),
            text=render_to_string(f"events/mail/{template}.txt", context),
            about=str(about),
            person=user,
            personal=personal,
            good_for=GOOD_FOR,
        )


def person_of(token: str) -> User | None:
    """Whom a link that works once would sign in; None if it was used or has run out."""
    found: User | None = get_user(token, scope=SCOPE, update_last_login=False)
    return found


@transaction.atomic
def sign_in_once(request: HttpRequest, token: str) -> User | None:
    """Sign in by a link that works once; a second press finds it used."""
    user = person_of(token)
    if user is None:
        return None
    User.objects.select_for_update().get(pk=user.pk)  # two presses at the same moment queue
    user = person_of(token)
    if user is None:
        return None
    login(request, user)
    request.session.pop(BY_MAIL, None)
    request.session[ONCE_AT] = timezone.now().isoformat()
    return user


def sign_in_by_mail(request: HttpRequest, user: User) -> None:
    """Sign in by the link in an entry mail."""
    login(request, user, backend="django.contrib.auth.backends.ModelBackend")
    request.session[BY_MAIL] = True


def came_by_link_lately(request: HttpRequest) -> bool:
    """Whether the person has just proved by a link that works once who they are."""
    said = request.session.get(ONCE_AT)
    return bool(said) and timezone.now() - datetime.fromisoformat(said) < GOOD_FOR


def proof_required(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Go on for a signed-in person who did not merely come by the link in an entry mail."""

    @login_required
    @wraps(view)
    def inner(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if request.session.get(BY_MAIL):
            messages.warning(request, PROVE)
            query = urlencode({"next": request.path})
            return redirect(f"{reverse('sign-in-link')}?{query}")
        return view(request, *args, **kwargs)

    return inner


def sign_out_everywhere(user: User, but: str | None = None) -> int:
    """End the user's sessions on all devices, `but` the one of that key, and all links."""
    end_links(user)
    mine = str(user.pk)
    gone = [
        session.pk
        for session in Session.objects.filter(expire_date__gt=timezone.now()).iterator()
        if session.pk != but and session.get_decoded().get("_auth_user_id") == mine
    ]
    Session.objects.filter(pk__in=gone).delete()
    return len(gone)
