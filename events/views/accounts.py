"""Signing in."""

from django.contrib.auth.views import LoginView

from events.forms.sign_in import SignInForm
from events.limits import limited

# A whole club may sit behind one address on the day, so the address gets room; one account
# gets room for the typing mistakes of an hour and none for guessing.
sign_in = limited(
    "sign-in", per_hour=100, account="username", per_account=10, failures_only=True
)(
    LoginView.as_view(
        template_name="events/sign_in.html",
        authentication_form=SignInForm,
        redirect_authenticated_user=True,
    )
)
