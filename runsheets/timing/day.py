"""One day on the water as plain values: what is put in, and the times that come out.

Pure Python. Every moment is a datetime with a time zone. Two moments in one zone must not be
subtracted as they stand: on a day when the clocks change, Python takes the difference of the
clocks. `apart` gives the time that really goes by.
"""

import math
from collections.abc import Hashable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, time, timedelta
from enum import StrEnum

from events.rules.language import gettext as _


def apart(earlier: datetime, later: datetime) -> timedelta:
    """The time that goes by between two moments, whatever their zones."""
    return later.astimezone(UTC) - earlier.astimezone(UTC)


def with_zone(moment: datetime, name: str) -> datetime:
    """The moment in UTC; raise ValueError if it has no time zone."""
    if moment.tzinfo is None or moment.utcoffset() is None:
        raise ValueError(f"{name} needs a time zone: {moment.isoformat(' ')} has none.")
    return moment.astimezone(UTC)


@dataclass(frozen=True, slots=True)
class PlannedHeat:
    """A heat as it is to be ridden, and what the dock knows of it.

    `seconds_each` is from one rider to the next, see `rider_time.rider_seconds`. `done` are
    the riders of it who have ridden. Raises ValueError if that cannot be.
    """

    key: Hashable
    riders: tuple[Hashable, ...]
    seconds_each: float
    begun_at: datetime | None = None
    ended_at: datetime | None = None
    not_before: datetime | None = None
    done: frozenset[Hashable] = frozenset()

    def __post_init__(self) -> None:
        if not math.isfinite(self.seconds_each) or self.seconds_each < 0:
            raise ValueError("The seconds of a rider must be 0 or more.")
        if len(set(self.riders)) < len(self.riders):
            said = _("A rider is in heat {heat} twice; take one place out.")
            raise ValueError(said.format(heat=self.key))
        for name in ("begun_at", "ended_at", "not_before"):
            if (moment := getattr(self, name)) is not None:
                with_zone(moment, name)
        if self.ended_at is not None:
            if self.begun_at is None:
                said = _("Heat {heat} has an end but has not begun.")
                raise ValueError(said.format(heat=self.key))
            if apart(self.begun_at, self.ended_at) < timedelta(0):
                said = _("Heat {heat} ends before it begins; correct its times.")
                raise ValueError(said.format(heat=self.key))


class PauseKind(StrEnum):
    """What a pause is for. One for fuel starts the count to the next fuel afresh."""

    FUEL = "fuel"
    MEAL = "meal"
    MEETING = "meeting"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Pause:
    """A pause in the riding: after a heat, or at a time of day.

    `at` is the clock at the lake on the day that is planned. No heat is broken off for it: it
    begins at that time, or as soon as the heat then on the water is over. Raises ValueError
    if it takes no time, or has both or neither of `after` and `at`.
    """

    name: str
    seconds: float
    after: Hashable | None = None
    at: time | None = None
    kind: PauseKind = PauseKind.OTHER

    def __post_init__(self) -> None:
        if not math.isfinite(self.seconds) or self.seconds <= 0:
            said = _("{pause}: say how long it takes, more than 0.")
            raise ValueError(said.format(pause=self.name))
        if (self.after is None) == (self.at is None):
            said = _("{pause}: give a heat after which it is, or a time of day.")
            raise ValueError(said.format(pause=self.name))
        if self.at is not None and self.at.tzinfo is not None:
            said = _("{pause}: give the time of day without a time zone.")
            raise ValueError(said.format(pause=self.name))


@dataclass(frozen=True, slots=True)
class Fuel:
    """When the boat needs fuel: after so much riding, or so many riders, and how long it takes.

    It is taken before a heat that would go beyond either, and in every meal that is long
    enough for it, which is then called "... and fuel". Raises ValueError if neither is
    given or one is not more than 0.
    """

    seconds: float
    every_s: float | None = None
    every_riders: int | None = None

    def __post_init__(self) -> None:
        given = [each for each in (self.every_s, self.every_riders) if each is not None]
        if not given:
            raise ValueError(_("Fuel: say after how many hours or riders it is needed."))
        for each in (self.seconds, *given):
            if not math.isfinite(each) or each <= 0:
                raise ValueError(_("Fuel: its times and numbers must be more than 0."))

    @property
    def name(self) -> str:
        """What the pause is called."""
        return _("Fuel")

    @property
    def kind(self) -> PauseKind:
        """What the pause is for."""
        return PauseKind.FUEL


class HeatState(StrEnum):
    """How far a heat is."""

    PLANNED = "planned"
    RUNNING = "running"
    RIDDEN = "ridden"


@dataclass(frozen=True, slots=True)
class RiderTime:
    """When one rider rides. At `end` the next rider can start. `planned` is the plan's start.

    Only whole heats have real times: those of a rider are always an estimate.
    """

    key: Hashable
    start: datetime
    end: datetime
    planned: datetime
    is_done: bool = False

    @property
    def late_by(self) -> timedelta:
        """How much later than planned; negative if earlier."""
        return apart(self.planned, self.start)


@dataclass(frozen=True, slots=True)
class HeatTime:
    """When a heat is ridden; riders in the order in which they ride."""

    key: Hashable
    start: datetime
    end: datetime
    riders: tuple[RiderTime, ...]
    state: HeatState
    planned_start: datetime
    planned_end: datetime

    @property
    def is_real(self) -> bool:
        """Whether its start is a real one."""
        return self.state is not HeatState.PLANNED

    @property
    def late_by(self) -> timedelta:
        """How much later than planned it starts; negative if earlier."""
        return apart(self.planned_start, self.start)


@dataclass(frozen=True, slots=True)
class PauseTime:
    """When a pause is taken."""

    name: str
    kind: PauseKind
    start: datetime
    end: datetime


Row = HeatTime | PauseTime


@dataclass(frozen=True)
class Timetable:
    """The day row by row: `rows` as it now looks, `plan` as it was meant.

    `ends_at` is the end of the last heat, or the start of the day without heats. `warnings`
    are sentences for the organiser.
    """

    rows: tuple[Row, ...]
    plan: tuple[Row, ...]
    ends_at: datetime
    planned_end: datetime
    warnings: tuple[str, ...] = ()
    _by_key: dict[Hashable, HeatTime] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_by_key", {each.key: each for each in self.heats})

    @property
    def heats(self) -> tuple[HeatTime, ...]:
        """The heats alone, in the order of the day as it now looks."""
        return tuple(row for row in self.rows if isinstance(row, HeatTime))

    def heat(self, key: Hashable) -> HeatTime | None:
        """The times of one heat; None if it is not on this day."""
        return self._by_key.get(key)

    def of_rider(self, rider: Hashable) -> Iterator[tuple[HeatTime, RiderTime]]:
        """Every time one rider rides on this day, in order."""
        for heat in self.heats:
            for each in heat.riders:
                if each.key == rider:
                    yield heat, each
