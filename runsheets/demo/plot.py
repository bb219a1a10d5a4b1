"""The demo's story as written in `fixtures/demo`: people, events, riders and their runs.

Dates in it count in days from the day of loading, so that the demo is never out of date.
"""

import tomllib
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from events.rules.loading import merged

FOLDER = Path(__file__).parents[2] / "fixtures" / "demo"
STORY = "event.toml"


@dataclass(frozen=True)
class Days:
    """Turns days counted from `today` into dates and moments of a zone."""

    today: date
    zone: ZoneInfo

    def day(self, days: int) -> date:
        """The date so many days from today."""
        return self.today + timedelta(days=days)

    def moment(self, said: dict[str, Any]) -> datetime:
        """The moment of `{ day = -1, at = "20:00" }`."""
        at = time.fromisoformat(said["at"])
        return datetime.combine(self.day(said["day"]), at, self.zone)


def read_story(folder: Path = FOLDER) -> dict[str, Any]:
    """The whole story as plain data."""
    return read_toml(folder / STORY)


def read_toml(path: Path) -> dict[str, Any]:
    """One file of the demo."""
    return tomllib.loads(path.read_text("utf-8"))


def formats_of(division: dict[str, Any], folder: Path = FOLDER) -> list[dict[str, Any]]:
    """The data of each edition of a division, the first one first."""
    first = merged(read_toml(folder / division["format"]), division.get("set", {}))
    second = division.get("edition_2")
    return [first, merged(first, second["set"])] if second else [first]
