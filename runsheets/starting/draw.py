"""The draw: in which order riders ride, by every rule that a round can name.

Pure Python. A drawn order is always one that anyone can check with the list of riders at
hand and, for a draw by lot, with the seed that was announced beforehand.
"""

import hashlib
import shlex
import unicodedata
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import TypeVar

from events.rules.language import gettext as _
from events.rules.words import RidingOrder

Id = TypeVar("Id", bound=Hashable)

# Digits of a lot that are printed; more where two riders would look the same.
LOT_DIGITS = 8

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
    ranking: Sequence[Hashable] | Mapping[Hashable, int] | None = None,
) -> list[DrawnRider]:
    """The riders in riding order: the first in the list rides first.

    `alphabetical`: by sort name, marks on letters and capitals disregarded.
    `random`: by lot from `seed`, see `lot`.
    `ranking, best last`: worst rank first. `ranking` may give the ids best first, instead
    of the riders' own ranks. Who is not ranked rides before all others, alphabetically.
    `reverse of the last round`: the same with `ranking` as the placings of that round. Where
    riders may share a place, give the place of each id; of equal ones the worse rank is first.
    `by hand`: as given.

    Riders who are equal under a rule are put in alphabetical order, and after that stay as
    given. Raises ValueError if an id occurs twice, or the seed or placings are missing.
    """
    ids = [rider.id for rider in riders]
    if len(set(ids)) < len(ids):
        raise ValueError(_("A rider is in the list twice; take one entry out before the draw."))
    if order is RidingOrder.BY_HAND:
        return list(riders)
    by_name = sorted(riders, key=lambda rider: sort_key(rider.sort_name))
    if order is RidingOrder.ALPHABETICAL:
        return by_name
    if order is RidingOrder.RANDOM:
        drawn_from = _need(seed)
        return sorted(by_name, key=lambda rider: lot(drawn_from, rider))
    if order is RidingOrder.REVERSE and ranking is None:
        raise ValueError(_("There are no placings of the last round yet; draw another way."))
    return sorted(by_name, key=_best_last(ranking))


def lot(seed: str, rider: DrawnRider) -> str:
    """The lot of a rider: the SHA-256 of seed, colon and bib in UTF-8, as hex digits.

    The lowest lot rides first. A rider without a bib is drawn by id instead. Anyone can
    repeat it: the lot of bib 12 in a draw from the seed "lake 7" is what
    `printf '%s' 'lake 7:12' | sha256sum` prints. The draw is fair as long as the seed is
    announced before the entries close, or comes from something nobody can choose.
    """
    return _digest(seed, rider.bib or rider.id)


def lottery(ids: Sequence[Id], seed: str, places: int) -> list[Id]:
    """The ids that get one of so many places by lot, the lowest lot first.

    `ids` are those without a place: where the first five to enter have one, `entered[5:]`.
    The lot is that of a rider without a bib. Who gets no place waits in the order of the
    lots: `lottery(ids, seed, len(ids))` is the whole order, its first `places` have a place,
    and whoever follows takes the next that falls free. Announce a seed of its own, apart
    from that of the running order. Raises ValueError if an id is in the list twice, the
    seed is missing, or there are fewer than 0 places.
    """
    if len(set(ids)) < len(ids):
        raise ValueError(_("An entry is in the list twice; take one out before the draw."))
    if places < 0:
        raise ValueError(_("There cannot be fewer than 0 places to draw."))
    _need(seed)
    return sorted(ids, key=lambda each: _digest(seed, each))[:places]


@dataclass(frozen=True, slots=True)
class OwnLot:
    """The lot of one rider as it is listed; `rider` is "bib 12", or "entry 41" without one."""

    place: int
    rider: str
    digits: str


@dataclass(frozen=True, slots=True)
class Repeat:
    """How a draw is repeated by hand.

    `command` prints the lot of the rider at place 1 on a computer with sha256sum. `notes`
    say what else matters here. Without riders all of it is empty.
    """

    sentences: tuple[str, ...] = ()
    command: str = ""
    notes: tuple[str, ...] = ()
    lots: tuple[OwnLot, ...] = ()


def repeat(order: Sequence[DrawnRider], seed: str) -> Repeat:
    """What a rider needs to check a draw by hand; `seed` is called the draw word there.

    `order` is the riding order now. Riders taken out since the draw change nothing for the
    others; if riders are no longer in the order of their lots, a note says so. Riders are
    named by bib, or by number of entry without one. Raises ValueError without a seed.
    """
    _need(seed)
    if not order:
        return Repeat()
    lots = [lot(seed, rider) for rider in order]
    digits = _digits_to_tell_apart(lots)
    text = f"{seed}:{order[0].bib or order[0].id}"
    sentences = [
        _("This order was drawn by lot from the draw word {word}.").format(word=seed),
        _(
            "Each rider has a lot: the SHA-256 digest of the draw word, a colon and the bib, "
            "in UTF-8."
        ),
        _("The lowest lot rides first; digits come before letters."),
    ]
    if not all(rider.bib for rider in order):
        by_entry = _("A rider without a bib is drawn by the number of the entry.")
        sentences.insert(2, by_entry)
    notes = [
        _(
            "Any other SHA-256 calculator will do: give it {text} and nothing before or after."
        ).format(text=text),
        _("The first {number} of the 64 digits are listed.").format(number=digits),
    ]
    if lots != sorted(lots):
        notes.append(
            _(
                "The order was changed after the draw, or a rider got another bib: the lots "
                "are out of order."
            )
        )
    listed = tuple(
        OwnLot(place, _numbered(rider), own[:digits])
        for place, (rider, own) in enumerate(zip(order, lots, strict=True), start=1)
    )
    command = f"printf '%s' {shlex.quote(text)} | sha256sum"
    return Repeat(tuple(sentences), command, tuple(notes), listed)


def _numbered(rider: DrawnRider) -> str:
    if rider.bib:
        return _("bib {bib}").format(bib=rider.bib)
    return _("entry {number}").format(number=rider.id)


def how_to_repeat(order: Sequence[DrawnRider], seed: str) -> str:
    """The same as plain text: sentences, then a line for each rider."""
    found = repeat(order, seed)
    if not found.lots:
        return _("Nobody was drawn.")
    check = _("To check the rider at place 1, type: {command}").format(command=found.command)
    lines = [f"{each.place}. {each.rider}: {each.digits}" for each in found.lots]
    return "\n".join([*found.sentences, check, *found.notes, *lines])


def sort_key(name: str) -> str:
    """A name as it is sorted: no capitals, no marks on letters, single spaces."""
    apart = unicodedata.normalize("NFKD", name.casefold())
    bare = "".join(each for each in apart if not unicodedata.combining(each))
    return " ".join(bare.translate(PLAIN_LETTERS).split())


def _digest(seed: str, number: Hashable) -> str:
    return hashlib.sha256(f"{seed}:{number}".encode()).hexdigest()


def _need(seed: str | None) -> str:
    if not seed:
        raise ValueError(_("A draw by lot needs a draw word; announce one before the draw."))
    return seed


def _digits_to_tell_apart(lots: Sequence[str]) -> int:
    """How many digits to show so that no two different lots look the same."""
    digits = LOT_DIGITS
    while len({each[:digits] for each in lots}) < len(set(lots)):
        digits += 1
    return digits


def _best_last(
    ranking: Sequence[Hashable] | Mapping[Hashable, int] | None,
) -> Callable[[DrawnRider], tuple[float, float]]:
    """Unplaced riders first, then from the worst place; among equals the worst rank first."""
    if ranking is None or isinstance(ranking, Mapping):
        places = ranking
    else:
        places = {id: n for n, id in enumerate(ranking, start=1)}

    def key(rider: DrawnRider) -> tuple[float, float]:
        rank = _worst_first(rider.rank)
        if places is None:
            return rank, 0
        place = _worst_first(places.get(rider.id))
        # Among riders without a place the alphabet decides, as it always did.
        return place, rank if rider.id in places else 0

    return key


def _worst_first(place: int | None) -> float:
    return -inf if place is None else -place
