"""Passwords: changing, setting a first one, and a new one for who forgot theirs."""

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import views as auth
from django.contrib.auth.forms import SetPasswordForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.utils.decorators import method_decorator
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from events.forms.sign_in import ChangePasswordForm, NewPasswordForm, WhoForm
from events.limits import limited
from events.sign_in import (
    BY_MAIL,
    ONCE_AT,
    came_by_link_lately,
    proof_required,
    send_password_links,
    sign_out_everywhere,
)

NO_MAIL = gettext_lazy(
    "This site sends no mail, so nobody can be sent a new password. Ask "
    "here for a link to sign in, which an organiser of your event passes "
    "on; then set a password under Account."
)
KEPT = gettext_lazy(
    "Your new password holds. Other devices and the links in your mails are signed out."
)


class PasswordView(auth.PasswordChangeView):
    """A new password: with the old one, or without by who just came by a link."""

    template_name = "events/password.html"
    success_url = reverse_lazy("account")

    @property
    def needs_old(self) -> bool:
        """Whether the old password is asked for."""
        user = self.request.user
        return user.has_usable_password() and not came_by_link_lately(self.request)

    def get_form_class(self) -> type[SetPasswordForm]:
        return ChangePasswordForm if self.needs_old else NewPasswordForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(needs_old=self.needs_old, **kwargs)

    def form_valid(self, form: Any) -> HttpResponse:
        response = super().form_valid(form)
        self.request.session.pop(ONCE_AT, None)
        sign_out_everywhere(self.request.user, but=self.request.session.session_key)
        messages.success(self.request, KEPT)
        return response


password = limited("password", per_hour=20)(proof_required(PasswordView.as_view()))


@never_cache
@limited("password-forgotten", per_hour=60, account="who", per_account=6)
def forgotten(request: HttpRequest) -> HttpResponse:
    """Have a link sent that sets a new password; the same answer for everybody."""
    if not settings.POST_IS_SENT:
        messages.info(request, NO_MAIL)
        return redirect("sign-in-link")
    form = WhoForm(request.POST or None, button=_("Send me a link"))
    if request.method == "POST" and form.is_valid():
        send_password_links(form.cleaned_data["who"])
        return redirect("password-forgotten-sent")
    return render(request, "events/password_forgotten.html", {"form": form})


@require_safe
def forgotten_sent(request: HttpRequest) -> HttpResponse:
    """What happens now."""
    return render(request, "events/password_forgotten_sent.html")


@method_decorator(never_cache, name="dispatch")
class NewPasswordView(auth.PasswordResetConfirmView):
    """Set a new password by a link, and be signed in."""

    template_name = "events/password_new.html"
    form_class = NewPasswordForm
    post_reset_login = True
    post_reset_login_backend = "django.contrib.auth.backends.ModelBackend"
    success_url = reverse_lazy("account")

    def form_valid(self, form: Any) -> HttpResponse:
        response = super().form_valid(form)
        self.request.session.pop(BY_MAIL, None)
        sign_out_everywhere(self.user, but=self.request.session.session_key)
        messages.success(self.request, KEPT)
        return response
