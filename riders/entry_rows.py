"""One row of a file of entries: what its cells may hold, and entries written as such rows."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from django import forms
from django.core import signing
from django.core.exceptions import ValidationError
from django.utils import translation
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from events.models import Division, Event
from riders.entry_conditions import check_birth
from riders.entry_files import EntryTable
from riders.models import Entry, Rider

SALT = "riders.entry_rows"
KEPT_FOR = 24 * 60 * 60  # s: a preview can be confirmed for a day
WRITTEN_IN = "en"  # the words in the cells of a file, whoever asks for it
SEXES = {"women": "women", "woman": "women", "w": "women", "f": "women", "female": "women",
         "men": "men", "man": "men", "m": "men", "male": "men"}  # fmt: skip
FEET = {"left": "left", "left foot forward": "left", "l": "left",
        "regular": "left",
        "right": "right", "right foot forward": "right", "r": "right",
        "goofy": "right"}  # fmt: skip
FEES = {name: name for name in Entry.Fee.values}
STATES = {name: name for name in Entry.State.values} | {
    "has a place": "riding", "on the waiting list": "waiting",
}  # fmt: skip
ANSWERS = {"yes": True, "y": True, "x": True, "true": True, "1": True,
           "no": False, "n": False, "false": False, "0": False}  # fmt: skip


def _text(most: int, **more: Any) -> forms.CharField:
    long = gettext_lazy("This is too long: write at most {most} characters.")
    needed = gettext_lazy("Write it: a row needs it.")
    errors = {"max_length": format_lazy(long, most=most), "required": needed}
    return forms.CharField(max_length=most, error_messages=errors, **more)


class _WordField(forms.CharField):
    """A cell that holds one of some words, whatever its capitals."""

    def __init__(self, words: dict[str, Any], say: str, empty: Any = "") -> None:
        self.words, self.say, self.nothing = words, say, empty
        super().__init__(required=False)

    def clean(self, value: Any) -> Any:
        """What the word means."""
        text = super().clean(value).casefold()
        if text and text not in self.words:
            raise ValidationError(self.say)
        return self.words[text] if text else self.nothing


class EntryRowForm(forms.Form):
    """A row. Empty cells leave what is known."""

    given_name = _text(80)
    family_name = _text(80)
    email = forms.EmailField(
        required=False,
        max_length=254,
        error_messages={
            "invalid": gettext_lazy(
                "This is no e-mail address. Write one such as runa@example.org."
            )
        },
    )
    division = forms.CharField(required=False)
    born_on = forms.DateField(
        required=False,
        input_formats=["%Y-%m-%d", "%d.%m.%Y"],
        error_messages={"invalid": gettext_lazy("Write the date as 2009-07-30 or 30.7.2009.")},
    )
    sex = _WordField(SEXES, gettext_lazy("Write Woman or Man, or leave it empty."))
    foot = _WordField(FEET, gettext_lazy("Write Left or Right, the foot that is forward."))
    club_name = _text(120, required=False)
    guardian = _text(120, required=False)
    guardian_phone = _text(40, required=False)
    consented = _WordField(ANSWERS, gettext_lazy("Write yes or no."), None)
    is_named = _WordField(ANSWERS, gettext_lazy("Write yes or no."), None)
    emergency_name = _text(120, required=False)
    emergency_phone = _text(40, required=False)
    fee = _WordField(FEES, gettext_lazy("Write Due, Paid or Waived."))
    rank = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=1_000_000,
        error_messages=dict.fromkeys(
            ("invalid", "min_value", "max_value"),
            gettext_lazy("Write a whole number from 1 on."),
        ),
    )
    wishes = _text(200, required=False)
    state = _WordField(
        STATES, gettext_lazy("Write riding, waiting or withdrawn, or leave it empty.")
    )

    def __init__(self, *args: Any, divisions: Sequence[Division], **kwargs: Any) -> None:
        self.divisions = divisions
        super().__init__(*args, **kwargs)

    def clean_born_on(self) -> date | None:
        """A day in a living person's past."""
        born_on: date | None = self.cleaned_data["born_on"]
        if born_on:
            check_birth(born_on)
        return born_on

    def clean_division(self) -> Division:
        """A division of the event by its name; the only one where none is written."""
        text = self.cleaned_data["division"].casefold()
        if not text and len(self.divisions) == 1:
            return self.divisions[0]
        for division in self.divisions:
            if text in (division.name.casefold(), division.slug.casefold()):
                return division
        names = ", ".join(each.name for each in self.divisions) or pgettext(
            "divisions", "none yet"
        )
        raise ValidationError(
            _("Write one of this event’s divisions: {divisions}.").format(divisions=names)
        )


def lines_of(entries: Iterable[Entry]) -> list[dict[str, object]]:
    """Entries as lines of a file; reading them back changes nothing."""
    with translation.override(WRITTEN_IN):
        return [_line(entry, entry.rider) for entry in entries]


def _line(entry: Entry, rider: Rider) -> dict[str, object]:
    names = ("guardian", "guardian_phone", "emergency_name", "emergency_phone", "wishes")
    line: dict[str, object] = {name: getattr(entry, name) for name in names}
    return line | {
        "given_name": rider.given_name,
        "family_name": rider.family_name,
        "email": rider.user.email,
        "division": entry.division.name,
        "born_on": rider.born_on.isoformat() if rider.born_on else "",
        "sex": rider.get_sex_display(),
        "foot": rider.foot.capitalize(),
        "club_name": rider.club_name,
        "consented": "yes" if entry.consented_at else "",
        "is_named": "yes" if entry.is_named else "no",
        "fee": entry.get_fee_display(),
        "rank": entry.rank or "",
        "state": entry.get_state_display(),
    }


def sealed(table: EntryTable, event: Event) -> str:
    """The rows as a signed text, for the form that confirms them."""
    return signing.dumps(table.rows, salt=f"{SALT}.{event.pk}", compress=True)


def unsealed(text: str, event: Event) -> EntryTable:
    """The rows that were sealed for this event; raises django's BadSignature otherwise."""
    rows = signing.loads(text, salt=f"{SALT}.{event.pk}", max_age=KEPT_FOR)
    return EntryTable([(number, cells) for number, cells in rows])
