"""Who rides in a division and round, in which order, and which run was declared for it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import OuterRef, Subquery

from events.models import Division, Edition, Event
from events.rules.words import RunAgain
from riders.models import Bib, Declaration, Entry, Rider
from runsheets.models import Heat, RunningOrder, Slot
from runsheets.starting.draw import sort_key


def rounds_of(division: Division) -> list[str]:
    """The names of the rounds in order; one without a name where none are stated."""
    return (division.edition.round_names if division.edition else []) or [""]


def sort_name(rider: Rider) -> str:
    """The name as lists are ordered: "Moreau, Ada"."""
    return f"{rider.family_name}, {rider.given_name}"


def by_name(entries: Iterable[Entry]) -> list[Entry]:
    """Entries in alphabetical order, marks on letters disregarded."""
    return sorted(entries, key=lambda entry: sort_key(sort_name(entry.rider)))


def bibs_of(event: Event) -> dict[int, int]:
    """The bib of each rider of the event who has one, by the rider's number."""
    return dict(Bib.objects.filter(event=event).values_list("rider", "number"))


@dataclass(frozen=True)
class Seat:
    """A rider's place in the running order; `scratched` riders keep it but do not ride.

    `scratched_at` is when the table took the rider out; who has no place in the division any
    more is scratched without it.

    `ahead` and `decided` are how people parted a tie: 1 for who is ahead, and a sentence.
    """

    position: int
    entry: Entry
    bib: int | None
    scratched: bool = False
    ahead: int | None = None
    decided: str = ""
    scratched_at: datetime | None = None


@dataclass(frozen=True)
class HeatLine:
    """A heat and who is in it, in riding order."""

    heat: Heat
    seats: list[Seat]

    @property
    def riding(self) -> list[Entry]:
        """Those who ride, without the scratched."""
        return [seat.entry for seat in self.seats if not seat.scratched]


@dataclass(frozen=True)
class Lineup:
    """A division in one round.

    `heats` hold every place of the running order. `missing` have a place in the division
    but none in the order, or all of them where there is no order; alphabetical. `orders` are
    those of all rounds of the division, by name.
    """

    order: RunningOrder | None
    heats: list[HeatLine]
    missing: list[Entry]
    bibs: dict[int, int] = field(default_factory=dict)
    orders: Mapping[str, RunningOrder] = field(default_factory=dict)

    @property
    def ordered(self) -> list[Entry]:
        """The riders in riding order, without the scratched."""
        return [entry for line in self.heats for entry in line.riding]

    @property
    def everybody(self) -> list[Entry]:
        """In riding order, then the others."""
        return self.ordered + self.missing


def lineup(division: Division, round_name: str) -> Lineup:
    """Who rides in the division in that round; the same few queries for any number."""
    found = RunningOrder.objects.filter(division=division)
    orders = {each.round_name: each for each in found.select_related("made_by", "result")}
    order = orders.get(round_name)
    bib = Bib.objects.filter(event=division.event_id, rider=OuterRef("rider"))
    entries = list(
        Entry.objects.filter(division=division)
        .select_related("rider")
        .annotate(bib=Subquery(bib.values("number")))
    )
    bibs = {entry.rider_id: entry.bib for entry in entries if entry.bib is not None}
    heats = heat_lines([order], bibs) if order else []
    inside = {seat.entry.pk for line in heats for seat in line.seats}
    riding = [entry for entry in entries if entry.state == Entry.State.RIDING]
    missing = by_name(entry for entry in riding if entry.pk not in inside)
    return Lineup(order, heats, missing, bibs, orders)


def heat_lines(orders: Iterable[RunningOrder], bibs: Mapping[int, int]) -> list[HeatLine]:
    """The heats of some running orders with their riders, by order and number: two queries.

    A rider without a place in the division any more counts as scratched.
    """
    heats = Heat.objects.filter(order__in=orders).select_related("order__division")
    lines = {
        heat.pk: HeatLine(heat, [])
        for heat in heats.order_by("order__division__place", "order", "number")
    }
    slots = Slot.objects.filter(heat__in=lines).select_related("entry__rider")
    for slot in slots.order_by("position"):
        gone = slot.entry.state != Entry.State.RIDING
        scratched = gone or slot.scratched_at is not None
        bib = bibs.get(slot.entry.rider_id)
        seat = Seat(slot.position, slot.entry, bib, scratched, scratched_at=slot.scratched_at)
        lines[slot.heat_id].seats.append(seat)
    return list(lines.values())


def declared_round(edition: Edition | None, round_name: str) -> str:
    """The round for which a run is handed in: an earlier one where the same run is ridden."""
    rounds = edition.format.rounds or () if edition else ()
    names = [each.name or "" for each in rounds]
    if round_name not in names:
        return round_name
    at = names.index(round_name)
    while at > 0 and rounds[at].run is RunAgain.SAME:
        at -= 1
    return names[at]


def declarations(division: Division, round_name: str) -> dict[int, Declaration]:
    """The declared run in force of each entry that has one, by the entry's number."""
    found = Declaration.objects.in_force().filter(
        entry__division=division, round_name=declared_round(division.edition, round_name)
    )
    return {each.entry_id: each for each in found.select_related("edition")}


@dataclass(frozen=True)
class RoundState:
    """How far a division is with one round.

    `riders` counts everybody who entered; in a later round that has a running order, only
    those in it ride. `waiting` are those without a declared run, `outdated` those whose run
    was declared under an older edition.
    """

    division: Division
    name: str
    riders: int
    waiting: list[Entry]
    outdated: list[Entry]
    order: RunningOrder | None
    placed: int

    @property
    def declared(self) -> int:
        """How many have declared a run."""
        return self.riders - len(self.waiting)

    @property
    def unplaced(self) -> int:
        """How many ride but are not in the running order."""
        return max(self.riders - self.placed, 0)


def states_of(event: Event) -> list[RoundState]:
    """Every round of every division of the event; the same few queries for any number."""
    divisions = list(event.divisions.prefetch_related("editions"))
    for division in divisions:
        division.event = event
    entered = Entry.objects.filter(division__event=event).riding()
    entries = list(entered.select_related("rider"))
    runs = Declaration.objects.in_force().filter(entry__division__event=event)
    numbers = {
        (entry, name): edition
        for entry, name, edition in runs.values_list("entry", "round_name", "edition__number")
    }
    orders = {
        (order.division_id, order.round_name): order
        for order in RunningOrder.objects.filter(division__event=event)
    }
    placed: dict[int, set[int]] = defaultdict(set)
    slots = Slot.objects.filter(
        order__division__event=event, scratched_at=None, entry__state=Entry.State.RIDING
    )
    for order_id, entry_id in slots.values_list("order", "entry"):
        placed[order_id].add(entry_id)
    states = []
    for division in divisions:
        own = by_name(entry for entry in entries if entry.division_id == division.pk)
        for number, name in enumerate(rounds_of(division)):
            order = orders.get((division.pk, name))
            inside = placed[order.pk] if order else set()
            riding = [e for e in own if e.pk in inside] if number and order else own
            states.append(_state(division, name, riding, numbers, order, len(inside)))
    return states


def _state(
    division: Division,
    name: str,
    riding: list[Entry],
    numbers: dict[tuple[int, str], int],
    order: RunningOrder | None,
    placed: int,
) -> RoundState:
    source = declared_round(division.edition, name)
    newest = division.edition.number if division.edition else 0
    return RoundState(
        division,
        name,
        len(riding),
        [entry for entry in riding if (entry.pk, source) not in numbers],
        [entry for entry in riding if numbers.get((entry.pk, source), newest) < newest],
        order,
        placed,
    )
