"""The result of a round as it stands: computed anew from the marks whenever it is asked for.

Nothing of a result is stored but that it is posted, so that a page can never show a figure
that the marks do not give. The same few queries for any number of riders.
"""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.utils import timezone

from events.models import Division, Event
from events.rules.format import Format
from events.rules.staging import Round
from events.rules.words import AdvanceFrom
from riders.models import Entry
from runsheets.judging.counted_runs import Waiting
from runsheets.judging.scoring import RunMarks, Scoring, shown
from runsheets.judging.standings import Standing, Standings, standings
from runsheets.judging.tie_words import By
from runsheets.lineup import HeatLine, rounds_of
from runsheets.models import Judge, Protest, RoundResult, RunningOrder
from runsheets.ridden import lines_of, panel, runs_by_entry, runs_by_round, runs_of


@dataclass(frozen=True)
class ResultRow:
    """One rider in a result: the figures to read beside the standing they come from.

    `figures` go with the result's labels; they are empty without a counting run.
    """

    standing: Standing
    entry: Entry
    bib: int | None
    total: str
    figures: list[tuple[str, str]]

    @property
    def place(self) -> str:
        """The place to read, empty for who has none."""
        return "" if self.standing.place is None else str(self.standing.place)

    @property
    def points_off(self) -> str:
        """The points taken off, empty where there are none."""
        return shown(self.standing.points_off) if self.standing.points_off else ""


@dataclass(frozen=True)
class ResultGroup:
    """Riders ranked together: a heat, or the whole round with `heat` None."""

    heat: int | None
    standings: Standings
    rows: list[ResultRow]


@dataclass(frozen=True)
class WaitingRun:
    """A run that cannot be ranked yet, and what it waits for."""

    entry: Entry
    run: Waiting


@dataclass(frozen=True)
class Result:
    """The result of one round of a division. `posted` None: nothing of it is public."""

    division: Division
    order: RunningOrder
    groups: list[ResultGroup]
    waiting: list[WaitingRun]
    judges: list[Judge]
    criteria: list[str]
    posted: RoundResult | None
    protest_min: int | None
    stated: Round | None
    said: list[str] = field(default_factory=list)

    @property
    def labels(self) -> list[str]:
        """What the figures of each row are: the judges' totals, then the mean marks."""
        return labels_of(self.judges, self.criteria)

    @property
    def is_official(self) -> bool:
        """Whether the result is official, and its marks locked."""
        return self.posted is not None and self.posted.official_at is not None

    @property
    def is_complete(self) -> bool:
        """Whether every run is ridden and marked."""
        return bool(self.groups) and all(each.standings.complete for each in self.groups)

    @property
    def undecided(self) -> list[list[str]]:
        """The names of riders in each tie that people have to decide."""
        names = {row.entry.pk: row.entry.rider.name for row in self.rows}
        return [
            [names[rider] for rider in tie]
            for group in self.groups
            for tie in group.standings.undecided
        ]

    @property
    def rows(self) -> list[ResultRow]:
        """Every rider with a place or a state, group by group."""
        return [row for group in self.groups for row in group.rows]

    @property
    def protests_until(self) -> datetime | None:
        """Until when protests are taken; None before posting or where nothing is stated."""
        if self.posted is None or self.protest_min is None:
            return None
        return self.posted.posted_at + timedelta(minutes=self.protest_min)

    @property
    def window_is_open(self) -> bool:
        """Whether protests are still taken."""
        until = self.protests_until
        return until is not None and timezone.now() < until


def labels_of(judges: Sequence[Judge], criteria: Sequence[str]) -> list[str]:
    """The labels of the figures: judges by number, and what they mark."""
    return [f"Judge {judge.number}" for judge in judges] + [c or "Mark" for c in criteria]


def orders_with_results(event: Event) -> list[RunningOrder]:
    """The running orders of an event whose result is posted, by division and round."""
    found = RunningOrder.objects.filter(division__event=event).exclude(result=None)
    orders = list(found.select_related("result", "division"))
    divisions = {each.pk: each for each in event.divisions.prefetch_related("editions")}
    turn = {(pk, name): n for pk, d in divisions.items() for n, name in enumerate(rounds_of(d))}

    def place(order: RunningOrder) -> tuple[int, int, int]:
        last = turn.get((order.division_id, order.round_name), len(turn))
        return (order.division.place, order.division_id, last)

    return sorted(orders, key=place)


def order_of(division: Division, round_name: str) -> RunningOrder | None:
    """The running order of a round with whether its result is posted."""
    orders = RunningOrder.objects.select_related("result", "result__by")
    return orders.filter(division=division, round_name=round_name).first()


def results_of(division: Division, orders: Sequence[RunningOrder]) -> list[Result]:
    """The results of several rounds, with the marks and judges of all looked up at once."""
    judges = list(Judge.objects.filter(event=division.event))
    falls = any(_counts_falls(_scoring(division, order)) for order in orders)
    rides = runs_by_round(orders, counts_falls=falls)
    return [result_of(division, each, judges, rides[each.pk]) for each in orders]


def _scoring(division: Division, order: RunningOrder) -> Scoring:
    edition, name = division.edition, order.round_name or None
    return Scoring.of(edition.effective(name) if edition else Format())


def _counts_falls(scoring: Scoring) -> bool:
    return any(each.by is By.FEWER_FALLS for each in scoring.tie_breaks or ())


def result_of(
    division: Division,
    order: RunningOrder,
    everybody: Sequence[Judge] | None = None,
    rides: Mapping[int, list[RunMarks]] | None = None,
) -> Result:
    """The result of a round as the marks now give it.

    `everybody` are the judges of the event and `rides` the runs, where they are known.
    """
    name = order.round_name
    format = division.edition.effective(name or None) if division.edition else Format()
    scoring = Scoring.of(format)
    stated = next((r for r in format.rounds or () if (r.name or "") == name), None)
    lines = lines_of(division, order)
    bibs = {seat.entry.rider_id: seat.bib for line in lines for seat in line.seats}
    judges = panel(division.event, scoring) if everybody is None else everybody
    judges = list(judges)[: scoring.panel or None]
    if rides is None:
        rides = runs_by_entry(order, counts_falls=_counts_falls(scoring))
    previous = _previous_places(division, order, scoring)
    groups = []
    for heat, together in _ranked_together(lines, stated):
        seats = [seat for line in together for seat in line.seats]
        entries = {seat.entry.pk: seat.entry for seat in seats}
        made = standings(
            [run for seat in seats for run in runs_of(seat, rides)],
            scoring,
            judges=[judge.number for judge in judges],
            names={pk: entry.rider.name for pk, entry in entries.items()},
            best_of=stated.best_of if stated else None,
            previous=previous,
            ranking={pk: e.rank for pk, e in entries.items() if e.rank is not None},
        )
        groups.append((heat, made, entries))
    return Result(
        division=division,
        order=order,
        groups=[
            ResultGroup(heat, made, _rows(made, entries, bibs, judges, scoring))
            for heat, made, entries in groups
        ],
        waiting=[
            WaitingRun(entries[run.rider], run)
            for _, made, entries in groups
            for run in made.waiting
        ],
        judges=judges,
        criteria=[each.name for each in scoring.criteria],
        posted=getattr(order, "result", None),
        protest_min=format.clock.protest_min,
        stated=stated,
        said=list(dict.fromkeys(said for _, made, _ in groups for said in made.said)),
    )


def _ranked_together(
    lines: Sequence[HeatLine], stated: Round | None
) -> Iterable[tuple[int | None, list[HeatLine]]]:
    """Each heat by itself where riders go on from each heat; else the whole round."""
    if stated and stated.advance_from is AdvanceFrom.EACH_HEAT and len(lines) > 1:
        return [(line.heat.number, [line]) for line in lines]
    return [(None, list(lines))]


def _previous_places(
    division: Division, order: RunningOrder, scoring: Scoring
) -> dict[Hashable, int] | None:
    """The places of the round before, looked up only where a tie-break names it."""
    wanted = any(each.by is By.PREVIOUS_ROUND for each in scoring.tie_breaks or ())
    before = round_before(division, order.round_name)
    earlier = order_of(division, before) if wanted and before is not None else None
    return dict(places_of(result_of(division, earlier))) if earlier else None


def round_before(division: Division, name: str) -> str | None:
    """The round before a round; None for the first."""
    names = rounds_of(division)
    at = names.index(name) if name in names else 0
    return names[at - 1] if at else None


def round_after(division: Division, name: str) -> str | None:
    """The round after a round; None for the last."""
    names = rounds_of(division)
    at = names.index(name) + 1 if name in names else len(names)
    return names[at] if at < len(names) else None


def places_of(result: Result) -> dict[int, int]:
    """The place of every rider who has one, by entry; heats side by side."""
    return {row.entry.pk: row.standing.place for row in result.rows if row.standing.place}


def _rows(
    made: Standings,
    entries: Mapping[int, Entry],
    bibs: Mapping[int, int | None],
    judges: Sequence[Judge],
    scoring: Scoring,
) -> list[ResultRow]:
    rows = []
    labels = labels_of(judges, [each.name for each in scoring.criteria])
    for standing, total in zip(made.rows, made.totals(), strict=True):
        entry = entries[standing.rider]
        judged = [standing.judges.get(judge.number) for judge in judges]
        marked = [standing.criteria.get(each.name) for each in scoring.criteria]
        figures = ["" if each is None else shown(each, 2) for each in [*judged, *marked]]
        rows.append(
            ResultRow(
                standing=standing,
                entry=entry,
                bib=bibs.get(entry.rider_id),
                total=total,
                figures=list(zip(labels, figures, strict=True)),
            )
        )
    return rows


def protests_of(order: RunningOrder) -> list[Protest]:
    """The protests against a result, the first one first."""
    return list(order.protests.select_related("entry__rider", "noted_by"))
