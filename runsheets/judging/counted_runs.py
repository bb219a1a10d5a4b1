"""From the marks of a group's runs to the one run of each rider that counts.

Pure Python. What is left out of a result is always told: a run that waits for marks, a
judge or criterion that nobody asked for.
"""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from events.rules.words import Combine
from runsheets.judging.scoring import RunMarks, RunState, Scoring

NOT_RIDDEN_AGAIN = mark("The re-ride was not started, so run {number} counts as it was ridden.")


class ReRide(StrEnum):
    """What a re-ride does to the run that it repeats."""

    STANDS = "stands instead"
    BETTER = "the better of the two counts"


@dataclass(frozen=True, slots=True)
class Scored:
    """The counting run of a rider. Nothing in it is rounded.

    `judges` are the judges' totals, `criteria` the mean mark of each criterion over all
    judges, `mark` what the totals combine to, less the points off. `dropped` are the judges
    whose totals were left out. `others` are the marks of the rider's other runs, best first.
    """

    rider: Hashable
    attempt: int
    judges: Mapping[Hashable, Fraction]
    criteria: Mapping[str, Fraction]
    mark: Fraction
    points_off: Fraction
    dropped: tuple[Hashable, ...] = ()
    falls: int | None = None
    others: tuple[Fraction, ...] = ()


@dataclass(frozen=True, slots=True)
class Waiting:
    """A run that cannot be ranked yet, and the marks that are missing: judge, criterion.

    No missing mark is named where it is not known yet which judges mark.
    """

    rider: Hashable
    attempt: int
    missing: tuple[tuple[Hashable, str], ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class Tally:
    """What became of a rider in the round: a counting run, a run that waits, or a state.

    `remarks` are sentences on which runs were looked at.
    """

    rider: Hashable
    state: RunState
    scored: Scored | None = None
    waiting: tuple[Waiting, ...] = ()
    runs_to_come: int = 0
    remarks: tuple[str, ...] = ()


def panel_of(runs: Sequence[RunMarks]) -> tuple[Hashable, ...]:
    """Every judge who has marked any of the runs, in the order in which they turn up."""
    return tuple(dict.fromkeys(judge for run in runs for judge in run.marks))


def tally(
    runs: Sequence[RunMarks],
    scoring: Scoring,
    judges: Sequence[Hashable],
    best_of: int | None,
    re_ride: ReRide,
) -> Tally:
    """What counts of one rider's runs, given in any order.

    The best run counts. A run that waits for marks keeps the rider waiting, since it may be
    the best one; a run that is still to be ridden does not. A disqualification or a
    withdrawal is the rider's for the whole round (from memory), unless that run was
    repeated; a run not started only counts for nothing, and a re-ride not started leaves
    the run that it would have repeated as it was.
    """
    rider = runs[0].rider
    standing, remarks = _standing(runs, re_ride)
    states = {run.status for group in standing for run in group}
    for state in (RunState.DISQUALIFIED, RunState.WITHDRAWN):
        if state in states:
            return Tally(rider, state)
    ridden = [[run for run in group if run.status is RunState.RIDDEN] for group in standing]
    waiting = tuple(
        _waiting(run, missing, scoring, judges)
        for group in ridden
        for run in group
        if (missing := _missing(run, scoring, judges)) or _panel_short(scoring, judges)
    )
    if waiting:
        return Tally(rider, RunState.RIDDEN, waiting=waiting)
    scored = [
        max((score(run, scoring, judges) for run in group), key=lambda each: each.mark)
        for group in ridden
        if group
    ]
    to_come = max(0, (best_of or 1) - len(standing))
    if not scored:
        return Tally(rider, RunState.NOT_STARTED, runs_to_come=to_come)
    return Tally(rider, RunState.RIDDEN, _best(scored), (), to_come, remarks)


def score(run: RunMarks, scoring: Scoring, judges: Sequence[Hashable]) -> Scored:
    """The figures of one fully marked run.

    Points off are taken from the combined mark, and from each judge's total where it is the
    judges' placings that combine; never below the lowest mark.
    """
    off = max(Fraction(0), Fraction(run.points_off))
    totals = {judge: scoring.total(run.marks[judge]) for judge in judges}
    if scoring.combine is Combine.PLACINGS:
        totals = {judge: _less(total, off, scoring) for judge, total in totals.items()}
    mark, dropped = combined(totals, scoring.combine)
    if scoring.combine is not Combine.PLACINGS:
        mark = _less(mark, off, scoring)
    criteria = {
        each.name: sum((Fraction(run.marks[j][each.name]) for j in judges), Fraction(0))
        / len(judges)
        for each in scoring.criteria
    }
    return Scored(run.rider, run.attempt, totals, criteria, mark, off, dropped, run.falls)


def combined(
    totals: Mapping[Hashable, Fraction], combine: Combine
) -> tuple[Fraction, tuple[Hashable, ...]]:
    """The one mark that judges' totals make, and the judges left out of it.

    The mean; with the ends dropped, one highest and one lowest total are left out, which
    needs at least three judges. Placings are not marks: their mean only tells which of a
    rider's runs is the best.
    """
    kept = dict(totals)
    dropped: tuple[Hashable, ...] = ()
    if combine is Combine.DROP_ENDS and len(totals) >= 3:
        high = max(totals, key=lambda judge: totals[judge])
        low = min((j for j in totals if j != high), key=lambda judge: totals[judge])
        dropped = (high, low)
        kept = {judge: total for judge, total in totals.items() if judge not in dropped}
    return sum(kept.values(), Fraction(0)) / len(kept), dropped


def _less(total: Fraction, off: Fraction, scoring: Scoring) -> Fraction:
    return max(min(total, scoring.least), total - off)


def _standing(
    runs: Sequence[RunMarks], re_ride: ReRide
) -> tuple[list[list[RunMarks]], tuple[str, ...]]:
    """The rider's runs, each with the runs that it is chosen from; and what to say of it.

    A re-ride that is ridden stands instead of the run it repeats, even if it is the worse
    one (International Ski Competition Rules 623.3.3, of runs repeated after a hindrance), or
    both are looked at. One that is not started leaves the earlier run standing (published
    for another sport: a discussion of the 2022 rulebook of the International Unicycling
    Federation; for wakeboarding no source).
    """
    by_attempt = {run.attempt: run for run in runs}
    if len(by_attempt) < len(runs):
        raise ValueError(f"Two runs of {runs[0].rider} have the same number.")
    repeated = {run.repeats for run in runs}
    groups, remarks = [], []
    for run in runs:
        if run.attempt in repeated:
            continue
        group = _chain(run, by_attempt)
        last = next((r for r in group if r.status is not RunState.NOT_STARTED), run)
        if last is not run:
            remarks.append(_(NOT_RIDDEN_AGAIN).format(number=last.attempt))
        groups.append(group if re_ride is ReRide.BETTER else [last])
    if not groups:
        raise ValueError(f"The re-rides of {runs[0].rider} repeat one another.")
    return groups, tuple(remarks)


def _chain(run: RunMarks, by_attempt: Mapping[int, RunMarks]) -> list[RunMarks]:
    """A run and those that it repeats, the latest first."""
    group, earlier = [run], run.repeats
    while earlier is not None and (before := by_attempt.get(earlier)) and before not in group:
        group.append(before)
        earlier = before.repeats
    return group


def _best(scored: Sequence[Scored]) -> Scored:
    """The best of a rider's runs, the earlier one of equals, with the marks of the others."""
    best = max(scored, key=lambda each: (each.mark, -each.attempt))
    others = sorted((each.mark for each in scored if each is not best), reverse=True)
    return Scored(
        best.rider, best.attempt, best.judges, best.criteria, best.mark,
        best.points_off, best.dropped, best.falls, tuple(others),
    )  # fmt: skip


def _panel_short(scoring: Scoring, judges: Sequence[Hashable]) -> bool:
    return not judges or len(judges) < (scoring.panel or 0)


def _missing(
    run: RunMarks, scoring: Scoring, judges: Sequence[Hashable]
) -> tuple[tuple[Hashable, str], ...]:
    return tuple(
        (judge, each.name)
        for judge in judges
        for each in scoring.criteria
        if each.name not in run.marks.get(judge, {})
    )


def _waiting(
    run: RunMarks,
    missing: tuple[tuple[Hashable, str], ...],
    scoring: Scoring,
    judges: Sequence[Hashable],
) -> Waiting:
    wanted = max(len(judges), scoring.panel or 1) * len(scoring.criteria)
    have = len(judges) * len(scoring.criteria) - len(missing)
    short = wanted - have
    sentence = _("Not marked yet.")
    if have or short == 1:
        said = ngettext(
            "{missing} of {wanted} marks is missing.",
            "{missing} of {wanted} marks are missing.",
            short,
        )
        sentence = said.format(missing=short, wanted=wanted)
    return Waiting(run.rider, run.attempt, missing, sentence)
