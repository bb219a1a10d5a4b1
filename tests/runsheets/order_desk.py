"""What tests of running orders with heats share: making and changing one, and reading it."""

from django.utils import timezone

from events.models import Division
from events.rules.words import RidingOrder
from riders.models import Entry
from runsheets.lineup import lineup
from runsheets.models import RunningOrder
from runsheets.orders import change_order, make_order, order_version, publish_order
from runsheets.starting.moves import Move
from tests.factories import EntryFactory, RiderFactory

ROUND = "Qualifying"


def late_entry(division: Division, name: str, **values) -> Entry:
    return EntryFactory(division=division, rider=RiderFactory(family_name=name), **values)


def make(division: Division, by, method=RidingOrder.ALPHABETICAL, **values) -> RunningOrder:
    values = {"round_name": ROUND} | values
    return make_order(division=division, method=method, by=by, **values)


def published(division: Division, by) -> RunningOrder:
    order = make(division, by)
    return publish_order(order=order, public=True, version=order_version(order), by=by)


def change(order: RunningOrder, name: str, move: Move, by) -> RunningOrder:
    entry = Entry.objects.get(division=order.division, rider__family_name=name)
    return change_order(
        order=order, entry_id=entry.pk, move=move, version=order_version(order), by=by
    )


def begin(order: RunningOrder, number: int) -> None:
    order.heats.filter(number=number).update(begun_at=timezone.now())


def heats(order: RunningOrder, *, with_scratched: bool = False) -> list[str]:
    """Who rides in each heat, by the letters: ["ABC", "DE"]."""
    division = Division.objects.get(pk=order.division_id)
    return [
        "".join(
            seat.entry.rider.family_name
            for seat in line.seats
            if with_scratched or not seat.scratched
        )
        for line in lineup(division, order.round_name).heats
    ]


def places(order: RunningOrder) -> dict[str, tuple[int, int]]:
    """The heat and the number in the order of everybody, the scratched too."""
    rows = order.slots.values_list("entry__rider__family_name", "heat__number", "position")
    return {name: (heat, position) for name, heat, position in rows}
