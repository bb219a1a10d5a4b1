"""A run ridden in every way at once: the dynamic programme behind the exact figures.

Its state is what the rest of the run depends on (metres used, falls counted, bonus tricks
lost), what decides whether a later landing counts (see `riders.planning.counting`), and what
is asked of it (tricks landed).
"""

from dataclasses import dataclass, field
from typing import NamedTuple

from riders.planning.counting import Counting
from riders.planning.falls import Progress, Rules
from riders.planning.stretches import Extra, Leg, Next, Stretch


class Node(NamedTuple):
    """A state of the programme. `bonus`: 0 none tried, 1 tried, 2 landed."""

    progress: Progress
    landed: int = 0
    bonus: int = 0
    whole: bool = True  # every trick so far was attempted
    full: tuple[int, ...] = ()  # the shares that decide what counts


Layer = dict[Node, float]


@dataclass(slots=True)
class Tally:
    """What the programme adds up, by index in the whole run."""

    chances: list[float]
    counting: Counting | None
    reach: list[float] = field(init=False)
    land: list[float] = field(init=False)
    count: dict[int, float] = field(default_factory=dict)  # where it is less than landed
    tiers: dict[int, float] = field(default_factory=dict)
    ends: list[float] = field(init=False)
    alive: list[dict[int, float]] = field(init=False)
    finished: dict[tuple[int, int, bool], float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        count = len(self.chances)
        self.reach, self.land, self.ends = [0.0] * count, [0.0] * count, [0.0] * count
        self.alive = [{} for _ in range(count)]

    def attempt(self, index: int, node: Node, weight: float) -> tuple[float, float]:
        """Count an attempt; the weights of landing and of falling."""
        chance = self.chances[index]
        falls = node.progress.falls
        alive = self.alive[index]
        alive[falls] = alive.get(falls, 0.0) + weight
        self.reach[index] += weight
        self.land[index] += weight * chance
        return weight * chance, weight * (1.0 - chance)

    def outcome(
        self, index: int, node: Node, landed: bool, weight: float
    ) -> tuple[tuple[int, ...], int]:
        """How full the shares are after it, and how many tricks are landed then."""
        number = 1 if landed else 0
        if self.counting is None or not self.counting.matters(index):
            return node.full, node.landed + number
        after = self.counting.after(index, node.full, landed)
        self.count[index] = self.count.get(index, 0.0) + weight * after.number
        self.tiers[index] = self.tiers.get(index, 0.0) + weight * after.tiers
        return after.full, node.landed + after.number

    def finish(self, node: Node, weight: float, whole: bool) -> None:
        end = (node.landed, node.bonus, whole)
        self.finished[end] = self.finished.get(end, 0.0) + weight


def ride(rules: Rules, stretches: tuple[Stretch, ...], tally: Tally) -> Tally:
    counted = tally.counting
    last_of_run = max((_last_index(stretch) for stretch in stretches), default=-1)
    layer: Layer = {Node(Progress(0.0), full=counted.start if counted else ()): 1.0}
    for stretch in stretches:
        started: Layer = {}
        for node, weight in layer.items():
            full = counted.fresh(node.full, _first_index(stretch)) if counted else ()
            progress = rules.start(node.progress, stretch)
            _add(started, node._replace(progress=progress, full=full), weight)
        layer = _PassRide(rules, stretch, tally, last_of_run).through(started)
    for node, weight in layer.items():
        tally.finish(node, weight, node.whole)
    return tally


def _last_index(stretch: Stretch) -> int:
    """The index of the last trick of a pass; -1 where there is none."""
    ridden: list[Leg | Extra] = [*stretch.legs, *stretch.extras]
    return ridden[-1].index if ridden else -1


def _first_index(stretch: Stretch) -> int:
    """The index of the first trick of a pass; 0 where there is none."""
    ridden: list[Leg | Extra] = [*stretch.legs, *stretch.extras]
    return ridden[0].index if ridden else 0


def _add(layer: Layer, node: Node, weight: float) -> None:
    layer[node] = layer.get(node, 0.0) + weight


class _PassRide:
    """One pass of the programme. `over` holds those whose pass a fall has ended."""

    def __init__(self, rules: Rules, stretch: Stretch, tally: Tally, last_of_run: int) -> None:
        self.rules, self.stretch, self.tally = rules, stretch, tally
        self.last_of_pass, self.last_of_run = _last_index(stretch), last_of_run
        self.over: Layer = {}

    def through(self, layer: Layer) -> Layer:
        """Everybody who goes on after this pass."""
        out_of_course: Layer = {}
        for leg in self.stretch.legs:
            layer = self.attempt_leg(leg, layer, out_of_course)
        at_end: Layer = {}
        for part in (layer, out_of_course):
            for node, weight in part.items():
                arrived = node.progress._replace(metres=0.0)  # course no longer matters
                _add(at_end, node._replace(progress=arrived), weight)
        for extra in self.stretch.extras:
            at_end = self.attempt_extra(extra, at_end)
        for node, weight in self.over.items():
            _add(at_end, node, weight)
        return at_end

    def attempt_leg(self, leg: Leg, layer: Layer, out_of_course: Layer) -> Layer:
        following: Layer = {}
        rules, stretch = self.rules, self.stretch
        for node, weight in layer.items():
            progress, _, bonus, whole, _ = node
            if not rules.fits(progress, stretch, leg):
                _add(out_of_course, node._replace(whole=False), weight)
                continue
            landing, falling = self.tally.attempt(leg.index, node, weight)
            if landing:
                full, number = self.tally.outcome(leg.index, node, True, landing)
                after = Node(rules.lands(progress, leg), number, bonus, whole, full)
                _add(following, after, landing)
            if falling:
                full, number = self.tally.outcome(leg.index, node, False, falling)
                progress, effect = rules.falls(progress, stretch, leg)
                fallen = Node(progress, number, bonus, whole, full)
                self.fall(leg.index, fallen, effect, falling, following)
        return following

    def attempt_extra(self, extra: Extra, layer: Layer) -> Layer:
        following: Layer = {}
        for node, weight in layer.items():
            progress, _, bonus, whole, _ = node
            if self.rules.bar(progress, extra) is not None:
                _add(following, node._replace(whole=False), weight)
                continue
            landing, falling = self.tally.attempt(extra.index, node, weight)
            if landing:
                full, number = self.tally.outcome(extra.index, node, True, landing)
                _add(following, Node(progress, number, 2, whole, full), landing)
            if falling:
                full, number = self.tally.outcome(extra.index, node, False, falling)
                progress, effect = self.rules.falls_on_bonus(progress, self.stretch, extra)
                fallen = Node(progress, number, max(bonus, 1), whole, full)
                self.fall(extra.index, fallen, effect, falling, following)
        return following

    def fall(
        self, index: int, node: Node, effect: Next, weight: float, following: Layer
    ) -> None:
        """Send a fallen rider on, to the next pass, or to the end of the run."""
        if effect < Next.PASS_ENDS:
            _add(following, node, weight)
            return
        if effect is Next.RUN_ENDS:
            self.tally.ends[index] += weight
            self.tally.finish(node, weight, node.whole and index == self.last_of_run)
        else:
            whole = node.whole and index == self.last_of_pass
            _add(self.over, node._replace(whole=whole), weight)
