"""The draw: in which order riders ride, by every rule that a round can name.

Pure Python. A drawn order is always one that anyone can check with the list of riders at
hand and, for a draw by lot, with the seed that was announced beforehand.
"""

import hashlib
import unicodedata
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass

from events.rules.words import RidingOrder

# Letters that Unicode does not take apart into a plain letter and a mark.
PLAIN_LETTERS = str.maketrans(
    {"ł": "l", "ø": "o", "đ": "d", "ð": "d", "ħ": "h", "ŧ": "t", "ı": "i"}
    | {"æ": "ae", "œ": "oe", "þ": "th", "ŋ": "n", "ɓ": "b", "ɗ": "d"}
)


@dataclass(frozen=True, slots=True)
class DrawnRider:
    """What the draw needs to know of a rider.

    `sort_name` is the name by which lists are ordered, such as "Moreau, Ada". `bib` is
    empty where none is given out yet. `rank` counts from 1 for the best; None if unranked.
    """

    id: Hashable
    sort_name: str
    bib: str = ""
    rank: int | None = None


def draw(
    riders: Sequence[DrawnRider],
    order: RidingOrder,
    *,
    seed: str | None = None,
    ranking: Sequence[Hashable] | None = None,
) -> list[DrawnRider]:
    """The riders in riding order: the first in the list rides first.

    `alphabetical`: by sort name, marks on letters and capitals disregarded.
    `random`: by lot from `seed`, see `lot`.
    `ranking, best last`: worst rank first. `ranking` may give the ids best first, instead
    of the riders' own ranks. Who is not ranked rides before all others, alphabetically.
    `reverse of the last round`: the same with `ranking` as the placings of that round.
    `by hand`: as given.

    Riders who are equal under a rule are put in alphabetical order, and after that stay as
    given. Raises ValueError if an id occurs twice, or the seed or placings are missing.
    """
    ids = [rider.id for rider in riders]
    if len(set(ids)) < len(ids):
        raise ValueError("A rider is in the list twice; take one entry out before the draw.")
    if order is RidingOrder.BY_HAND:
        return list(riders)
    by_name = sorted(riders, key=lambda rider: sort_key(rider.sort_name))
    if order is RidingOrder.ALPHABETICAL:
        return by_name
    if order is RidingOrder.RANDOM:
        if not seed:
            raise ValueError("A draw by lot needs a seed; announce one before the draw.")
        drawn_from = seed
        return sorted(by_name, key=lambda rider: lot(drawn_from, rider))
    if order is RidingOrder.REVERSE and ranking is None:
        raise ValueError("There are no placings of the last round yet; draw another way.")
    return sorted(by_name, key=_best_last(ranking))


def lot(seed: str, rider: DrawnRider) -> str:
    """The lot of a rider: the SHA-256 of seed, colon and bib in UTF-8, as hex digits.

    The lowest lot rides first. A rider without a bib is drawn by id instead. Anyone can
    repeat it: the lot of bib 12 in a draw from the seed "lake 7" is what
    `printf '%s' 'lake 7:12' | sha256sum` prints. The draw is fair as long as the seed is
    announced before the entries close, or comes from something nobody can choose.
    """
    return hashlib.sha256(f"{seed}:{rider.bib or rider.id}".encode()).hexdigest()


def sort_key(name: str) -> str:
    """A name as it is sorted: no capitals, no marks on letters, single spaces."""
    apart = unicodedata.normalize("NFKD", name.casefold())
    bare = "".join(each for each in apart if not unicodedata.combining(each))
    return " ".join(bare.translate(PLAIN_LETTERS).split())


def _best_last(
    ranking: Sequence[Hashable] | None,
) -> Callable[[DrawnRider], tuple[bool, int]]:
    places = None if ranking is None else {id: n for n, id in enumerate(ranking, start=1)}

    def key(rider: DrawnRider) -> tuple[bool, int]:
        place = rider.rank if places is None else places.get(rider.id)
        return (False, 0) if place is None else (True, -place)

    return key
