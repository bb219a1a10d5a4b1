"""A person's own account: name, address, password, devices, data."""

import json

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from events.account_mail import ask_new_address, confirm, read_confirmation
from events.limits import limited
from events.post import end_links
from events.sign_in import BY_MAIL, proof_required, sign_out_everywhere
from riders.account_forms import AddressForm, EraseForm
from riders.erasing import check_can_go, erase
from riders.models import Rider
from riders.own_data import own_data

LOOK = gettext_lazy(
    "Look for a letter at {email}. The address holds once you press the link in it."
)


@never_cache
@login_required
@require_safe
def account(request: HttpRequest) -> HttpResponse:
    """Everything about the account on one page."""
    context = {
        "rider": Rider.objects.filter(user=request.user).first(),
        "has_password": request.user.has_usable_password(),
        "by_mail": request.session.get(BY_MAIL, False),
    }
    return render(request, "riders/account.html", context)


@never_cache
@limited("address", per_hour=20)
@proof_required
def address(request: HttpRequest) -> HttpResponse:
    """Change the e-mail address; the new one is asked first."""
    form = AddressForm(request.POST or None, now=request.user.email)
    if request.method == "POST" and form.is_valid():
        email = form.cleaned_data["email"]
        try:
            at_once = ask_new_address(request.user, email)
        except ValidationError as error:
            form.add_error("email", " ".join(error.messages))
        else:
            said = (
                _("Your address is {email} now.").format(email=email)
                if at_once
                else LOOK.format(email=email)
            )
            messages.success(request, said)
            return redirect("account")
    context = {"form": form, "is_sent": settings.POST_IS_SENT}
    return render(request, "riders/account_address.html", context)


@never_cache
def address_confirm(request: HttpRequest, token: str) -> HttpResponse:
    """Open the link that proves the new address."""
    found = read_confirmation(token)
    if request.method == "POST":
        user = confirm(token)
        if user is not None:
            messages.success(
                request, _("Your address is {email} now.").format(email=user.email)
            )
            return redirect("account")
    context = {"found": found, "new": found[1] if found else ""}
    status = 200 if found and request.method != "POST" else 410
    return render(request, "riders/account_confirm.html", context, status=status)


@login_required
@require_POST
def links_end(request: HttpRequest) -> HttpResponse:
    """End the links in all entry mails."""
    end_links(request.user)
    if request.session.get(BY_MAIL):
        logout(request)
        messages.success(request, _("The links in your mails work no more, and you are out."))
        return redirect("sign-in-link")
    messages.success(request, _("The links in your mails work no more."))
    return redirect("account")


@login_required
@require_POST
def out_everywhere(request: HttpRequest) -> HttpResponse:
    """Sign out on every device, this one too, and end the links in all mails."""
    sign_out_everywhere(request.user)
    logout(request)
    messages.success(request, _("You are signed out everywhere."))
    return redirect("sign-in")


@never_cache
@limited("own-data", per_hour=20)
@proof_required
@require_safe
def data(request: HttpRequest) -> HttpResponse:
    """Everything the site holds of the person, as a file."""
    told = {"taken": timezone.now().isoformat(), **own_data(request.user)}
    text = json.dumps(told, indent=2, ensure_ascii=False)
    response = HttpResponse(text, content_type="application/json; charset=utf-8")
    response["Content-Disposition"] = 'attachment; filename="my-buoyline-data.json"'
    return response


@never_cache
@limited("erase", per_hour=20)
@proof_required
def erase_page(request: HttpRequest) -> HttpResponse:
    """Erase the person's data, after a word was typed."""
    form = EraseForm(request.POST or None)
    stopped = _what_stops(request)
    if request.method == "POST" and not stopped and form.is_valid():
        user = request.user
        logout(request)
        erase(user)
        messages.success(request, _("Your data is erased, and the account with it."))
        return redirect("home")
    context = {"form": form, "stopped": stopped}
    return render(request, "riders/account_erase.html", context)


def _what_stops(request: HttpRequest) -> str:
    try:
        check_can_go(request.user)
    except ValidationError as error:
        return " ".join(error.messages)
    return ""
