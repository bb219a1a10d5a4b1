"""One change that takes away what a check found.

Each finding has its own few changes to try. A mend is only given where the check of the
changed run has one finding less of that kind, breaks no rule more often, leaves no more
tricks uncounted by any rule, and has no more that cannot be reached or is doubtful. A trick
that is to show a skill must itself be reached and counted.
"""

from collections import Counter
from collections.abc import Iterable

from events.rules.findings import Finding, Grade
from events.rules.run import Run
from riders.planning.ground import Ground, Record, broken
from riders.planning.mend_case import Case, Mend
from riders.planning.mend_passes import PASS_WAYS
from riders.planning.mend_tricks import TRICK_WAYS
from riders.planning.mend_variety import VARIETY_WAYS, can_show

__all__ = ["MENDABLE", "Mend", "may_mend", "mend"]

WAYS = {**TRICK_WAYS, **PASS_WAYS, **VARIETY_WAYS}
MENDABLE = frozenset(WAYS)
"""The codes of findings for which a mend is looked for."""

# Findings that are alike: taking one away must not bring another of them.
_SET_UP = {"turn-needed", "crossing-needed"}
_HARDEST = {"hardest-trick-early", "hardest-trick-mid-pass", "hardest-past-cutoff"}
_VARIETY = set(VARIETY_WAYS)
_ALIKE = (_SET_UP, _HARDEST)
_BY_RULE = (Grade.RULE, Grade.UNCOUNTED)


def may_mend(finding: Finding, run: Run, ground: Ground, record: Record = ()) -> bool:
    """Whether there is a change to try; a look that checks no run.

    Only where a skill is missing may there be none: no trick of the record shows it, and
    none of the planned tricks could.
    """
    if finding.code in VARIETY_WAYS:
        return can_show(Case(finding, run, ground, record))
    return finding.code in MENDABLE


def mend(finding: Finding, run: Run, ground: Ground, record: Record = ()) -> Mend | None:
    """The first change that works; None where one change does not help.

    What is tried keeps every trick where it can, then replaces one by another of the
    record, then takes one out. The finding must come from a check of this run.
    """
    ways = WAYS.get(finding.code)
    if ways is None:
        return None
    case = Case(finding, run, ground, record)
    before = ground.check(run).findings
    for found in ways(case):
        after = ground.check(found.run).findings
        if found.run == run or not _mends(finding, before, after):
            continue
        if finding.code not in _VARIETY or _counts(run, found.run, after):
            return found
    return None


def _mends(finding: Finding, before: Iterable[Finding], after: Iterable[Finding]) -> bool:
    """Whether there is less of the finding, and nothing worse instead."""
    had, has = (Counter(each.code for each in found) for found in (before, after))
    alike = next((codes for codes in _ALIKE if finding.code in codes), set())
    return (
        has[finding.code] < had[finding.code]
        and sum(has[code] for code in alike) <= sum(had[code] for code in alike) - bool(alike)
        and (finding.code not in _VARIETY or all(has[each] <= had[each] for each in _VARIETY))
        and broken(after) <= broken(before)
        and all(_rules(after, grade) <= _rules(before, grade) for grade in _BY_RULE)
        and _doubtful(after) <= _doubtful(before)
    )


def _counts(run: Run, changed: Run, after: Iterable[Finding]) -> bool:
    """Whether the trick that another one made way for can be reached and is counted."""
    new = {
        (here.pass_no, here.position)
        for was, here in zip(run.places(), changed.places(), strict=True)
        if was.planned != here.planned
    }
    lost = (Grade.UNCOUNTED, Grade.UNREACHABLE)
    return not any(
        each.grade in lost and (each.pass_no, each.position) in new for each in after
    )


def _doubtful(found: Iterable[Finding]) -> int:
    return sum(each.grade is Grade.WARNING for each in found)


def _rules(found: Iterable[Finding], grade: Grade) -> Counter[tuple[str, str]]:
    """How often each rule makes such a finding; limits are told apart by the organiser's
    words."""
    return Counter((each.code, each.words) for each in found if each.grade is grade)
