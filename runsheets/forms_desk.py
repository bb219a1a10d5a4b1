"""What officials type about entries: one entry's details, a late entry, the word of a draw."""

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.forms.meanwhile import MeanwhileForm
from events.models import Division, Event
from riders.entry_conditions import Details
from riders.entry_forms import EnterForm
from riders.models import Entry, Rider
from riders.newcomers import rider_of_email

NAMES = ("given_name", "family_name", "foot", "club_name")
CONTACTS = ("emergency_name", "emergency_phone", "guardian", "guardian_phone")


def _plain() -> FormHelper:
    made = FormHelper()
    made.form_tag = False
    made.disable_csrf = True
    return made


class EntryForm(MeanwhileForm, forms.ModelForm):
    """What can be changed about an entry; contacts only for organisers."""

    class Meta:
        model = Entry
        fields = ["rank", "wishes", *CONTACTS, "is_named"]
        labels = {
            "rank": gettext_lazy("Place in the ranking"),
            "wishes": gettext_lazy("Wishes for the boat"),
            "emergency_name": gettext_lazy("Whom to call in an emergency"),
            "emergency_phone": gettext_lazy("Their phone number"),
            "guardian": gettext_lazy("Guardian’s full name"),
            "guardian_phone": gettext_lazy("Guardian’s phone number"),
            "is_named": gettext_lazy("The rider’s name is shown on public pages"),
        }
        help_texts = {
            "rank": gettext_lazy(
                "1 for the best; empty if there is none. Orders by ranking use it."
            ),
            "is_named": gettext_lazy("Of a rider under age only where the guardian agrees."),
        }
        widgets = {"rank": forms.TextInput(attrs={"inputmode": "numeric", "size": 5})}

    def __init__(self, *args: Any, sees_contacts: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        wrong = _("Write a whole number from 1 on, or leave it empty.")
        self.fields["rank"].error_messages |= dict.fromkeys(("invalid", "min_value"), wrong)
        if not sees_contacts:
            for name in (*CONTACTS, "is_named"):
                del self.fields[name]
        self.helper = _plain()


class MoveForm(forms.Form):
    """Another division of the event for an entry."""

    division = forms.ModelChoiceField(
        Division.objects.none(),
        label=gettext_lazy("Move to"),
        empty_label=gettext_lazy("Choose"),
    )

    def __init__(self, *args: Any, entry: Entry, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        others = entry.division.event.divisions.exclude(pk=entry.division_id)
        self.fields["division"].queryset = others
        self.fields["division"].label_from_instance = lambda each: each.name
        self.has_choice = others.exists()
        self.helper = _plain()


class ChooseForm(forms.Form):
    """Which division a late rider enters, and whether the rider has an account already."""

    division = forms.ModelChoiceField(
        Division.objects.none(),
        label=gettext_lazy("Division"),
        empty_label=gettext_lazy("Choose"),
    )
    email = forms.EmailField(
        label=gettext_lazy("The rider’s e-mail address"),
        max_length=254,
        help_text=gettext_lazy(
            "A rider who has an account is found by it; else one is made, and the "
            "rider comes in by the link in the letter."
        ),
    )

    def __init__(self, *args: Any, event: Event, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["division"].queryset = event.divisions.all()
        self.fields["division"].label_from_instance = lambda each: each.name
        self.helper = _plain()


class NewcomerForm(EnterForm):
    """A late entry: what the entry form asks, and the name where the rider is not known."""

    given_name = forms.CharField(label=gettext_lazy("Given name"), max_length=80)
    family_name = forms.CharField(label=gettext_lazy("Family name"), max_length=80)
    foot = forms.ChoiceField(label=gettext_lazy("Stance"), choices=Rider.Foot.choices)
    club_name = forms.CharField(label=gettext_lazy("Club"), max_length=120, required=False)

    def __init__(self, *args: Any, email: str, division: Division, **kwargs: Any) -> None:
        self.found = rider_of_email(email)
        super().__init__(*args, rider=self.found or Rider(), division=division, **kwargs)
        if self.found is not None:
            for name in NAMES:
                del self.fields[name]
        else:
            self.order_fields([*NAMES, *self.fields])
        self.fields["acknowledged"].label = _("The rider knows the cautions of the entry page")
        self.fields["acknowledged"].error_messages["required"] = _(
            "Go through the cautions with the rider, then tick this."
        )
        self.helper = _plain()

    @property
    def details(self) -> Details:
        """What was said of the entry, without the name."""
        said = self.cleaned_data.items()
        return Details(**{name: value for name, value in said if name not in NAMES})


class LotsForm(forms.Form):
    """The word from which places are drawn."""

    word = forms.CharField(
        label=gettext_lazy("Draw word"),
        max_length=60,
        help_text=gettext_lazy(
            "Announce it before you press the button, so that nobody can say it "
            "was chosen to suit somebody."
        ),
        error_messages={"required": gettext_lazy("Write a draw word.")},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = _plain()
