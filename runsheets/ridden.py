"""What was ridden and marked in a round, as the judging reads it."""

from collections import defaultdict
from collections.abc import Collection, Hashable, Mapping
from decimal import Decimal

from django.db.models import Count, F, OuterRef, Q, Subquery

from events.models import Division, Event
from riders.models import Bib, Entry
from runsheets.judging.scoring import RunMarks, RunState, Scoring
from runsheets.lineup import HeatLine, Seat
from runsheets.models import Judge, RiddenTrick, Ride, RunningOrder, Slot, TieDecision

STATES = {
    Ride.State.NOT_STARTED: RunState.NOT_STARTED,
    Ride.State.DISQUALIFIED: RunState.DISQUALIFIED,
}
FELL = (RiddenTrick.Outcome.FALLEN, RiddenTrick.Outcome.CHANGED_FALLEN)
_MARK = {"judge": "judge__number", "criterion": "criterion", "value": "value"}


def panel(event: Event, scoring: Scoring) -> list[Judge]:
    """Who marks every run: as many judges by number as the format asks for, or all."""
    return list(Judge.objects.filter(event=event)[: scoring.panel or None])


def lines_of(division: Division, order: RunningOrder) -> list[HeatLine]:
    """The heats of a round: see `lines_by_round`."""
    return lines_by_round(division, [order])[order.pk]


def lines_by_round(
    division: Division, orders: Collection[RunningOrder]
) -> dict[int, list[HeatLine]]:
    """The heats of rounds with riders, bibs and decided ties, by order: one query.

    Scratched riders are marked as such.
    """
    bib = Bib.objects.filter(event=division.event_id, rider=OuterRef("entry__rider"))
    ties = TieDecision.objects.filter(order=OuterRef("order"), entry=OuterRef("entry"))
    slots = Slot.objects.filter(order__in=orders).select_related("heat", "entry__rider")
    slots = slots.annotate(
        bib=Subquery(bib.values("number")),
        ahead=Subquery(ties.values("ahead")),
        decided=Subquery(ties.values("how")),
    )
    lines: dict[int, dict[int, HeatLine]] = {order.pk: {} for order in orders}
    for slot in slots.order_by("position"):
        line = lines[slot.order_id].setdefault(slot.heat_id, HeatLine(slot.heat, []))
        gone = slot.entry.state != Entry.State.RIDING or slot.scratched_at is not None
        seat = Seat(slot.position, slot.entry, slot.bib, gone, slot.ahead, slot.decided or "")
        line.seats.append(seat)
    return {
        pk: sorted(each.values(), key=lambda line: line.heat.number)
        for pk, each in lines.items()
    }


def runs_by_entry(order: RunningOrder, *, counts_falls: bool) -> dict[int, list[RunMarks]]:
    """The runs of a round, by the rider's entry: see `runs_by_round`."""
    return runs_by_round([order], counts_falls=counts_falls)[order.pk]


def runs_by_round(
    orders: Collection[RunningOrder], *, counts_falls: bool
) -> dict[int, dict[int, list[RunMarks]]]:
    """The runs of rounds with their marks, by order and entry: one query.

    Falls are looked up only where a tie-break counts them.

    A run that is not ridden yet is left out beside a rider's other runs, unless it is a
    re-ride: what it repeats cannot be ranked before it is ridden.
    """
    rides: dict[int, Ride] = {}
    marks: dict[int, dict[Hashable, dict[str, Decimal]]] = defaultdict(
        lambda: defaultdict(dict)
    )
    found = Ride.objects.filter(order__in=orders).select_related("repeats")
    mark = {f"mark_{name}": F(f"marks__{path}") for name, path in _MARK.items()}
    for ride in found.annotate(**mark, **_falls(counts_falls)).order_by("number", "pk"):
        rides.setdefault(ride.pk, ride)
        if ride.mark_value is not None:  # a ride comes once for each of its marks
            marks[ride.pk][ride.mark_judge][ride.mark_criterion] = ride.mark_value
    runs: dict[int, dict[int, list[RunMarks]]] = {order.pk: {} for order in orders}
    for ride in rides.values():
        if ride.state == Ride.State.WAITING and ride.repeats_id is None:
            continue
        runs[ride.order_id].setdefault(ride.entry_id, []).append(
            RunMarks(
                rider=ride.entry_id,
                attempt=ride.number,
                marks=_marks_of(ride, marks.get(ride.pk, {})),
                points_off=ride.points_off,
                status=STATES.get(Ride.State(ride.state), RunState.RIDDEN),
                repeats=ride.repeats.number if ride.repeats else None,
                falls=ride.falls if counts_falls else None,
            )
        )
    return runs


def _falls(counted: bool) -> dict[str, Subquery]:
    """The falls of a run; None where nothing of it was written down."""
    if not counted:
        return {}
    ridden = RiddenTrick.objects.filter(ride=OuterRef("pk")).exclude(outcome="")
    falls = Count("pk", filter=Q(outcome__in=FELL))
    return {"falls": Subquery(ridden.order_by().values("ride").annotate(n=falls).values("n"))}


def _marks_of(
    ride: Ride, marks: Mapping[Hashable, Mapping[str, Decimal]]
) -> Mapping[Hashable, Mapping[str, Decimal]]:
    """The marks that count: none while the rider is still on the water."""
    return marks if ride.state == Ride.State.DONE else {}


def runs_of(seat: Seat, rides: Mapping[int, list[RunMarks]]) -> list[RunMarks]:
    """A rider's runs; a scratched rider who rode nothing withdrew."""
    if runs := rides.get(seat.entry.pk):
        return runs
    status = RunState.WITHDRAWN if seat.scratched else RunState.RIDDEN
    return [RunMarks(rider=seat.entry.pk, status=status)]
