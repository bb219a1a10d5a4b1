"""Forms of the landing log: a line, the filters, a trick to tap, a file to take in."""

from datetime import date
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Submit
from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from events.forms.meanwhile import MeanwhileForm
from events.lake_days import latest_day
from riders.forms import WHOLE_NUMBER
from riders.log_models import NOTE_LONGEST, TRICK_LONGEST, LandingDay
from riders.log_words import TrickReader, UnknownTrick
from riders.models import Rider

Setting = LandingDay.Setting

COUNT_MOST = 9999
DAY_SHAPE = gettext_lazy("Write the day as year-month-day, such as 2026-07-18.")
FIRST_DAY = date(1970, 1, 1)
BYTES_MOST = 1024 * 1024
TOO_BIG = gettext_lazy(
    "This file is larger than 1 MB. Take older lines out, or take it in by parts."
)
POINTS = pgettext_lazy("of per cent", "points")
LESS_THAN_NONE = gettext_lazy("Write 0 or more.")
LEAST_TRIED = gettext_lazy("Write 1 or more: a day without a try has no line.")
AT_MOST = format_lazy(gettext_lazy("Write at most {number}."), number=COUNT_MOST)
CHOOSE_SETTING = format_lazy(
    gettext_lazy("Choose one of: {settings}."), settings=", ".join(Setting.values)
)


def _count(label: str, least: int, too_few: str) -> forms.IntegerField:
    said = {"invalid": WHOLE_NUMBER, "min_value": too_few, "max_value": AT_MOST}
    attrs = {"inputmode": "numeric", "size": 4, "autocomplete": "off"}
    return forms.IntegerField(
        label=label, min_value=least, max_value=COUNT_MOST,
        error_messages={**said, "required": WHOLE_NUMBER}, widget=forms.TextInput(attrs=attrs),
    )  # fmt: skip


def _day(label: str, required: bool = True) -> forms.DateField:
    return forms.DateField(
        label=label, required=required, input_formats=["%Y-%m-%d"],
        error_messages={"invalid": DAY_SHAPE, "required": DAY_SHAPE},
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )  # fmt: skip


def _trick(help_text: str = "") -> forms.CharField:
    attrs = {"list": "tricks", "autocomplete": "off", "autocapitalize": "none"}
    return forms.CharField(
        label=gettext_lazy("Trick"), max_length=TRICK_LONGEST, help_text=help_text,
        error_messages={"required": gettext_lazy("Say which trick this is.")},
        widget=forms.TextInput(attrs={**attrs, "spellcheck": "false"}),
    )  # fmt: skip


class TrickForm(forms.Form):
    """A trick by its name, as the rider's vocabulary and log know it."""

    mark_required = True

    trick = _trick(gettext_lazy("In the trade’s shorthand, such as TS 180 indy."))

    def __init__(self, *args: Any, reader: TrickReader, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.reader = reader

    def clean_trick(self) -> str:
        """The canonical words of the trick."""
        try:
            return self.reader.read(self.cleaned_data["trick"])
        except UnknownTrick as error:
            raise ValidationError(str(error)) from error


class LineForm(MeanwhileForm, TrickForm):
    """One line of the log; `instance` is the line that is corrected."""

    day = _day(gettext_lazy("Day"))
    landed = _count(gettext_lazy("Landed"), 0, LESS_THAN_NONE)
    tried = _count(gettext_lazy("of tried"), 1, LEAST_TRIED)
    setting = forms.ChoiceField(
        label=gettext_lazy("Setting"),
        choices=Setting.choices,
        error_messages={"invalid_choice": CHOOSE_SETTING, "required": CHOOSE_SETTING},
    )
    note = forms.CharField(
        label=gettext_lazy("Wake and ballast"), required=False, max_length=NOTE_LONGEST,
        help_text=gettext_lazy(
            "What was different that day, such as: choppy, full ballast. May stay empty."
        ),
    )  # fmt: skip

    field_order = ["trick", "day", "landed", "tried", "setting", "note"]

    def __init__(self, *args: Any, instance: LandingDay | None = None, **kwargs: Any) -> None:
        self.instance = instance
        if instance is not None:
            kwargs["initial"] = {name: getattr(instance, name) for name in self.base_fields}
        super().__init__(*args, **kwargs)

    @property
    def helper(self) -> FormHelper:
        """A plain form with one button."""
        made = FormHelper()
        made.add_input(Submit("save", _("Keep this line")))
        return made

    def lock(self) -> bool:
        """The rider first, as for everything that changes the log."""
        if self.instance is not None:
            Rider.objects.select_for_update().get(pk=self.instance.rider_id)
        return super().lock()

    def typed(self) -> dict[str, Any]:
        """As it was read; the line itself is changed only when it is kept."""
        return self.cleaned_data

    def clean_day(self) -> date:
        """No day that is still to come, and none before wakeboards."""
        day: date = self.cleaned_data["day"]
        if day > latest_day():
            raise ValidationError(
                _("This day has not come yet: write today or an earlier day.")
            )
        if day < FIRST_DAY:
            raise ValidationError(_("Check the year: this day is too long ago."))
        return day

    def clean_note(self) -> str:
        """One line of text."""
        return " ".join(self.cleaned_data["note"].split())

    def clean(self) -> None:
        """Nobody lands more than they tried."""
        landed, tried = self.cleaned_data.get("landed"), self.cleaned_data.get("tried")
        if landed is not None and tried is not None and landed > tried:
            self.add_error(
                "landed",
                _("{landed} landed of {tried} tried cannot be: check both.").format(
                    landed=landed, tried=tried
                ),
            )


class LogFilterForm(forms.Form):
    """Which lines of the log to count; everything is optional."""

    mark_required = True

    setting = forms.ChoiceField(
        label=gettext_lazy("Setting"), required=False,
        choices=[("", gettext_lazy("all settings")), *Setting.choices],
        error_messages={"invalid_choice": CHOOSE_SETTING},
    )  # fmt: skip
    first = _day(pgettext_lazy("from a day on", "From"), required=False)
    last = _day(pgettext_lazy("up to a day", "to"), required=False)

    def clean(self) -> None:
        """The days are in order."""
        first, last = self.cleaned_data.get("first"), self.cleaned_data.get("last")
        if first and last and last < first:
            self.add_error("last", _("This day is before the first one: change one of them."))


class WidthForm(forms.Form):
    """How narrow the interval should become."""

    mark_required = True

    width = forms.IntegerField(
        label=gettext_lazy("Narrow it to"), min_value=1, max_value=99,
        error_messages=dict.fromkeys(
            ("invalid", "min_value", "max_value", "required"),
            gettext_lazy("Write a whole number of points from 1 to 99, such as 20."),
        ),
        widget=forms.TextInput(
            attrs={"inputmode": "numeric", "size": 3, "data-unit": POINTS}
        ),
    )  # fmt: skip


class UploadForm(forms.Form):
    """A CSV file of the landing log."""

    mark_required = True

    file = forms.FileField(
        label=gettext_lazy("CSV file"), allow_empty_file=True,
        help_text=gettext_lazy("At most 1 MB and 5,000 rows."),
        error_messages={"required": gettext_lazy("Choose a file first.")},
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}),
    )  # fmt: skip

    @property
    def helper(self) -> FormHelper:
        """A plain form with one button."""
        made = FormHelper()
        made.form_action = "log-import"
        made.add_input(Submit("look", _("Look at the file")))
        return made

    def clean_file(self) -> bytes:
        """The bytes of the file."""
        file = self.cleaned_data["file"]
        if file.size > BYTES_MOST:
            raise ValidationError(TOO_BIG)
        content: bytes = file.read()
        return content
