"""Signing in, and passwords."""

from typing import Any

from django import forms
from django.contrib.auth import forms as auth
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.forms.layout import helper

PASSWORD_HELP = gettext_lazy("At least eight characters, nothing that is easy to guess.")


def plain_user_name(typed: str) -> str:
    """A user name as it is kept: addresses in lower case."""
    return typed.lower() if "@" in typed else typed


class SignInForm(auth.AuthenticationForm):
    """User name and password."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = _("E-mail or user name")
        self.helper = helper(_("Sign in"))

    def clean_username(self) -> str:
        """An address may be typed with capitals; it is kept without."""
        return plain_user_name(self.cleaned_data["username"])


class WhoForm(forms.Form):
    """Whose account is meant."""

    who = forms.CharField(
        label=gettext_lazy("E-mail or user name"),
        max_length=254,
        widget=forms.TextInput(attrs={"autocomplete": "username"}),
        error_messages={"required": gettext_lazy("Write the e-mail address of your account.")},
    )

    def __init__(self, *args: Any, button: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(button)

    def clean_who(self) -> str:
        """As it is kept."""
        return plain_user_name(self.cleaned_data["who"].strip())


class _SaidAtThePassword:
    """Says what is wrong with a new password beside it, not where it is typed again."""

    def validate_password_for_user(self, user: Any, _field: str = "new_password1") -> None:
        """Look at a new password as Django does."""
        super().validate_password_for_user(user, "new_password1")  # type: ignore[misc]


class ChangePasswordForm(_SaidAtThePassword, auth.PasswordChangeForm):
    """A new password for somebody who knows the old one."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["old_password"].label = _("The password of now")
        _name_new(self)


class NewPasswordForm(_SaidAtThePassword, auth.SetPasswordForm):
    """A first password, or a new one for somebody who came by a link."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _name_new(self)


def _name_new(form: auth.SetPasswordForm) -> None:
    form.fields["new_password1"].label = _("New password")
    form.fields["new_password1"].help_text = PASSWORD_HELP
    form.fields["new_password2"].label = _("The same again")
    form.fields["new_password2"].help_text = ""
    form.helper = helper(_("Keep this password"))
