"""What riders' pages show, read from the database in a fixed number of queries."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch
from django.utils import timezone

from events.models import Edition
from events.rules.notation import write_trick
from riders.eligibility import Window
from riders.entry_conditions import entries_window
from riders.models import Declaration, Entry, Rider
from riders.re_checks import broken_under
from riders.services import declared_run


@dataclass(frozen=True)
class RoundState:
    """Where a rider stands in one round of a division.

    `newer` is the edition in force where the run was declared under an earlier one, and
    `broken` are the rules of it that the run breaks.
    """

    name: str
    deadline: datetime
    declared: Declaration | None
    is_open: bool
    newer: Edition | None = None
    broken: tuple[str, ...] = ()


@dataclass(frozen=True)
class EntryState:
    """An entry with the state of each round.

    `waits_at` is the place on the waiting list of who waits; `takes_entries`:
    whether the division takes entries now.
    """

    entry: Entry
    rounds: list[RoundState]
    waits_at: int | None = None
    takes_entries: bool = False


def entries_of(rider: Rider) -> list[EntryState]:
    """The rider's entries, the next event first."""
    editions = Prefetch("division__editions", Edition.objects.order_by("-number"))
    entries = (
        rider.entries.select_related("division__event__venue", "rider")
        .prefetch_related(editions, "declarations")
        .order_by("-division__event__first_day")
    )
    found = list(entries)
    places = _waiting_places(found)
    now = timezone.now()
    return [
        EntryState(
            entry,
            _rounds(entry),
            places.get(entry.pk),
            entries_window(entry.division).at(now) is Window.OPEN,
        )
        for entry in found
    ]


def _waiting_places(entries: list[Entry]) -> dict[int, int]:
    waiting = {entry.division_id for entry in entries if entry.state == Entry.State.WAITING}
    if not waiting:
        return {}
    counts: dict[int, int] = {}
    places = {}
    rows = Entry.objects.filter(division__in=waiting, state=Entry.State.WAITING)
    for pk, division in rows.order_by("entered_at", "pk").values_list("pk", "division"):
        counts[division] = counts.get(division, 0) + 1
        places[pk] = counts[division]
    return places


def _rounds(entry: Entry) -> list[RoundState]:
    edition = entry.division.edition
    names = (edition.round_names if edition else []) or [""]
    now = timezone.now()
    states = []
    for name in names:
        declared = [each for each in entry.declarations.all() if each.round_name == name]
        newest = max(declared, key=lambda each: each.number, default=None)
        deadline = entry.division.deadline(name or None)
        is_open = edition is not None and now <= deadline
        newer, broken = _rechecked(entry, newest, edition)
        states.append(RoundState(name, deadline, newest, is_open, newer, broken))
    return states


def _rechecked(
    entry: Entry, declared: Declaration | None, edition: Edition | None
) -> tuple[Edition | None, tuple[str, ...]]:
    if declared is None or edition is None or declared.edition_id == edition.pk:
        return None, ()
    return edition, broken_under(edition, declared, entry.rider)


@dataclass(frozen=True)
class DeclaredPass:
    """A declared pass in words."""

    number: int
    tricks: list[str]
    bonus: list[tuple[str, str]]


def declared_passes(declaration: Declaration) -> list[DeclaredPass]:
    """The declared run, pass by pass, in trade shorthand."""
    return [
        DeclaredPass(
            number,
            [write_trick(planned) for planned in each.tricks],
            [(planned.bonus, write_trick(planned)) for planned in each.bonus],
        )
        for number, each in enumerate(declared_run(declaration).passes, start=1)
    ]
