"""Changing the e-mail address of an account: it holds once the new address has answered."""

from datetime import timedelta

from django.conf import settings
from django.contrib.auth.models import User
from django.core import signing
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.languages import written_to
from events.models import Letter
from events.post import end_links, send
from events.site import absolute

SALT = "events.account.mail"
GOOD_FOR = timedelta(days=1)
TAKEN = gettext_lazy("There is an account with this e-mail already: use another.")
ABOUT_CONFIRM = gettext_lazy("Confirm your new address")
ABOUT_CHANGED = gettext_lazy("Your address was changed")
ABOUT_TAKEN = gettext_lazy("You have an account already")


def ask_new_address(user: User, new: str) -> bool:
    """Begin to change the address; True if it holds at once, because no mail can be sent.

    Else the new address gets a letter with a link. If it belongs to another account, the
    letter says so there, and nobody learns it here.
    """
    if not settings.POST_IS_SENT:
        if is_taken(user, new):
            raise ValidationError(TAKEN)
        _change(user, new)
        return True
    if is_taken(user, new):
        _write(user, new, "email_taken", ABOUT_TAKEN, absolute(reverse("sign-in-link")))
    else:
        token = signing.dumps([user.pk, user.email, new], salt=SALT)
        link = absolute(reverse("key-email", args=[token]))
        _write(user, new, "email_confirm", ABOUT_CONFIRM, link)
    return False


def is_taken(user: User, address: str) -> bool:
    """Whether another account has the address."""
    others = User.objects.exclude(pk=user.pk)
    return others.filter(Q(username=address) | Q(email__iexact=address)).exists()


def read_confirmation(token: str) -> tuple[User, str] | None:
    """Whose address becomes which; None if the link has run out or the address changed."""
    try:
        pk, old, new = signing.loads(token, salt=SALT, max_age=GOOD_FOR)
    except signing.BadSignature:
        return None
    user = User.objects.filter(pk=pk, email=old, is_active=True).first()
    return (user, new) if user is not None else None


@transaction.atomic
def confirm(token: str) -> User | None:
    """Change the address by the link in the letter; None if it works no more."""
    found = read_confirmation(token)
    if found is None or is_taken(*found):
        return None
    user, new = found
    old = user.email
    _change(user, new)
    if old:
        _write(user, old, "email_changed", ABOUT_CHANGED, absolute(reverse("sign-in-link")))
    return user


def _change(user: User, new: str) -> None:
    """Riders sign in with their address, so their user name follows it."""
    if user.username == user.email:
        user.username = new
    user.email = new
    user.full_clean(exclude=["password"])
    user.save(update_fields=["email", "username"])
    end_links(user)


def _write(user: User, to: str, template: str, about: str, link: str) -> Letter:
    with written_to(user):
        return send(
            to=to,
            subject=_("{about} at Buoyline").format(about=about),
            text=render_to_string(f"events/mail/{template}.txt", {"user": user, "link": link}),
            about=str(about),
            person=user,
            personal=True,
            good_for=GOOD_FOR,
        )
