"""A planned run made ready to be ridden: each pass with its tricks, bonus tricks, markers."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import IntEnum, StrEnum
from typing import NamedTuple

from events.rules.format import Format, named
from events.rules.language import mark
from events.rules.riding import DoubleUp
from events.rules.run import Pass, Place, Run
from events.rules.trick import Takeoff
from events.rules.words import BonusCondition, CutoffEffect, WhichFall
from riders.planning.metres import fits
from riders.planning.route import PassRoute, Route, Step


class Next(IntEnum):
    """What follows a fall; of two effects the greater one holds."""

    GOES_ON = 0
    UNSTATED = 1  # the format does not say
    PASS_ENDS = 2
    RUN_ENDS = 3


class Bar(StrEnum):
    """Why a planned bonus trick is not on offer; its value is said after a colon."""

    UNSTATED = mark("the format does not say whether it is offered")
    UNKNOWN = mark("the format has no such bonus trick after this pass")
    ROUND = mark("it is not offered in this round")
    DIVISION = mark("it is not offered in this division")
    EXCLUDED = mark("it may not be ridden together with another bonus trick")
    TWICE = mark("it is one trick, and it is planned twice")
    FALL_IN_PASS = mark("there was a fall in this pass")
    TOO_MANY_FALLS = mark("there were too many falls")
    PAST_MARKER = mark("there was a fall past its cutoff marker")


@dataclass(frozen=True, slots=True)
class Leg:
    """A trick on the course; `index` is its place in the whole run, from 0.

    A fall uses `fall_m`: the trick and the restart, and then no set-up.
    """

    index: int
    place: Place
    trick_m: float
    next_setup_m: float
    fall_m: float
    obstacle: bool


@dataclass(frozen=True, slots=True)
class Extra:
    """A planned bonus trick; `bar` holds where it is not on offer whatever happens."""

    index: int
    place: Place
    stated: DoubleUp | None
    bar: Bar | None
    marker: float | None
    bit: int
    obstacle: bool


class Cutoff(NamedTuple):
    """A marker past which a fallen rider is not picked up.

    Where the format does not say which fall, it is any; where not what it ends, the run.
    """

    marker: float
    first_only: bool
    effect: Next
    fall_stated: bool
    effect_stated: bool


@dataclass(frozen=True, slots=True)
class Stretch:
    """One pass, ready to be ridden."""

    number: int
    length_m: float | None
    first_setup_m: float
    legs: tuple[Leg, ...]
    extras: tuple[Extra, ...]
    cutoffs: tuple[Cutoff, ...]
    asks_pass_falls: bool


def stretches(
    run: Run, format: Format, route: Route, round: str | None, division: str | None
) -> Iterator[Stretch]:
    first = 0
    for each, planned in zip(run.passes, route.passes, strict=True):
        steps = planned.steps[: len(each.tricks)]
        extras = _extras(each, planned, format, first, round, division)
        yield Stretch(
            planned.pass_no,
            planned.length_m,
            steps[0].setup_m if steps else 0.0,
            tuple(_legs(steps, first, format.restart_m or 0.0)),
            extras,
            tuple(_cutoffs(format, planned.pass_no)),
            any(
                extra.stated and extra.stated.condition is BonusCondition.NO_FALL_IN_PASS
                for extra in extras
            ),
        )
        first += len(planned.steps)


def eased(stretch: Stretch, begun_counts: bool | None) -> Stretch:
    """The same pass without metres, where they cannot matter; else the pass itself.

    They cannot where there is no marker and the dearest way through it still fits.
    """
    markers = stretch.cutoffs or any(extra.marker is not None for extra in stretch.extras)
    if markers or not stretch.legs:
        return stretch
    *_, (last, dearest) = furthest(stretch)
    if not fits(dearest, last.trick_m, stretch.length_m, begun_counts):
        return stretch
    legs = tuple(
        replace(leg, trick_m=0.0, next_setup_m=0.0, fall_m=0.0) for leg in stretch.legs
    )
    return replace(stretch, length_m=None, first_setup_m=0.0, legs=legs)


def furthest(stretch: Stretch) -> Iterator[tuple[Leg, float]]:
    """Each trick of a pass with the furthest take-off that landings and falls lead to."""
    metres = stretch.first_setup_m
    for leg in stretch.legs:
        yield leg, metres
        metres += max(leg.trick_m + leg.next_setup_m, leg.fall_m)


def _legs(steps: tuple[Step, ...], first: int, restart_m: float) -> Iterator[Leg]:
    for at, step in enumerate(steps):
        setup = steps[at + 1].setup_m if at + 1 < len(steps) else 0.0
        obstacle = step.planned.trick.takeoff is Takeoff.RAIL
        fall_m = step.trick_m + restart_m
        yield Leg(first + at, step.place, step.trick_m, setup, fall_m, obstacle)


def _cutoffs(format: Format, pass_no: int) -> Iterator[Cutoff]:
    for each in format.pickup_cutoffs or ():
        marker = format.marker(pass_no, each.at_m, each.at_fraction)
        if marker is not None and each.pass_no in (pass_no, None):
            ends_pass = each.effect is CutoffEffect.ENDS_PASS
            effect = Next.PASS_ENDS if ends_pass else Next.RUN_ENDS
            yield Cutoff(
                marker,
                each.fall is WhichFall.FIRST,
                effect,
                each.fall is not None,
                each.effect is not None,
            )


def _extras(
    each: Pass,
    planned: PassRoute,
    format: Format,
    first: int,
    round: str | None,
    division: str | None,
) -> tuple[Extra, ...]:
    made: list[Extra] = []
    for at, step in enumerate(planned.steps[len(each.tricks) :]):
        stated, bar = stated_bonus(format, step.place, round, division)
        marker = None
        if stated is not None:
            marker = format.marker(planned.pass_no, stated.cutoff_m, stated.cutoff_fraction)
            if bar is None and any(_excludes(stated, earlier) for earlier in made):
                bar = Bar.EXCLUDED
            if any(named(step.planned.bonus, (e.place.planned.bonus,)) for e in made):
                bar = Bar.TWICE
        obstacle = step.planned.trick.takeoff is Takeoff.RAIL
        index = first + len(each.tricks) + at
        made.append(Extra(index, step.place, stated, bar, marker, 1 << at, obstacle))
    return tuple(made)


def stated_bonus(
    format: Format, place: Place, round: str | None = None, division: str | None = None
) -> tuple[DoubleUp | None, Bar | None]:
    """The bonus trick of the format that a planned one claims, and what bars it.

    Where the format states several of that name after the pass, the first that is offered
    in this round and division holds. A round or division that is not given is offered.
    """
    if format.double_ups is None:
        return None, Bar.UNSTATED
    barred: tuple[DoubleUp | None, Bar | None] = (None, Bar.UNKNOWN)
    for each in format.bonus_after(place.pass_no):
        if not named(place.planned.bonus, (each.name or "",)):
            continue
        bar = _bar_for(each, round, division)
        if bar is None:
            return each, None
        if barred[0] is None:
            barred = each, bar
    return barred


def _bar_for(stated: DoubleUp, round: str | None, division: str | None) -> Bar | None:
    if round is not None and stated.rounds and not named(round, stated.rounds):
        return Bar.ROUND
    if division is not None and stated.divisions and not named(division, stated.divisions):
        return Bar.DIVISION
    return None


def _excludes(stated: DoubleUp, earlier: Extra) -> bool:
    """Whether one of the two names the other; of such a pair only the first is ridden."""
    if earlier.bar is not None or earlier.stated is None:
        return False
    return named(earlier.stated.name, stated.excludes or ()) or named(
        stated.name, earlier.stated.excludes or ()
    )
