"""One ride as a sheet of fields: every trick, mark and state with the version it stands in."""

import json
from dataclasses import dataclass
from dataclasses import field as stored
from datetime import datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any, Self

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from runsheets.models import Mark, RiddenTrick, Ride

# The fields of the run itself, in words for the audit trail and for a clash.
RIDE_FIELDS = {
    "state": gettext_lazy("state"),
    "reason": gettext_lazy("reason"),
    "points_off": gettext_lazy("points off"),
    "points_reason": gettext_lazy("reason of the points off"),
}


class Kind(StrEnum):
    """What a field of the sheet is."""

    TRICK = "t"
    MARK = "m"
    RIDE = "r"


@dataclass(frozen=True)
class Cell:
    """A field of a ride as it is stored.

    `value` is text: a mark or a state as it is written, a trick as
    "outcome|ridden instead|planned". An empty value has never been written or was emptied.
    `parts` are what the key is made of.
    """

    key: str
    value: str = ""
    version: int = 0
    by: str = ""
    at: datetime | None = None
    parts: list[Any] = stored(default_factory=list)

    @classmethod
    def empty(cls, key: str) -> Self:
        """The field of a key that is not stored yet."""
        return cls(key, parts=json.loads(key))

    @property
    def kind(self) -> Kind:
        """What it is."""
        return Kind(self.parts[0])

    @property
    def name(self) -> str:
        """The field in words, for the audit trail and for a clash."""
        if self.kind is Kind.TRICK:
            where = self.bonus or _("trick {number}").format(number=self.place)
            return _("pass {number} {where}").format(number=self.pass_no, where=where)
        if self.kind is Kind.MARK:
            return _("judge {number} {criterion}").format(
                number=self.parts[3], criterion=self.criterion or _("mark")
            )
        return str(RIDE_FIELDS[self.field])

    @property
    def field(self) -> str:
        """Which field of the run itself, as it is stored."""
        return str(self.parts[1])

    def said(self, value: str) -> str:
        """A value of this field in words, for the audit trail."""
        if not value:
            return _("emptied")
        if self.kind is Kind.TRICK:
            outcome, actual, planned = value.split("|")
            found = str(RiddenTrick.Outcome(outcome).label).lower() if outcome else ""
            return " ".join(filter(None, (found, actual, planned)))
        if self.kind is Kind.RIDE and self.field == "state":
            return str(Ride.State(value).label).lower()
        return value

    @property
    def pass_no(self) -> int:
        """The pass of a trick, from 1."""
        return int(self.parts[1])

    @property
    def bonus(self) -> str:
        """The extra that the trick is, empty inside a pass."""
        return str(self.parts[2])

    @property
    def place(self) -> int:
        """Where in its pass the trick stands, from 1."""
        return int(self.parts[3])

    @property
    def judge(self) -> int:
        """Who gave the mark."""
        return int(self.parts[1])

    @property
    def criterion(self) -> str:
        """What is marked; empty for one mark of the run."""
        return str(self.parts[2])


def key(*parts: Any) -> str:
    """The key of a field from its parts."""
    return json.dumps(list(parts), ensure_ascii=False)


def trick_value(outcome: str, actual: str, planned: str) -> str:
    """What became of a trick as one text; empty where nothing did."""
    if outcome == RiddenTrick.Outcome.CHANGED:
        outcome = RiddenTrick.Outcome.LANDED
    elif outcome == RiddenTrick.Outcome.CHANGED_FALLEN:
        outcome = RiddenTrick.Outcome.FALLEN
    return f"{outcome}|{actual}|{planned}" if outcome or actual else ""


def number_value(value: Decimal | None) -> str:
    """A number as it is written back into its field: without zeros at the end."""
    return "" if value is None else f"{value.normalize():f}"


def cells_of(ride: Ride | None) -> list[Cell]:
    """Every stored field of a ride; of none, the fields of a ride that waits. Two queries."""
    held = ride or Ride()
    found = []
    parts: list[Any]
    for name in RIDE_FIELDS:
        value = getattr(held, name)
        text = number_value(Decimal(value)) if name == "points_off" else str(value)
        parts = [Kind.RIDE, name]
        found.append(Cell(key(*parts), text, held.version, _who(held), held.changed_at, parts))
    if ride is None:
        return found
    for trick in RiddenTrick.objects.filter(ride=ride).select_related("changed_by"):
        parts = [Kind.TRICK, trick.pass_no, trick.bonus, trick.place]
        value = trick_value(trick.outcome, trick.actual, trick.planned)
        found.append(_cell(parts, value, trick))
    for mark in Mark.objects.filter(ride=ride).select_related("judge", "changed_by"):
        parts = [Kind.MARK, mark.judge_id, mark.criterion, mark.judge.number]
        found.append(_cell(parts, number_value(mark.value), mark))
    return found


def _cell(parts: list[Any], value: str, row: RiddenTrick | Mark) -> Cell:
    return Cell(key(*parts), value, row.version, _who(row), row.changed_at, parts)


def _who(row: Ride | RiddenTrick | Mark) -> str:
    by = row.changed_by
    return (by.get_full_name() or by.get_username()) if by else ""
