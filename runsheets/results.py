"""The result of a round as it stands: computed anew from the marks whenever it is asked for.

Nothing of a result is stored but that it is posted, so that a page can never show a figure
that the marks do not give. The same few queries for any number of riders.
"""

from collections.abc import Hashable, Iterable, Mapping, Sequence

from django.utils.translation import gettext as _

from events.models import Division, Event
from events.rules.format import Format
from events.rules.staging import Round
from events.rules.words import AdvanceFrom
from riders.models import Entry
from runsheets.judging.scoring import Scoring, shown
from runsheets.judging.standings import Standings, standings
from runsheets.judging.tie_words import By
from runsheets.lineup import HeatLine, Seat, rounds_of
from runsheets.models import Judge, Protest, RunningOrder
from runsheets.result_rows import Read, Result, ResultGroup, ResultRow, WaitingRun, labels_of
from runsheets.ridden import (
    lines_by_round,
    lines_of,
    panel,
    runs_by_entry,
    runs_by_round,
    runs_of,
)


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
    lines = lines_by_round(division, orders)
    found: dict[str, Result] = {}
    for each in orders:
        read = Read(judges, rides[each.pk], lines[each.pk], found)
        found[each.round_name] = result_of(division, each, read)
    return list(found.values())


def _scoring(division: Division, order: RunningOrder) -> Scoring:
    edition, name = division.edition, order.round_name or None
    return Scoring.of(edition.effective(name) if edition else Format())


def _counts_falls(scoring: Scoring) -> bool:
    return any(each.by is By.FEWER_FALLS for each in scoring.tie_breaks or ())


def result_of(
    division: Division,
    order: RunningOrder,
    read: Read | None = None,
) -> Result:
    """The result of a round as the marks now give it; `read` is what is known already."""
    name = order.round_name
    format = division.edition.effective(name or None) if division.edition else Format()
    scoring = Scoring.of(format)
    stated = next((r for r in format.rounds or () if (r.name or "") == name), None)
    lines = read.lines if read else lines_of(division, order)
    judges = read.judges if read else panel(division.event, scoring)
    judges = list(judges)[: scoring.panel or None]
    rides = read.rides if read else runs_by_entry(order, counts_falls=_counts_falls(scoring))
    previous = _previous_places(division, order, scoring, read.earlier if read else {})
    groups = []
    for heat, together in _ranked_together(lines, stated):
        seats = {seat.entry.pk: seat for line in together for seat in line.seats}
        made = standings(
            [run for seat in seats.values() for run in runs_of(seat, rides)],
            scoring,
            judges=[judge.number for judge in judges],
            names={pk: _named(seat) for pk, seat in seats.items()},
            best_of=stated.best_of if stated else None,
            previous=previous,
            ranking={pk: rank for pk, s in seats.items() if (rank := s.entry.rank) is not None},
            decided={pk: seat.ahead for pk, seat in seats.items() if seat.ahead},
        )
        groups.append((heat, made, seats))
    return Result(
        division=division,
        order=order,
        groups=[
            ResultGroup(heat, made, _rows(made, seats, judges, scoring))
            for heat, made, seats in groups
        ],
        waiting=[
            WaitingRun(seats[run.rider].entry, run)
            for _, made, seats in groups
            for run in made.waiting
        ],
        judges=judges,
        criteria=[each.name for each in scoring.criteria],
        posted=getattr(order, "result", None),
        protest_min=format.clock.protest_min,
        stated=stated,
        said=list(dict.fromkeys(said for _, made, _ in groups for said in made.said)),
        decided=_decided(lines),
    )


def _named(seat: Seat) -> str:
    """A rider as the notes of a result call them: notes are public, some names are not."""
    if seat.entry.is_named:
        return seat.entry.rider.name
    return (
        _("a rider whose name is not shown")
        if seat.bib is None
        else _("bib {bib}").format(bib=seat.bib)
    )


def _ranked_together(
    lines: Sequence[HeatLine], stated: Round | None
) -> Iterable[tuple[int | None, list[HeatLine]]]:
    """Each heat by itself where riders go on from each heat; else the whole round."""
    if stated and stated.advance_from is AdvanceFrom.EACH_HEAT and len(lines) > 1:
        return [(line.heat.number, [line]) for line in lines]
    return [(None, list(lines))]


def _previous_places(
    division: Division,
    order: RunningOrder,
    scoring: Scoring,
    read: Mapping[str, Result],
) -> dict[Hashable, int] | None:
    """The places of the round before, looked up only where a tie-break names it."""
    wanted = any(each.by is By.PREVIOUS_ROUND for each in scoring.tie_breaks or ())
    before = round_before(division, order.round_name)
    if wanted and before in read:
        return dict(places_of(read[before]))
    earlier = order_of(division, before) if wanted and before is not None else None
    return dict(places_of(result_of(division, earlier))) if earlier else None


def _decided(lines: Sequence[HeatLine]) -> list[tuple[str, list[Entry]]]:
    ties: dict[str, list[Seat]] = {}
    for seat in (seat for line in lines for seat in line.seats if seat.ahead):
        ties.setdefault(seat.decided, []).append(seat)
    return [
        (how, [seat.entry for seat in sorted(seats, key=lambda seat: seat.ahead or 0)])
        for how, seats in ties.items()
    ]


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
    seats: Mapping[int, Seat],
    judges: Sequence[Judge],
    scoring: Scoring,
) -> list[ResultRow]:
    rows = []
    labels = labels_of(judges, [each.name for each in scoring.criteria])
    for standing, total in zip(made.rows, made.totals(), strict=True):
        seat = seats[standing.rider]
        judged = [standing.judges.get(judge.number) for judge in judges]
        marked = [standing.criteria.get(each.name) for each in scoring.criteria]
        figures = ["" if each is None else shown(each, 2) for each in [*judged, *marked]]
        rows.append(
            ResultRow(
                standing=standing,
                entry=seat.entry,
                bib=seat.bib,
                total=total,
                figures=list(zip(labels, figures, strict=True)),
                withdrew=seat.scratched,
            )
        )
    return rows


def protests_of(order: RunningOrder) -> list[Protest]:
    """The protests against a result, the first one first."""
    return list(order.protests.select_related("entry__rider", "noted_by"))
