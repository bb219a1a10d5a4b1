"""What can be done with one rider of a running order, and what it does to the heats. Pure."""

from collections.abc import Collection, Sequence
from enum import StrEnum

from runsheets.starting.heats import place_late


class Move(StrEnum):
    """What can be done with one rider of a running order."""

    UP = "up"
    DOWN = "down"
    TOP = "top"
    END = "end"
    ADD = "add"
    OUT = "out"
    BACK = "back"


def moved(
    heats: Sequence[Sequence[int]],
    entry_id: int,
    move: Move,
    size: int | None,
    begun: Collection[int],
) -> list[list[int]]:
    """The heats after one move of one rider, who goes beyond the end of a heat into the next.

    A late rider is added where it disturbs least, see `place_late`; places in heats that have
    `begun`, counted from 0, are not given away then. Heats are never dropped, only added. Not
    for `Move.BACK`, which moves nobody.
    """
    if move is Move.ADD:
        return place_late(heats, entry_id, size, locked=begun)
    rest = [[each for each in heat if each != entry_id] for heat in heats]
    if move is Move.OUT:
        return rest
    at = next(n for n, heat in enumerate(heats) if entry_id in heat)
    place = heats[at].index(entry_id)
    if move is Move.TOP:
        rest[0].insert(0, entry_id)
    elif move is Move.END:
        rest[-1].append(entry_id)
    elif move is Move.UP:
        _into(rest, at, place - 1, entry_id)
    else:
        _into(rest, at, place + 1, entry_id)
    return rest


def _into(rest: list[list[int]], at: int, place: int, entry_id: int) -> None:
    """Put a rider in at a place of a heat; beyond its ends, into the heat before or after."""
    if place < 0 and at > 0:
        rest[at - 1].append(entry_id)
    elif place > len(rest[at]) and at + 1 < len(rest):
        rest[at + 1].insert(0, entry_id)
    else:
        rest[at].insert(max(place, 0), entry_id)
