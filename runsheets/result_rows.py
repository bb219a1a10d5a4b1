"""A result as pages, papers and files read it: groups of riders, rows, and how far it is."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.utils import timezone
from django.utils.translation import gettext as _

from events.models import Division
from events.rules.staging import Round
from riders.models import Entry
from runsheets.judging.counted_runs import Waiting
from runsheets.judging.scoring import RunMarks, shown
from runsheets.judging.standings import Standing, Standings
from runsheets.lineup import HeatLine
from runsheets.models import Judge, RoundResult, RunningOrder


@dataclass(frozen=True)
class ResultRow:
    """One rider in a result: the figures to read beside the standing they come from.

    `figures` go with the result's labels; they are empty without a counting run. `withdrew`:
    the rider is scratched, or has no place in the division any more.
    """

    standing: Standing
    entry: Entry
    bib: int | None
    total: str
    figures: list[tuple[str, str]]
    withdrew: bool = False

    @property
    def place(self) -> str:
        """The place to read, empty for who has none."""
        return "" if self.standing.place is None else str(self.standing.place)

    @property
    def points_off(self) -> str:
        """The points taken off, empty where there are none."""
        return shown(self.standing.points_off) if self.standing.points_off else ""


@dataclass(frozen=True)
class ResultGroup:
    """Riders ranked together: a heat, or the whole round with `heat` None."""

    heat: int | None
    standings: Standings
    rows: list[ResultRow]


@dataclass(frozen=True)
class WaitingRun:
    """A run that cannot be ranked yet, and what it waits for."""

    entry: Entry
    run: Waiting


@dataclass(frozen=True)
class Read:
    """What is looked up for several rounds at once; `earlier` are results by round."""

    judges: Sequence[Judge]
    rides: Mapping[int, list[RunMarks]]
    lines: Sequence[HeatLine]
    earlier: Mapping[str, "Result"]


@dataclass(frozen=True)
class Result:
    """The result of one round of a division. `posted` None: nothing of it is public.

    `decided` are the ties that people parted: how, and whom it was about.
    """

    division: Division
    order: RunningOrder
    groups: list[ResultGroup]
    waiting: list[WaitingRun]
    judges: list[Judge]
    criteria: list[str]
    posted: RoundResult | None
    protest_min: int | None
    stated: Round | None
    said: list[str] = field(default_factory=list)
    decided: list[tuple[str, list[Entry]]] = field(default_factory=list)

    @property
    def labels(self) -> list[str]:
        """What the figures of each row are: the judges' totals, then the mean marks."""
        return labels_of(self.judges, self.criteria)

    @property
    def is_official(self) -> bool:
        """Whether the result is official, and its marks locked."""
        return self.posted is not None and self.posted.official_at is not None

    @property
    def is_complete(self) -> bool:
        """Whether every run is ridden and marked."""
        return bool(self.groups) and all(each.standings.complete for each in self.groups)

    @property
    def undecided(self) -> list[list[Entry]]:
        """The riders in each tie that people have to decide."""
        entries: dict[Hashable, Entry] = {row.entry.pk: row.entry for row in self.rows}
        return [
            [entries[rider] for rider in tie]
            for group in self.groups
            for tie in group.standings.undecided
        ]

    @property
    def tie_sentences(self) -> dict[int, str]:
        """How the tie of each rider was decided, by entry, where people decided one."""
        return {entry.pk: how for how, entries in self.decided for entry in entries}

    @property
    def rows(self) -> list[ResultRow]:
        """Every rider with a place or a state, group by group."""
        return [row for group in self.groups for row in group.rows]

    @property
    def protests_until(self) -> datetime | None:
        """Until when protests are taken; None before posting or where nothing is stated."""
        if self.posted is None or self.protest_min is None:
            return None
        return self.posted.posted_at + timedelta(minutes=self.protest_min)

    @property
    def window_is_open(self) -> bool:
        """Whether protests are still taken."""
        until = self.protests_until
        return until is not None and timezone.now() < until


def labels_of(judges: Sequence[Judge], criteria: Sequence[str]) -> list[str]:
    """The labels of the figures: judges by number, and what they mark."""
    return [_("Judge {number}").format(number=judge.number) for judge in judges] + [
        c or _("Mark") for c in criteria
    ]
