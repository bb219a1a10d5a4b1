"""Dates of an earlier year carried over to this one. Pure Python.

Moments move by whole days and keep their time on the clock of the lake. A date on which age
is taken keeps its day of the year, because 30 June stays 30 June in the rules of a contest.
"""

from collections.abc import Callable, Iterator
from copy import deepcopy
from dataclasses import dataclass, fields
from datetime import date, datetime, timedelta
from typing import Any

from events.rules.dates import moment as moment_in_words
from events.rules.dates import weekday as day_in_words
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.schema import Kind, Spec, described, spec_of

LEFT_OPEN = mark("left open")


@dataclass(frozen=True)
class DateLine:
    """One date before and after; `after` is LEFT_OPEN where it is not carried over."""

    label: str
    before: str
    after: str


@dataclass(frozen=True)
class Move:
    """From the first day of the earlier event to that of the new one."""

    before: date
    after: date

    @property
    def days(self) -> int:
        """By how many days; negative for one that goes back."""
        return (self.after - self.before).days

    @property
    def keeps_weekdays(self) -> bool:
        """Whether each day stays the same day of the week."""
        return self.days % 7 == 0

    def moment(self, at: datetime) -> datetime:
        """The same time on the clock so many days later. Raises OverflowError."""
        return at + timedelta(days=self.days)

    def date(self, on: date) -> date:
        """The date so many days later. Raises OverflowError."""
        return on + timedelta(days=self.days)

    def yearly(self, on: date) -> date:
        """The same day of the year as many years later; 28 February for a missing 29th."""
        year = on.year + self.after.year - self.before.year
        try:
            return on.replace(year=year)
        except ValueError:
            if (on.month, on.day) != (2, 29):
                raise OverflowError(year) from None
            return on.replace(year=year, day=28)


def dated_values() -> list[tuple[str, str, Spec]]:
    """Every value of a format that is a date or a moment: group, key, description."""
    return [
        (group.name, key, spec)
        for group in fields(Format)
        if "spec" in group.metadata and spec_of(group).kind is Kind.GROUP
        for _, key, spec in described(spec_of(group).item)
        if spec.kind in (Kind.MOMENT, Kind.DAY)
    ]


def moved(data: dict[str, Any], move: Move | None) -> tuple[dict[str, Any], list[DateLine]]:
    """A format's data with its dates moved, and what became of each.

    Without a move nobody knows the new dates, so they are left open. Exceptions too.
    """
    result: dict[str, Any] = deepcopy(data)
    lines = list(_move_group(result, move, ""))
    for number, override in enumerate(result.get("overrides", ()), start=1):
        lines += _move_group(
            override["set"], move, " " + _("(exception {number})").format(number=number)
        )
        if not override["set"]:
            override["set"] = None  # what is left says nothing
    if "overrides" in result:
        result["overrides"] = [each for each in result["overrides"] if each["set"]]
    return result, lines


def _move_group(data: dict[str, Any], move: Move | None, where: str) -> Iterator[DateLine]:
    for name, key, spec in dated_values():
        group = data.get(name)
        value = group.get(key) if isinstance(group, dict) else None
        if value is None or group is None:
            continue
        read, new = _one(spec, value, move)
        if read is None:
            continue  # it cannot be read, and is told as such
        shown = _words(spec)
        line = DateLine(spec.label + where, shown(read), shown(new) if new else _(LEFT_OPEN))
        if new is None:
            del group[key]
            if not group:
                del data[name]
        else:
            group[key] = new.isoformat()
        yield line


def _one(spec: Spec, value: Any, move: Move | None) -> tuple[Any, Any]:
    """The value as it was and as it will be; None where it cannot be read, or is not known."""
    try:
        text = str(value)
        read = datetime.fromisoformat(text) if _is_moment(spec) else date.fromisoformat(text)
    except ValueError:
        return None, None
    if move is None:
        return read, None
    try:
        return read, move.moment(read) if isinstance(read, datetime) else move.yearly(read)
    except OverflowError:
        return read, None


def _is_moment(spec: Spec) -> bool:
    return spec.kind is Kind.MOMENT


def _words(spec: Spec) -> Callable[[Any], str]:
    return moment_in_words if _is_moment(spec) else day_in_words
