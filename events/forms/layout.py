"""How the site's plain forms are laid out."""

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Submit


def helper(button: str) -> FormHelper:
    """A form with one button."""
    made = FormHelper()
    made.form_method = "post"
    made.attrs = {"novalidate": ""}
    made.add_input(Submit("save", button))
    return made
