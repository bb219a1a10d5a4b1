"""Which day it is at a lake: a contest is over when its last day is over there, whatever the
time where the site runs or where its reader sits."""

from collections.abc import Iterable
from datetime import date
from typing import NamedTuple
from zoneinfo import ZoneInfo

from django.utils import timezone

from events.models import Event

# Where every day begins first, by the tz database.
FIRST_TO_BEGIN = ZoneInfo("Pacific/Kiritimati")


def today_at(event: Event) -> date:
    """The day it is at the lake of the event now."""
    return timezone.localdate(timezone=event.zone)


def latest_day() -> date:
    """The latest day that has begun anywhere: nothing can have happened on a later one."""
    return timezone.localdate(timezone=FIRST_TO_BEGIN)


def is_over(event: Event) -> bool:
    """Whether the last day of the event is over at its lake."""
    return event.last_day < today_at(event)


class Season(NamedTuple):
    """Events that come or are on, the next first, and those that are over, the latest first."""

    coming: list[Event]
    past: list[Event]


def season(events: Iterable[Event]) -> Season:
    """Part events, in whatever order they come, into what is to come and what is over."""
    coming: list[Event] = []
    past: list[Event] = []
    for event in sorted(events, key=lambda each: (each.first_day, each.name)):
        (past if is_over(event) else coming).append(event)
    return Season(coming, past[::-1])
