"""Riders as the draw takes them, and how anybody repeats the draw of a running order."""

from collections.abc import Iterable

from riders.models import Entry
from runsheets.lineup import HeatLine, sort_name
from runsheets.models import RunningOrder
from runsheets.starting.draw import DrawnRider, Repeat, repeat


def drawn_rider(entry: Entry, bib: int | None) -> DrawnRider:
    """An entry as the draw takes it."""
    number = "" if bib is None else str(bib)
    return DrawnRider(entry.pk, sort_name(entry.rider), number, entry.rank)


def how_drawn(order: RunningOrder, heats: Iterable[HeatLine]) -> Repeat | None:
    """How to repeat the draw with the bibs of today; None for an order made another way.

    Scratched riders are in it: they keep their places, and their lots.
    """
    if not order.seed:
        return None
    seats = [seat for line in heats for seat in line.seats]
    return repeat([drawn_rider(seat.entry, seat.bib) for seat in seats], order.seed)
