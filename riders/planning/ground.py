"""What a suggestion stands on: the format, the rider, and the goal that it is judged by."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from events.rules.figures import AS_PUBLISHED, Units
from events.rules.findings import Finding, Grade
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.legality import legality, may_be_ridden
from events.rules.notation import write_trick
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.trick import Takeoff
from events.rules.units import decimals
from riders.planning.check import Check, check
from riders.planning.route import Foot, Route, Side, plan_route
from riders.planning.survival import Survival, survive

# Figures closer than this are the same: far below anything a landing record can tell.
SAME = 1e-9

Record = tuple[PlannedTrick, ...]
"""Tricks that a rider knows the chance of, each without a place in a run."""


@dataclass(frozen=True, slots=True)
class Ground:
    """An effective format, and the rider who plans under it.

    `side` is where the rider starts the first pass. `division` and `round` are names; a
    bonus trick limited to some is taken as offered where None is given. `units` are those
    that the rider reads lengths in.
    """

    format: Format
    foot: Foot = Foot.LEFT
    side: Side = Side.STARBOARD
    division: str | None = None
    round: str | None = None
    units: Units = AS_PUBLISHED

    def check(self, run: Run) -> Check:
        """Everything that a check finds."""
        return check(run, self.format, foot=self.foot, side=self.side,
                     division=self.division, round=self.round, units=self.units)  # fmt: skip

    def route(self, run: Run) -> Route:
        """The cheapest route of the run."""
        return plan_route(run, self.format, self.foot, self.side)

    def survive(self, run: Run) -> Survival:
        """The figures of the run, without those of each pass alone."""
        route = self.route(run)
        return survive(run, self.format, route, self.round, self.division, apart=False)

    def legality(self, run: Run) -> list[Finding]:
        """What the rules find."""
        return legality(run, self.format, self.division, self.round)

    def is_legal(self, run: Run) -> bool:
        """Whether the run breaks no rule."""
        return may_be_ridden(run, self.format, self.division, self.round)

    def setup_m(self, run: Run) -> float:
        """Metres used by turns and crossings, with everything landed."""
        return sum(step.setup_m for step in self.route(run).steps())


class Goal(StrEnum):
    """The figure that a suggestion raises."""

    CLEAN = "clean"
    EXPECTED_LANDED = "expected landed"
    EXPECTED_TIERS = "expected tiers"
    DOUBLE_UP = "double-up landed"

    def of(self, figures: Survival) -> float | None:
        """The figure; None where it cannot be told, or nothing in the run has it."""
        return {
            Goal.CLEAN: figures.clean,
            Goal.EXPECTED_LANDED: figures.expected_landed,
            Goal.EXPECTED_TIERS: figures.expected_tiers,
            Goal.DOUBLE_UP: figures.double_up_landed,
        }[self]

    def said(self, before: float, after: float) -> str:
        """A change of the figure in words, such as "clean 33 % to 38 %"."""
        if self in (Goal.CLEAN, Goal.DOUBLE_UP):
            words = [f"{100 * value:.0f} %" for value in (before, after)]
            if words[0] == words[1]:
                words = [f"{figure(100 * value, 1)} %" for value in (before, after)]
        else:
            words = [figure(value, 2) for value in (before, after)]
        if words[0] == words[1]:
            return _(_STAYS[self]).format(value=words[0])
        return _(_CHANGES[self]).format(before=words[0], after=words[1])


_STAYS = {
    Goal.CLEAN: mark("clean stays {value}"),
    Goal.EXPECTED_LANDED: mark("expected landed stays {value}"),
    Goal.EXPECTED_TIERS: mark("expected tiers stays {value}"),
    Goal.DOUBLE_UP: mark("double-up landed stays {value}"),
}
_CHANGES = {
    Goal.CLEAN: mark("clean {before} to {after}"),
    Goal.EXPECTED_LANDED: mark("expected landed {before} to {after}"),
    Goal.EXPECTED_TIERS: mark("expected tiers {before} to {after}"),
    Goal.DOUBLE_UP: mark("double-up landed {before} to {after}"),
}


def figure(value: float, digits: int) -> str:
    """A number with so many decimals, as the language writes it beside tables of figures."""
    return decimals(f"{value:.{digits}f}")


class Method(StrEnum):
    """How a suggestion was found. Only EXACT says that nothing better exists."""

    EXACT = "exact"
    EXCHANGE = "exchange"  # improved step by step until no single step helped


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A run that serves the goal better, or the same run where none was found.

    `before` and `after` are the goal's figure; both are None where it cannot be told, and
    `sentence` then says what is missing.
    """

    run: Run
    method: Method
    goal: Goal
    before: float | None
    after: float | None
    sentence: str


def broken(findings: Iterable[Finding]) -> Counter[str]:
    """What keeps a run from being ridden as planned: how often each rule is broken, or a
    trick cannot be reached, by the code of the finding."""
    weighty = (Grade.RULE, Grade.UNREACHABLE)
    return Counter(each.code for each in findings if each.grade in weighty)


def bare(planned: PlannedTrick) -> PlannedTrick:
    """The trick alone: without landings, chance, fall or the bonus that it claims."""
    return replace(planned, landed=None, tried=None, chance=None, fell=False, bonus="")


def said(planned: PlannedTrick) -> str:
    """The trick as riders write it, without its landings."""
    return write_trick(bare(planned))


def with_trick_at(run: Run, pass_no: int, position: int, *tricks: PlannedTrick) -> Run:
    """The run with other tricks, or none, in place of one; both numbers count from 1."""
    each = run.passes[pass_no - 1]
    at, size = position - 1, len(each.tricks)
    if at < size:
        changed = replace(each, tricks=(*each.tricks[:at], *tricks, *each.tricks[at + 1 :]))
    else:
        at -= size
        changed = replace(each, bonus=(*each.bonus[:at], *tricks, *each.bonus[at + 1 :]))
    return with_pass(run, pass_no, changed)


def with_pass(run: Run, pass_no: int, changed: Pass) -> Run:
    """The run with one pass changed."""
    return Run((*run.passes[: pass_no - 1], changed, *run.passes[pass_no:]))


def in_place_of(old: PlannedTrick, new: PlannedTrick) -> PlannedTrick:
    """A trick of the record put where another one is planned."""
    return replace(new, bonus=old.bonus, fell=False)


def replacements(old: PlannedTrick, record: Record) -> Iterator[PlannedTrick]:
    """What of the record may stand in a place: its chance is known, it is another trick, and
    it leaves from a double-up or an obstacle just where the planned one does."""
    own_places = {Takeoff.DOUBLE_UP, Takeoff.RAIL}
    for each in dict.fromkeys(record):
        if each.likelihood is None or bare(each) == bare(old):
            continue
        places = {old.trick.takeoff, each.trick.takeoff}
        if len(places) == 1 or not places & own_places:
            yield in_place_of(old, each)
