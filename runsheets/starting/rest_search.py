"""The search for an order of the day with rest; see `runsheets.starting.rest.with_rest`.

Pure Python. Heats are numbered by their place in the given order, from 0, so an order is a
list of numbers and an unchanged one counts up. A heat's riders are bits of one number, and
two heats share the riders whose bits are in both.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

Score = tuple[int, int, int]  # pairs out of turn, clashes, places moved: less is better

# Up to so many heats that may move, every order is looked at: 7! are 5040.
EXACT = 7


@dataclass(frozen=True)
class Day:
    """What the search needs to know of a day; heats and places count from 0.

    `free` are the places whose heats may move, in ascending order. Of each of the `pairs`
    the first heat is wanted before the second.
    """

    masks: Sequence[int]
    rest: int
    free: Sequence[int]
    pairs: Sequence[tuple[int, int]]

    @cached_property
    def earlier(self) -> list[set[int]]:
        """For each heat, those that are wanted before it."""
        wanted: list[set[int]] = [set() for _ in self.masks]
        for first, second in self.pairs:
            wanted[second].add(first)
        return wanted

    def clashing(self, order: Sequence[int], place: int) -> int:
        """How many riders at this place rode less than the rest ago."""
        recent = 0
        for heat in order[max(place - self.rest, 0) : place]:
            recent |= self.masks[heat]
        return (self.masks[order[place]] & recent).bit_count()

    def clashes(self, order: Sequence[int], start: int = 0, end: int | None = None) -> int:
        """The clashes of an order; of the places from `start` to before `end` if given."""
        stop = len(order) if end is None else min(end, len(order))
        return sum(self.clashing(order, place) for place in range(start, stop))

    def out_of_turn(self, order: Sequence[int]) -> int:
        """How many pairs are the wrong way round."""
        place = {heat: n for n, heat in enumerate(order)}
        return sum(place[first] > place[second] for first, second in self.pairs)

    def score(self, order: Sequence[int]) -> Score:
        """What the search makes as small as it can."""
        return self.out_of_turn(order), self.clashes(order), moved(order)


def moved(order: Sequence[int]) -> int:
    """The places that heats have moved by, added up."""
    return sum(abs(place - heat) for place, heat in enumerate(order))


def best_order(day: Day) -> list[int]:
    """The best order that is found; the exact one if few heats may move."""
    given = list(range(len(day.masks)))
    start = min(given, _in_turn(day), key=day.score)
    if day.score(start)[:2] == (0, 0):
        return start if len(day.free) > EXACT else _exact(day, start)
    found = _improve(day, start)
    return found if len(day.free) > EXACT else _exact(day, found)


def _in_turn(day: Day) -> list[int]:
    """The given order with each heat held back until those wanted before it are placed."""
    free = set(day.free)
    waiting = list(day.free)
    order: list[int] = []
    placed: set[int] = set()
    for place in range(len(day.masks)):
        heat = place
        if place in free:
            ready = (each for each in waiting if day.earlier[each] <= placed)
            heat = next(ready, waiting[0])
            waiting.remove(heat)
        order.append(heat)
        placed.add(heat)
    return order


def _improve(day: Day, start: list[int]) -> list[int]:
    """Better orders one after another, each by one heat moved or two exchanged."""
    best, score = start, day.score(start)
    while True:
        before = score
        for heat in day.free:
            best, score = _change(day, best, score, heat)
        if score == before:
            return best


def _change(day: Day, order: list[int], score: Score, heat: int) -> tuple[list[int], Score]:
    """The order after the nearest change of this heat that helps; the same if none does.

    A heat that clashes is tried everywhere, one that was only pushed aside where it was.
    """
    place = order.index(heat)
    at = day.free.index(place)
    crowded = _crowded(day, order, place)
    if not crowded and place == heat:
        return order, score
    steps = range(1, len(day.free)) if crowded else [abs(at - day.free.index(heat))]
    for step in steps:
        best, least = order, score
        for to in (at - step, at + step):
            if 0 <= to < len(day.free):
                for changed in _changes(day.free, order, at, to):
                    new = _score_after(day, order, changed, score, (place, day.free[to]))
                    if new < least:
                        best, least = changed, new
        if least < score:
            return best, least
    return order, score


def _crowded(day: Day, order: Sequence[int], place: int) -> bool:
    """Whether the heat at this place shares a rider with one that is too near."""
    mask = day.masks[order[place]]
    near = (*order[max(place - day.rest, 0) : place], *order[place + 1 : place + 1 + day.rest])
    return any(mask & day.masks[heat] for heat in near)


def _score_after(
    day: Day, order: list[int], changed: list[int], score: Score, ends: tuple[int, int]
) -> Score:
    """The score of an order that differs from one of known score only between two places."""
    low, high = min(ends), max(ends) + day.rest + 1
    clashes = score[1] - day.clashes(order, low, high) + day.clashes(changed, low, high)
    # Most changes are no better already, and the rest need not be worked out.
    if score[0] == 0 and clashes > score[1]:
        return (0, clashes, score[2])
    return day.out_of_turn(changed), clashes, moved(changed)


def _changes(
    free: Sequence[int], order: Sequence[int], at: int, to: int
) -> Iterator[list[int]]:
    """The heat at one free place exchanged with that at another, and moved there."""
    swapped = list(order)
    swapped[free[at]], swapped[free[to]] = order[free[to]], order[free[at]]
    yield swapped
    if abs(at - to) > 1:
        places = free[min(at, to) : max(at, to) + 1]
        heats = [order[place] for place in places]
        heats = [*heats[1:], heats[0]] if at < to else [heats[-1], *heats[:-1]]
        shifted = list(order)
        for place, heat in zip(places, heats, strict=True):
            shifted[place] = heat
        yield shifted


def _exact(day: Day, known: list[int]) -> list[int]:
    """The best order of all: place by place, leaving what is no better than the best known."""
    best, least = known, day.score(known)
    free = set(day.free)

    def go_on(order: list[int], waiting: list[int], score: Score) -> None:
        nonlocal best, least
        place = len(order)
        if place == len(day.masks):
            best, least = list(order), score
            return
        for heat in waiting if place in free else [place]:
            order.append(heat)
            late = len(day.earlier[heat].difference(order))
            new = (
                score[0] + late,
                score[1] + day.clashing(order, place),
                score[2] + abs(place - heat),
            )
            if new < least:
                go_on(order, [each for each in waiting if each != heat], new)
            order.pop()

    go_on([], list(day.free), (0, 0, 0))
    return best
