"""A day on the water for tests: times at the lake, heats, and rows in words."""

from collections.abc import Sequence
from datetime import datetime, time
from zoneinfo import ZoneInfo

from runsheets.timing.timetable import HeatTime, PauseTime, PlannedHeat, Timetable

ZURICH = ZoneInfo("Europe/Zurich")


def at(clock: str, day: int = 4) -> datetime:
    """A time of day at the lake in July 2026."""
    return datetime.combine(datetime(2026, 7, day), time.fromisoformat(clock), ZURICH)


def heat(key: int | str, riders: int = 4, each: float = 300, **more) -> PlannedHeat:
    return PlannedHeat(key, tuple(f"{key}.{n}" for n in range(1, riders + 1)), each, **more)


def said(rows: Sequence[HeatTime | PauseTime]) -> list[str]:
    """The rows as "what start-end"."""
    return [
        f"{row.key if isinstance(row, HeatTime) else row.name} {row.start:%H:%M}-{row.end:%H:%M}"
        for row in rows
    ]


def riders(table: Timetable, key: int | str) -> list[str]:
    return [f"{each.start:%H:%M}" for each in table.heat(key).riders]


# Three heats of four riders at 5 minutes: 20 minutes each, 5 minutes between them.
HEATS = (heat(1), heat(2), heat(3))
