"""What the table changes: running orders and bibs. Every act goes into the audit trail.

All of these lock the division or the event first, so that two people at once queue up, and
the second one is told if what was on the screen no longer holds.
"""

import hashlib
from collections.abc import Collection, Mapping, Sequence
from enum import StrEnum
from typing import Any

from django.db import transaction
from django.utils import timezone

from events.models import Division, Event
from events.rules.words import RidingOrder
from events.services import record
from riders.models import Bib, Entry
from runsheets.draw import DrawnRider, draw
from runsheets.lineup import bibs_of, by_name, sort_name
from runsheets.models import RunningOrder, Slot

BY_HAND_AFTER = ", then changed by hand"


class StaleOrder(Exception):
    """The running order is no longer the one that was on the screen."""


class Move(StrEnum):
    """What can be done with one rider of a running order."""

    UP = "up"
    DOWN = "down"
    TOP = "top"
    END = "end"
    ADD = "add"
    OUT = "out"


MOVED = {
    Move.UP: "moved up",
    Move.DOWN: "moved down",
    Move.TOP: "moved to the top",
    Move.END: "moved to the end",
    Move.ADD: "added at the end",
    Move.OUT: "taken out",
}


def order_version(order: RunningOrder | None) -> str:
    """A short text that changes whenever the order does; empty without an order."""
    if order is None:
        return ""
    slots = list(order.slots.values_list("entry", "position"))
    text = f"{order.made_at.isoformat()} {slots}"
    return hashlib.sha256(text.encode()).hexdigest()[:16]


@transaction.atomic
def make_order(
    *,
    division: Division,
    round_name: str,
    method: RidingOrder,
    by: Any,
    seed: str = "",
    entries: Collection[int] | None = None,
    version: str | None = None,
) -> RunningOrder:
    """Make the running order of a division in a round, in place of any earlier one.

    `entries` are the numbers of the entries that ride; everybody where None. By hand keeps
    the riders where they are and puts the others after them, alphabetically. Raises
    StaleOrder if `version` is given and no longer holds, and ValueError as `draw` does.
    """
    order = _locked(division, round_name, version)
    riding = Entry.objects.filter(division=division).select_related("rider")
    chosen = by_name(riding if entries is None else riding.filter(pk__in=entries))
    if method is RidingOrder.BY_HAND and order:
        place = dict(order.slots.values_list("entry", "position"))
        chosen.sort(key=lambda entry: place.get(entry.pk, len(place) + 1))
    bibs = bibs_of(division.event)
    drawn = draw([_drawn_rider(entry, bibs) for entry in chosen], method, seed=seed or None)
    values = {
        "method": method.value,
        "seed": seed if method is RidingOrder.RANDOM else "",
        "made_at": timezone.now(),
        "made_by": by,
    }
    order, _ = RunningOrder.objects.update_or_create(
        division=division, round_name=round_name, defaults=values
    )
    _place(order, [rider.id for rider in drawn])
    how = f"{method.value}, seed {seed}" if order.seed else method.value
    _record(division.event, by, f"Made the running order of {_named(order)}: {how}.")
    return order


@transaction.atomic
def change_order(
    *, order: RunningOrder, entry_id: int, move: Move, version: str, by: Any
) -> RunningOrder:
    """Move, add or take out one rider. Raises StaleOrder if the order has changed since."""
    fresh = _locked(order.division, order.round_name, version)
    entry = (
        Entry.objects.filter(pk=entry_id, division=order.division)
        .select_related("rider")
        .first()
    )
    if fresh is None or entry is None:
        raise StaleOrder
    before = list(fresh.slots.values_list("entry", flat=True))
    if (entry_id in before) is (move is Move.ADD):
        raise StaleOrder
    after = _moved(before, entry_id, move)
    if after == before:
        return fresh
    _place(fresh, after)
    if fresh.method != RidingOrder.BY_HAND and not fresh.method.endswith(BY_HAND_AFTER):
        fresh.method += BY_HAND_AFTER
        fresh.save(update_fields=["method"])
    what = f"{entry.rider} was {MOVED[move]} in the running order of {_named(fresh)}."
    _record(order.division.event, by, what)
    return fresh


def _moved(ids: Sequence[int], entry_id: int, move: Move) -> list[int]:
    rest = [each for each in ids if each != entry_id]
    if move is Move.OUT:
        return rest
    at = ids.index(entry_id) if entry_id in ids else len(rest)
    places = {Move.UP: max(at - 1, 0), Move.DOWN: at + 1, Move.TOP: 0}
    rest.insert(places.get(move, len(rest)), entry_id)
    return rest


def _locked(division: Division, round_name: str, version: str | None) -> RunningOrder | None:
    Division.objects.select_for_update().get(pk=division.pk)
    order = RunningOrder.objects.filter(division=division, round_name=round_name).first()
    if version is not None and version != order_version(order):
        raise StaleOrder
    return order


def _place(order: RunningOrder, entry_ids: Sequence[Any]) -> None:
    order.slots.all().delete()
    Slot.objects.bulk_create(
        Slot(order=order, entry_id=pk, position=position)
        for position, pk in enumerate(entry_ids, start=1)
    )


def _drawn_rider(entry: Entry, bibs: Mapping[int, int]) -> DrawnRider:
    bib = bibs.get(entry.rider_id)
    return DrawnRider(entry.pk, sort_name(entry.rider), "" if bib is None else str(bib))


def _named(order: RunningOrder) -> str:
    return ", ".join(filter(None, [order.division.name, order.round_name]))


@transaction.atomic
def save_bibs(*, event: Event, numbers: Mapping[int, int | None], by: Any) -> int:
    """Give riders (by their number) new bibs; None takes one away. Returns how many changed.

    All at once, so that two riders can swap.
    """
    Event.objects.select_for_update().get(pk=event.pk)
    held = bibs_of(event)
    changed = {pk: new for pk, new in numbers.items() if held.get(pk) != new}
    if not changed:
        return 0
    Bib.objects.filter(event=event, rider__in=changed).delete()
    new = [Bib(event=event, rider_id=pk, number=n) for pk, n in changed.items() if n]
    for bib in new:
        bib.full_clean(validate_unique=False, validate_constraints=False)
    Bib.objects.bulk_create(new)
    riders = "1 rider" if len(changed) == 1 else f"{len(changed)} riders"
    _record(event, by, f"Changed the bibs of {riders}.")
    return len(changed)


@transaction.atomic
def fill_bibs(*, event: Event, by: Any) -> int:
    """Give everybody without a bib the lowest free number, by division and name."""
    Event.objects.select_for_update().get(pk=event.pk)
    held = bibs_of(event)
    taken = set(held.values())
    given: dict[int, int | None] = {}
    number = 1
    for rider in riders_of(event):
        if rider.pk in held:
            continue
        while number in taken:
            number += 1
        given[rider.pk] = number
        taken.add(number)
    return save_bibs(event=event, numbers=given, by=by)


def riders_of(event: Event) -> list[Any]:
    """The riders of an event, each once: by division, then alphabetically."""
    entries = Entry.objects.filter(division__event=event).select_related("rider", "division")
    placed = sorted(by_name(entries), key=lambda entry: entry.division.place)
    return list({entry.rider_id: entry.rider for entry in placed}.values())


def _record(event: Event, by: Any, what: str) -> None:
    record(club=event.club, event=event, by=by, what=what)
