"""Walks through a day heat by heat and finds when everything begins.

Pure Python. All sums are made in UTC, so that a day on which the clocks change keeps its
length; moments are turned into the day's own zone when they are handed out.
"""

from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo

from events.rules.language import gettext as _
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
    with_zone,
)

NO_TIME = timedelta(0)


@dataclass(frozen=True, slots=True)
class Ridden:
    """A heat with its times in UTC, and the start of each rider in the order of riding."""

    heat: PlannedHeat
    start: datetime
    end: datetime
    state: HeatState
    slots: tuple[tuple[Hashable, datetime, bool], ...]


class DayWalk:
    """One day, one boat: call `ride` for each heat in turn, then `finish`.

    `free` is from when the boat is free, `last_end` when the last heat with riders ended.
    """

    def __init__(
        self,
        starts_at: datetime,
        pauses: Iterable[Pause] = (),
        heat_gap_s: float = 0,
        fuel: Fuel | None = None,
    ) -> None:
        self.zone: tzinfo = starts_at.tzinfo or UTC
        self.free = with_zone(starts_at, "starts_at")
        self.last_end: datetime | None = None
        self.rows: list[Ridden | PauseTime] = []
        self._gap = timedelta(seconds=heat_gap_s)
        self._fuel = fuel
        self._fuel_s, self._fuel_riders = 0.0, 0
        self._due: list[Pause] = []
        self._after: dict[Hashable, list[Pause]] = defaultdict(list)
        self._clock: list[tuple[datetime, Pause]] = []
        day = starts_at.date()
        for pause in pauses:
            if pause.at is None:
                self._after[pause.after].append(pause)
            else:
                at = datetime.combine(day, pause.at, self.zone)
                self._clock.append((at.astimezone(UTC), pause))
        self._clock.sort(key=lambda each: each[0])

    def ride(self, heat: PlannedHeat, now: datetime | None = None) -> Ridden:
        """Put a heat next. `now`, in UTC: one that has not begun begins no earlier."""
        begun = heat.begun_at and heat.begun_at.astimezone(UTC)
        if heat.riders or begun:
            self._pause_before(heat, begun, now)
        if begun is None:
            ridden = self._planned(heat, now)
        elif heat.ended_at is None:
            ridden = _running(heat, begun, now)
        else:
            ridden = _over(heat, begun, heat.ended_at.astimezone(UTC))
        self.rows.append(ridden)
        self.free = max(self.free, ridden.end)
        if heat.riders:
            self.last_end = max(self.last_end or ridden.end, ridden.end)
        self._fuel_s += (ridden.end - ridden.start).total_seconds()
        self._fuel_riders += len(heat.riders)
        self._due += self._after.pop(heat.key, [])
        return ridden

    def finish(self) -> None:
        """Put the pauses that are left behind the last heat, such as the prize giving."""
        for pause in self._due:
            self._take(pause)
        for at, pause in self._clock:
            self._take(pause, at)

    def out(self, moment: datetime) -> datetime:
        """A moment in the zone of the day."""
        return moment.astimezone(self.zone)

    def _planned(self, heat: PlannedHeat, now: datetime | None) -> Ridden:
        start = self._earliest(heat, now) if heat.riders else self.free
        slots = tuple(
            (rider, start + timedelta(seconds=heat.seconds_each * place), rider in heat.done)
            for place, rider in enumerate(heat.riders)
        )
        end = start + timedelta(seconds=heat.seconds_each * len(heat.riders))
        return Ridden(heat, start, end, HeatState.PLANNED, slots)

    def _earliest(self, heat: PlannedHeat, now: datetime | None) -> datetime:
        bounds = [self.free, now, heat.not_before and heat.not_before.astimezone(UTC)]
        if self.last_end is not None:
            bounds.append(self.last_end + self._gap)
        return max(each for each in bounds if each is not None)

    def _pause_before(
        self, heat: PlannedHeat, begun: datetime | None, now: datetime | None
    ) -> None:
        self._due = [pause for pause in self._due if not self._take(pause, begun=begun)]
        self._clock_pauses(heat, begun, now)
        if self._needs_fuel(heat) and self._fuel is not None:
            self._take(self._fuel, begun=begun)
            self._clock_pauses(heat, begun, now)

    def _clock_pauses(
        self, heat: PlannedHeat, begun: datetime | None, now: datetime | None
    ) -> None:
        left = []
        for at, pause in self._clock:
            is_due = at <= (begun or self._earliest(heat, now))
            if not is_due or not self._take(pause, at, begun):
                left.append((at, pause))
        self._clock = left

    def _needs_fuel(self, heat: PlannedHeat) -> bool:
        if self._fuel is None or not self._fuel_riders:
            return False
        seconds = self._fuel_s + heat.seconds_each * len(heat.riders)
        riders = self._fuel_riders + len(heat.riders)
        return seconds > (self._fuel.every_s or seconds) or riders > (
            self._fuel.every_riders or riders
        )

    def _take(
        self, pause: Pause | Fuel, at: datetime | None = None, begun: datetime | None = None
    ) -> bool:
        """Take a pause now, or at its time. False if there was no room before a real heat.

        A pause counts as taken if half of it fitted in before that heat; else it is still
        due, because the riding went on.
        """
        start = max(self.free, at or self.free)
        end = start + timedelta(seconds=pause.seconds)
        if begun is not None:
            if begun - start < (end - start) / 2:
                return False
            end = min(end, begun)
        meal_with_fuel = (
            self._fuel is not None
            and pause.kind is PauseKind.MEAL
            and (end - start).total_seconds() >= self._fuel.seconds
        )
        if meal_with_fuel or pause.kind is PauseKind.FUEL:
            self._fuel_s, self._fuel_riders = 0.0, 0
        name = pause.name
        if meal_with_fuel:
            name = _("{pause} and fuel").format(pause=name)
        self.rows.append(PauseTime(name, pause.kind, self.out(start), self.out(end)))
        self.free = end
        return True


def _over(heat: PlannedHeat, begun: datetime, ended: datetime) -> Ridden:
    """Only the whole heat has real times; its riders are spread evenly over it."""
    each = (ended - begun) / max(len(heat.riders), 1)
    slots = tuple((rider, begun + each * n, True) for n, rider in enumerate(heat.riders))
    return Ridden(heat, begun, ended, HeatState.RIDDEN, slots)


def _running(heat: PlannedHeat, begun: datetime, now: datetime | None) -> Ridden:
    """Riders who have ridden are spread from the start; the next one is on the water.

    That one began as planned after those before, but not later than now, and not so early
    that the run would be over by now. The others follow at the planned pace. A rider who was
    passed over comes after those who have ridden.
    """
    each = timedelta(seconds=heat.seconds_each)
    done = [rider for rider in heat.riders if rider in heat.done]
    left = [rider for rider in heat.riders if rider not in heat.done]
    current = begun + each * len(done)
    if now is not None:
        now = max(now, begun)
        current = min(max(current, now - each if left else begun), now)
    ridden = (current - begun) / max(len(done), 1)
    slots = [(rider, begun + ridden * n, True) for n, rider in enumerate(done)]
    slots += [(rider, current + each * n, False) for n, rider in enumerate(left)]
    return Ridden(heat, begun, current + each * len(left), HeatState.RUNNING, tuple(slots))


def as_rows(walk: DayWalk, plan: Mapping[Hashable, Ridden]) -> tuple[Row, ...]:
    """The rows of a walk with the times that were planned beside them."""
    return tuple(
        row if isinstance(row, PauseTime) else _heat_time(walk, row, plan[row.heat.key])
        for row in walk.rows
    )


def _heat_time(walk: DayWalk, ridden: Ridden, plan: Ridden) -> HeatTime:
    planned = {rider: start for rider, start, _done in plan.slots}
    starts = [start for _rider, start, _done in ridden.slots]
    ends: Sequence[datetime] = [*starts[1:], ridden.end]
    riders = tuple(
        RiderTime(rider, walk.out(start), walk.out(end), walk.out(planned[rider]), done)
        for (rider, start, done), end in zip(ridden.slots, ends, strict=False)
    )
    return HeatTime(
        ridden.heat.key,
        walk.out(ridden.start),
        walk.out(ridden.end),
        riders,
        ridden.state,
        walk.out(plan.start),
        walk.out(plan.end),
    )
