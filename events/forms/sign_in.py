"""Signing in."""

from typing import Any

from django.contrib.auth.forms import AuthenticationForm

from events.forms.layout import helper


class SignInForm(AuthenticationForm):
    """User name and password."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "E-mail or user name"
        self.helper = helper("Sign in")
