"""What each single change of a run would bring, worked out anew for every one of them."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.run import Run
from riders.planning.ground import (
    SAME,
    Goal,
    Ground,
    Record,
    replacements,
    said,
    with_pass,
    with_trick_at,
)
from riders.planning.survival import Survival
from riders.planning.worth import wasted


class Kind(StrEnum):
    """What is changed."""

    DROP = "drop"
    SWAP = "swap"
    MOVE = "move to the end of a pass"
    REPLACE = "replace by a safer trick"

    @property
    def words(self) -> str:
        """The kind as riders read it."""
        return _(_KINDS[self])


_KINDS = {
    Kind.DROP: mark("drop"),
    Kind.SWAP: mark("swap"),
    Kind.MOVE: mark("move to the end of a pass"),
    Kind.REPLACE: mark("replace by a safer trick"),
}


@dataclass(frozen=True, slots=True)
class Change:
    """One change. `sentence` is for the rider; `run` is the run after it.

    `gain` is the growth of the goal's figure: probability, tricks or tiers.
    """

    kind: Kind
    sentence: str
    run: Run
    before: Survival
    after: Survival
    gain: float


def single_changes(
    run: Run,
    ground: Ground,
    *,
    record: Record = (),
    goal: Goal = Goal.CLEAN,
    limit: int | None = 20,
    only_gains: bool = True,
) -> tuple[Change, ...]:
    """Every legal single change, the one with the greatest gain first; at most `limit`.

    A trick may be dropped, change places with another, move to the end of a pass, or make
    way for one of the record that is landed more often. None leaves more tricks uncounted or
    repeated in vain than the run has. Without `only_gains` changes that
    cost something are given too. Empty where the goal's figure cannot be told.
    """
    before = ground.survive(run)
    figure = goal.of(before)
    if figure is None:
        return ()
    seen, found, waste = {run}, [], wasted(run, ground)
    for kind, does, changed in _changes(run, record):
        if changed in seen or not ground.is_legal(changed):
            continue
        seen.add(changed)
        after = ground.survive(changed)
        value = goal.of(after)
        if value is None or (only_gains and value <= figure + SAME):
            continue
        if wasted(changed, ground) > waste:
            continue
        sentence = f"{does}: {goal.said(figure, value)}"
        found.append(Change(kind, sentence, changed, before, after, value - figure))
    found.sort(key=lambda each: -round(each.gain, 9))  # of equal ones the first named
    return tuple(found[:limit])


def _changes(run: Run, record: Record) -> Iterator[tuple[Kind, str, Run]]:
    """Every single change, whether legal or not; keeping the run first, less of it last."""
    yield from _moves(run)
    yield from _swaps(run)
    yield from _safer(run, record)
    yield from _drops(run)


def _drops(run: Run) -> Iterator[tuple[Kind, str, Run]]:
    for place in run.places():
        changed = with_trick_at(run, place.pass_no, place.position)
        does = _("Drop {trick} from pass {number}").format(
            trick=said(place.planned), number=place.pass_no
        )
        yield Kind.DROP, does, changed


def _swaps(run: Run) -> Iterator[tuple[Kind, str, Run]]:
    places = [(number, at) for number, each in enumerate(run.passes, start=1)
              for at in range(1, len(each.tricks) + 1)]  # fmt: skip
    for first, one in enumerate(places):
        for other in places[first + 1 :]:
            changed = swapped(run, one, other)
            names = [said(run.passes[number - 1].tricks[at - 1]) for number, at in (one, other)]
            does = _("Swap {trick} and {other_trick} in pass {number}")
            if one[0] != other[0]:
                does = _(
                    "Swap {trick} and {other_trick} between passes {number} and {other_number}"
                )
            said_of = does.format(
                trick=names[0], other_trick=names[1], number=one[0], other_number=other[0]
            )
            yield Kind.SWAP, said_of, changed


def swapped(run: Run, one: tuple[int, int], other: tuple[int, int]) -> Run:
    """The run with two tricks in each other's place; a place is pass and position from 1."""
    tricks = [run.passes[number - 1].tricks[at - 1] for number, at in (one, other)]
    return with_trick_at(with_trick_at(run, *one, tricks[1]), *other, tricks[0])


def moved(run: Run, here: tuple[int, int], there: tuple[int, int]) -> Run:
    """The run with a trick in another place; positions are counted without that trick."""
    trick = run.passes[here[0] - 1].tricks[here[1] - 1]
    without = with_trick_at(run, *here)
    each = without.passes[there[0] - 1]
    at = there[1] - 1
    changed = replace(each, tricks=(*each.tricks[:at], trick, *each.tricks[at:]))
    return with_pass(without, there[0], changed)


def _moves(run: Run) -> Iterator[tuple[Kind, str, Run]]:
    for number, each in enumerate(run.passes, start=1):
        for at, planned in enumerate(each.tricks, start=1):
            for to, other in enumerate(run.passes, start=1):
                end = len(other.tricks) + (to != number)
                does = _("Move {trick} to the end of pass {number}").format(
                    trick=said(planned), number=to
                )
                yield Kind.MOVE, does, moved(run, (number, at), (to, end))


def _safer(run: Run, record: Record) -> Iterator[tuple[Kind, str, Run]]:
    for place in run.places():
        planned = place.planned
        for each in replacements(planned, record):
            if (each.likelihood or 0.0) > (planned.likelihood or 0.0):
                changed = with_trick_at(run, place.pass_no, place.position, each)
                does = _("Replace {trick} by {other_trick} in pass {number}").format(
                    trick=said(planned), other_trick=said(each), number=place.pass_no
                )
                yield Kind.REPLACE, does, changed
