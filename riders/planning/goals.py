"""Tricks of the record put into a run so that it reaches a chance to land everything.

Both searches go best first: what cannot do better than what is known is never tried. A run
found while nothing left could be better is EXACT. No run is suggested that breaks a rule, or
that leaves more tricks uncounted or repeated in vain than the planned one. The work is
bounded; where the bound is reached, single replacements are made as long as one helps, and
the method is EXCHANGE.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from heapq import heappop, heappush
from itertools import count
from math import inf

from events.rules.answers_words import joined
from events.rules.language import gettext as _
from events.rules.run import Place, PlannedTrick, Run
from riders.planning.ground import (
    SAME,
    Goal,
    Ground,
    Method,
    Record,
    Suggestion,
    replacements,
    said,
    with_trick_at,
)
from riders.planning.worth import wasted

MOST_STEPS = 40_000
MOST_CHECKS = 300

Choice = tuple[PlannedTrick, ...]
"""A trick for each place of a run, the planned one where it stays."""


def at_least(run: Run, ground: Ground, record: Record, clean: float) -> Suggestion | None:
    """The run with the fewest tricks replaced by safer ones that is landed as a whole with
    at least this chance; of those the one that plans the most tiers, then the surest.

    None where no such run is found, or a chance is missing.
    """
    before = ground.survive(run).clean
    if before is None:
        return None
    search = _Search(run, ground, record, clean, safer_only=True)
    if search.clean(run) >= clean - SAME:
        sentence = _("This run is already there: clean is {percent}.").format(
            percent=f"{100 * before:.0f} %"
        )
        return Suggestion(run, Method.EXACT, Goal.CLEAN, before, before, sentence)
    for changes in range(1, len(search.places) + 1):
        for choice in search.by_tiers(changes):
            found = search.run_of(choice)
            if search.clean(found) >= clean - SAME:
                return search.suggestion(found, Method.EXACT, Goal.CLEAN)
    if not search.is_bounded:
        return None
    found = search.climb(run, search.clean)
    if search.clean(found) < clean - SAME:
        return None
    return search.suggestion(found, Method.EXCHANGE, Goal.CLEAN)


def most_tiers(run: Run, ground: Ground, record: Record, clean: float) -> Suggestion | None:
    """The run with the highest expected sum of tiers landed, by any replacements from the
    record, that is landed as a whole with at least this chance.

    None where no such run is found, or the figures cannot be told.
    """
    if ground.survive(run).expected_tiers is None:
        return None
    search = _Search(run, ground, record, clean, safer_only=False)
    best, value = run, search.tiers(run)
    for bound, choice in search.by_expected_tiers():
        if bound <= value + SAME:
            break
        found = search.run_of(choice)
        found_value = search.tiers(found)
        if found_value > value + SAME:
            best, value = found, found_value
    method = Method.EXACT
    if search.is_bounded:
        method = Method.EXCHANGE
        safe = at_least(run, ground, record, clean)
        starts = [best, *([safe.run] if safe else [])]
        climbed = [search.climb(each, search.tiers) for each in starts]
        best = max(climbed, key=search.tiers)
    if search.tiers(best) == -inf:
        return None
    return search.suggestion(best, method, Goal.EXPECTED_TIERS)


@dataclass(order=True)
class _Node:
    """Some places decided. Least `rank` first; `number` keeps the order of equal ones."""

    rank: tuple[float, float]
    number: int
    choice: Choice = field(compare=False)
    sum: float = field(compare=False)
    changes: int = field(compare=False)
    product: float = field(compare=False)


class _Search:
    """Choices for every place of a run, and bounds on what is still to be decided."""

    def __init__(
        self, run: Run, ground: Ground, record: Record, clean: float, safer_only: bool
    ) -> None:
        self.run, self.ground, self.wanted = run, ground, clean
        self.places: list[Place] = list(run.places())
        self.options: list[list[PlannedTrick]] = []
        for place in self.places:
            known = replacements(place.planned, record)
            least = _chance(place.planned) if safer_only else -1.0
            self.options.append([each for each in known if _chance(each) > least])
        self.steps, self.checks = MOST_STEPS, MOST_CHECKS
        self.waste = wasted(run, ground)

    @property
    def is_bounded(self) -> bool:
        """Whether the search stopped before it had seen everything."""
        return self.steps <= 0 or self.checks <= 0

    def run_of(self, choice: Choice) -> Run:
        """The run with these tricks."""
        run = self.run
        for place, planned in zip(self.places, choice, strict=True):
            if planned is not place.planned:
                run = with_trick_at(run, place.pass_no, place.position, planned)
        return run

    def is_worth_taking(self, run: Run) -> bool:
        """Whether the run is legal and wastes no more tricks than the planned one."""
        return self.ground.is_legal(run) and wasted(run, self.ground) <= self.waste

    def clean(self, run: Run) -> float:
        """The chance to land everything; less than nothing for a run not worth taking."""
        if not self.is_worth_taking(run):
            return -inf
        return self.chance_of(run)

    def chance_of(self, run: Run) -> float:
        """The chance to land everything, whatever the rules say of the run."""
        return self.ground.survive(run).clean or 0.0

    def tiers(self, run: Run) -> float:
        """Expected tiers; less than nothing for a run that is not allowed or not safe."""
        if not self.is_worth_taking(run):
            return -inf
        figures = self.ground.survive(run)
        if figures.expected_tiers is None or (figures.clean or 0.0) < self.wanted - SAME:
            return -inf
        return figures.expected_tiers

    def by_tiers(self, changes: int) -> Iterator[Choice]:
        """Choices with so many replacements that the chances allow, most tiers first, then
        the surest."""
        surest = self._rest(changes, 1.0, _chance, lambda here, rest: here * rest)
        highest = self._rest(changes, 0.0, _tier, lambda here, rest: here + rest)

        def rank(at: int, node: _Node) -> tuple[float, float] | None:
            left = changes - node.changes
            if left < 0 or highest[at][left] == -inf:
                return None
            product = node.product * surest[at][left]
            if product < self.wanted - SAME:
                return None
            return -(node.sum + highest[at][left]), -product

        for node in self._best_first(_tier, rank):
            yield node.choice

    def by_expected_tiers(self) -> Iterator[tuple[float, Choice]]:
        """Choices that the chances allow, with a bound that their expected tiers cannot
        pass: every trick is reached. The highest bound comes first."""
        size = len(self.places)
        surest, highest = [1.0] * (size + 1), [0.0] * (size + 1)
        for at in reversed(range(size)):
            tricks = [self.places[at].planned, *self.options[at]]
            surest[at] = max(map(_chance, tricks)) * surest[at + 1]
            highest[at] = max(map(_worth, tricks)) + highest[at + 1]

        def rank(at: int, node: _Node) -> tuple[float, float] | None:
            if node.product * surest[at] < self.wanted - SAME:
                return None
            return -(node.sum + highest[at]), float(node.changes)

        for node in self._best_first(_worth, rank):
            yield node.sum, node.choice

    def _rest(
        self,
        changes: int,
        nothing: float,
        figure: Callable[[PlannedTrick], float],
        joined: Callable[[float, float], float],
    ) -> list[list[float]]:
        """The most that places from one on can add with exactly so many replacements."""
        rest = [[nothing, *[-inf] * changes]]
        for place, options in zip(reversed(self.places), reversed(self.options), strict=True):
            best = max(map(figure, options), default=-inf)
            row = []
            for left in range(changes + 1):
                stays = rest[0][left]
                ways = [joined(figure(place.planned), stays)] if stays != -inf else []
                if left and best != -inf and rest[0][left - 1] != -inf:
                    ways.append(joined(best, rest[0][left - 1]))
                row.append(max(ways, default=-inf))
            rest.insert(0, row)
        return rest

    def _best_first(
        self,
        figure: Callable[[PlannedTrick], float],
        rank: Callable[[int, _Node], tuple[float, float] | None],
    ) -> Iterator[_Node]:
        """Whole choices in the order of their rank, while there is work left to be done."""
        number = count()
        heap: list[_Node] = []

        def offer(choice: Choice, total: float, changes: int, product: float) -> None:
            node = _Node((0.0, 0.0), next(number), choice, total, changes, product)
            ranked = rank(len(choice), node)
            if ranked is not None:
                node.rank = ranked
                heappush(heap, node)

        offer((), 0.0, 0, 1.0)
        while heap:
            if self.is_bounded:
                return
            self.steps -= 1
            node = heappop(heap)
            at = len(node.choice)
            if at == len(self.places):
                self.checks -= 1
                yield node
                continue
            for planned in (self.places[at].planned, *self.options[at]):
                changes = node.changes + (planned is not self.places[at].planned)
                offer((*node.choice, planned), node.sum + figure(planned), changes,
                      node.product * _chance(planned))  # fmt: skip

    def climb(self, run: Run, value: Callable[[Run], float]) -> Run:
        """The run with the best single replacement made, again and again while it helps."""
        best, best_value = run, value(run)
        while True:
            here = best
            for at, place in enumerate(self.places):
                for planned in self.options[at]:
                    other = with_trick_at(here, place.pass_no, place.position, planned)
                    other_value = value(other)
                    if other_value > best_value + SAME:
                        best, best_value = other, other_value
            if best is here:
                return best

    def suggestion(self, found: Run, method: Method, goal: Goal) -> Suggestion:
        """What is suggested, in words."""
        before = goal.of(self.ground.survive(self.run)) or 0.0
        after = goal.of(self.ground.survive(found)) or 0.0
        swaps = [
            _("{trick} by {other_trick} in pass {number}").format(
                trick=said(old.planned), other_trick=said(new.planned), number=old.pass_no
            )
            for old, new in zip(self.places, found.places(), strict=True)
            if old.planned != new.planned
        ]
        sentence = _("Nothing of your record makes this run better.")
        if swaps:
            figures = [goal.said(before, after)]
            if goal is not Goal.CLEAN:  # the wish for clean is what it was found under
                figures.append(Goal.CLEAN.said(self.chance_of(self.run), self.chance_of(found)))
            sentence = _("Replace {tricks}: {figures}.").format(
                tricks=joined(swaps), figures=", ".join(figures)
            )
        return Suggestion(found, method, goal, before, after, sentence)


def _chance(planned: PlannedTrick) -> float:
    return planned.likelihood or 0.0


def _tier(planned: PlannedTrick) -> float:
    return float(planned.trick.tier)


def _worth(planned: PlannedTrick) -> float:
    return _chance(planned) * planned.trick.tier
