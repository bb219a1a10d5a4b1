"""May I do this here? Every trick of the vocabulary tried at the end of a pass.

Each trick is put there and the longer run checked, so that the answer is exactly that of the
check; what the run has without the trick is taken away from what is found. To be quick, a
limit that does not speak of the trick, or has room for one more, is not looked at again.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from events.rules.findings import Finding, is_legal
from events.rules.format import Format
from events.rules.legality import RULES, legality
from events.rules.notation_match import DOUBLE_UP
from events.rules.rules_limits import (
    Repeated,
    check_limit,
    has_room,
    limits,
    repeats_that_matter,
    speaks_of,
)
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.subject import Spot, Subject
from events.rules.trick import Takeoff, Trick
from events.rules.vocabulary import Vocabulary


@dataclass(frozen=True, slots=True)
class NextTrick:
    """One trick tried: whether it breaks a rule there, and everything that it adds.

    `findings` are those of the longer run that the run itself does not have. A trick that
    is not counted, or depends on something not stated, is allowed with its findings.
    """

    trick: Trick
    allowed: bool
    findings: tuple[Finding, ...]


def next_tricks(
    run: Run,
    format: Format,
    vocabulary: Vocabulary,
    pass_no: int,
    *,
    bonus: str | None = None,
    division: str | None = None,
    round: str | None = None,
) -> tuple[NextTrick, ...]:
    """Every trick of the vocabulary at the end of pass `pass_no` (1 for the first), in order.

    `format` must be the effective one. With `bonus` the trick claims that bonus trick, such
    as "double-up", instead. Passes that the run does not have yet are added empty. Raises
    ValueError for a pass number below 1.
    """
    padded = _padded(run, pass_no)
    shift = None if bonus else _Shift(pass_no, len(padded.passes[pass_no - 1].tricks))
    before = _Before(legality(run, format, division, round), shift)
    unmoved = _Unmoved(Subject(padded, format, division, round), shift)
    found = []
    for trick in vocabulary.tricks:
        longer = Subject(with_trick(padded, trick, pass_no, bonus), format, division, round)
        added = before.added_by(unmoved.legality(longer, _new_spot(longer, pass_no, bonus)))
        found.append(NextTrick(trick, is_legal(added), added))
    return tuple(found)


def with_trick(run: Run, trick: Trick, pass_no: int, bonus: str | None = None) -> Run:
    """The run with a trick at the end of a pass, or claiming a bonus trick after it.

    A trick that claims the double-up takes off from it. Raises ValueError for a pass number
    below 1.
    """
    passes = list(_padded(run, pass_no).passes)
    here = passes[pass_no - 1]
    if bonus:
        takeoff = Takeoff.DOUBLE_UP if bonus.casefold() == DOUBLE_UP else None
        planned = PlannedTrick(trick, takeoff=takeoff, bonus=bonus)
        passes[pass_no - 1] = replace(here, bonus=(*here.bonus, planned))
    else:
        passes[pass_no - 1] = replace(here, tricks=(*here.tricks, PlannedTrick(trick)))
    return Run(tuple(passes))


def _padded(run: Run, pass_no: int) -> Run:
    """The run with empty passes up to this one."""
    if pass_no < 1:
        raise ValueError("Passes count from 1.")
    missing = pass_no - len(run.passes)
    return Run((*run.passes, *(Pass() for _ in range(missing)))) if missing > 0 else run


def _new_spot(longer: Subject, pass_no: int, bonus: str | None) -> Spot:
    here = longer.run.passes[pass_no - 1]
    position = len(here.attempts if bonus else here.tricks)
    return next(spot for spot in longer.spots if spot.at == (pass_no, position))


@dataclass(frozen=True, slots=True)
class _Shift:
    """Bonus tricks are numbered on from the tricks of their pass: one more moves them up."""

    pass_no: int
    tricks: int

    def place(self, pass_no: int, position: int) -> tuple[int, int]:
        up = pass_no == self.pass_no and position > self.tricks
        return pass_no, position + up

    def finding(self, finding: Finding) -> Finding:
        if finding.pass_no != self.pass_no or finding.position is None:
            return finding
        _, position = self.place(finding.pass_no, finding.position)
        return replace(finding, position=position)


def _moved(findings: Iterable[Finding], shift: _Shift | None) -> list[Finding]:
    return [each if shift is None else shift.finding(each) for each in findings]


class _Unmoved:
    """What the limits find where the new trick is none of theirs."""

    def __init__(self, padded: Subject, shift: _Shift | None) -> None:
        again = repeats_that_matter(padded)
        self.again = {shift.place(*at) if shift else at: how for at, how in again.items()}
        self.found = [
            (limit, _moved(check_limit(padded, limit, again), shift))
            for limit in padded.format.limits or ()
        ]
        self.tight = [
            (limit, found) for limit, found in self.found if not has_room(padded, limit, again)
        ]

    def legality(self, longer: Subject, new: Spot) -> list[Finding]:
        """The same findings as of a full check of the longer run."""
        findings: list[Finding] = []
        for rule in RULES:
            stated = rule is limits and longer.format.limits is not None
            findings += self.limits(longer, new) if stated else rule(longer)
        return findings

    def limits(self, longer: Subject, new: Spot) -> Iterator[Finding]:
        again: Repeated = repeats_that_matter(longer)
        others_repeat = {at: how for at, how in again.items() if at != new.at} != self.again
        for limit, found in self.found if others_repeat else self.tight:
            if others_repeat or speaks_of(limit, new):
                yield from check_limit(longer, limit, again)
            else:
                yield from found


class _Before:
    """What a run has without the new trick, in the places of the longer run."""

    def __init__(self, findings: Iterable[Finding], shift: _Shift | None) -> None:
        self.findings = Counter(_moved(findings, shift))

    def added_by(self, findings: list[Finding]) -> tuple[Finding, ...]:
        """The findings that are new.

        One that only says it in other words, such as "the fourth" for "the third", is not.
        """
        left = self.findings.copy()
        new = [finding for finding in findings if not _taken(left, finding)]
        reworded = Counter(map(_key, left.elements()))
        return tuple(finding for finding in new if not _taken(reworded, _key(finding)))


def _taken(counter: Counter[Any], item: object) -> bool:
    """Take one of the items out; False where there is none."""
    if counter[item] <= 0:
        return False
    counter[item] -= 1
    return True


def _key(finding: Finding) -> tuple[object, ...]:
    where = finding.pass_no, finding.position
    return (finding.code, finding.grade, *where, finding.words)
