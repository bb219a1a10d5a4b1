"""What one pass, ridden in some order, hands on to the next: the parts of an order search.

A pass only knows of the passes before it through the falls counted so far. So one order of
one pass comes down to a few numbers for each count of falls at its start: what it gains, and
with which probability it hands on each count of falls. Orders that begin alike share the
work of their beginning.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from events.rules.run import Place, PlannedTrick, Run
from events.rules.trick import Takeoff
from riders.planning.falls import Progress, Rules
from riders.planning.ground import Goal, Ground
from riders.planning.route import (
    Arrival,
    Path,
    cheapest,
    costs_of,
    fits,
    onwards,
    position,
    start_of,
)
from riders.planning.stretches import Extra, Leg, Next

Exits = dict[Progress, float]
_Key = tuple[int, Progress]
_Weights = dict[_Key, float]


class Handover(NamedTuple):
    """One order of a pass: what it gains and hands on, for each way to enter the pass."""

    order: tuple[int, ...]
    gains: tuple[float, ...]
    exits: tuple[Exits, ...]
    setup_m: float


@dataclass(slots=True)
class _Layer:
    """Riders after some tricks, by way of entry and progress.

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


class Course:
    """The passes of a run as they are made, whatever tricks are then ridden in them.

    Tricks are known by their index in `tricks`: those of the first pass, then those of the
    second, without bonus tricks. To land everything only the landed path counts, so for
    that goal every chance is taken as 1 and the product comes in at the end.
    """

    def __init__(self, run: Run, ground: Ground, goal: Goal) -> None:
        self.ground, self.goal = ground, goal
        format = ground.format
        self.rules = Rules(run, format, ground.route(run), ground.round, ground.division)
        self.costs = costs_of(format)
        self.tricks = tuple(trick for each in run.passes for trick in each.tricks)
        self.worths = [self.worth(planned) for planned in self.tricks]
        self.chances = [self.chance(planned) for planned in self.tricks]
        restart = format.restart_m or 0.0
        self.legs = tuple(self._leg(planned, restart) for planned in self.tricks)
        self.stretches = tuple(
            replace(each, legs=(), first_setup_m=0.0) for each in self.rules.stretches
        )
        self.product = product_of(
            [p.likelihood or 0.0 for each in run.passes for p in each.attempts]
        )
        self.entry = self.rules.start(Progress(0.0), self.stretches[0])

    def chance(self, planned: PlannedTrick) -> float:
        """The chance to land a trick that counts for the goal."""
        return 1.0 if self.goal is Goal.CLEAN else planned.likelihood or 0.0

    def worth(self, planned: PlannedTrick) -> float:
        """What a landed trick of a pass adds to the goal."""
        if self.goal is Goal.EXPECTED_TIERS:
            return float(planned.trick.tier)
        return 1.0 if self.goal is Goal.EXPECTED_LANDED else 0.0

    def _leg(self, planned: PlannedTrick, restart_m: float) -> Leg:
        metres = planned.trick.metres
        trick_m = self.costs.trick_m if metres is None else metres
        obstacle = planned.trick.takeoff is Takeoff.RAIL
        place = Place(0, 0, planned)
        return Leg(0, place, trick_m, 0.0, trick_m + restart_m, obstacle)

    def looks(self) -> tuple[tuple[object, ...], ...]:
        """For each trick what an order can tell of it; tricks that look alike may swap."""
        return tuple(
            (p.trick.approach, p.trick.stance, p.trick.changes_side, p.trick.lands,
             leg.trick_m, leg.obstacle, chance, worth)
            for p, leg, chance, worth in zip(
                self.tricks, self.legs, self.chances, self.worths, strict=True
            )
        )  # fmt: skip


class PassOrders:
    """The orders of some tricks in one pass (0 for the first), entered with each of some
    falls so far."""

    def __init__(
        self, course: Course, at: int, entries: Sequence[Progress], tricks: Sequence[int]
    ) -> None:
        self.course, self.at, self.entries, self.tricks = course, at, entries, tricks
        self.stretch = course.stretches[at]
        self.legs = {trick: course.legs[trick] for trick in tricks}
        self.metres_matter = self._metres_matter()
        if not self.metres_matter:
            self.stretch = replace(self.stretch, length_m=None)
            self.legs = {
                trick: replace(leg, trick_m=0.0, fall_m=0.0) for trick, leg in self.legs.items()
            }

    def _metres_matter(self) -> bool:
        """They do not where there is no marker and the dearest way through still fits."""
        stretch, costs = self.stretch, self.course.costs
        if stretch.cutoffs or any(extra.marker is not None for extra in stretch.extras):
            return True
        moves = costs.turn_m + costs.cross_m
        dearest = moves + sum(
            max(leg.trick_m + moves, leg.fall_m) for leg in self.legs.values()
        )
        begun_counts = self.course.rules.begun_counts
        return not fits(dearest, 0.0, stretch.length_m, begun_counts)

    def begin(self) -> Frontier:
        """Nothing ridden yet."""
        stood = {(at, entry): 1.0 for at, entry in enumerate(self.entries)}
        layer = _Layer(stood, {}, {}, {}, [0.0] * len(self.entries))
        start = start_of(self.at + 1, self.course.ground.side)
        return Frontier((), (Arrival(start, Path()),), (layer,))

    def ride(self, frontier: Frontier, trick: int) -> Frontier:
        """One more trick."""
        course = self.course
        here = frontier.arrivals
        arrivals = onwards(
            here, course.tricks[trick].trick, course.costs, course.ground.foot
        )
        if self.metres_matter:
            layers = tuple(
                self._attempt(frontier.layers[each.parent], trick, each.path.setups[-1])
                for each in arrivals
            )
        else:
            layers = (self._attempt(frontier.layers[0], trick, 0.0),)
        return Frontier((*frontier.order, trick), tuple(arrivals), layers)

    def _attempt(self, layer: _Layer, trick: int, setup_m: float) -> _Layer:
        course, rules, stretch = self.course, self.course.rules, self.stretch
        leg, chance = self.legs[trick], course.chances[trick]
        clean, worth = course.goal is Goal.CLEAN, course.worths[trick]
        after = _Layer({}, {}, dict(layer.out), dict(layer.over), list(layer.gains))
        for (entry, progress), weight in _set_up(layer, setup_m).items():
            if not rules.fits(progress, stretch, leg):
                if not clean:
                    _add(after.out, (entry, progress._replace(metres=0.0)), weight)
                continue
            if chance:
                landed = rules.lands(progress, leg)
                _add(after.stood, (entry, landed), weight * chance)
                after.gains[entry] += weight * chance * worth
            if chance < 1.0:
                fallen, effect = rules.falls(progress, stretch, leg)
                weight *= 1.0 - chance
                if effect < Next.PASS_ENDS:
                    _add(after.fell, (entry, fallen), weight)
                elif effect is Next.PASS_ENDS:
                    _add(after.over, (entry, fallen._replace(metres=0.0)), weight)
        return after

    def finish(self, frontier: Frontier) -> Handover:
        """The pass with these tricks in it, on its cheapest route, and its bonus tricks."""
        best = cheapest(frontier.arrivals, self.course.costs)
        layer = frontier.layers[best if self.metres_matter else 0]
        at_end: _Weights = {}
        for part in (layer.stood, layer.fell, layer.out):
            for (entry, progress), weight in part.items():
                _add(at_end, (entry, progress._replace(metres=0.0)), weight)
        gains, over = list(layer.gains), dict(layer.over)
        for extra in self.stretch.extras:
            at_end = self._attempt_extra(extra, at_end, over, gains)
        exits: list[Exits] = [{} for _ in self.entries]
        for part in (at_end, over):
            for (entry, progress), weight in part.items():
                # As the next pass is entered, whichever that is: the stretch only sets metres.
                start = self.course.rules.start(progress, self.course.stretches[0])
                exits[entry][start] = exits[entry].get(start, 0.0) + weight
        setup_m = sum(frontier.arrivals[best].path.setups)
        return Handover(frontier.order, tuple(gains), tuple(exits), setup_m)

    def _attempt_extra(
        self, extra: Extra, layer: _Weights, over: _Weights, gains: list[float]
    ) -> _Weights:
        course, rules = self.course, self.course.rules
        stretch, planned = self.stretch, extra.place.planned
        chance = course.chance(planned)
        once = course.goal is Goal.DOUBLE_UP
        worth = 1.0 if once else course.worth(planned)
        after: _Weights = {}
        for (entry, progress), weight in layer.items():
            if rules.bar(progress, extra) is not None:
                if course.goal is not Goal.CLEAN:
                    _add(after, (entry, progress), weight)
                continue
            if chance:
                gains[entry] += 0.0 if course.goal is Goal.CLEAN else weight * chance * worth
                if not once:  # one landed is all that the goal asks
                    _add(after, (entry, progress), weight * chance)
            if chance < 1.0:
                fallen, effect = rules.falls_on_bonus(progress, stretch, extra)
                if effect < Next.RUN_ENDS:
                    onto = over if effect is Next.PASS_ENDS else after
                    _add(onto, (entry, fallen), weight * (1.0 - chance))
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


def _set_up(layer: _Layer, setup_m: float) -> _Weights:
    """Everybody at the take-off of the next trick."""
    ready = dict(layer.fell)
    for (entry, progress), weight in layer.stood.items():
        if setup_m:
            progress = progress._replace(metres=position(progress.metres + setup_m))
        _add(ready, (entry, progress), weight)
    return ready


def _add(weights: _Weights, key: _Key, weight: float) -> None:
    weights[key] = weights.get(key, 0.0) + weight


def product_of(chances: Sequence[float]) -> float:
    """The product, the same whatever the order of the chances."""
    product = 1.0
    for chance in sorted(chances):
        product *= chance
    return product
