"""Signing in."""

from typing import Any

from django.contrib.auth.forms import AuthenticationForm

from events.forms.layout import helper


def plain_user_name(typed: str) -> str:
    """A user name as it is kept: addresses in lower case."""
    return typed.lower() if "@" in typed else typed


class SignInForm(AuthenticationForm):
    """User name and password."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "E-mail or user name"
        self.helper = helper("Sign in")

    def clean_username(self) -> str:
        """An address may be typed with capitals; it is kept without."""
        return plain_user_name(self.cleaned_data["username"])
