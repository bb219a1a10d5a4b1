"""Changes that show one skill more: the other edge, switch, another spin, a grab, an invert.

One trick makes way for another. A trick of the rider's record comes first, the one that costs
least of the chance to land everything. Then the same trick in another way, easy ones first:
how often that is landed is not known, and the sentence says so. No invert is suggested that
the rider has no record of.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import chain
from math import prod
from typing import NamedTuple

from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.notation import normalise
from events.rules.run import Place, PlannedTrick, Run
from events.rules.trick import Direction, Edge, Family, Stance, Takeoff, Trick
from events.rules.vocabulary import standard_vocabulary
from riders.planning.ground import Goal, bare, in_place_of, replacements, said, with_trick_at
from riders.planning.mend_case import Case, Mend, Ways
from riders.planning.variety import SIDED

# From memory: the grabs that most riders learn first, and airs that a grab leaves time for.
EASY_GRABS = ("indy", "mute", "tail")
GRABBED = frozenset({Family.STRAIGHT_AIR, Family.SPIN})
GRABBED_TURN = 180
EASY_TIER = 2  # our judgement: an upright trick that suits a rider of nothing but inverts
CHECKED = 40  # changes of each kind that are looked at; the rest cost more or are harder

NEW = mark(
    "How often you land {trick} is not known, so the figures wait for it. A new trick is "
    "learnt in practice with a coach, not in a contest."
)

Shows = Callable[[Trick], bool]
Variants = Callable[[PlannedTrick], Iterator[PlannedTrick]]


class _Swap(NamedTuple):
    """A trick for the one in a place."""

    place: Place
    planned: PlannedTrick

    def run(self, case: Case) -> Run:
        """The run after it."""
        return with_trick_at(case.run, self.place.pass_no, self.place.position, self.planned)


class _Skill(NamedTuple):
    """What is to be shown: which tricks show it, and how a planned trick could."""

    shows: Shows
    variants: Variants


def _edges(case: Case) -> _Skill:
    (only, *_) = [step.edge for step in case.ground.route(case.run).steps()]
    other = Edge.TOESIDE if only is Edge.HEELSIDE else Edge.HEELSIDE

    def variants(planned: PlannedTrick) -> Iterator[PlannedTrick]:
        made = normalise(replace(bare(planned), approach=other))
        if made.approach is None or made.entry.approach is Edge.EITHER:
            yield made

    return _Skill(lambda trick: trick.approach in (other, Edge.EITHER), variants)


def _stance(case: Case) -> _Skill:
    def variants(planned: PlannedTrick) -> Iterator[PlannedTrick]:
        yield normalise(replace(bare(planned), stance=Stance.SWITCH))

    return _Skill(lambda trick: trick.stance is Stance.SWITCH, variants)


def _spins(case: Case) -> _Skill:
    ways = [place.trick.direction for place in case.run.places() if _turns(place.trick)]
    frontside = ways[0] is Direction.FRONTSIDE
    other = Direction.BACKSIDE if frontside else Direction.FRONTSIDE

    def variants(planned: PlannedTrick) -> Iterator[PlannedTrick]:
        if _turns(planned.trick):
            made = normalise(replace(bare(planned), direction=other))
            if made.direction is None:  # the trade has a name for it
                yield made

    return _Skill(lambda trick: _turns(trick) and trick.direction is other, variants)


def _turns(trick: Trick) -> bool:
    return trick.rotation >= 180 and trick.direction in SIDED


def _grabs(case: Case) -> _Skill:
    def variants(planned: PlannedTrick) -> Iterator[PlannedTrick]:
        trick = planned.trick
        if trick.family in GRABBED and trick.rotation <= GRABBED_TURN:
            for grab in EASY_GRABS:
                yield normalise(replace(bare(planned), grab=grab))

    return _Skill(lambda trick: bool(trick.grab), variants)


def _inverts(case: Case) -> _Skill:
    wanted = not any(place.trick.invert for place in case.run.places())

    def variants(planned: PlannedTrick) -> Iterator[PlannedTrick]:
        for trick in () if wanted else standard_vocabulary().tricks:
            upright = trick.family in GRABBED and not trick.invert
            if upright and trick.takeoff is Takeoff.WAKE_TO_WAKE and trick.tier <= EASY_TIER:
                yield PlannedTrick(trick)

    return _Skill(lambda trick: trick.invert is wanted, variants)


def _known(case: Case, skill: _Skill) -> Iterator[_Swap]:
    """Tricks of the record that show the skill."""
    planned = {bare(place.planned) for place in case.run.places()}
    for place in case.run.places():
        for each in replacements(place.planned, case.record):
            if skill.shows(each.trick) and bare(each) not in planned:
                yield _Swap(place, each)


def _left_of_clean(case: Case, swap: _Swap) -> tuple[float, int]:
    """What comes first costs least of the chance to land everything: that is the product of
    all chances. Chances that are not known are left out of it."""
    chances = [place.planned.likelihood for place in swap.run(case).places()]
    product = prod(chance for chance in chances if chance is not None)
    return -product, abs(swap.planned.trick.tier - swap.place.trick.tier)


def _new(case: Case, skill: _Skill) -> Iterator[_Swap]:
    """The planned tricks in another way; nothing upside down, and no bonus trick."""
    tried = {bare(each) for each in case.record if each.likelihood is not None}
    taken = tried | {bare(place.planned) for place in case.run.places()}
    for place in case.run.places():
        if place.planned.bonus or place.trick.takeoff is Takeoff.RAIL:
            continue
        for made in skill.variants(place.planned):
            fits = made not in taken and not made.trick.invert and skill.shows(made.trick)
            if fits and not _has_fixed_stance(made):
                yield _Swap(place, in_place_of(place.planned, made))


def _easy(swap: _Swap) -> tuple[bool, int, float]:
    """The easiest comes first, then what is surest as planned; the first trick of the run
    stays a sure one."""
    is_first = (swap.place.pass_no, swap.place.position) == (1, 1)
    return is_first, swap.planned.trick.tier, -(swap.place.planned.likelihood or 0.0)


def _has_fixed_stance(planned: PlannedTrick) -> bool:
    return planned.entry.switch_only and planned.stance is not None


def can_show(case: Case) -> bool:
    """Whether there is any trick to try for a finding on variety, at the least cost."""
    skill = SKILLS[case.finding.code](case)
    return any(True for _ in chain(_known(case, skill), _new(case, skill)))


def _ways(case: Case) -> Iterator[Mend]:
    if not len(case.run):
        return
    skill = SKILLS[case.finding.code](case)
    known = sorted(_known(case, skill), key=lambda swap: _left_of_clean(case, swap))
    for swap in known[:CHECKED]:
        yield Mend(_said_known(case, swap), swap.run(case))
    for swap in sorted(_new(case, skill), key=_easy)[:CHECKED]:
        old, new = said(swap.place.planned), said(swap.planned)
        does = _("Ride {other_trick} instead of {trick} in pass {number}.").format(
            other_trick=new, trick=old, number=swap.place.pass_no
        )
        yield Mend(f"{does} {_(NEW).format(trick=new)}", swap.run(case))


def _said_known(case: Case, swap: _Swap) -> str:
    old, new = said(swap.place.planned), said(swap.planned)
    does = _("Replace {trick} by {other_trick} in pass {number}").format(
        trick=old, other_trick=new, number=swap.place.pass_no
    )
    before, after = (case.ground.survive(run).clean for run in (case.run, swap.run(case)))
    if before is None or after is None:
        return f"{does}."
    return f"{does}: {Goal.CLEAN.said(before, after)}."


SKILLS: dict[str, Callable[[Case], _Skill]] = {
    "variety-edges": _edges,
    "variety-stance": _stance,
    "variety-spins": _spins,
    "variety-grabs": _grabs,
    "variety-inverts": _inverts,
}
VARIETY_WAYS: dict[str, Ways] = dict.fromkeys(SKILLS, _ways)
