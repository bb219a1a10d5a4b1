"""From what is stored to the times of each day: heats, how long they take, and who rides.

Reads the database in a fixed number of queries, however many riders there are.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from functools import cached_property
from itertools import pairwise

from django.db.models import Prefetch

from events.models import Division, Edition, Event
from runsheets.lineup import HeatLine, bibs_of, heat_lines, rounds_of
from runsheets.models import DayPlan, Heat, Ride, RunningOrder
from runsheets.starting.rest import Clash, DayHeat, clashes
from runsheets.timing.timetable import (
    Fuel,
    HeatTime,
    Pace,
    Part,
    Pause,
    PauseKind,
    PlannedHeat,
    Timetable,
    parts,
    rider_seconds,
    timetable,
)

OVER = (Ride.State.DONE, Ride.State.NOT_STARTED, Ride.State.DISQUALIFIED)
PACE_FIELDS = ("start_s", "turn_s", "pickup_s", "change_s", "double_up_s", "falls_expected")


@dataclass(frozen=True)
class EventHeat:
    """A heat with its riders and its division; the times depend on the day it is on."""

    line: HeatLine
    division: Division
    ridden: frozenset[int] = frozenset()

    @property
    def heat(self) -> Heat:
        """The heat as stored."""
        return self.line.heat

    @property
    def round_name(self) -> str:
        """The name of the round; empty where rounds have none."""
        return self.heat.order.round_name

    @property
    def name(self) -> str:
        """Division, round and heat in words."""
        return ", ".join(filter(None, [self.division.name, self.round_name, str(self.heat)]))

    @property
    def riders(self) -> frozenset[int]:
        """The numbers of the riders, who may ride in other heats too."""
        return frozenset(entry.rider_id for entry in self.line.riding)

    def pace(self, figures: Mapping[str, float]) -> Pace:
        """How long riding takes here; `figures` stand in place of the defaults."""
        edition = self.division.edition
        if edition is None:
            return Pace(**figures)
        rules = edition.effective(self.round_name or None)
        return Pace.of(rules, self.round_name, division=self.division.name, **figures)

    def planned(self, figures: Mapping[str, float]) -> PlannedHeat:
        """The heat as the timetable takes it; riders by the number of their entry."""
        return PlannedHeat(
            key=self.heat.pk,
            riders=tuple(entry.pk for entry in self.line.riding),
            seconds_each=rider_seconds(self.pace(figures)),
            begun_at=self.heat.begun_at,
            ended_at=self.heat.ended_at,
            not_before=self.heat.not_before,
            done=self.ridden,
        )


@dataclass(frozen=True)
class Day:
    """A planned day with its heats in order, and the times that follow."""

    plan: DayPlan
    heats: list[EventHeat]
    now: datetime | None = None

    @cached_property
    def times(self) -> Timetable:
        """The times of the day: real ones where heats have begun."""
        return self._times(tuple(each.planned(self.plan.pace) for each in self.heats))

    def _times(self, heats: tuple[PlannedHeat, ...]) -> Timetable:
        plan = self.plan
        return timetable(
            self.at(plan.starts_at),
            heats,
            pauses_of(plan),
            heat_gap_s=plan.heat_gap_min * 60,
            fuel=fuel_of(plan),
            sunrise=self.at(plan.sunrise) if plan.sunrise else None,
            sunset=self.at(plan.sunset) if plan.sunset else None,
            latest_end=self.at(plan.latest_end) if plan.latest_end else None,
            now=self.now,
        )

    def at(self, clock: time) -> datetime:
        """A time of this day at the lake."""
        return datetime.combine(self.plan.day, clock, tzinfo=self.plan.event.zone)

    @property
    def clashes(self) -> list[Clash]:
        """Riders with too few heats between two of their own."""
        return clashes(rest_order(self.heats), self.plan.rest_heats)

    @cached_property
    def by_key(self) -> dict[int, EventHeat]:
        """The heats by their number in the database."""
        return {each.heat.pk: each for each in self.heats}

    @property
    def takes(self) -> list["Takes"]:
        """What a rider takes in each division and round of the day."""
        seen: dict[tuple[int, str], Takes] = {}
        for each in self.heats:
            key = (each.division.pk, each.round_name)
            if key not in seen:
                pace = each.pace(self.plan.pace)
                name = ", ".join(filter(None, [each.division.name, each.round_name]))
                seen[key] = Takes(name, rider_seconds(pace), parts(pace), pace.assumed)
        return list(seen.values())

    def time_of(self, heat: EventHeat) -> HeatTime | None:
        """When a heat of the day is ridden."""
        return self.times.heat(heat.heat.pk)


@dataclass(frozen=True)
class Takes:
    """How long a rider takes, and how that comes about."""

    name: str
    seconds: float
    parts: tuple[Part, ...]
    assumed: tuple[str, ...]


@dataclass(frozen=True)
class Schedule:
    """All heats of an event: those on days, and those that are on none yet."""

    event: Event
    days: list[Day]
    unplanned: list[EventHeat]
    bibs: dict[int, int] = field(default_factory=dict)

    def day(self, day: date) -> Day | None:
        """The plan of a day; None if there is none."""
        return next((each for each in self.days if each.plan.day == day), None)

    @property
    def heats(self) -> list[EventHeat]:
        """Every heat: by day and place, then the unplanned."""
        return [heat for day in self.days for heat in day.heats] + self.unplanned


def schedule_of(event: Event, now: datetime | None = None) -> Schedule:
    """The days and heats of an event. `now` moves the day that it falls on.

    Heats of a day without a plan are unplanned, by division, round and number.
    """
    bibs = bibs_of(event)
    found = event_heats(event, bibs)
    days = days_of(event, found, now)
    planned = {heat.heat.pk for day in days for heat in day.heats}
    rest = [each for each in found if each.heat.pk not in planned]
    return Schedule(event, days, rest, bibs)


def days_of(
    event: Event, heats: Collection[EventHeat], now: datetime | None = None
) -> list[Day]:
    """The planned days of an event with those of the heats that are on them: one query."""
    days = []
    for plan in event.day_plans.all():
        plan.event = event
        own = [each for each in heats if each.heat.day == plan.day]
        own.sort(key=lambda each: (each.heat.place or 0, each.heat.pk))
        today = now is not None and now.astimezone(event.zone).date() == plan.day
        days.append(Day(plan, own, now if today else None))
    return days


def planned_starts(event: Event, heats: Collection[EventHeat]) -> dict[int, datetime]:
    """When heats start by the plan of their day, by their number: one query."""
    days = days_of(event, heats)
    return {time.key: time.planned_start for day in days for time in day.times.heats}


def event_heats(event: Event, bibs: Mapping[int, int]) -> list[EventHeat]:
    """Every heat of an event by division, round and number."""
    editions = Prefetch("editions", Edition.objects.order_by("-number"))
    divisions = {each.pk: each for each in event.divisions.prefetch_related(editions)}
    for division in divisions.values():
        division.event = event
    orders = RunningOrder.objects.filter(division__in=divisions)
    over = Ride.objects.filter(order__division__in=divisions, state__in=OVER)
    rides = Counter(over.values_list("order", "entry"))
    lines = heat_lines(orders, bibs)
    turn = {
        (division.pk, name): (division.place, division.pk, n)
        for division in divisions.values()
        for n, name in enumerate(rounds_of(division))
    }

    def place(line: HeatLine) -> tuple[int, ...]:
        order = line.heat.order
        last = (order.division.place, order.division_id, len(turn))
        return (*turn.get((order.division_id, order.round_name), last), line.heat.number)

    found = []
    for line in sorted(lines, key=place):
        division = divisions[line.heat.order.division_id]
        runs = _runs(division, line.heat.order.round_name)
        ridden = {e.pk for e in line.riding if rides[line.heat.order_id, e.pk] >= runs}
        found.append(EventHeat(line, division, frozenset(ridden)))
    return found


def _runs(division: Division, round_name: str) -> int:
    if division.edition is None:
        return 1
    rounds = division.edition.effective(round_name or None).rounds or ()
    return next((each.best_of or 1 for each in rounds if each.name == round_name), 1)


def rest_order(heats: Iterable[EventHeat]) -> list[DayHeat]:
    """Heats as the search for rest takes them."""
    return [DayHeat(each.heat.pk, each.riders) for each in heats]


def turns(heats: Iterable[EventHeat]) -> list[tuple[int, int]]:
    """Pairs of heats that keep their turn: round before round, heat before heat."""
    by_division: dict[int, list[EventHeat]] = {}
    for each in heats:
        by_division.setdefault(each.division.pk, []).append(each)
    pairs = []
    for own in by_division.values():
        names = rounds_of(own[0].division)
        place = {name: n for n, name in enumerate(names)}
        own.sort(key=lambda e: (place.get(e.round_name, len(names)), e.heat.number))
        pairs += [(a.heat.pk, b.heat.pk) for a, b in pairwise(own)]
    return pairs


def pauses_of(plan: DayPlan) -> list[Pause]:
    """The breaks of a day."""
    return [
        Pause(
            each["name"],
            each["minutes"] * 60,
            at=time.fromisoformat(each["at"]),
            kind=PauseKind.MEAL if each.get("meal") else PauseKind.OTHER,
        )
        for each in plan.breaks
    ]


def fuel_of(plan: DayPlan) -> Fuel | None:
    """When the boat needs fuel; None where the plan says nothing."""
    if not plan.fuel_every_h or not plan.fuel_min:
        return None
    return Fuel(plan.fuel_min * 60, every_s=float(plan.fuel_every_h) * 3600)
