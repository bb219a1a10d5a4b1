"""When every heat and rider of a day is on the water: the plan, and how it moves.

The front door of the timetable; pages import from here. One boat is planned: with two boats
on two lakes, make two timetables. Pure Python.
"""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from events.rules.language import gettext as _
from events.rules.language import ngettext
from runsheets.timing.clock import hours_and_minutes
from runsheets.timing.day import (
    Fuel,
    HeatState,
    HeatTime,
    Pause,
    PauseKind,
    PauseTime,
    PlannedHeat,
    RiderTime,
    Row,
    Timetable,
    apart,
    with_zone,
)
from runsheets.timing.day_walk import DayWalk, Ridden, as_rows
from runsheets.timing.day_warnings import (
    end_warnings,
    fuel_warnings,
    light_warnings,
    start_warnings,
)
from runsheets.timing.pace import SPECS, Pace
from runsheets.timing.rider_time import Part, parts, rider_seconds, riders_an_hour, run_seconds

__all__ = [
    "SPECS", "FilledDay", "FilledDays", "Fuel", "HeatState", "HeatTime", "Pace", "Part",
    "Pause", "PauseKind", "PauseTime", "PlannedHeat", "RiderTime", "Row", "Timetable",
    "apart", "fill_days", "parts", "rider_seconds", "riders_an_hour", "run_seconds",
    "timetable", "wait_words",
]  # fmt: skip


def timetable(
    starts_at: datetime,
    heats: Sequence[PlannedHeat],
    pauses: Sequence[Pause] = (),
    *,
    heat_gap_s: float = 0,
    fuel: Fuel | None = None,
    sunrise: datetime | None = None,
    sunset: datetime | None = None,
    latest_end: datetime | None = None,
    now: datetime | None = None,
) -> Timetable:
    """The times of one day, in the zone of `starts_at`.

    The plan puts the heats one after the other as given, `heat_gap_s` between the end of one
    and the start of the next; a pause there takes the place of the gap. A heat without
    riders takes no time. No heat starts before its `not_before`.

    As it now looks, heats that have begun come first, by their real starts, and everything
    else follows in the order given; it moves earlier as well as later, so give a published
    time that must be kept as `not_before`. Once a heat has begun, those that have not begin
    no earlier than `now`: leave `now` out on any other day than this one.

    Raises ValueError for a moment without a time zone, a heat given twice, a pause after a
    heat that is not of this day, or a gap below 0.
    """
    _refuse(heats, pauses, heat_gap_s)
    for moment, name in ((sunrise, "sunrise"), (sunset, "sunset"), (latest_end, "latest_end")):
        if moment is not None:
            with_zone(moment, name)
    current = None if now is None else with_zone(now, "now")
    planned = DayWalk(starts_at, pauses, heat_gap_s, fuel)
    plan = {
        heat.key: planned.ride(replace(heat, begun_at=None, ended_at=None)) for heat in heats
    }
    planned.finish()
    moved = planned
    if any(heat.begun_at for heat in heats):
        moved = DayWalk(starts_at, pauses, heat_gap_s, fuel)
        for heat in _in_order(heats):
            moved.ride(heat, current)
        moved.finish()
    rows = as_rows(moved, plan)
    ends_at = _end(moved, starts_at)
    warnings = [
        *light_warnings(rows, sunrise, sunset),
        *end_warnings(ends_at, latest_end),
        *fuel_warnings(rows, fuel),
        *start_warnings(rows, starts_at, now),
    ]
    return Timetable(
        rows, as_rows(planned, plan), ends_at, _end(planned, starts_at), tuple(warnings)
    )


@dataclass(frozen=True)
class FilledDay:
    """One day with its heats, and the pauses that belong to it."""

    starts_at: datetime
    latest_end: datetime
    heats: tuple[PlannedHeat, ...]
    pauses: tuple[Pause, ...]
    ends_at: datetime


@dataclass(frozen=True)
class FilledDays:
    """Heats put on days. `left_over` found no room; `problem` says so in a sentence."""

    days: tuple[FilledDay, ...]
    left_over: tuple[PlannedHeat, ...]
    problem: str


def fill_days(
    heats: Sequence[PlannedHeat],
    days: Sequence[tuple[datetime, datetime]],
    pauses: Sequence[Pause] = (),
    *,
    heat_gap_s: float = 0,
    fuel: Fuel | None = None,
) -> FilledDays:
    """Put heats on days in the order given: on the next day when one would end too late.

    `days` are (start, latest end), in order. Pauses at a time of day are taken on each day,
    pauses after a heat where that heat is. Real times are disregarded. A heat that fits on
    no day that is left, and all after it, are left over: the order is never changed.

    Raises ValueError as `timetable` does, and for a day that ends before it starts.
    """
    _refuse(heats, pauses, heat_gap_s)
    for starts_at, latest_end in days:
        if with_zone(latest_end, "latest_end") < with_zone(starts_at, "starts_at"):
            raise ValueError(_("The latest end of a day lies before its start."))
    queue, filled = [replace(each, begun_at=None, ended_at=None) for each in heats], []
    taken = 0
    for starts_at, latest_end in days:
        day = DayWalk(starts_at, pauses, heat_gap_s, fuel)
        ends_at, first = with_zone(starts_at, "starts_at"), taken
        while taken < len(queue):
            end = day.ride(queue[taken]).end
            if end > latest_end.astimezone(UTC):
                break
            ends_at, taken = max(ends_at, end), taken + 1
        own = tuple(heats[first:taken])
        kept = {each.key for each in own}
        belongs = tuple(each for each in pauses if each.at is not None or each.after in kept)
        filled.append(FilledDay(starts_at, latest_end, own, belongs, day.out(ends_at)))
    left = tuple(heats[taken:])
    return FilledDays(tuple(filled), left, _problem(len(left)))


def wait_words(now: datetime, start: datetime) -> str:
    """How long until a start, no more exact than can be known, and never too long.

    Under 5 minutes: "any moment". Up to an hour in steps of 5 minutes, up to 2 hours of 10,
    up to 12 hours of 15, then whole hours and, from 2 days on, whole days. Always cut down to
    the step, so that whoever relies on the words comes too early rather than too late.
    """
    minutes = int(apart(with_zone(now, "now"), with_zone(start, "start")).total_seconds() // 60)
    if minutes < 5:
        return _("any moment")
    if minutes >= 48 * 60:
        days = minutes // (24 * 60)
        return ngettext("about {number} day", "about {number} days", days).format(number=days)
    step = 5 if minutes < 60 else 10 if minutes < 120 else 15 if minutes < 720 else 60
    return _("about {time}").format(time=hours_and_minutes(minutes - minutes % step))


def _refuse(heats: Sequence[PlannedHeat], pauses: Iterable[Pause], heat_gap_s: float) -> None:
    keys: set[Hashable] = set()
    for heat in heats:
        if heat.key in keys:
            said = _("Heat {heat} is on the day twice; take one out.")
            raise ValueError(said.format(heat=heat.key))
        keys.add(heat.key)
    for pause in pauses:
        if pause.at is None and pause.after not in keys:
            said = _("{pause}: the heat after which it is, is not on this day.")
            raise ValueError(said.format(pause=pause.name))
    if not 0 <= heat_gap_s < timedelta(days=1).total_seconds():
        raise ValueError(_("The time between heats must be 0 or more, and less than a day."))


def _in_order(heats: Sequence[PlannedHeat]) -> list[PlannedHeat]:
    """Heats that have begun, by their real starts, then the others as they stand."""
    begun = [(heat.begun_at.astimezone(UTC), heat) for heat in heats if heat.begun_at]
    begun.sort(key=lambda each: each[0])
    return [heat for _, heat in begun] + [heat for heat in heats if heat.begun_at is None]


def _end(walk: DayWalk, starts_at: datetime) -> datetime:
    ends = [row.end for row in walk.rows if isinstance(row, Ridden) and row.heat.riders]
    return walk.out(max(ends)) if ends else starts_at


def _problem(left: int) -> str:
    if not left:
        return ""
    said = ngettext(
        "{number} heat finds no room: add a day, start earlier, end later, or make heats "
        "smaller.",
        "{number} heats find no room: add a day, start earlier, end later, or make heats "
        "smaller.",
        left,
    )
    return said.format(number=left)
