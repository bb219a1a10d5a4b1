"""Who stands where: the ranking of the riders who are ranked together.

Pure Python. Rank what belongs together: the riders of a heat, or of a whole round where
the format lets riders advance from the round. A run is ranked only against its own heat
(World Wake Association rule book, Judging, thewwa.com/rules14.shtml), so that placings of
judges from two heats are never added up here.
"""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import groupby

from events.rules.answers_words import capital, joined, number
from events.rules.language import gettext as _
from events.rules.language import ngettext
from events.rules.words import Combine
from runsheets.judging.counted_runs import ReRide, Scored, Tally, Waiting, panel_of, tally
from runsheets.judging.scoring import (
    STATE_SENTENCES,
    RunMarks,
    RunState,
    Scoring,
    named_list,
    shown,
    shown_apart,
)
from runsheets.judging.ties import Level, TieBreaker


@dataclass(frozen=True, slots=True)
class Standing:
    """One rider in a result.

    `place` is None for who has none: disqualified or withdrawn. `total` is the exact figure
    that ranks: the combined mark, or the sum of the judges' placings; None without a run.
    `mark` is the combined mark in either case. `judges` are the judges' totals, `criteria`
    the mean marks, `placings` each judge's placing within the group, with halves where a
    judge has two runs level. `tied` says that another rider has the same place. `note` says
    what decided, or what is still to decide.
    """

    place: int | None
    rider: Hashable
    total: Fraction | None
    judges: Mapping[Hashable, Fraction] = field(default_factory=dict)
    criteria: Mapping[str, Fraction] = field(default_factory=dict)
    placings: Mapping[Hashable, Fraction] = field(default_factory=dict)
    tied: bool = False
    note: str = ""
    status: RunState = RunState.RIDDEN
    attempt: int | None = None
    mark: Fraction | None = None
    points_off: Fraction = Fraction(0)
    dropped: tuple[Hashable, ...] = ()
    lower_is_better: bool = False


@dataclass(frozen=True, slots=True)
class Standings:
    """A result, best first. `complete` is False while marks or runs are missing.

    `waiting` are the runs that are not ranked because marks are missing, `undecided` the
    ties that people have to decide, and `said` are sentences for the page: what was taken
    without being stated, and what was not used.
    """

    rows: tuple[Standing, ...]
    waiting: tuple[Waiting, ...] = ()
    undecided: tuple[tuple[Hashable, ...], ...] = ()
    complete: bool = True
    said: tuple[str, ...] = ()

    def totals(self) -> list[str]:
        """The figures to read, one for each row; empty where there is none.

        Two decimals, or as many more as it takes to tell different ones apart.
        """
        ranked = [row.total for row in self.rows if row.total is not None]
        if self.rows and self.rows[0].lower_is_better:
            texts = iter([shown(each) for each in ranked])
        else:
            texts = iter(shown_apart(ranked))
        return ["" if row.total is None else next(texts) for row in self.rows]


def standings(
    runs: Sequence[RunMarks],
    scoring: Scoring,
    *,
    judges: Sequence[Hashable] | None = None,
    names: Mapping[Hashable, str] | None = None,
    best_of: int | None = None,
    re_ride: ReRide = ReRide.STANDS,
    previous: Mapping[Hashable, int] | None = None,
    ranking: Mapping[Hashable, int] | None = None,
    decided: Mapping[Hashable, int] | None = None,
) -> Standings:
    """Rank the riders of one group; give every rider at least one run, marked or not.

    `judges` are those who must mark every run, the head judge first; where None, everybody
    who marked any run here. `previous` and `ranking` are places for tie-breaks that name
    them, `decided` settles ties after a ride-off or by the judges: 1 for who goes first.

    Places count as "1, 2, 2, 4" (SciPy: `rankdata(method="min")`), since two riders who
    share a place both had one fewer better than the next has. A judge's placings count as
    "1, 2.5, 2.5, 4" (`method="average"`), so that each judge hands out the same sum.

    Riders who did not start come last and share that place; after them, without a place,
    who was disqualified or withdrew. Raises ValueError where two runs of a rider have the
    same number.
    """
    panel = panel_of(runs) if judges is None else tuple(judges)
    by_rider: dict[Hashable, list[RunMarks]] = {}
    for run in runs:
        by_rider.setdefault(run.rider, []).append(run)
    tallies = [tally(each, scoring, panel, best_of, re_ride) for each in by_rider.values()]
    scored = [each.scored for each in tallies if each.scored is not None]
    placings = judges_placings(scored, panel)
    breaker = TieBreaker(
        scoring.tie_breaks, panel, placings, names or {},
        previous or {}, ranking or {}, decided or {},
    )  # fmt: skip
    rows, undecided = _ranked(scored, scoring, breaker, tallies)
    waiting = tuple(each for one in tallies for each in one.waiting)
    to_come = any(one.runs_to_come for one in tallies)
    return Standings(
        rows=(*rows, *_without_a_mark(tallies, len(rows) + 1)),
        waiting=waiting,
        undecided=undecided,
        complete=not waiting and not to_come,
        said=tuple(_said(runs, scoring, panel, best_of, tallies)),
    )


def judges_placings(
    scored: Sequence[Scored], judges: Sequence[Hashable]
) -> dict[Hashable, dict[Hashable, Fraction]]:
    """For each rider the placing by each judge; runs that are level share the mean place."""
    placings: dict[Hashable, dict[Hashable, Fraction]] = {one.rider: {} for one in scored}
    for judge in judges:
        totals = {one.rider: one.judges[judge] for one in scored}
        for rider, place in average_places(totals).items():
            placings[rider][judge] = place
    return placings


def average_places(totals: Mapping[Hashable, Fraction]) -> dict[Hashable, Fraction]:
    """Places by total, the highest first; who is level shares the mean of their places."""
    places: dict[Hashable, Fraction] = {}
    in_order = sorted(totals, key=lambda rider: totals[rider], reverse=True)
    for _total, level in groupby(in_order, key=lambda rider: totals[rider]):
        riders = list(level)
        shared = Fraction(2 * len(places) + len(riders) + 1, 2)
        places.update(dict.fromkeys(riders, shared))
    return places


def _ranked(
    scored: Sequence[Scored],
    scoring: Scoring,
    breaker: TieBreaker,
    tallies: Sequence[Tally],
) -> tuple[list[Standing], tuple[tuple[Hashable, ...], ...]]:
    lower = scoring.lower_is_better
    figure = {
        one.rider: sum(breaker.placings[one.rider].values(), Fraction(0)) if lower else one.mark
        for one in scored
    }
    in_order = sorted(scored, key=lambda one: figure[one.rider], reverse=not lower)
    notes: dict[Hashable, list[str]] = {
        one.rider: [*one.remarks, *_runs_to_come(one.runs_to_come)] for one in tallies
    }
    rows: list[Standing] = []
    undecided = []
    for _figure, group in groupby(in_order, key=lambda one: figure[one.rider]):
        for level in breaker.part(list(group), notes):
            place = len(rows) + 1
            if level.undecided:
                undecided.append(tuple(one.rider for one in level.riders))
            rows += [
                Standing(
                    place=place,
                    rider=one.rider,
                    total=figure[one.rider],
                    judges=one.judges,
                    criteria=one.criteria,
                    placings=breaker.placings[one.rider],
                    tied=len(level.riders) > 1,
                    note=_note(one, level, notes, breaker.names),
                    attempt=one.attempt,
                    mark=one.mark,
                    points_off=one.points_off,
                    dropped=one.dropped,
                    lower_is_better=lower,
                )
                for one in level.riders
            ]
    return rows, tuple(undecided)


def _runs_to_come(runs: int) -> list[str]:
    said = ngettext("{number} run to come.", "{number} runs to come.", runs)
    return [capital(said.format(number=number(runs)))][:runs]


def _note(
    one: Scored,
    level: Level,
    notes: Mapping[Hashable, list[str]],
    names: Mapping[Hashable, str],
) -> str:
    others = [other.rider for other in level.riders if other is not one]
    tied = []
    if others:
        said = _("Tied with {riders}. {reason}")
        tied.append(said.format(riders=named_list(others, names), reason=level.reason))
    return " ".join([*notes.get(one.rider, ()), *tied])


def _without_a_mark(tallies: Sequence[Tally], place: int) -> list[Standing]:
    """Who did not start, with the last place, and then who has no place."""
    rows = []
    absent = [one for one in tallies if one.state is RunState.NOT_STARTED]
    for one in absent:
        tied, state = len(absent) > 1, RunState.NOT_STARTED
        note = _(STATE_SENTENCES[state])
        rows.append(Standing(place, one.rider, None, tied=tied, note=note, status=state))
    for state in (RunState.DISQUALIFIED, RunState.WITHDRAWN):
        note = _(STATE_SENTENCES[state])
        rows += [
            Standing(None, one.rider, None, note=note, status=state)
            for one in tallies
            if one.state is state
        ]
    return rows


def _said(
    runs: Sequence[RunMarks],
    scoring: Scoring,
    judges: Sequence[Hashable],
    best_of: int | None,
    tallies: Sequence[Tally],
) -> list[str]:
    said = list(scoring.assumed)
    if scoring.combine is Combine.DROP_ENDS and 0 < len(judges) < 3:
        said.append(
            _("With one judge no mark is left out; from three on, two are.")
            if len(judges) == 1
            else _("With two judges no mark is left out; from three on, two are.")
        )
    if scoring.unread_tie_breaks:
        quotes = _("“{words}”")
        listed = joined(quotes.format(words=each) for each in scoring.unread_tie_breaks)
        not_read = _(
            "Not understood as a tie-break, and so not applied: {tie_breaks}. The judges "
            "decide a tie that gets that far."
        )
        said.append(not_read.format(tie_breaks=listed))
    if best_of is None and any(one.scored and one.scored.others for one in tallies):
        said.append(
            _("How many runs count is not stated; each rider's best run is taken here.")
        )
    known = {each.name for each in scoring.criteria}
    strange = {name: None for run in runs for each in run.marks.values() for name in each}
    if unused := [name or _("the whole run") for name in strange if name not in known]:
        words = _("Marks that are not used, since they are not asked for: {criteria}.")
        said.append(words.format(criteria=joined(unused)))
    if outside := [str(judge) for judge in panel_of(runs) if judge not in judges]:
        words = _("Marks that are not used, since these do not judge: {judges}.")
        said.append(words.format(judges=joined(outside)))
    return said
