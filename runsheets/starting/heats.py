"""Heats: who rides in which, and what a late entry or a scratch does to published heats.

Pure Python. Heats are lists of riders in riding order: the first in a list rides first. A
rider is anything that can be told from the others, such as the number of an entry. Heats
are counted from 0 here and from 1 on paper.

Once heats are published, nobody is moved without an organiser's word: `place_late` and
`scratch` leave everybody else where they were, and `level` only suggests.
"""

from collections.abc import Collection, Iterable, Sequence
from enum import StrEnum
from itertools import accumulate, chain, count, cycle, islice
from typing import Generic, NamedTuple, TypeVar

from events.rules.language import gettext as _

T = TypeVar("T")


class Spread(StrEnum):
    """How riders are spread over the heats of a round."""

    IN_ORDER = "in riding order"
    SERPENTINE = "serpentine by ranking"


class Transfer(NamedTuple, Generic[T]):
    """One rider who goes from one heat to the end of another."""

    rider: T
    leaves: int
    joins: int


def heat_count(riders: int, heat_size: int | None) -> int:
    """The fewest heats with at most `heat_size` riders in each; one if that is None.

    Nobody needs no heat. Raises ValueError for a heat size below 1 or fewer than 0 riders.
    """
    _check(heat_size)
    if riders < 0:
        raise ValueError(_("The number of riders cannot be below 0."))
    return min(riders, 1) if heat_size is None else -(-riders // heat_size)


def split(
    riders: Sequence[T], heat_size: int | None, spread: Spread = Spread.IN_ORDER
) -> list[list[T]]:
    """The riders in the fewest heats. Sizes differ by at most one, larger heats first.

    `in riding order`: `riders` is the riding order; heats are cut from it one by one.
    `serpentine by ranking`: `riders` is the ranking, best first. The best goes to the first
    heat, the second to the second, and so on; at the last heat the row turns and comes
    back, and it passes over heats that are full. Each heat comes out in riding order, the
    best last. Raises ValueError for a heat size below 1.
    """
    heats = heat_count(len(riders), heat_size)
    if not heats:
        return []
    size, larger = divmod(len(riders), heats)
    sizes = [size + (heat < larger) for heat in range(heats)]
    if spread is Spread.SERPENTINE:
        return _serpentine(riders, sizes)
    return [
        list(riders[end - n : end]) for n, end in zip(sizes, accumulate(sizes), strict=True)
    ]


def place_late(
    heats: Sequence[Sequence[T]],
    rider: T,
    heat_size: int | None,
    *,
    locked: Collection[int] = (),
) -> list[list[T]]:
    """The heats with a late entry in them. Nobody else changes heat or place.

    The rider goes to the smallest heat that is not full and not `locked` (begun or ridden);
    among equal ones to the last, which leaves the most time to get ready. There the rider
    rides last, so that everybody else rides when they were told (common practice, no
    source). A heat that scratches have emptied is used only when the others are full, since
    to ride alone is no contest. Where every heat is full or locked, a new one is added.
    Raises ValueError if the rider is in a heat already, or for a heat size below 1.
    """
    _check(heat_size)
    placed = _copy(heats)
    if any(rider in heat for heat in placed):
        raise ValueError(_("This rider is in a heat already."))
    room = [
        number
        for number, heat in enumerate(placed)
        if number not in locked and (heat_size is None or len(heat) < heat_size)
    ]
    if not room:
        return [*placed, [rider]]
    chosen = min(room, key=lambda n: (not placed[n], len(placed[n]), -n))
    placed[chosen].append(rider)
    return placed


def scratch(heats: Sequence[Sequence[T]], rider: T) -> list[list[T]]:
    """The heats without a rider who does not start. Nobody else changes heat.

    A heat that this empties stays as an empty list, because the numbers of the heats after
    it are published. Raises ValueError if the rider is in none of the heats.
    """
    left = [[each for each in heat if each != rider] for heat in heats]
    if left == _copy(heats):
        raise ValueError(_("This rider is in none of the heats."))
    return left


def level(
    heats: Sequence[Sequence[T]], heat_size: int | None, locked: Collection[int] = ()
) -> list[Transfer[T]]:
    """The fewest moves of one rider each after which the open heats are even again.

    A suggestion: `transfer` carries it out once the organiser agrees. Even means that sizes
    differ by at most one and no heat is larger than `heat_size`. Locked heats are left
    alone, and so are emptied ones, unless the others cannot hold everybody; after those,
    new heats are added, numbered on. Whoever rides last in a heat that is too large goes to
    the end of one that is too small, so that nobody else's place changes, and as near as
    possible. An empty list means that there is nothing to level. Raises ValueError for a
    heat size below 1.
    """
    size = {n: len(heat) for n, heat in enumerate(heats) if n not in locked}
    total = sum(size.values())
    ridden = [n for n in size if size[n]]
    spare = chain((n for n in size if not size[n]), count(len(heats)))
    missing = max(heat_count(total, heat_size) - len(ridden), 0)
    used = sorted([*ridden, *islice(spare, missing)])
    if not used:
        return []
    low, larger = divmod(total, len(used))
    # The largest heats keep the riders that do not divide evenly: that saves a move each.
    fullest = sorted(used, key=lambda n: (-size.get(n, 0), n))[:larger]
    aim = {n: low + (n in fullest) for n in used}
    leaving = [(rider, n) for n in used if n in size for rider in heats[n][aim[n] :]]
    joining = [n for n in used for _place in range(aim[n] - size.get(n, 0))]
    # Both lists run along the day: pairing them in turn makes the shortest moves in all.
    return [Transfer(rider, n, to) for (rider, n), to in zip(leaving, joining, strict=True)]


def transfer(heats: Sequence[Sequence[T]], transfers: Iterable[Transfer[T]]) -> list[list[T]]:
    """The heats after these moves. A heat numbered past the last one is added.

    Raises ValueError if a rider is not, or no longer, in the heat that a move takes them
    from.
    """
    after = _copy(heats)
    for rider, leaves, joins in transfers:
        if leaves >= len(after) or rider not in after[leaves]:
            raise ValueError("The heats have changed; ask for a new suggestion.")
        after[leaves].remove(rider)
        after.extend([] for _heat in range(joins + 1 - len(after)))
        after[joins].append(rider)
    return after


def _serpentine(best_first: Sequence[T], sizes: Sequence[int]) -> list[list[T]]:
    heats: list[list[T]] = [[] for _size in sizes]
    there = range(len(sizes))
    row = (
        heats[number]
        for way in cycle((there, there[::-1]))
        for number in way
        if len(heats[number]) < sizes[number]
    )
    for rider, heat in zip(best_first, row, strict=False):  # the row never ends
        heat.append(rider)
    return [heat[::-1] for heat in heats]


def _copy(heats: Sequence[Sequence[T]]) -> list[list[T]]:
    return [list(heat) for heat in heats]


def _check(heat_size: int | None) -> None:
    if heat_size is not None and heat_size < 1:
        raise ValueError(_("A heat needs room for at least one rider."))
