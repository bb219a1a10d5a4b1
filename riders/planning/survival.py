"""How likely a planned run survives its format: exact figures, without sampling.

Tricks are ridden in declared order, each landed or not independently of the others. One
dynamic programme goes through the run; its state is what the rest of the run depends on
(metres used, falls counted, bonus tricks lost) and what is asked of it (tricks landed).
"""

from dataclasses import dataclass, field, replace
from typing import NamedTuple

from events.rules.format import Format
from events.rules.run import Place, Run
from riders.planning.falls import Progress, Rules
from riders.planning.route import Route
from riders.planning.stretches import Bar, Extra, Leg, Next, Stretch, eased
from riders.planning.unknowns import BONUS_PASS, CHANCE_MISSING, COUNTED_PER, TOO_LONG, needs

__all__ = ["Survival", "TrickOdds", "in_hundred", "needs", "reading", "survive"]

MIDDLE = 0.5  # common practice, no source
ABOUT = 0.05  # how near counts as "about" is ours


@dataclass(frozen=True, slots=True)
class TrickOdds:
    """The probability that a trick is attempted, and that it is landed."""

    place: Place
    reach: float
    land: float


@dataclass(frozen=True, slots=True)
class Survival:
    """Probabilities of a run. None: it cannot be told, see `needs`; all are None where
    nothing is planned.

    `clean`: every planned trick is landed. `complete`: every planned trick is attempted.
    Both are None where the format does not say whether there is a planned bonus trick; the
    other figures are then without it.
    `double_up_reached` and `double_up_landed`: of the bonus tricks planned and stated by
    the format, at least one is attempted, or landed; None where there is none.
    `tricks` in declared order, bonus tricks after the tricks of their pass. `landed[k]`:
    exactly k tricks are landed. `expected_tiers`: the expected sum of difficulty tiers of
    what is landed. `ends[i]`: a fall on trick i ends the run, also where nothing was left
    to ride. `alive[i][f]`: trick i is attempted with f falls so far, as the format counts
    them. `passes`: each pass ridden alone, with no falls before it.
    """

    clean: float | None = None
    complete: float | None = None
    double_up_reached: float | None = None
    double_up_landed: float | None = None
    tricks: tuple[TrickOdds, ...] | None = None
    landed: tuple[float, ...] | None = None
    expected_landed: float | None = None
    expected_tiers: float | None = None
    ends: tuple[float, ...] | None = None
    alive: tuple[tuple[float, ...], ...] | None = None
    passes: tuple["Survival", ...] = ()


class _Node(NamedTuple):
    """A state of the programme. `bonus`: 0 none tried, 1 tried, 2 landed."""

    progress: Progress
    landed: int = 0
    bonus: int = 0
    whole: bool = True  # every trick so far was attempted


_Layer = dict[_Node, float]


@dataclass(slots=True)
class _Tally:
    """What the programme adds up, by index in the whole run."""

    chances: list[float]
    reach: list[float] = field(init=False)
    land: list[float] = field(init=False)
    ends: list[float] = field(init=False)
    alive: list[dict[int, float]] = field(init=False)
    finished: dict[tuple[int, int, bool], float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        count = len(self.chances)
        self.reach, self.land, self.ends = [0.0] * count, [0.0] * count, [0.0] * count
        self.alive = [{} for _ in range(count)]

    def attempt(self, index: int, node: _Node, weight: float) -> tuple[float, float]:
        """Count an attempt; the weights of landing and of falling."""
        chance = self.chances[index]
        falls = node.progress.falls
        alive = self.alive[index]
        alive[falls] = alive.get(falls, 0.0) + weight
        self.reach[index] += weight
        self.land[index] += weight * chance
        return weight * chance, weight * (1.0 - chance)

    def finish(self, node: _Node, weight: float, whole: bool) -> None:
        end = (node.landed, node.bonus, whole)
        self.finished[end] = self.finished.get(end, 0.0) + weight


def survive(
    run: Run,
    format: Format,
    route: Route,
    round: str | None = None,
    division: str | None = None,
    apart: bool = True,
) -> Survival:
    """The figures of a run on its route; see `Survival`, and `needs` for what is missing.

    `round` and `division` are names; a bonus trick limited to some is taken as offered
    where None is given. The route must be the run's own. Without `apart` the passes are
    not ridden alone as well, which saves a search half its time.
    """
    missing = {finding.code for finding in needs(run, format, route)} - {BONUS_PASS}
    if not len(run) or missing & {CHANCE_MISSING, TOO_LONG}:
        return Survival()
    rules = Rules(run, format, route, round, division)
    chances = [place.planned.likelihood or 0.0 for place in run.places()]
    stretches = tuple(eased(each, rules.begun_counts) for each in rules.stretches)
    if apart and len(stretches) == 1:
        whole = _figures(rules, stretches, chances, not missing)
        return replace(whole, passes=(whole,))
    told = missing <= {COUNTED_PER}
    alone = [_figures(rules, (each,), chances, told) for each in stretches] if apart else []
    return _figures(rules, stretches, chances, not missing, tuple(alone))


def _figures(
    rules: Rules,
    stretches: tuple[Stretch, ...],
    chances: list[float],
    told: bool,
    passes: tuple[Survival, ...] = (),
) -> Survival:
    extras = [extra for stretch in stretches for extra in stretch.extras]
    if not extras and not any(stretch.legs for stretch in stretches):
        return Survival()
    is_open = any(extra.bar is Bar.UNSTATED for extra in extras)
    clean = None if is_open else _clean(rules, stretches, chances)
    if not told:
        return Survival(clean=clean, passes=passes)
    tally = _ride(rules, stretches, chances)
    ridden: list[Leg | Extra] = []
    for stretch in stretches:
        ridden += [*stretch.legs, *stretch.extras]
    landed, bonuses, complete = [0.0] * (len(ridden) + 1), [0.0] * 3, 0.0
    for (count, bonus, whole), weight in tally.finished.items():
        landed[count] += weight
        bonuses[bonus] += weight
        complete += weight if whole else 0.0
    odds = tuple(
        TrickOdds(each.place, tally.reach[each.index], tally.land[each.index])
        for each in ridden
    )
    stated = any(extra.stated for extra in extras)
    return Survival(
        clean=clean,
        complete=None if is_open else complete,
        double_up_reached=bonuses[1] + bonuses[2] if stated else None,
        double_up_landed=bonuses[2] if stated else None,
        tricks=odds,
        landed=tuple(landed),
        expected_landed=sum(each.land for each in odds),
        expected_tiers=sum(each.land * each.place.trick.tier for each in odds),
        ends=tuple(tally.ends[each.index] for each in ridden),
        alive=tuple(_by_falls(tally.alive[each.index]) for each in ridden),
        passes=passes,
    )


def _by_falls(weights: dict[int, float]) -> tuple[float, ...]:
    return tuple(weights.get(falls, 0.0) for falls in range(max(weights, default=-1) + 1))


def _clean(rules: Rules, stretches: tuple[Stretch, ...], chances: list[float]) -> float:
    """The product of the chances, or 0 where landing everything is not enough."""
    product, progress = 1.0, Progress(0.0)
    for stretch in stretches:
        progress = rules.start(progress, stretch)
        for leg in stretch.legs:
            if not rules.fits(progress, stretch, leg):
                return 0.0
            progress = rules.lands(progress, leg)
            product *= chances[leg.index]
        for extra in stretch.extras:
            if rules.bar(progress, extra) is not None:
                return 0.0
            product *= chances[extra.index]
    return product


def _ride(rules: Rules, stretches: tuple[Stretch, ...], chances: list[float]) -> _Tally:
    tally = _Tally(chances)
    last_of_run = max((_last_index(stretch) for stretch in stretches), default=-1)
    layer: _Layer = {_Node(Progress(0.0)): 1.0}
    for stretch in stretches:
        started: _Layer = {}
        for node, weight in layer.items():
            _add(started, node._replace(progress=rules.start(node.progress, stretch)), weight)
        layer = _PassRide(rules, stretch, tally, last_of_run).through(started)
    for node, weight in layer.items():
        tally.finish(node, weight, node.whole)
    return tally


def _last_index(stretch: Stretch) -> int:
    """The index of the last trick of a pass; -1 where there is none."""
    ridden: list[Leg | Extra] = [*stretch.legs, *stretch.extras]
    return ridden[-1].index if ridden else -1


def _add(layer: _Layer, node: _Node, weight: float) -> None:
    layer[node] = layer.get(node, 0.0) + weight


class _PassRide:
    """One pass of the programme. `over` holds those whose pass a fall has ended."""

    def __init__(self, rules: Rules, stretch: Stretch, tally: _Tally, last_of_run: int) -> None:
        self.rules, self.stretch, self.tally = rules, stretch, tally
        self.last_of_pass, self.last_of_run = _last_index(stretch), last_of_run
        self.over: _Layer = {}

    def through(self, layer: _Layer) -> _Layer:
        """Everybody who goes on after this pass."""
        out_of_course: _Layer = {}
        for leg in self.stretch.legs:
            layer = self.attempt_leg(leg, layer, out_of_course)
        at_end: _Layer = {}
        for part in (layer, out_of_course):
            for node, weight in part.items():
                arrived = node.progress._replace(metres=0.0)  # course no longer matters
                _add(at_end, node._replace(progress=arrived), weight)
        for extra in self.stretch.extras:
            at_end = self.attempt_extra(extra, at_end)
        for node, weight in self.over.items():
            _add(at_end, node, weight)
        return at_end

    def attempt_leg(self, leg: Leg, layer: _Layer, out_of_course: _Layer) -> _Layer:
        following: _Layer = {}
        rules, stretch = self.rules, self.stretch
        for node, weight in layer.items():
            progress, landed, bonus, whole = node
            if not rules.fits(progress, stretch, leg):
                _add(out_of_course, node._replace(whole=False), weight)
                continue
            landing, falling = self.tally.attempt(leg.index, node, weight)
            if landing:
                after = _Node(rules.lands(progress, leg), landed + 1, bonus, whole)
                _add(following, after, landing)
            if falling:
                progress, effect = rules.falls(progress, stretch, leg)
                fallen = _Node(progress, landed, bonus, whole)
                self.fall(leg.index, fallen, effect, falling, following)
        return following

    def attempt_extra(self, extra: Extra, layer: _Layer) -> _Layer:
        following: _Layer = {}
        for node, weight in layer.items():
            progress, landed, bonus, whole = node
            if self.rules.bar(progress, extra) is not None:
                _add(following, node._replace(whole=False), weight)
                continue
            landing, falling = self.tally.attempt(extra.index, node, weight)
            if landing:
                _add(following, _Node(progress, landed + 1, 2, whole), landing)
            if falling:
                progress, effect = self.rules.falls_on_bonus(progress, self.stretch, extra)
                fallen = _Node(progress, landed, max(bonus, 1), whole)
                self.fall(extra.index, fallen, effect, falling, following)
        return following

    def fall(
        self, index: int, node: _Node, effect: Next, weight: float, following: _Layer
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


def reading(clean: float) -> str:
    """How a chance to land everything reads: "safe", "middle" or "daring".

    Common practice, no source: one half is the middle, more is safe, less is daring.
    """
    if abs(clean - MIDDLE) <= ABOUT + 1e-12:
        return "middle"
    return "safe" if clean > MIDDLE else "daring"


def in_hundred(clean: float) -> str:
    """The chance to land everything, as a count out of 100 contests."""
    times = round(100 * clean)
    if 0 < clean < 0.005:
        often = "less than once"
    elif 0.995 <= clean < 1:
        often = "nearly every time"
    else:
        often = "about once" if times == 1 else f"about {times} times"
        often = {100: "every time"}.get(times, often)
        if not times:
            return (
                "You would never land everything: not everything can be ridden, or something "
                "always falls."
            )
    return f"In 100 contests you would land everything {often}."
