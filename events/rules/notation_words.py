"""The words of the run notation: what a modifier is called, and how a phrase is taken apart.

A phrase such as "switch HS front 3 indy" falls into *modifiers* (stance, edge of approach,
direction, take-off, degrees, grab), which may stand in any order, and the *core*: the
words left over, in the order they were written. A trick's name is taken apart in the same
way, so that "Heelside frontside 360" and "HS front 3" are one name.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from typing import NamedTuple

from events.rules.trick import Direction, Edge, Stance, Takeoff

SLOTS = ("stance", "approach", "direction", "takeoff", "rotation", "grab")
"""The attributes that can be said beside a trick's name, as named in `PlannedTrick`."""

GRABS = (
    "indy", "tindy", "mute", "slob", "melan", "method", "lien", "tail", "nose", "stalefish",
    "roast beef", "nuclear", "crail", "taipan", "seatbelt", "japan",
)  # fmt: skip
"""The grabs that may be added to a trick: one for each grab air of the vocabulary."""

ROTATIONS = tuple(range(180, 1801, 180))
"""The turns that can be said beside a trick, in degrees."""

INSIDE_OUT = "insideout"
"""The core word of tricks that start between the wakes; beside other names it only says
that one wake is used."""


BUT = "but"
"""The core word after which modifiers overrule what the name itself says."""

LIKENESS = 0.6  # below this a suggestion has little to do with what was typed


class Modifier(NamedTuple):
    """One thing said beside a trick's name: which attribute, and its value."""

    slot: str
    value: object


class Mark(NamedTuple):
    """A modifier found in a text: its place among the words, and its words as written."""

    modifier: Modifier
    place: int
    text: str
    start: int


class CoreWord(NamedTuple):
    """A word that is no modifier: as compared, its place among the words, as written."""

    word: str
    place: int
    text: str
    start: int


@dataclass(frozen=True, slots=True)
class Phrase:
    """A text taken apart. `start` of each part counts from the beginning of that text."""

    core: tuple[CoreWord, ...]
    marks: tuple[Mark, ...]

    @property
    def core_words(self) -> tuple[str, ...]:
        """The words that are no modifiers, in order."""
        return tuple(each.word for each in self.core)

    @property
    def modifiers(self) -> frozenset[Modifier]:
        """What is said beside the core."""
        return frozenset(each.modifier for each in self.marks)


NameKey = tuple[tuple[str, ...], frozenset[Modifier]]
"""What two spellings of one name have in common: core words and modifiers."""

_SAID: dict[Modifier, tuple[str, ...]] = {
    Modifier("stance", Stance.REGULAR): ("regular", "reg", "own", "own stance"),
    Modifier("stance", Stance.SWITCH): ("switch", "sw", "switch stance"),
    Modifier("approach", Edge.HEELSIDE): ("HS", "heelside", "heel", "heel side"),
    Modifier("approach", Edge.TOESIDE): ("TS", "toeside", "toe", "toe side"),
    Modifier("approach", Edge.EITHER): ("either edge", "either", "any edge"),
    Modifier("direction", Direction.FRONTSIDE): ("FS", "frontside", "front", "front side"),
    Modifier("direction", Direction.BACKSIDE): ("BS", "backside", "back", "back side"),
    Modifier("direction", Direction.OVERHEAD): ("overhead",),
    Modifier("direction", Direction.NONE): ("no direction",),
    Modifier("takeoff", Takeoff.FLATS): ("flats", "flat", "on the flats", "off the flats"),
    Modifier("takeoff", Takeoff.ONE_WAKE): ("one wake", "1 wake"),
    Modifier("takeoff", Takeoff.WAKE_TO_WAKE): ("wake to wake", "w2w", "wake 2 wake"),
    Modifier("takeoff", Takeoff.DOUBLE_UP): ("double-up", "doubleup", "DU"),
    Modifier("takeoff", Takeoff.RAIL): ("rail", "off the rail"),
    Modifier("rotation", 0): ("no spin",),
    Modifier("grab", ""): ("no grab",),
}
_GRAB_SPELLINGS = {
    "melan": ("melon", "melancholy"),
    "lien": ("nelon",),
    "stalefish": ("stale", "stale fish"),
    "seatbelt": ("seat belt",),
}
# Words that are written apart or together, and words that mean the same in a name.
_JOINED = {
    "back roll": "backroll",
    "front roll": "frontroll",
    "back flip": "backflip",
    "front flip": "frontflip",
    "inside out": INSIDE_OUT,
    "i/o": INSIDE_OUT,
    "io": INSIDE_OUT,
    # The old names say the edge of the cut, not a turn.
    "backside roll": "backroll",
    "bs roll": "backroll",
    "frontside roll": "frontsideroll",
    "half cab": "halfcab",
    "off axis": "offaxis",
    "s bend": "sbend",
    "ess bend": "sbend",
    "x mobe": "xmobe",
    "bunny hop": "bunnyhop",
    "whirly bird": "whirlybird",
    "butter slide": "butterslide",
    "board slide": "boardslide",
    "lip slide": "lipslide",
    "nose press": "nosepress",
    "tail press": "tailpress",
    "fakie": "revert",
}
# "front 3" is a 360: the figure stands for degrees only after a word of this kind.
_SHORT_TURNS = {"1": 180, "3": 360, "5": 540, "7": 720, "9": 900, "10": 1080, "12": 1260}
_LEADS_TURN = frozenset({
    "cab", "mobe", "crow", "whirly", "whirlybird", "ole", "off", "offaxis", "surface",
    "ollie", "blind", "backroll", "tantrum", "raley", "dick", "moby", INSIDE_OUT,
})  # fmt: skip

_WORD = re.compile(r"[^\s\-‐-―]+")


def _spelled(text: str) -> tuple[str, ...]:
    """The words of a text, folded for comparison."""
    return tuple(each.casefold() for each in _WORD.findall(text))


def _phrases() -> dict[tuple[str, ...], Modifier | str]:
    known: dict[tuple[str, ...], Modifier | str] = {
        _spelled(words): joined for words, joined in _JOINED.items()
    }
    for modifier, spellings in _SAID.items():
        known.update({_spelled(words): modifier for words in spellings})
    for grab in GRABS:
        for spelling in (grab, *_GRAB_SPELLINGS.get(grab, ())):
            known[_spelled(spelling)] = Modifier("grab", grab)
            known[_spelled(f"{spelling} grab")] = Modifier("grab", grab)
    for degrees in ROTATIONS:
        known[(str(degrees),)] = known[(f"{degrees}°",)] = Modifier("rotation", degrees)
    return known


_PHRASES = _phrases()
_LONGEST = max(len(words) for words in _PHRASES)
_STARTS = frozenset(words[0] for words in _PHRASES)
_TYPED = {" ".join(words): meaning for words, meaning in _PHRASES.items()
          if isinstance(meaning, Modifier)}  # fmt: skip


def say(modifier: Modifier) -> str:
    """The word or words for a modifier, as the notation writes them."""
    spellings = _SAID.get(modifier)
    return spellings[0] if spellings else str(modifier.value)


def take_apart(text: str) -> Phrase:
    """The core words and the modifiers of a text. Never fails: an unknown word is core."""
    found = [(each.group().casefold(), each.start(), each.end()) for each in
             _WORD.finditer(text)]  # fmt: skip
    core: list[CoreWord] = []
    marks: list[Mark] = []
    before: Modifier | str = ""
    at = 0
    while at < len(found):
        meaning, length = _meaning(
            [word for word, _start, _end in found[at : at + _LONGEST]], before
        )
        start, end = found[at][1], found[at + length - 1][2]
        if isinstance(meaning, Modifier):
            marks.append(Mark(meaning, at, text[start:end], start))
        else:
            core.append(CoreWord(meaning, at, text[start:end], start))
        before = meaning
        at += length
    return Phrase(tuple(core), tuple(marks))


def _meaning(ahead: list[str], before: Modifier | str) -> tuple[Modifier | str, int]:
    """What the next words mean, longest phrase first, and how many words that took."""
    if ahead[0] in _STARTS:
        for length in range(len(ahead), 0, -1):
            if (meaning := _PHRASES.get(tuple(ahead[:length]))) is not None:
                return meaning, length
    if ahead[0] in _SHORT_TURNS and _leads_turn(before):
        return Modifier("rotation", _SHORT_TURNS[ahead[0]]), 1
    return ahead[0], 1


def _leads_turn(before: Modifier | str) -> bool:
    if isinstance(before, Modifier):
        return before.slot in ("direction", "approach")
    return before in _LEADS_TURN


@lru_cache(maxsize=8192)
def name_key(name: str) -> NameKey:
    """The key by which a name or alias is compared, whatever its case, order or hyphens."""
    phrase = take_apart(name)
    return phrase.core_words, phrase.modifiers


def plain(key: NameKey) -> str:
    """A name's key as one line of text in a fixed order, for measuring likeness."""
    core, modifiers = key
    return " ".join([*_in_order(modifiers), *core]).casefold()


def nearest_words(text: str) -> tuple[str, ...]:
    """The words for modifiers that look most like a text, likest first, as they are typed.

    A figure gets the turns less than half a turn away.
    """
    figure = text.rstrip("°")
    if figure.isascii() and figure.isdigit():
        near = (each for each in ROTATIONS if len(figure) < 5 and abs(each - int(figure)) < 180)
        return tuple(map(str, near))
    if len(text) < 3:
        return ()  # two letters are like far too much
    found: dict[Modifier, str] = {}
    for words in get_close_matches(text.casefold(), _TYPED, 6, LIKENESS):
        found.setdefault(_TYPED[words], words)
    return tuple(
        shown if (shown := say(meaning)).casefold() == words else words
        for meaning, words in found.items()
    )


def _in_order(modifiers: Iterable[Modifier]) -> list[str]:
    ranked = sorted((SLOTS.index(each.slot), say(each)) for each in modifiers)
    return [words for _slot, words in ranked]


def starts_with_short_turn(name: str) -> bool:
    """Whether a name begins with a figure that would be read as a turn after "HS" or "FS"."""
    words = _spelled(name)
    return bool(words) and words[0] in _SHORT_TURNS
