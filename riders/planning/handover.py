"""What one pass, ridden in some order, hands on to the next: the parts of an order search.

A pass only knows of the passes before it through the falls counted so far. So one order of
one pass comes down to a few numbers for each count of falls at its start: what it gains, and
with which probability it hands on each count of falls. Orders that begin alike share the
work of their beginning.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from riders.planning.course import Course
from riders.planning.falls import Progress
from riders.planning.ground import Goal
from riders.planning.route import Arrival, Path, cheapest, onwards, start_of
from riders.planning.stretches import Next

Exits = dict[Progress, float]
_Weights = dict[int, float]


class Handover(NamedTuple):
    """One order of a pass: what it gains and hands on, for each way to enter the pass."""

    order: tuple[int, ...]
    gains: tuple[float, ...]
    exits: tuple[Exits, ...]
    setup_m: float


@dataclass(slots=True)
class _Layer:
    """Riders after some tricks, by the number of their progress times the number of ways
    to enter the pass, plus the one that they came by.

    `stood` landed the last trick and still make the set-up for the next; `fell` restart
    where it wants them. `out` have no course left, and a fall has ended the pass of `over`.
    """

    stood: _Weights
    fell: _Weights
    out: _Weights
    over: _Weights
    gains: list[float]


class Frontier(NamedTuple):
    """The ways to have ridden some tricks of a pass; one layer serves all where no metre
    matters."""

    order: tuple[int, ...]
    arrivals: tuple[Arrival, ...]
    layers: tuple[_Layer, ...]


class PassOrders:
    """The orders of some tricks in one pass (0 for the first), entered with each of some
    falls so far."""

    def __init__(
        self, course: Course, at: int, entries: Sequence[Progress], tricks: Sequence[int]
    ) -> None:
        self.course, self.at, self.entries, self.tricks = course, at, entries, tricks
        self.metres_matter = course.metres_matter(at, tricks)
        self.outcomes = course.outcomes(at, self.metres_matter)
        self.clean = course.goal is Goal.CLEAN

    def begin(self) -> Frontier:
        """Nothing ridden yet."""
        ways = len(self.entries)
        numbers = map(self.outcomes.number, self.entries)
        stood = {number * ways + entry: 1.0 for entry, number in enumerate(numbers)}
        layer = _Layer(stood, {}, {}, {}, [0.0] * ways)
        start = start_of(self.at + 1, self.course.ground.side)
        return Frontier((), (Arrival(start, Path()),), (layer,))

    def ride(self, frontier: Frontier, trick: int) -> Frontier:
        """One more trick."""
        course, layers = self.course, frontier.layers
        arrivals = onwards(
            frontier.arrivals, course.tricks[trick].trick, course.costs, course.ground.foot
        )
        if self.metres_matter:
            after = tuple(
                self._attempt(layers[each.parent], trick, each.path.setups[-1])
                for each in arrivals
            )
        else:
            after = (self._attempt(layers[0], trick, 0.0),)
        return Frontier((*frontier.order, trick), tuple(arrivals), after)

    def _attempt(self, layer: _Layer, trick: int, setup_m: float) -> _Layer:
        outcomes, ways = self.outcomes, len(self.entries)
        chance, worth = self.course.chances[trick], self.course.worths[trick]
        after = _Layer({}, {}, dict(layer.out), dict(layer.over), list(layer.gains))
        for key, weight in self._set_up(layer, setup_m).items():
            number, entry = divmod(key, ways)
            outcome = outcomes.of_trick(trick, number)
            if not outcome.fits:
                if not self.clean:
                    _add(after.out, outcome.landed * ways + entry, weight)
                continue
            if chance:
                _add(after.stood, outcome.landed * ways + entry, weight * chance)
                after.gains[entry] += weight * chance * worth
            if chance < 1.0 and outcome.effect is not Next.RUN_ENDS:
                onto = after.over if outcome.effect is Next.PASS_ENDS else after.fell
                _add(onto, outcome.fallen * ways + entry, weight * (1.0 - chance))
        return after

    def _set_up(self, layer: _Layer, setup_m: float) -> _Weights:
        """Everybody at the take-off of the next trick."""
        ready, ways = dict(layer.fell), len(self.entries)
        for key, weight in layer.stood.items():
            if setup_m:
                number, entry = divmod(key, ways)
                key = self.outcomes.set_up(number, setup_m) * ways + entry
            _add(ready, key, weight)
        return ready

    def finish(self, frontier: Frontier) -> Handover:
        """The pass with these tricks in it, on its cheapest route, and its bonus tricks."""
        outcomes, ways = self.outcomes, len(self.entries)
        best = cheapest(frontier.arrivals, self.course.costs)
        layer = frontier.layers[best if self.metres_matter else 0]
        at_end: _Weights = {}
        for part in (layer.stood, layer.fell, layer.out):
            for key, weight in part.items():
                number, entry = divmod(key, ways)
                _add(at_end, outcomes.end(number) * ways + entry, weight)
        gains, over = list(layer.gains), dict(layer.over)
        for extra in range(len(outcomes.stretch.extras)):
            at_end = self._attempt_extra(extra, at_end, over, gains)
        exits: list[Exits] = [{} for _ in self.entries]
        for part in (at_end, over):
            for key, weight in part.items():
                number, entry = divmod(key, ways)
                start = outcomes.exit(number)
                exits[entry][start] = exits[entry].get(start, 0.0) + weight
        setup_m = sum(frontier.arrivals[best].path.setups)
        return Handover(frontier.order, tuple(gains), tuple(exits), setup_m)

    def _attempt_extra(
        self, extra: int, layer: _Weights, over: _Weights, gains: list[float]
    ) -> _Weights:
        course, ways = self.course, len(self.entries)
        planned = self.outcomes.stretch.extras[extra].place.planned
        chance, once = course.chance(planned), course.goal is Goal.DOUBLE_UP
        worth = 1.0 if once else course.worth(planned)
        after: _Weights = {}
        for key, weight in layer.items():
            number, entry = divmod(key, ways)
            outcome = self.outcomes.of_extra(extra, number)
            if not outcome.fits:
                if not self.clean:
                    _add(after, key, weight)
                continue
            gains[entry] += weight * chance * worth
            if chance and not once:  # one landed is all that the goal asks
                _add(after, key, weight * chance)
            if chance < 1.0 and outcome.effect is not Next.RUN_ENDS:
                onto = over if outcome.effect is Next.PASS_ENDS else after
                _add(onto, outcome.fallen * ways + entry, weight * (1.0 - chance))
        return after

    def of(self, order: Sequence[int]) -> Handover:
        """One order."""
        frontier = self.begin()
        for trick in order:
            frontier = self.ride(frontier, trick)
        return self.finish(frontier)

    def all(self, looks: Sequence[object]) -> Iterator[Handover]:
        """Every order, with tricks that look alike in the order given."""
        kinds: dict[object, list[int]] = {}
        for trick in self.tricks:
            kinds.setdefault(looks[trick], []).append(trick)
        yield from self._below(self.begin(), [list(reversed(each)) for each in kinds.values()])

    def _below(self, frontier: Frontier, left: list[list[int]]) -> Iterator[Handover]:
        if not any(left):
            yield self.finish(frontier)
            return
        for kind in left:
            if kind:
                trick = kind.pop()
                yield from self._below(self.ride(frontier, trick), left)
                kind.append(trick)


def _add(weights: _Weights, key: int, weight: float) -> None:
    weights[key] = weights.get(key, 0.0) + weight
