"""What an organiser should know of a day's timetable, in sentences."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from runsheets.timing.day import Fuel, HeatTime, Row, apart

# Wakeboarding rules as told by tutorialspoint: nobody is towed from sunset to sunrise.
DARK = "nobody is towed from sunset to sunrise"
LAW = "Local law and your permit may be stricter; you decide."
UNMARKED_AFTER = timedelta(minutes=10)


def light_warnings(
    rows: Sequence[Row], sunrise: datetime | None, sunset: datetime | None
) -> list[str]:
    """Riding before sunrise or after sunset."""
    heats = [row for row in rows if isinstance(row, HeatTime) and row.riders]
    said = []
    early = [heat for heat in heats if sunrise and heat.start < sunrise]
    if sunrise and early:
        first = early[0].start
        before = f"{_minutes(first, sunrise)} before sunrise ({_clock(sunrise, sunrise)})"
        many = f"{len(early)} heats begin" if len(early) > 1 else "1 heat begins"
        said.append(
            f"Riding begins at {_clock(first, sunrise)}, {before}: {DARK}. "
            f"{many} too early. {LAW}"
        )
    if sunset and heats and (end := max(heat.end for heat in heats)) > sunset:
        after = f"{_minutes(sunset, end)} after sunset ({_clock(sunset, sunset)})"
        said.append(f"The day ends at {_clock(end, sunset)}, {after}: {DARK}. {LAW}")
    return said


def end_warnings(ends_at: datetime, latest_end: datetime | None) -> list[str]:
    """Riding beyond the end that the organiser set."""
    if latest_end is None or ends_at <= latest_end:
        return []
    over = f"{_minutes(latest_end, ends_at)} after {_clock(latest_end, latest_end)}"
    return [
        f"The day ends at {_clock(ends_at, latest_end)}, {over}, the latest end you set: "
        "move heats to another day, or ride fewer rounds."
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
    heats = "1 heat is" if long == 1 else f"{long} heats are"
    return [f"{heats} longer than the boat rides on one fill: make heats smaller."]


def start_warnings(rows: Sequence[Row], starts_at: datetime, now: datetime | None) -> list[str]:
    """A day that should be running, of which nobody marks anything."""
    heats = [row for row in rows if isinstance(row, HeatTime)]
    unmarked = sum(
        not heat.is_real and any(rider.is_done for rider in heat.riders) for heat in heats
    )
    if unmarked:
        many = "1 heat that is" if unmarked == 1 else f"{unmarked} heats that are"
        return [
            f"Riders have ridden in {many} not marked as begun: mark it, so that times hold."
        ]
    if now is None or not heats or any(heat.is_real for heat in heats):
        return []
    if apart(starts_at, now) <= UNMARKED_AFTER:
        return []
    return [
        f"Riding was to begin at {_clock(heats[0].planned_start, starts_at)}, and no heat is "
        "marked as begun: mark it, so that riders see times that hold."
    ]


def _clock(moment: datetime, beside: datetime) -> str:
    """The time of day at the lake, with the date if it is another day than `beside`."""
    there = moment.astimezone(beside.tzinfo)
    words = f"{there:%H:%M}"
    return words if there.date() == beside.date() else f"{words} on {there.day} {there:%B}"


def _minutes(earlier: datetime, later: datetime) -> str:
    """The time between two clock times as they are shown, seconds cut off."""
    start, end = (each.replace(second=0, microsecond=0) for each in (earlier, later))
    minutes = round(apart(start, end).total_seconds() / 60)
    if minutes < 1:
        return "less than a minute"
    hours, rest = divmod(minutes, 60)
    said = [f"{hours} hour{'s' * (hours > 1)}"] if hours else []
    said += [f"{rest} minute{'s' * (rest > 1)}"] if rest else []
    return " ".join(said)
