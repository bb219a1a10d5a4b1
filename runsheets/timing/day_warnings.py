"""What an organiser should know of a day's timetable, in sentences."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from events.rules.language import gettext as _
from events.rules.language import ngettext
from runsheets.timing.clock import clock, duration
from runsheets.timing.day import Fuel, HeatTime, Row, apart

UNMARKED_AFTER = timedelta(minutes=10)


def light_warnings(
    rows: Sequence[Row], sunrise: datetime | None, sunset: datetime | None
) -> list[str]:
    """Riding before sunrise or after sunset.

    Wakeboarding rules as told by tutorialspoint: nobody is towed from sunset to sunrise.
    """
    heats = [row for row in rows if isinstance(row, HeatTime) and row.riders]
    said = []
    early = [heat for heat in heats if sunrise and heat.start < sunrise]
    if sunrise and early:
        first = early[0].start
        words = ngettext(
            "Riding begins at {time}, {early} before sunrise ({sunrise}): nobody is towed from "
            "sunset to sunrise. {number} heat begins too early. Local law and your permit may "
            "be stricter; you decide.",
            "Riding begins at {time}, {early} before sunrise ({sunrise}): nobody is towed from "
            "sunset to sunrise. {number} heats begin too early. Local law and your permit may "
            "be stricter; you decide.",
            len(early),
        )
        said.append(
            words.format(
                time=clock(first, sunrise),
                early=duration(first, sunrise),
                sunrise=clock(sunrise, sunrise),
                number=len(early),
            )
        )
    if sunset and heats and (end := max(heat.end for heat in heats)) > sunset:
        words = _(
            "The day ends at {time}, {late} after sunset ({sunset}): nobody is towed from "
            "sunset to sunrise. Local law and your permit may be stricter; you decide."
        )
        said.append(
            words.format(
                time=clock(end, sunset),
                late=duration(sunset, end),
                sunset=clock(sunset, sunset),
            )
        )
    return said


def end_warnings(ends_at: datetime, latest_end: datetime | None) -> list[str]:
    """Riding beyond the end that the organiser set."""
    if latest_end is None or ends_at <= latest_end:
        return []
    said = _(
        "The day ends at {time}, {late} after {latest}, the latest end you set: move heats to "
        "another day, or ride fewer rounds."
    )
    return [
        said.format(
            time=clock(ends_at, latest_end),
            late=duration(latest_end, ends_at),
            latest=clock(latest_end, latest_end),
        )
    ]


def fuel_warnings(rows: Sequence[Row], fuel: Fuel | None) -> list[str]:
    """Heats that are longer than the boat's fuel lasts."""
    if fuel is None:
        return []
    long = sum(
        isinstance(row, HeatTime)
        and (
            apart(row.start, row.end).total_seconds() > (fuel.every_s or float("inf"))
            or len(row.riders) > (fuel.every_riders or float("inf"))
        )
        for row in rows
    )
    if not long:
        return []
    said = ngettext(
        "{number} heat is longer than the boat rides on one fill: make heats smaller.",
        "{number} heats are longer than the boat rides on one fill: make heats smaller.",
        long,
    )
    return [said.format(number=long)]


def start_warnings(rows: Sequence[Row], starts_at: datetime, now: datetime | None) -> list[str]:
    """A day that should be running, of which nobody marks anything."""
    heats = [row for row in rows if isinstance(row, HeatTime)]
    unmarked = sum(
        not heat.is_real and any(rider.is_done for rider in heat.riders) for heat in heats
    )
    if unmarked:
        said = ngettext(
            "Riders have ridden in {number} heat that is not marked as begun: mark it, so that "
            "times hold.",
            "Riders have ridden in {number} heats that are not marked as begun: mark it, so "
            "that times hold.",
            unmarked,
        )
        return [said.format(number=unmarked)]
    if now is None or not heats or any(heat.is_real for heat in heats):
        return []
    if apart(starts_at, now) <= UNMARKED_AFTER:
        return []
    said = _(
        "Riding was to begin at {time}, and no heat is marked as begun: mark it, so that "
        "riders see times that hold."
    )
    return [said.format(time=clock(heats[0].planned_start, starts_at))]
