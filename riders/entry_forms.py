"""The form by which riders enter a division."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.forms.contests import DayInput
from events.forms.layout import helper
from events.models import Division
from riders.eligibility import asks_sex
from riders.entry_conditions import (
    GUARDIAN,
    Details,
    check_birth,
    eligibility_of,
    is_minor,
)
from riders.models import Entry, Rider

KEPT = ("guardian", "guardian_phone", "emergency_name", "emergency_phone")


def _words(label: str, most: int, hint: str = "", **more: Any) -> forms.CharField:
    return forms.CharField(label=label, max_length=most, help_text=hint, **more)


def _phone(label: str, hint: str = "", **more: Any) -> forms.CharField:
    widget = forms.TextInput(attrs={"type": "tel", "autocomplete": "off"})
    return _words(label, 40, hint, widget=widget, **more)


class EnterForm(forms.Form):
    """Enter a division: who the rider is, whom to call, consent of a guardian."""

    born_on = forms.DateField(
        label=gettext_lazy("Date of birth"),
        widget=DayInput(),
        help_text=gettext_lazy(
            "It decides whether a guardian must consent, and who may enter a "
            "division with an age limit. Only organisers see it."
        ),
        error_messages={
            "invalid": gettext_lazy(
                "Write the date as day, month and year, such as 2009-07-30."
            )
        },
    )
    sex = forms.ChoiceField(
        label=gettext_lazy("You ride as"),
        choices=[("", gettext_lazy("Choose")), *Rider.Sex.choices],
        required=False,
    )
    emergency_name = _words(
        gettext_lazy("Whom to call in an emergency"),
        120,
        gettext_lazy("Only organisers see this."),
    )
    emergency_phone = _phone(gettext_lazy("Their phone number"))
    guardian = _words(gettext_lazy("Guardian’s full name"), 120, required=False)
    guardian_phone = _phone(gettext_lazy("Guardian’s phone number"), required=False)
    consented = forms.BooleanField(
        label=gettext_lazy("The guardian consents to this entry and will be at the lake"),
        required=False,
    )
    is_named = forms.BooleanField(
        label=gettext_lazy(
            "The guardian agrees that the rider’s name is shown on public pages"
        ),
        help_text=gettext_lazy(
            "In the running order, the times and the results. Otherwise only the bib is."
        ),
        required=False,
    )
    wishes = _words(
        gettext_lazy("Wishes for the boat"),
        200,
        gettext_lazy(
            "Speed, rope length, weight. The boat crew decides what is safe and allowed."
        ),
        required=False,
    )
    logs_attempts = forms.BooleanField(
        label=gettext_lazy("Put what I ride at the contest into my landing log"), required=False
    )
    acknowledged = forms.BooleanField(
        label=gettext_lazy("I have read the cautions above and ride at my own level"),
        error_messages={"required": gettext_lazy("Read the cautions and tick this to enter.")},
    )

    def __init__(self, *args: Any, rider: Rider, division: Division, **kwargs: Any) -> None:
        self.rider, self.division = rider, division
        super().__init__(*args, initial=_known(rider), **kwargs)
        adult = division.event.adult_age
        self.fields["guardian"].help_text = _(
            "Only for riders who are under {adult} on the first day. Riders of "
            "{adult} and older leave what is asked of the guardian empty."
        ).format(adult=adult)
        if asks_sex(eligibility_of(division)):
            self.fields["sex"].required = True
            self.fields["sex"].error_messages["required"] = _(
                "Choose one: the division asks it."
            )
        else:
            del self.fields["sex"]
        self.helper = helper(_("Enter this division"))
        # For the script that hides what is asked of guardians; see enter.js.
        first_day = division.event.first_day.isoformat()
        self.helper.attrs |= {"data-adult-age": adult, "data-first-day": first_day}

    def clean_born_on(self) -> date:
        """A day in a living person's past."""
        born_on: date = self.cleaned_data["born_on"]
        check_birth(born_on)
        return born_on

    def clean(self) -> dict[str, Any]:
        """A rider under age needs a guardian who can be reached and consents."""
        data: dict[str, Any] = super().clean() or {}
        born_on = data.get("born_on")
        if born_on is not None and is_minor(born_on, self.division.event):
            for name, say in GUARDIAN.items():
                if not data.get(name) and name not in self.errors:
                    self.add_error(name, _(say).format(age=self.division.event.adult_age))
        return data

    @property
    def details(self) -> Details:
        """What was said, for the service."""
        return Details(**self.cleaned_data)


def _known(rider: Rider) -> dict[str, Any]:
    """What the rider said before, so that nobody types it twice."""
    if rider.pk is None:
        return {}
    last = Entry.objects.filter(rider=rider).order_by("-entered_at", "-pk").first()
    known: dict[str, Any] = {"born_on": rider.born_on, "sex": rider.sex}
    if last is not None:
        known |= {name: getattr(last, name) for name in (*KEPT, "wishes", "logs_attempts")}
        known["is_named"] = last.is_named and bool(last.guardian)
    return known


def show_refusal(form: forms.Form, error: ValidationError) -> None:
    """Put what a service refused beside the fields that it is about."""
    if not hasattr(error, "error_dict"):
        form.add_error(None, error)
        return
    for name, sentences in error.message_dict.items():
        for sentence in sentences:
            if name not in form.fields:
                form.add_error(None, sentence)
            elif sentence not in form.errors.get(name, []):
                form.add_error(name, sentence)
