"""Signing in by a link: asking for one, and opening it.

Opening a link shows a page with a button. Mail programs that look into links beforehand do
not use it up, and nobody is signed in to somebody else's account unseen.
"""

from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from events.forms.sign_in import WhoForm
from events.limits import limited
from events.post import read_link
from events.sign_in import (
    person_of,
    send_sign_in_links,
    sign_in_by_mail,
    sign_in_once,
)
from events.site import is_ours

AFTER = "riding-home"


def safe_next(request: HttpRequest) -> str:
    """Where to go on to, if that is on this site; else nothing."""
    asked = request.POST.get("next") or request.GET.get("next") or ""
    return asked if is_ours(request, asked) else ""


@never_cache
@limited("sign-in-link", per_hour=60, account="who", per_account=6)
def ask(request: HttpRequest) -> HttpResponse:
    """Have a link sent. The answer is the same whether or not there is such an account."""
    form = WhoForm(request.POST or None, button=_("Send me a link"))
    if request.method == "POST" and form.is_valid():
        send_sign_in_links(form.cleaned_data["who"], safe_next(request))
        return redirect("sign-in-link-sent")
    context = {"form": form, "next": safe_next(request), "is_sent": settings.POST_IS_SENT}
    return render(request, "events/sign_in_link.html", context)


@require_safe
def sent(request: HttpRequest) -> HttpResponse:
    """What happens now."""
    return render(request, "events/sign_in_link_sent.html", {"is_sent": settings.POST_IS_SENT})


@never_cache
def once(request: HttpRequest, token: str) -> HttpResponse:
    """Open a link that works once."""
    if request.method == "POST":
        user = sign_in_once(request, token)
        if user is not None:
            return redirect(safe_next(request) or AFTER)
    else:
        user = person_of(token)
    if user is None:
        return _over(request)
    return _button(request, {"person": user, "next": safe_next(request)})


@never_cache
def from_mail(request: HttpRequest, token: str) -> HttpResponse:
    """Open the link in an entry mail."""
    found = read_link(token)
    if found is None:
        return _over(request)
    user, path = found
    if request.user == user:
        return redirect(path)
    if request.method == "POST":
        sign_in_by_mail(request, user)
        return redirect(path)
    return _button(request, {"person": user})


def _button(request: HttpRequest, context: dict[str, Any]) -> HttpResponse:
    return render(request, "events/sign_in_open.html", context)


def _over(request: HttpRequest) -> HttpResponse:
    # Somebody who is signed in already and presses an old link is where they wanted to be.
    query = urlencode({"next": next_path}) if (next_path := safe_next(request)) else ""
    ask_again = reverse("sign-in-link") + (f"?{query}" if query else "")
    context = {"ask_again": ask_again}
    return render(request, "events/sign_in_over.html", context, status=410)
