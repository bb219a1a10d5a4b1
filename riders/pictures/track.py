"""The rider's line of one pass as strokes: metres along the course, lanes across it.

Lanes run from -1 (outside the wake to port) over 0 (behind the boat) to 1 (outside the wake
to starboard); the wakes themselves lie at WAKE to either side.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from events.rules.format import Format
from events.rules.trick import Takeoff
from riders.pictures.words import side_before_moves
from riders.planning.metres import costs_of
from riders.planning.route import Move, PassRoute, Side, State, Step

WAKE = 0.37
RIDE_OUT = 0.15  # of a crossing trick is ridden outside before the cut, and again after it


class Kind(StrEnum):
    """What the rider does on a stroke."""

    RIDE = "ride"
    TRICK = "trick"
    CROSS = "cross"
    DROPPED = "dropped"


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight part of the rider's line, from one place to another.

    `position` is that of the trick which it belongs to, 0 for riding on to the end.
    """

    kind: Kind
    from_m: float
    from_lane: float
    to_m: float
    to_lane: float
    position: int = 0


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on the rider's line; `step` is the trick there, None for a turn."""

    metres: float
    lane: float
    step: Step | None = None
    fits: bool = True


@dataclass(frozen=True, slots=True)
class Track:
    """The rider's line of one pass. `end_m` is where it ends, bonus tricks included."""

    strokes: tuple[Stroke, ...]
    spots: tuple[Spot, ...]
    end_m: float


def lane(side: Side) -> float:
    """The lane outside the wake on a side."""
    return -1.0 if side is Side.PORT else 1.0


def track_of(route: PassRoute, format: Format, start: State | None, extra_m: float) -> Track:
    """The line of a pass: from its start over every trick to its end, then bonus tricks.

    Each bonus trick uses no metres and gets `extra_m` of room past the end of the course.
    """
    tricks = [step for step in route.steps if not step.planned.bonus]
    strokes: list[Stroke] = []
    spots: list[Spot] = []
    for step in tricks:
        drawn, marks = _step(step, _turn_share(step, format))
        strokes += drawn
        spots += marks
    end = max([0.0, route.length_m or 0.0, *(step.end_m for step in tricks)])
    here = lane(start.side) if start else None
    ridden = 0.0
    for step in tricks:
        if step.fits:
            here, ridden = lane(step.after.side), step.end_m
    if here is not None and route.length_m is not None and ridden < route.length_m:
        strokes.append(Stroke(Kind.RIDE, ridden, here, route.length_m, here))
    for step in route.steps[len(tricks) :]:
        first, end = end, end + extra_m
        strokes += _trick(step, first, end)
        spots.append(Spot((first + end) / 2, _spot_lane(step), step))
    return Track(tuple(strokes), tuple(spots), end)


def _turn_share(step: Step, format: Format) -> float:
    """How much of the set-up of a step is its turn."""
    if Move.CROSS not in step.moves:
        return 1.0
    if Move.TURN not in step.moves:
        return 0.0
    costs = costs_of(format)
    setup_m = costs.moves(turns=1, crosses=1)
    return costs.turn_m / setup_m if setup_m else 0.5


def _step(step: Step, turn_share: float) -> tuple[list[Stroke], list[Spot]]:
    """The set-up moves of a trick, then the trick."""
    strokes: list[Stroke] = []
    spots: list[Spot] = []
    here = lane(side_before_moves(step))
    at = step.takeoff_m - step.setup_m
    kind = Kind.RIDE if step.fits else Kind.DROPPED
    if Move.TURN in step.moves:
        turned = at + turn_share * step.setup_m
        strokes.append(Stroke(kind, at, here, turned, here, step.position))
        spots.append(Spot((at + turned) / 2, here, None, step.fits))
        at = turned
    if Move.CROSS in step.moves:
        kind = Kind.CROSS if step.fits else kind
        strokes.append(Stroke(kind, at, here, step.takeoff_m, -here, step.position))
    strokes += _trick(step, step.takeoff_m, step.end_m)
    spots.append(Spot((step.takeoff_m + step.end_m) / 2, _spot_lane(step), step, step.fits))
    return strokes, spots


def _trick(step: Step, first: float, last: float) -> Iterator[Stroke]:
    here, there = lane(step.before.side), lane(step.after.side)
    out = RIDE_OUT * (last - first)
    places = [(first, here), (first + out, here), (last - out, there), (last, there)]
    if here == there:
        places = [(first, here), (last, there)]
        if step.planned.trick.takeoff is Takeoff.ONE_WAKE:
            places.insert(1, ((first + last) / 2, WAKE * here))
    kind = Kind.TRICK if step.fits else Kind.DROPPED
    for (from_m, from_lane), (to_m, to_lane) in pairwise(places):
        yield Stroke(kind, from_m, from_lane, to_m, to_lane, step.position)


def _spot_lane(step: Step) -> float:
    """Where the number of a trick stands: behind the boat, on the wake, or outside."""
    if step.before.side is not step.after.side:
        return 0.0
    at_wake = step.planned.trick.takeoff is Takeoff.ONE_WAKE
    return lane(step.before.side) * (WAKE if at_wake else 1.0)
