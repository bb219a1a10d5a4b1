"""Rest: heats of the same rider that follow one another too soon, and an order that parts them.

Pure Python. A rider who is entered in two divisions, or who goes from one round into the
next, needs time to breathe, to warm up again and to change boards. How much is for the
organiser to say, in whole heats or in minutes.
"""

from collections.abc import Collection, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from runsheets.starting.rest_search import Day, best_order

Span = tuple[datetime, datetime]
Pair = tuple[Hashable, Hashable]


@dataclass(frozen=True, slots=True)
class DayHeat:
    """A heat of the day and who rides in it; `key` tells it from all others."""

    key: Hashable
    riders: frozenset[Hashable]


@dataclass(frozen=True, slots=True)
class Clash:
    """Two heats that follow one another too soon for a rider, counted in heats between."""

    rider: Hashable
    first: Hashable
    second: Hashable
    heats_between: int


@dataclass(frozen=True, slots=True)
class TimeClash:
    """Two heats that follow one another too soon for a rider, in time.

    `gap` runs from the end of the first to the start of the second heat; it is below zero
    where they overlap.
    """

    rider: Hashable
    first: Hashable
    second: Hashable
    gap: timedelta


def clashes(order: Sequence[DayHeat], rest: int) -> list[Clash]:
    """Where a rider's next heat comes with fewer than `rest` whole heats between.

    In the order of the second heat; riders of the same heat by their text. Raises
    ValueError if `rest` is below 0 or a heat is in the order twice.
    """
    _check(order, rest)
    ridden: dict[Hashable, int] = {}
    found = []
    for place, heat in enumerate(order):
        for rider in sorted(heat.riders, key=str):
            last = ridden.get(rider)
            if last is not None and place - last - 1 < rest:
                found.append(Clash(rider, order[last].key, heat.key, place - last - 1))
            ridden[rider] = place
    return found


def clashes_in_time(
    heats: Iterable[DayHeat], spans: Mapping[Hashable, Span], rest: timedelta
) -> list[TimeClash]:
    """Where a rider's next heat starts less than `rest` after the heat before has ended.

    `spans` gives the start and end of heats by key, all with a time zone or all without;
    over the change to or from summer time only the former is exact. A heat without a span
    has no time yet and cannot clash. In the order of the second heat's start, riders of the
    same heat by their text. Raises ValueError if `rest` is below zero, or an end is before
    its start.
    """
    if rest < timedelta(0):
        raise ValueError("The rest cannot be below zero.")
    timed = [(_moments(spans[heat.key]), heat) for heat in heats if heat.key in spans]
    timed.sort(key=lambda each: each[0])
    last: dict[Hashable, tuple[datetime, Hashable]] = {}
    found = []
    for (start, end), heat in timed:
        for rider in sorted(heat.riders, key=str):
            over, first = last.get(rider, (None, None))
            if over is not None and start - over < rest:
                found.append(TimeClash(rider, first, heat.key, start - over))
            if over is None or end >= over:
                last[rider] = (end, heat.key)
    return found


def out_of_turn(order: Sequence[DayHeat], before: Iterable[Pair]) -> list[Pair]:
    """The pairs of `before` whose first heat comes after their second in this order.

    Pairs that name a heat which is not in the order say nothing about it.
    """
    place = {heat.key: n for n, heat in enumerate(order)}
    both = [pair for pair in before if pair[0] in place and pair[1] in place]
    return [(first, second) for first, second in both if place[first] > place[second]]


def with_rest(
    order: Sequence[DayHeat],
    rest: int,
    fixed: Collection[Hashable] = (),
    before: Collection[Pair] = (),
) -> tuple[list[DayHeat], list[Clash]]:
    """An order of the day with fewer clashes, and the clashes that remain.

    `rest` is the number of whole heats wanted between two heats of one rider. Heats whose
    keys are in `fixed` (begun or ridden) stay in their places. Of each pair in `before` the
    first is ridden before the second: qualifying before the final, heat 1 before heat 2. A
    pair that is in turn stays in turn; one that is out of turn is put right where that is
    possible, which it is not if the second heat is fixed too early. Keys that are not in
    the order are disregarded, so the pairs of all days may be given.

    First the fewest pairs out of turn, then the fewest clashes, then the fewest places that
    heats are moved by, added up. Exact where at most 7 heats may move; with more, heats that
    clash are taken in turn, and each goes to the nearest place where it helps or changes
    places with another, until that helps no longer. The result never has more clashes than
    the given order, unless pairs had to be put right, and the same call always gives the
    same order.
    Raises ValueError as `clashes` does.
    """
    _check(order, rest)
    place = {heat.key: n for n, heat in enumerate(order)}
    bits: dict[Hashable, int] = {}
    for heat in order:
        for rider in heat.riders:
            bits.setdefault(rider, 1 << len(bits))
    day = Day(
        masks=[sum(bits[rider] for rider in heat.riders) for heat in order],
        rest=rest,
        free=[n for n, heat in enumerate(order) if heat.key not in fixed],
        pairs=sorted(
            {(place[a], place[b]) for a, b in before if a in place and b in place and a != b}
        ),
    )
    better = [order[n] for n in best_order(day)]
    return better, clashes(better, rest)


def _moments(span: Span) -> Span:
    """A span in UTC where it has a time zone: there differences are real time."""
    start, end = (each if each.tzinfo is None else each.astimezone(UTC) for each in span)
    if end < start:
        raise ValueError("A heat cannot end before it starts.")
    return start, end


def _check(order: Sequence[DayHeat], rest: int) -> None:
    if rest < 0:
        raise ValueError("The rest cannot be fewer than 0 heats.")
    if len({heat.key for heat in order}) < len(order):
        raise ValueError("A heat is in the order of the day twice.")
