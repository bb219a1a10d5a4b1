"""A plain ride through a run with every outcome given: the check on the exact figures.

Written for the tests and on purpose unlike the engine: it keeps the list of all falls and
counts in it anew at every question, in whole micrometres.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import product

from events.rules.format import Format
from events.rules.riding import DoubleUp
from events.rules.run import Run
from events.rules.trick import Takeoff
from events.rules.words import (
    BonusCondition,
    Counts,
    CutoffEffect,
    NextFall,
    Per,
    WhichFall,
)
from riders.planning.route import Route


@dataclass
class Fall:
    """A fall: its pass, its take-off (None on a bonus trick), and how it counts."""

    pass_no: int
    takeoff: int | None
    counts: bool
    obstacle: bool


@dataclass
class Ride:
    """What happened: indexes in the whole run, and the trick whose fall ended the run."""

    attempted: list[int] = field(default_factory=list)
    landed: list[int] = field(default_factory=list)
    ended_at: int | None = None
    falls_before: dict[int, int] = field(default_factory=dict)


def metre(value: float) -> int:
    """A length in whole micrometres."""
    return round(value * 1_000_000)


def simulate(run: Run, format: Format, route: Route, outcomes: tuple[bool, ...]) -> Ride:
    """Ride the run; `outcomes` say for each planned trick whether it would be landed."""
    ride, falls = Ride(), []
    restart = metre(format.restart_m or 0)
    index = -1
    for pass_no, planned in enumerate(run.passes, start=1):
        numbers = range(index + 1, index + 1 + len(planned.attempts))
        index += len(planned.attempts)
        if ride.ended_at is not None:
            continue
        steps = route.passes[pass_no - 1].steps
        pass_ended = False
        at, fell_last = 0, False
        for number, trick, step in zip(numbers, planned.tricks, steps, strict=False):
            if not fell_last:
                at += metre(step.setup_m)
            if not has_room(format, pass_no, at, metre(step.trick_m)):
                break
            ride.attempted.append(number)
            ride.falls_before[number] = len(in_scope(format, falls, pass_no))
            fell_last = not outcomes[number]
            if outcomes[number]:
                ride.landed.append(number)
                at += metre(step.trick_m)
                continue
            counts = format.falls.course is not Counts.FREE
            obstacle = trick.trick.takeoff is Takeoff.RAIL
            fall = Fall(pass_no, at, counts, obstacle)
            effects = {past_pickup(format, falls, fall)}
            falls.append(fall)
            effects.add(beyond_allowance(format, falls, fall))
            if "run" in effects:
                ride.ended_at = number
                break
            if "pass" in effects:
                pass_ended = True
                break
            at += metre(step.trick_m) + restart
        for number, bonus in zip(numbers[len(planned.tricks) :], planned.bonus, strict=True):
            if pass_ended or ride.ended_at is not None:
                break
            stated = find_bonus(format, pass_no, bonus.bonus)
            if stated is None or not offered(format, stated, falls, pass_no):
                continue
            ride.attempted.append(number)
            ride.falls_before[number] = len(in_scope(format, falls, pass_no))
            if outcomes[number]:
                ride.landed.append(number)
                continue
            fall = Fall(pass_no, None, stated.fall_counts is not False, False)
            falls.append(fall)
            effect = beyond_allowance(format, falls, fall)
            if effect == "run":
                ride.ended_at = number
            pass_ended = effect == "pass"
    return ride


def has_room(format: Format, pass_no: int, at: int, uses: int) -> bool:
    length = format.pass_length(pass_no)
    if length is None:
        return True
    if format.passes.begun_counts:
        return at < metre(length)
    return at + uses <= metre(length)


def in_scope(format: Format, falls: list[Fall], pass_no: int) -> list[Fall]:
    return [
        fall
        for fall in falls
        if fall.counts and (format.falls.counted_per is not Per.PASS or fall.pass_no == pass_no)
    ]


def beyond_allowance(format: Format, falls: list[Fall], fall: Fall) -> str | None:
    if not fall.counts:
        return None
    counted = in_scope(format, falls, fall.pass_no)
    rules = format.falls
    on_obstacles = sum(each.obstacle for each in counted)
    over = rules.allowed is not None and len(counted) > rules.allowed
    if rules.water_allowed is not None:
        over = over or len(counted) - on_obstacles > rules.water_allowed
    if rules.obstacle_allowed is not None:
        over = over or on_obstacles > rules.obstacle_allowed
    if not over:
        return None
    return "pass" if rules.next_fall is NextFall.ENDS_PASS else "run"


def past_pickup(format: Format, earlier: list[Fall], fall: Fall) -> str | None:
    effects = set()
    for cutoff in format.pickup_cutoffs or ():
        if cutoff.pass_no not in (None, fall.pass_no):
            continue
        marker = format.marker(fall.pass_no, cutoff.at_m, cutoff.at_fraction)
        assert marker is not None
        assert fall.takeoff is not None
        # The first counted fall of the rider in the whole run, even where the allowance is
        # per pass: the format's words are "the first fall of the rider".
        is_first = fall.counts and not any(each.counts for each in earlier)
        if fall.takeoff > metre(marker) and (is_first or cutoff.fall is not WhichFall.FIRST):
            effects.add("pass" if cutoff.effect is CutoffEffect.ENDS_PASS else "run")
    return max(effects, default=None)  # "run" comes after "pass"


def find_bonus(format: Format, pass_no: int, name: str) -> DoubleUp | None:
    for each in format.double_ups or ():
        after_here = each.after_pass in (None, pass_no)
        if after_here and (each.name or "").lower() == name.lower():
            return each
    return None


def offered(format: Format, stated: DoubleUp, falls: list[Fall], pass_no: int) -> bool:
    marker = format.marker(pass_no, stated.cutoff_m, stated.cutoff_fraction)
    here = [fall for fall in falls if fall.pass_no == pass_no]
    if marker is not None and any(
        fall.takeoff is not None and fall.takeoff > metre(marker) for fall in here
    ):
        return False
    if stated.condition is BonusCondition.NO_FALL_IN_PASS:
        return not any(fall.counts for fall in here)
    if stated.condition is BonusCondition.FEWER_FALLS:
        assert stated.falls_fewer_than is not None
        return sum(fall.counts for fall in falls) < stated.falls_fewer_than
    return True


@dataclass
class Expected:
    """The figures of a run by adding up all outcomes."""

    clean: float
    complete: float
    bonus_reached: float
    bonus_landed: float
    reach: list[float]
    land: list[float]
    ends: list[float]
    landed: list[float]
    alive: list[dict[int, float]]


def all_outcomes(run: Run) -> Iterator[tuple[tuple[bool, ...], float]]:
    """Every combination of landings and falls, with its probability."""
    chances = [place.planned.likelihood or 0.0 for place in run.places()]
    for outcomes in product((True, False), repeat=len(chances)):
        weight = 1.0
        for chance, landed in zip(chances, outcomes, strict=True):
            weight *= chance if landed else 1 - chance
        yield outcomes, weight


def enumerate_run(run: Run, format: Format, route: Route) -> Expected:
    """Add up every outcome of a run."""
    count = len(run)
    bonus = {
        index for index, place in enumerate(run.places())
        if place.position > len(run.passes[place.pass_no - 1].tricks)
    }  # fmt: skip
    sums = Expected(
        0, 0, 0, 0, [0.0] * count, [0.0] * count, [0.0] * count, [0.0] * (count + 1),
        [{} for _ in range(count)],
    )  # fmt: skip
    for outcomes, weight in all_outcomes(run):
        ride = simulate(run, format, route, outcomes)
        sums.clean += weight * (len(ride.landed) == count)
        sums.complete += weight * (len(ride.attempted) == count)
        sums.bonus_reached += weight * bool(bonus & set(ride.attempted))
        sums.bonus_landed += weight * bool(bonus & set(ride.landed))
        sums.landed[len(ride.landed)] += weight
        for index in ride.attempted:
            sums.reach[index] += weight
            falls = ride.falls_before[index]
            sums.alive[index][falls] = sums.alive[index].get(falls, 0.0) + weight
        for index in ride.landed:
            sums.land[index] += weight
        if ride.ended_at is not None:
            sums.ends[ride.ended_at] += weight
    return sums
