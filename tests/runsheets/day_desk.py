"""An event with two divisions in heats, and a planned day, for tests of days and times."""

from datetime import date, datetime, time, timedelta
from typing import Any

from events.models import Division, Event
from events.rules.words import RidingOrder
from riders.models import Bib
from runsheets.days import fill, plan_version, publish_day, save_day
from runsheets.models import DayPlan, Heat
from runsheets.orders import make_order, order_version, publish_order
from runsheets.schedule import Schedule, schedule_of
from tests.factories import (
    DivisionFactory,
    EditionFactory,
    EntryFactory,
    EventFactory,
    RiderFactory,
)

RULES = {
    "passes": {"count": 2, "length_m": 400, "ended_by": "marker"},
    "falls": {"allowed": 1, "counted_per": "run", "next_fall": "ends run"},
    "rounds": [{"name": "Final", "kind": "final", "heat_size": 3}],
}
DAY = date(2027, 7, 3)
# Six riders each, so that a heat size of three makes two heats.
NAMES = ("Adlersee", "Brandquist", "Ćwierk", "Dubrava", "Eskola", "Fjordan")


def two_divisions(riders: int = len(NAMES)) -> Event:
    """A public event of two days, each division with its riders and bibs, without orders."""
    event = EventFactory(
        first_day=DAY,
        last_day=DAY + timedelta(days=1),
        time_zone="Europe/Vienna",
        is_public=True,
    )
    for place, name in enumerate(("Open", "Seniors")):
        division = DivisionFactory(event=event, name=name, slug=name.lower(), place=place)
        EditionFactory(division=division, data=RULES)
        for n in range(riders):
            family = NAMES[n % len(NAMES)] + ("" if n < len(NAMES) else str(n))
            entry = EntryFactory(division=division, rider=RiderFactory(family_name=family))
            Bib.objects.create(event=event, rider=entry.rider, number=place * 1000 + n + 1)
    return event


def order_all(event: Event, by: Any, public: bool = True) -> None:
    """Alphabetical running orders for the final of every division."""
    for division in Division.objects.filter(event=event):
        order = make_order(
            division=division, round_name="Final", method=RidingOrder.ALPHABETICAL, by=by
        )
        if public:
            publish_order(order=order, public=True, version=order_version(order), by=by)


def plan_day(event: Event, by: Any, **more: Any) -> DayPlan:
    """A day from nine o'clock, with a rider every five minutes and five between heats."""
    figures = {"start_s": 60, "turn_s": 30, "change_s": 60, "pickup_s": 60, "falls_expected": 0}
    values = {"day": DAY, "starts_at": time(9), "pace": figures, "heat_gap_min": 5, **more}
    return save_day(plan=DayPlan(event=event, **values), by=by)


def filled(event: Event, by: Any, public: bool = True, **more: Any) -> DayPlan:
    """The planned day with every heat on it."""
    plan = plan_day(event, by, **more)
    fill(event=event, version=plan_version(schedule_of(event)), by=by)
    return publish_day(plan=plan, public=True, by=by) if public else plan


def at(event: Event, clock: str, day: date = DAY) -> datetime:
    """A time of day at the lake."""
    return datetime.combine(day, time.fromisoformat(clock), tzinfo=event.zone)


def heat_of(event: Event, division: str, number: int) -> Heat:
    return Heat.objects.get(
        order__division__event=event, order__division__name=division, number=number
    )


def named(schedule: Schedule) -> list[list[str]]:
    """The names of the heats of each day."""
    return [[heat.name for heat in day.heats] for day in schedule.days]
