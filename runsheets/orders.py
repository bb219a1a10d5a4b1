"""What the table does with running orders. Every act goes into the audit trail.

All of it locks the division first, so that two people at once queue up, and the second one
is told if what was on the screen no longer holds.
"""

import hashlib
from collections.abc import Collection, Hashable, Mapping, Sequence
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.models import Division
from events.rules.staging import Round
from events.rules.words import RidingOrder
from events.services import record
from riders.models import Entry
from runsheets.drawn import drawn_rider
from runsheets.lineup import HeatLine, bibs_of, by_name
from runsheets.models import Heat, Ride, RunningOrder, Slot
from runsheets.starting.draw import draw
from runsheets.starting.heats import Spread, split
from runsheets.starting.moves import Move, moved

# Kept with the order as it stands here; pages say it by `draw_tags.method_said`.
BY_HAND_AFTER = ", then changed by hand"
HAS_BEGUN = gettext_lazy(
    "Riding has begun in this round, so its order cannot be made anew. "
    "Move, add or scratch single riders instead."
)
HEAT_HAS_BEGUN = gettext_lazy(
    "Heat {number} has begun: nobody can be moved into it or out of it."
)


class StaleOrder(Exception):
    """The running order is no longer the one that was on the screen."""


class OrderRefused(Exception):
    """The order cannot be changed that way; the text says why."""


MOVED = {
    Move.UP: gettext_lazy("moved up"),
    Move.DOWN: gettext_lazy("moved down"),
    Move.TOP: gettext_lazy("moved to the top"),
    Move.END: gettext_lazy("moved to the end"),
    Move.ADD: "added",
    Move.OUT: gettext_lazy("taken out"),
    Move.BACK: gettext_lazy("put back"),
}
SCRATCHED = "scratched"

# Entry numbers, heat by heat, in riding order.
Places = list[list[int]]


def stated_round(division: Division, round_name: str) -> Round | None:
    """What the format in force says of a round; None where it does not name it."""
    if division.edition is None:
        return None
    rounds = division.edition.effective(round_name or None).rounds or ()
    return next((each for each in rounds if (each.name or "") == round_name), None)


def heat_size(division: Division, round_name: str) -> int | None:
    """The most riders in one heat, as the format says; None: not stated."""
    stated = stated_round(division, round_name)
    return stated.heat_size if stated else None


def order_version(order: RunningOrder | None, lines: Collection[HeatLine] | None = None) -> str:
    """A short text that changes whenever the order does; empty without an order.

    `lines` are its heats where they are read already.
    """
    if order is None:
        return ""
    if lines is None:
        rows = order.slots.values_list("position", "entry", "heat__number", "scratched_at")
        slots = sorted(rows, key=lambda row: row[:2])
    else:
        seats = [(seat, line.heat.number) for line in lines for seat in line.seats]
        slots = sorted(
            ((s.position, s.entry.pk, number, s.scratched_at) for s, number in seats),
            key=lambda row: row[:2],
        )
    text = f"{order.made_at.isoformat()} {order.published_at} {slots}"
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
    ranking: Sequence[int] | Mapping[Hashable, int] | None = None,
    spread: Spread = Spread.IN_ORDER,
    version: str | None = None,
) -> RunningOrder:
    """Make the running order of a division in a round with its heats, in place of any other.

    `entries` are the numbers of the entries that ride; everybody with a place where None.
    `ranking` are entries best first, or the place of each in the last round; where None the
    ranks that stand on the entries are used. Heats are cut from the order, or with
    `Spread.SERPENTINE` the ranked are dealt out to them. By hand keeps the riders where
    they are and puts the others after them, alphabetically. Raises StaleOrder if `version`
    is given and no longer holds, OrderRefused once riding has begun, and ValueError as
    `draw` does.
    """
    order = _locked(division, round_name, version)
    if order and _has_begun(order):
        raise OrderRefused(HAS_BEGUN)
    riding = Entry.objects.filter(division=division).riding().select_related("rider")
    chosen = by_name(riding if entries is None else riding.filter(pk__in=entries))
    if method is RidingOrder.BY_HAND and order:
        place = dict(order.slots.values_list("entry", "position"))
        chosen.sort(key=lambda entry: place.get(entry.pk, len(place) + 1))
    bibs = bibs_of(division.event)
    drawn = draw(
        [drawn_rider(entry, bibs.get(entry.rider_id)) for entry in chosen],
        method,
        seed=seed or None,
        ranking=ranking,
    )
    size = heat_size(division, round_name)
    ids = [rider.id for rider in drawn]
    # A serpentine deals out the best first, and a ranked order is best last.
    dealt = ids[::-1] if spread is Spread.SERPENTINE else ids
    values = {
        "method": method.value,
        "seed": seed if method is RidingOrder.RANDOM else "",
        "made_at": timezone.now(),
        "made_by": by,
        "published_at": None,
    }
    order = order or RunningOrder(division=division, round_name=round_name)
    for name, value in values.items():
        setattr(order, name, value)
    order.save()
    _place(order, split(dealt, size, spread))
    said = (
        _("Made the running order of {round}: {method}, seed {seed}.")
        if order.seed
        else _("Made the running order of {round}: {method}.")
    )
    _record(order, by, said.format(round=named(order), method=method.value, seed=seed))
    return order


@transaction.atomic
def change_order(
    *, order: RunningOrder, entry_id: int, move: Move, version: str, by: Any
) -> RunningOrder:
    """Move, add, take out or put back one rider.

    In a published order who is taken out is scratched: the place stays, empty, and nobody
    else moves. A late rider is added where it disturbs least. Raises StaleOrder if the
    order has changed since, and OrderRefused for a heat that has begun.
    """
    fresh = _locked(order.division, order.round_name, version)
    entries = Entry.objects.filter(division=order.division).riding().select_related("rider")
    entry = entries.filter(pk=entry_id).first()
    if fresh is None or (entry is None and move is not Move.OUT):
        raise StaleOrder
    before = _places(fresh)
    inside = any(entry_id in heat for heat in before)
    if inside is (move is Move.ADD):
        raise StaleOrder
    if move is Move.BACK or (move is Move.OUT and fresh.published_at):
        said = _scratch(fresh, entry_id, move)
    else:
        size = heat_size(order.division, order.round_name)
        after = moved(before, entry_id, move, size, _begun(fresh))
        if after == before:
            return fresh
        _refuse_begun(fresh, before, after)
        _place(fresh, after)
        said = MOVED[move]
    if fresh.method != RidingOrder.BY_HAND and not fresh.method.endswith(BY_HAND_AFTER):
        fresh.method += BY_HAND_AFTER
    fresh.save(update_fields=["method", "changed_at"])
    who = entry.rider if entry else _("Entry {number}").format(number=entry_id)
    _record(
        fresh,
        by,
        _("{who} was {moved} in the running order of {round}.").format(
            who=who, moved=said, round=named(fresh)
        ),
    )
    return fresh


@transaction.atomic
def publish_order(*, order: RunningOrder, public: bool, version: str, by: Any) -> RunningOrder:
    """Show the order on the public page, or take it back. Raises StaleOrder."""
    fresh = _locked(order.division, order.round_name, version)
    if fresh is None:
        raise StaleOrder
    fresh.published_at = timezone.now() if public else None
    fresh.save(update_fields=["published_at", "changed_at"])
    said = (
        _("Published the running order of {round}.")
        if public
        else _("Took back the running order of {round}.")
    )
    _record(fresh, by, said.format(round=named(fresh)))
    return fresh


def named(order: RunningOrder) -> str:
    """The division and the round, in words."""
    return ", ".join(filter(None, [order.division.name, order.round_name]))


def _locked(division: Division, round_name: str, version: str | None) -> RunningOrder | None:
    Division.objects.select_for_update().get(pk=division.pk)
    order = RunningOrder.objects.filter(division=division, round_name=round_name).first()
    if version is not None and version != order_version(order):
        raise StaleOrder
    if order:
        order.division = division  # the same row; its event is known already
    return order


def _has_begun(order: RunningOrder) -> bool:
    ridden = order.rides.exclude(state=Ride.State.WAITING)
    return order.heats.exclude(begun_at=None).exists() or ridden.exists()


def _places(order: RunningOrder) -> Places:
    heats: dict[int, list[int]] = {number: [] for number in _numbers(order)}
    for number, entry in order.slots.values_list("heat__number", "entry"):
        heats[number].append(entry)
    return list(heats.values())


def _numbers(order: RunningOrder) -> list[int]:
    return list(order.heats.values_list("number", flat=True))


def _begun(order: RunningOrder) -> list[int]:
    """The places, from 0, of the heats that have begun."""
    begun = order.heats.values_list("begun_at", flat=True)
    return [at for at, since in enumerate(begun) if since is not None]


def _refuse_begun(order: RunningOrder, before: Places, after: Places) -> None:
    for at in _begun(order):
        if before[at] != after[at]:
            raise OrderRefused(HEAT_HAS_BEGUN.format(number=at + 1))


def _scratch(order: RunningOrder, entry_id: int, move: Move) -> str:
    out = move is Move.OUT
    at = timezone.now() if out else None
    order.slots.filter(entry=entry_id).update(scratched_at=at)
    return SCRATCHED if out else MOVED[move]


def _place(order: RunningOrder, heats: Sequence[Sequence[Any]]) -> None:
    """Store who is where. A heat keeps its times under its number."""
    scratched = dict(order.slots.values_list("entry", "scratched_at"))
    order.slots.all().delete()
    order.heats.filter(number__gt=len(heats)).delete()
    by_number = {heat.number: heat for heat in order.heats.all()}
    numbers = range(1, len(heats) + 1)
    new = [Heat(order=order, number=n) for n in numbers if n not in by_number]
    by_number |= {heat.number: heat for heat in Heat.objects.bulk_create(new)}
    places = [(n, pk) for n, heat in enumerate(heats, start=1) for pk in heat]
    Slot.objects.bulk_create(
        Slot(
            order=order,
            heat=by_number[number],
            entry_id=pk,
            position=position,
            scratched_at=scratched.get(pk),
        )
        for position, (number, pk) in enumerate(places, start=1)
    )


def _record(order: RunningOrder, by: Any, what: str) -> None:
    event = order.division.event
    record(club=event.club, event=event, by=by, what=what)
