"""The forms that choose what an event is started from."""

from datetime import date, datetime
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Submit
from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.earlier.dates import Move
from events.earlier.names import division_names, next_name
from events.earlier.plan import toml_data
from events.earlier.riders import EarlierRiders, earlier_riders
from events.earlier.wishes import FormatFile, Wish, event_as_data
from events.forms.contests import DEADLINES, DayInput, EventForm
from events.models import Club, Event
from events.rules.format import Format
from events.rules.loading import try_format

FORMAT_MOST = 60_000  # bytes of one format; those that come with the program have 4,000
FILES_MOST = 20
ENTRIES_MOST = 1024 * 1024
FAR = 5  # years ahead, beyond which a year is rather a slip of the hand

ENTRIES_BIG = gettext_lazy(
    "This file is larger than 1 MB. Take older rows out, or leave the file away."
)
TOO_FAR = gettext_lazy("This is more than {far} years ahead: look at the year.")
TOO_MANY = gettext_lazy("These are {count} files; at most {most} can be read at once.")
BIG = gettext_lazy("{file} is larger than 60 kB, so it is no format. Choose another file.")
NOT_TEXT = gettext_lazy(
    "{file} is no text in UTF-8. Download the format again, or save it as UTF-8."
)
NO_FORMAT = gettext_lazy(
    "{file} holds no value of a format. Choose the files that were downloaded as TOML."
)
SAME_NAME = gettext_lazy(
    "{files} would both be the division {name}. Rename one of the two files."
)


def _helper(kind: str) -> FormHelper:
    made = FormHelper()
    made.form_method = "post"
    made.attrs = {"novalidate": ""}
    made.add_input(Submit(f"look-{kind}", _("Look at what would be made")))
    return made


class _MovedEventForm(EventForm):
    """An event that was moved, looked at as if it had been typed; its lake is known."""

    def __init__(self, event: Event) -> None:
        names = [name for name in self.Meta.fields if name != "venue"]
        typed = {name: getattr(event, name) for name in names}
        for name in DEADLINES:
            typed[name] = typed[name].astimezone(event.zone).strftime("%Y-%m-%dT%H:%M")
        super().__init__(typed, instance=Event(club=event.club))
        del self.fields["venue"]

    def _post_clean(self) -> None:
        """Left out: nothing is to be saved."""


class EarlierEventForm(forms.Form):
    """An event of the club, and the day on which it is held this time.

    Once valid, `wish` says what is to be carried over and `event` is the new event.
    """

    earlier = forms.ModelChoiceField(
        Event.objects.none(),
        label=gettext_lazy("Earlier event"),
        empty_label=gettext_lazy("Choose an event"),
    )
    first_day = forms.DateField(
        label=gettext_lazy("First day this time"),
        widget=DayInput(),
        help_text=gettext_lazy("All other dates move by as many days."),
    )
    name = forms.CharField(
        label=gettext_lazy("Name this time"),
        required=False,
        max_length=120,
        help_text=gettext_lazy("Left empty: the earlier name, with the year in it moved on."),
    )

    def __init__(self, *args: Any, club: Club, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.club = club
        self.event = Event(club=club)
        events = club.events.select_related("venue").order_by("-first_day", "name")
        self.fields["earlier"].queryset = events
        self.fields["earlier"].label_from_instance = _with_its_day
        self.helper = _helper("event")

    def clean_first_day(self) -> date:
        """Not so far ahead that the year must be a slip."""
        return _near(self.cleaned_data["first_day"])

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        earlier, day = data.get("earlier"), data.get("first_day")
        if earlier and day:
            self.event = _moved_event(earlier, day, data.get("name", ""))
            self._check()
        return data

    def _check(self) -> None:
        """The new event by the same rules as one that is typed."""
        form = _MovedEventForm(self.event)
        for name, messages in form.errors.items():
            for message in messages:
                if name in ("name", "first_day"):
                    self.add_error(name, message)
                else:
                    self.add_error("first_day", f"{form[name].label}: {message}")

    @property
    def wish(self) -> Wish:
        """What is to be carried over."""
        earlier: Event = self.cleaned_data["earlier"]
        return Wish(
            event_as_data(self.event), earlier.pk, earlier_day=earlier.first_day.isoformat()
        )


def _with_its_day(event: Event) -> str:
    return f"{event.name}, {date_format(event.first_day, _('j F Y'))}"


def _near(day: date) -> date:
    if day.year > timezone.localdate().year + FAR:
        raise ValidationError(TOO_FAR.format(far=FAR))
    return day


def _moved_event(earlier: Event, day: date, name: str) -> Event:
    """The event so many days later; times stay what they are on the clock of the lake."""
    move = Move(earlier.first_day, day)

    def later(moment: datetime) -> datetime:
        return move.moment(moment.astimezone(earlier.zone))

    return Event(
        club=earlier.club,
        venue_id=earlier.venue_id,
        name=name or next_name(earlier.name, earlier.first_day.year, day.year),
        first_day=day,
        last_day=move.date(earlier.last_day),
        time_zone=earlier.time_zone,
        entries_close=later(earlier.entries_close),
        declare_by=later(earlier.declare_by),
        adult_age=earlier.adult_age,
    )


class _ManyFilesInput(forms.FileInput):
    """Takes several files at once."""

    allow_multiple_selected = True

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Any:
        return files.getlist(name) if hasattr(files, "getlist") else files.get(name)


class _ManyFilesField(forms.FileField):
    """Several files; each is checked as one."""

    widget = _ManyFilesInput

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        return [super(_ManyFilesField, self).clean(each, initial) for each in data or [None]]


class EarlierFilesForm(EventForm):
    """An event typed anew, with formats and entries that were kept as files.

    Once valid, `wish` says what is to be carried over and `riders` are those of the file.
    """

    earlier_day = forms.DateField(
        label=gettext_lazy("First day of the earlier event"),
        required=False,
        widget=DayInput(),
        help_text=gettext_lazy(
            "Dates in the formats move by as many days. Left empty: they are left open."
        ),
    )
    formats = _ManyFilesField(
        label=gettext_lazy("Formats"),
        error_messages={"required": gettext_lazy("Choose one file for each division.")},
    )
    entries = forms.FileField(
        label=gettext_lazy("Entries"),
        required=False,
        widget=forms.FileInput,
        help_text=gettext_lazy(
            "As they were downloaded, CSV or XLSX, at most 1 MB. Nobody is "
            "entered: you see whom you may want to invite."
        ),
    )
    field_order = ["formats", "entries", "earlier_day"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.files_read: tuple[FormatFile, ...] = ()
        self.riders = EarlierRiders()
        self.fields["formats"].help_text = _(
            "As they were downloaded: a TOML file for each division. The end of a file’s name "
            "says which division it is. At most {most} files."
        ).format(most=FILES_MOST)
        self.fields["formats"].widget.attrs["accept"] = ".toml,application/toml"
        self.fields["entries"].widget.attrs["accept"] = ".csv,.xlsx,text/csv"
        self.helper = _helper("files")

    def clean_first_day(self) -> date:
        """Not so far ahead that the year must be a slip."""
        return _near(self.cleaned_data["first_day"])

    def clean_entries(self) -> bytes | None:
        """The bytes of the file."""
        file = self.cleaned_data["entries"]
        if file is None:
            return None
        if file.size > ENTRIES_MOST:
            raise ValidationError(ENTRIES_BIG)
        content: bytes = file.read()
        return content

    def clean_formats(self) -> list[tuple[str, str]]:
        """The name and the text of each file; every bad one is told."""
        files = self.cleaned_data["formats"]
        if len(files) > FILES_MOST:
            raise ValidationError(TOO_MANY.format(count=len(files), most=FILES_MOST))
        texts, faults = [], []
        for file in files:
            try:
                texts.append((file.name[:200], _text_of(file)))
            except ValueError as fault:
                faults.append(str(fault))
        if faults:
            raise ValidationError(faults)
        return texts

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if data.get("entries"):
            self._read_riders(data)
        texts = data.get("formats") or []
        known = [(each, slugify(each)) for each in self.riders.division_names]
        names = division_names([name for name, _ in texts], known)
        self._check_names([name for name, _ in texts], names)
        self.files_read = tuple(
            FormatFile(file, name, text)
            for (file, text), name in zip(texts, names, strict=True)
        )
        return data

    def _check_names(self, files: list[str], names: list[str]) -> None:
        """Each division once."""
        by_name: dict[str, list[int]] = {}
        for number, name in enumerate(names):
            by_name.setdefault(name.casefold(), []).append(number)
        for numbers in by_name.values():
            if len(numbers) > 1:
                both = " and ".join(files[number] for number in numbers)
                text = SAME_NAME.format(files=both, name=names[numbers[0]])
                self.add_error("formats", text)

    def _read_riders(self, data: dict[str, Any]) -> None:
        event = Event(first_day=data.get("first_day"), adult_age=data.get("adult_age") or 18)
        self.riders = earlier_riders(event, file=data["entries"])
        if self.riders.problem:
            self.add_error("entries", self.riders.problem)

    @property
    def wish(self) -> Wish:
        """What is to be carried over."""
        day = self.cleaned_data["earlier_day"]
        return Wish(
            event_as_data(self.instance),
            earlier_day=day.isoformat() if day else None,
            files=self.files_read,
        )

    @property
    def event(self) -> Event:
        """The new event."""
        event: Event = self.instance
        return event


def _text_of(file: Any) -> str:
    """The text of a format file; ValueError with a sentence."""
    if file.size > FORMAT_MOST:
        raise ValueError(BIG.format(file=file.name))
    try:
        text: str = file.read().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ValueError(NOT_TEXT.format(file=file.name)) from error
    try:
        data = toml_data(text)
    except ValueError as error:
        raise ValueError(f"{file.name}: {error}") from error
    if data and try_format(data)[0] == Format():
        raise ValueError(NO_FORMAT.format(file=file.name))
    return text
