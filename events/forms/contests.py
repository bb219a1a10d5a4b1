"""Forms for events and their divisions."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

from django import forms
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.forms.layout import helper
from events.forms.meanwhile import MeanwhileForm
from events.models import Division, Event, Venue
from events.rules.differences import Difference
from events.rules.format import Format
from events.rules.loading import FormatError, load_format
from events.services import clashes

DEADLINES = {
    "entries_close": gettext_lazy("Entries close"),
    "declare_by": gettext_lazy("Declare by"),
}


class DayInput(forms.DateInput):
    """A date picker."""

    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class MomentInput(forms.DateTimeInput):
    """A picker of a date and a time."""

    input_type = "datetime-local"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%dT%H:%M")


class EventForm(MeanwhileForm, forms.ModelForm):
    """An event. Times are typed and shown in the event's own time zone.

    `warnings` holds what is allowed but deserves a second look.
    """

    class Meta:
        model = Event
        fields = ["name", "venue", "first_day", "last_day", "time_zone", "entries_close",
                  "declare_by", "adult_age"]  # fmt: skip
        labels = DEADLINES | {
            "name": gettext_lazy("Name"),
            "venue": gettext_lazy("Venue"),
            "first_day": gettext_lazy("First day"),
            "last_day": gettext_lazy("Last day"),
            "time_zone": gettext_lazy("Time zone"),
        }
        widgets = {
            "first_day": DayInput(),
            "last_day": DayInput(),
            "time_zone": forms.TextInput(attrs={"list": "zones", "autocomplete": "off"}),
            "entries_close": MomentInput(),
            "declare_by": MomentInput(),
        }
        help_texts = {
            "time_zone": gettext_lazy(
                "Of the lake, such as Europe/Zurich. All times below are in it."
            ),
            "last_day": gettext_lazy("The same as the first day for an event of one day."),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.warnings: list[str] = []
        self.is_new = self.instance.pk is None
        typed = self.data.get(self.add_prefix("time_zone")) if self.is_bound else None
        self.zone = _zone(typed or self.instance.time_zone)
        for name in DEADLINES:
            stated = getattr(self.instance, name)
            if stated is not None:
                self.initial[name] = stated.astimezone(self.zone).replace(tzinfo=None)
        self.fields["venue"].queryset = Venue.objects.filter(club=self.instance.club)
        self.fields["venue"].empty_label = _("Choose a venue")
        self.helper = helper(_("Save the event"))

    @property
    def zones(self) -> list[str]:
        """Every time zone that can be named."""
        return sorted(available_timezones())

    def full_clean(self) -> None:
        # Django reads a time without a zone in the current one: make that the lake's.
        with timezone.override(self.zone):
            super().full_clean()

    def in_words(self, name: str, value: Any) -> str:
        shown = value.astimezone(self.zone) if isinstance(value, datetime) else value
        return super().in_words(name, shown)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        first, last = data.get("first_day"), data.get("last_day")
        if first and last and last < first:
            self.add_error("last_day", _("The last day lies before the first day."))
        if first and (first.year < 2000 or (self.is_new and first < timezone.localdate())):
            self.add_error(
                "first_day", _("The first day lies in the past; choose a later day.")
            )
        for name in DEADLINES:
            self._check_past(name, data.get(name))
        self._check_deadlines(data.get("entries_close"), data.get("declare_by"), last)
        return data

    def _check_past(self, name: str, moment: datetime | None) -> None:
        if self.is_new and moment is not None and moment <= timezone.now():
            shown = date_format(moment.astimezone(self.zone), "j F Y, H:i")
            text = _("{deadline} lies in the past; choose a later time.").format(deadline=shown)
            self.add_error(name, text)

    def _check_deadlines(
        self, close: datetime | None, declare: datetime | None, last: date | None
    ) -> None:
        if declare and last and declare.astimezone(self.zone).date() > last:
            text = _("Runs would be declared after the last day; choose an earlier time.")
            self.add_error("declare_by", text)
        if close and declare and close > declare:
            self.warnings.append(
                _("Entries close after runs must be declared: late entries could not declare.")
            )


def _zone(name: str) -> ZoneInfo:
    return ZoneInfo(name if name in available_timezones() else "UTC")


class DivisionForm(MeanwhileForm, forms.ModelForm):
    """A division of an event."""

    class Meta:
        model = Division
        fields = ["name", "place", "fee"]
        labels = {"name": gettext_lazy("Name"), "place": gettext_lazy("Place in the list")}
        help_texts = {
            "name": gettext_lazy("Such as Open men, or Juniors under 14."),
            "place": gettext_lazy("Divisions are listed from the lowest number up."),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper(_("Save the division"))

    def clean_name(self) -> str:
        name: str = self.cleaned_data["name"]
        others = Division.objects.filter(event=self.instance.event)
        if others.exclude(pk=self.instance.pk).filter(name__iexact=name).exists():
            raise forms.ValidationError(_("The event has a division of this name already."))
        return name


class StartForm(forms.Form):
    """Where a draft begins: an example, or another division's format."""

    source = forms.ChoiceField(label=gettext_lazy("Start from"))
    sure = forms.BooleanField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, choices: list[Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["source"].choices = choices


THEIRS = gettext_lazy(
    "Somebody else saved this draft meanwhile. Nothing is saved yet: save "
    "again to replace theirs, which changes this in it."
)


class TextForm(forms.Form):
    """A whole format as TOML."""

    text = forms.CharField(
        label=gettext_lazy("Format as TOML"),
        max_length=200_000,
        widget=forms.Textarea(attrs={"rows": 24, "spellcheck": "false"}),
        help_text=gettext_lazy("Saving replaces the draft with what stands here."),
    )
    seen = forms.CharField(required=False, max_length=40, widget=forms.HiddenInput())

    def __init__(self, *args: Any, division: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.division = division
        self.format = Format()
        self.helper = helper(_("Save as the draft"))

    def clean_text(self) -> str:
        text: str = self.cleaned_data["text"]
        try:
            self.format = load_format(text)
        except FormatError as error:
            raise forms.ValidationError([str(each) for each in error.problems]) from error
        problems = clashes(self.format, self.division)
        if problems:
            raise forms.ValidationError(problems)
        return text

    def show_theirs(self, stamp: str, changes: Iterable[Difference]) -> None:
        """Say that somebody else saved the draft meanwhile; the next saving replaces theirs."""
        self.data = self.data.copy()
        self.data["seen"] = stamp
        self.add_error("text", [THEIRS, *(change.sentence for change in changes)])
