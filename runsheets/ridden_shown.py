"""What was ridden, in words for the public page: only where the table chose to show it."""

from dataclasses import dataclass

from riders.models import Entry
from runsheets.models import RiddenTrick, Ride
from runsheets.result_rows import Result

Outcome = RiddenTrick.Outcome


@dataclass(frozen=True)
class RiddenRun:
    """One run as it was ridden: each pass as a sentence of its tricks."""

    entry: Entry
    number: int
    passes: list[tuple[int, str]]


def ridden_of(result: Result) -> list[RiddenRun]:
    """The runs that were ridden, in the order of the result; two queries, or none."""
    if result.posted is None or not result.posted.shows_tricks:
        return []
    by_entry: dict[int, list[Ride]] = {}
    rides = Ride.objects.filter(order=result.order, state=Ride.State.DONE)
    for ride in rides.order_by("number").prefetch_related("tricks"):
        by_entry.setdefault(ride.entry_id, []).append(ride)
    return [
        RiddenRun(row.entry, ride.number, _passes(ride))
        for row in result.rows
        for ride in by_entry.get(row.entry.pk, [])
    ]


def _passes(ride: Ride) -> list[tuple[int, str]]:
    passes: dict[int, list[str]] = {}
    tricks = sorted(ride.tricks.all(), key=lambda t: (t.pass_no, bool(t.bonus), t.place))
    for trick in tricks:
        if trick.outcome and trick.outcome != Outcome.NOT_REACHED:
            passes.setdefault(trick.pass_no, []).append(_words(trick))
    return [(number, ", ".join(told)) for number, told in passes.items()]


def _words(trick: RiddenTrick) -> str:
    fell = trick.outcome in (Outcome.FALLEN, Outcome.CHANGED_FALLEN)
    name = trick.actual or trick.planned
    notes = [trick.bonus] if trick.bonus else []
    notes += ["fell"] if fell else []
    return f"{name} ({', '.join(notes)})" if notes else name
