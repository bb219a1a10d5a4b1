"""Marked runs and scorings for the tests of results."""

from collections.abc import Hashable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from events.rules.format import Format
from events.rules.staging import Criterion, Judging
from runsheets.judging.scoring import RunMarks, Scoring
from runsheets.judging.standings import Standings

# Olympic Council of Asia, wakeboarding page (ocasia.org): three criteria that make 100.
OCA = {"Execution": 33.3, "Intensity": 33.4, "Composition": 33.3}


def scoring(criteria: Mapping[str, float | None] | None = None, **judging: Any) -> Scoring:
    """The scoring of a format that states so much about judging, and nothing else."""
    named = None
    if criteria is not None:
        named = tuple(Criterion(name, weight) for name, weight in criteria.items())
    return Scoring.of(Format(judging=Judging(criteria=named, **judging)))


def card(rider: Hashable, *judges: Mapping[str, str] | str, **more: Any) -> RunMarks:
    """A run with each judge's marks as typed: by criterion, or one mark for the run."""
    marks = {
        number: {
            name: Decimal(mark)
            for name, mark in ({"": each} if isinstance(each, str) else each).items()
        }
        for number, each in enumerate(judges, start=1)
    }
    return RunMarks(rider, marks=marks, **more)


def cards(table: Mapping[Hashable, Sequence[int | str]]) -> list[RunMarks]:
    """One run of each rider with one mark from each judge."""
    return [card(rider, *(str(mark) for mark in marks)) for rider, marks in table.items()]


def places(result: Standings) -> dict[Hashable, int | None]:
    """The place of every rider in a result."""
    return {row.rider: row.place for row in result.rows}


def notes(result: Standings) -> dict[Hashable, str]:
    """The note of every rider in a result."""
    return {row.rider: row.note for row in result.rows}
