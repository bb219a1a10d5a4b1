"""Forms of the account page."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.forms.layout import helper

WORD = "erase"


class AddressForm(forms.Form):
    """Another e-mail address."""

    email = forms.EmailField(
        label=gettext_lazy("New e-mail"),
        max_length=150,
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )

    helper = helper(gettext_lazy("Use this address"))

    def __init__(self, *args: Any, now: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.now = now

    def clean_email(self) -> str:
        """In lower case, as addresses are kept."""
        email: str = self.cleaned_data["email"].lower()
        if email == self.now.lower():
            raise ValidationError(_("This is your address already."))
        return email


class EraseForm(forms.Form):
    """The word that has to be typed before anything is erased."""

    word = forms.CharField(
        label=format_lazy(gettext_lazy("Write {word} to go on"), word=WORD),
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none"}),
    )

    helper = helper(gettext_lazy("Erase my data for good"))

    def clean_word(self) -> str:
        """Nothing but the word itself will do."""
        word: str = self.cleaned_data["word"].strip().lower()
        if word != WORD:
            raise ValidationError(
                _("Nothing was erased. Write the word {word} if you mean it.").format(word=WORD)
            )
        return word
