"""What starting from an earlier year would make, line by line. Nothing is written here."""

import hashlib
import json
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.earlier.dates import DateLine, Move, moved
from events.earlier.wishes import FormatFile, Wish, event_of
from events.made_tricks import vocabulary_with
from events.models import Club, Division, Event
from events.rules.condition import Condition
from events.rules.condition_words import limit_sentence
from events.rules.dates import moment as moment_in_words
from events.rules.dates import weekday as day_in_words
from events.rules.format import Format
from events.rules.loading import as_data, try_format
from events.rules.toml_faults import not_toml
from events.rules.vocabulary import Vocabulary

TRICK = gettext_lazy(
    "The limits name “{name}”, which is in no list of tricks. Add it to "
    "the club’s tricks, or change the limit."
)
UNPUBLISHED = gettext_lazy(
    "The earlier draft was changed after {edition}; those changes were "
    "never published and are not carried over."
)


class NotThere(Exception):
    """The earlier event is not there any more, or the lake of the new one."""


@dataclass(frozen=True)
class Source:
    """A division as it was: its format's data, and where that comes from."""

    name: str
    data: Mapping[str, Any]
    origin: str
    fee: str = ""
    place: int = 0
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class DivisionPlan:
    """One division: what would be made, or that it `is_there` already and stays.

    `unread` says what of the format does not read today and is left open or has to be put
    right before it can be published; `limits` are those of the draft, as riders will read
    them.
    """

    name: str
    origin: str
    is_there: bool = False
    fee: str = ""
    place: int = 0
    draft: dict[str, Any] = field(default_factory=dict)
    unread: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    dates: tuple[DateLine, ...] = ()
    limits: tuple[str, ...] = ()


@dataclass
class Plan:
    """Everything that would be made. `event` is the one that is there already, or a new one."""

    event: Event
    earlier: Event | None
    move: Move | None
    dates: list[DateLine]
    divisions: list[DivisionPlan]
    tricks: list[str]

    @property
    def origin(self) -> str:
        """Where all of it comes from."""
        if self.earlier is None:
            return "files"
        return f"{self.earlier}, {day_in_words(self.earlier.first_day)}"

    @property
    def is_there(self) -> bool:
        """Whether the event itself exists already."""
        return self.event.pk is not None

    @property
    def new_divisions(self) -> list[DivisionPlan]:
        """Those that would be made."""
        return [each for each in self.divisions if not each.is_there]

    @property
    def unread_count(self) -> int:
        """How many values or names of the formats do not read today."""
        return sum(len(each.unread) for each in self.new_divisions)

    @property
    def does_something(self) -> bool:
        """Whether anything would be written."""
        return not self.is_there or bool(self.new_divisions)

    @property
    def digest(self) -> str:
        """Changes with whatever would be written, so that nothing else is than was shown."""
        made = [[each.name, each.fee, each.place, each.draft] for each in self.new_divisions]
        text = json.dumps([self.event.pk, str(self.event), made], sort_keys=True)
        return hashlib.sha256(text.encode()).hexdigest()


def plan_of(club: Club, wish: Wish, earlier: Event | None = None) -> Plan:
    """What a wish would make now. Raises NotThere.

    `earlier` spares looking the earlier event up again where it is at hand.
    """
    event = event_of(wish.event, club)
    if wish.earlier and earlier is None:
        earlier = _found(club.events.select_related("venue").filter(pk=wish.earlier).first())
    if earlier is not None and earlier.venue_id == event.venue_id:
        event.venue = earlier.venue
    else:
        event.venue = _found(club.venues.filter(pk=event.venue_id).first())
    before = earlier.first_day if earlier else wish.first_day_before
    move = Move(before, event.first_day) if before else None
    sources = list(_of_event(earlier) if earlier else _of_files(wish.files))
    same = club.events.filter(name__iexact=event.name, first_day=event.first_day)
    there = same.select_related("venue").first()
    names = {each.name.casefold() for each in there.divisions.all()} if there else set()
    tricks = list(club.tricks.all())
    vocabulary = vocabulary_with(tricks)
    return Plan(
        event=there or event,
        earlier=earlier,
        move=move,
        dates=_event_dates(earlier, there or event),
        divisions=[_division(each, names, move, vocabulary) for each in sources],
        tricks=[trick.name for trick in tricks],
    )


def _found(thing: Any) -> Any:
    if thing is None:
        raise NotThere
    return thing


def _of_event(earlier: Event) -> Iterator[Source]:
    """The divisions of an event, each with the edition in force, else with its draft."""
    for division in earlier.divisions.prefetch_related("editions"):
        edition = division.edition
        if edition is None:
            data, origin, notes = division.draft, _("its draft; nothing was published"), ()
        else:
            day = date_format(edition.published_at.astimezone(earlier.zone), _("j F Y"))
            data, origin = (
                edition.data,
                _("edition {number}, published {day}").format(number=edition.number, day=day),
            )
            changed = division.draft and _differs(division)
            notes = (UNPUBLISHED.format(edition=str(edition).lower()),) if changed else ()
        yield Source(division.name, data, origin, division.fee, division.place, notes)


def _differs(division: Division) -> bool:
    edition = division.edition
    return edition is not None and division.draft_format != edition.format


def _of_files(files: tuple[FormatFile, ...]) -> Iterator[Source]:
    for place, each in enumerate(files, start=1):
        yield Source(
            each.division,
            toml_data(each.text),
            _("the file {file}").format(file=each.file),
            "",
            place,
        )


def toml_data(text: str) -> dict[str, Any]:
    """The data in some TOML; ValueError with a sentence."""
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise ValueError(not_toml(error)) from error


def _division(
    source: Source, there: set[str], move: Move | None, vocabulary: Vocabulary
) -> DivisionPlan:
    if source.name.casefold() in there:
        return DivisionPlan(source.name, source.origin, is_there=True)
    format, problems = try_format(source.data)
    draft, dates = moved(as_data(format), move)
    said = [f"{problem}" for problem in problems]
    said += [TRICK.format(name=name) for name in _unknown_tricks(format, vocabulary)]
    return DivisionPlan(
        name=source.name,
        origin=source.origin,
        fee=source.fee,
        place=source.place,
        draft=draft,
        unread=tuple(dict.fromkeys(said)),
        notes=source.notes,
        dates=tuple(dates),
        limits=tuple(each.say or limit_sentence(each) for each in format.limits or ()),
    )


def _unknown_tricks(format: Format, vocabulary: Vocabulary) -> Iterator[str]:
    """The tricks that limits name and that no list holds, such as one that was removed."""
    for limit in format.limits or ():
        for name in _tricks_named(limit.when) if limit.when else ():
            meant = Condition(trick=(name,)).matches
            if not any(meant(trick) for trick in vocabulary.tricks):
                yield name


def _tricks_named(condition: Condition) -> Iterator[str]:
    yield from condition.trick or ()
    for each in condition.any_of or ():
        yield from _tricks_named(each)
    if condition.unless is not None:
        yield from _tricks_named(condition.unless)


def _event_dates(earlier: Event | None, event: Event) -> list[DateLine]:
    """The event's own dates; what came before is empty where only files were kept."""

    def line(label: str, name: str) -> DateLine:
        return DateLine(label, _said(earlier, name) if earlier else "", _said(event, name))

    names = {_("First day"): "first_day", _("Last day"): "last_day",
             _("Entries close"): "entries_close", _("Declare by"): "declare_by"}  # fmt: skip
    return [line(label, name) for label, name in names.items()]


def _said(event: Event, name: str) -> str:
    value = getattr(event, name)
    if isinstance(value, date) and name in ("first_day", "last_day"):
        return day_in_words(value)
    return moment_in_words(value.astimezone(event.zone))
