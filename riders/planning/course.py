"""A run taken apart for an order search: its passes, its tricks, and what each leads to."""

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from events.rules.run import Place, PlannedTrick, Run
from events.rules.trick import Takeoff
from riders.planning.falls import Progress, Rules
from riders.planning.ground import Goal, Ground
from riders.planning.metres import costs_of, fits, position
from riders.planning.stretches import Leg, Next


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
        self._outcomes: dict[tuple[int, bool], Outcomes] = {}

    def outcomes(self, at: int, metres_matter: bool) -> "Outcomes":
        """What the tricks lead to in one pass (0 for the first)."""
        key = at, metres_matter
        if key not in self._outcomes:
            self._outcomes[key] = Outcomes(self, at, metres_matter)
        return self._outcomes[key]

    def metres_matter(self, at: int, tricks: Sequence[int]) -> bool:
        """Whether metres matter to these tricks in a pass, in some order or other.

        They do not where there is no marker and the dearest way through still fits.
        """
        stretch = self.stretches[at]
        if stretch.cutoffs or any(extra.marker is not None for extra in stretch.extras):
            return True
        moves = self.costs.turn_m + self.costs.cross_m
        legs = [self.legs[trick] for trick in tricks]
        dearest = moves + sum(max(leg.trick_m + moves, leg.fall_m) for leg in legs)
        return not fits(dearest, 0.0, stretch.length_m, self.rules.begun_counts)

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


class Outcome(NamedTuple):
    """What a trick leads to, as numbers of progress; `fits` is False where no course is
    left, or the bonus trick is not on offer, and `landed` is then where the rider stays."""

    fits: bool
    landed: int
    fallen: int
    effect: Next


class Outcomes:
    """What every trick leads to in one pass, worked out once for each progress.

    A progress is known by its number. Where no metre matters, none is counted.
    """

    def __init__(self, course: Course, at: int, metres_matter: bool) -> None:
        self.course, self.stretch = course, course.stretches[at]
        self.legs: tuple[Leg, ...] = course.legs
        if not metres_matter:
            self.stretch = replace(self.stretch, length_m=None)
            self.legs = tuple(replace(leg, trick_m=0.0, fall_m=0.0) for leg in course.legs)
        self._progresses: list[Progress] = []
        self._numbers: dict[Progress, int] = {}
        self._tricks: list[dict[int, Outcome]] = [{} for _ in course.tricks]
        self._extras: list[dict[int, Outcome]] = [{} for _ in self.stretch.extras]
        self._set_up: dict[tuple[int, float], int] = {}
        self._ends: dict[int, int] = {}
        self._exits: dict[int, Progress] = {}

    def number(self, progress: Progress) -> int:
        """The number of a progress, a new one where it has none."""
        number = self._numbers.get(progress)
        if number is None:
            number = self._numbers[progress] = len(self._progresses)
            self._progresses.append(progress)
        return number

    def set_up(self, number: int, metres: float) -> int:
        """After the set-up for the next trick."""
        ready = self._set_up.get((number, metres))
        if ready is None:
            here = self._progresses[number]
            ready = self.number(here._replace(metres=position(here.metres + metres)))
            self._set_up[number, metres] = ready
        return ready

    def end(self, number: int) -> int:
        """At the end of the pass, where the course no longer matters."""
        end = self._ends.get(number)
        if end is None:
            end = self.number(self._progresses[number]._replace(metres=0.0))
            self._ends[number] = end
        return end

    def exit(self, number: int) -> Progress:
        """As the next pass is entered, whichever that is."""
        found = self._exits.get(number)
        if found is None:  # the stretch only sets metres, and none is set up yet
            found = self.course.rules.start(self._progresses[number], self.stretch)
            self._exits[number] = found
        return found

    def of_trick(self, trick: int, number: int) -> Outcome:
        """A trick of the pass."""
        found = self._tricks[trick].get(number)
        if found is None:
            found = self._tricks[trick][number] = self._attempt(self.legs[trick], number)
        return found

    def _attempt(self, leg: Leg, number: int) -> Outcome:
        rules, here = self.course.rules, self._progresses[number]
        if not rules.fits(here, self.stretch, leg):
            return Outcome(False, self.end(number), 0, Next.GOES_ON)
        fallen, effect = rules.falls(here, self.stretch, leg)
        if effect is Next.PASS_ENDS:
            fallen = fallen._replace(metres=0.0)
        landed = self.number(rules.lands(here, leg))
        return Outcome(True, landed, self.number(fallen), effect)

    def of_extra(self, extra: int, number: int) -> Outcome:
        """A bonus trick, by its place after the pass (0 for the first)."""
        found = self._extras[extra].get(number)
        if found is None:
            rules, here = self.course.rules, self._progresses[number]
            stated = self.stretch.extras[extra]
            fallen, effect = rules.falls_on_bonus(here, self.stretch, stated)
            is_offered = rules.bar(here, stated) is None
            found = Outcome(is_offered, number, self.number(fallen), effect)
            self._extras[extra][number] = found
        return found


def product_of(chances: Sequence[float]) -> float:
    """The product, the same whatever the order of the chances."""
    product = 1.0
    for chance in sorted(chances):
        product *= chance
    return product
