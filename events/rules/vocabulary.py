"""The trick vocabulary: which names are known, and which trick each stands for."""

import tomllib
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from pathlib import Path
from typing import Any

from events.rules.language import gettext as _
from events.rules.notation_words import (
    BUT,
    GRABS,
    LIKENESS,
    ROTATIONS,
    Modifier,
    NameKey,
    name_key,
    plain,
    starts_with_short_turn,
    take_apart,
)
from events.rules.trick import Air, Direction, Edge, Family, Stance, Takeoff, Trick

__all__ = ["GRABS", "Form", "Vocabulary", "VocabularyError", "load_vocabulary",
           "standard_vocabulary", "trick_problems"]  # fmt: skip

CONFIDENCES = ("seen", "part", "memory", "low")
INVERTS = frozenset(
    {Family.BACKROLL, Family.FRONTROLL, Family.TANTRUM, Family.RALEY, Family.MOBE}
)
LONGEST_NAME = 60
_RESERVED = {("turn",), ("run", "in"), ("runin",)}
_STANDARD_FILE = Path(__file__).parents[2] / "fixtures" / "tricks.toml"


class VocabularyError(ValueError):
    """A vocabulary that cannot be used. `problems` has one sentence for each fault."""

    def __init__(self, problems: Iterable[str]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(self.problems))


@dataclass(frozen=True, slots=True)
class Form:
    """One spelling of a trick's name: the modifiers that belong to it, and its trick."""

    modifiers: frozenset[Modifier]
    trick: Trick
    rank: int
    """The trick's place in the vocabulary; the earlier one wins a tie."""


class Vocabulary:
    """Tricks by key, by name and by alias. Never changes once made.

    Names are compared without regard to case, hyphens or the order of modifiers. Two
    tricks that share a key or a name raise VocabularyError.
    """

    def __init__(self, tricks: Iterable[Trick]) -> None:
        self.tricks = tuple(tricks)
        self.by_key: Mapping[str, Trick] = {each.key: each for each in self.tricks}
        self._names: dict[NameKey, Trick] = {}
        self._likenesses: dict[str, str] = {}
        self.forms: dict[tuple[str, ...], list[Form]] = defaultdict(list)
        """Every spelling, by its core words; the one that says most comes first."""
        self.siblings: dict[tuple[str, ...], list[Form]] = defaultdict(list)
        """The names alone, without aliases, by their core words."""
        self.cache: dict[str, object] = {}
        """For the notation's reader: what a text was read as. Bounded by its user."""
        problems = [*_repeated_keys(self.tricks)]
        for rank, trick in enumerate(self.tricks):
            problems += self._enter(trick, rank)
        if problems:
            raise VocabularyError(problems)
        for forms in self.forms.values():
            forms.sort(key=lambda form: (-len(form.modifiers), form.rank))

    def _enter(self, trick: Trick, rank: int) -> Iterable[str]:
        """Put one trick's names into the index; yields what is wrong with them."""
        for name in (trick.name, *trick.aliases):
            yield from _name_problems(trick, name)
            key = name_key(name)
            holder = self._names.setdefault(key, trick)
            if holder is not trick:
                said = _(
                    "{place}: “{name}” already stands for {trick} ({key}); choose another name."
                )
                place = _place(trick, rank)
                yield said.format(place=place, name=name, trick=holder.name, key=holder.key)
                continue
            form = Form(key[1], trick, rank)
            if form not in self.forms[key[0]]:
                self.forms[key[0]].append(form)
            self._likenesses.setdefault(plain(key), trick.name)
            self._likenesses.setdefault(" ".join(name.casefold().split()), trick.name)
        core, modifiers = name_key(trick.name)
        self.siblings[core].append(Form(modifiers, trick, rank))

    def find(self, text: str) -> Trick | None:
        """The trick with exactly this name or alias, or None."""
        return self._names.get(name_key(text))

    def nearest(self, text: str, n: int = 3) -> tuple[str, ...]:
        """Up to `n` names of tricks that look most like the text, likest first."""
        asked = text[:LONGEST_NAME]
        found: list[str] = []
        for words in (plain(name_key(asked)), " ".join(name_key(asked)[0])):
            likely = get_close_matches(words, self._likenesses, 2 * n, LIKENESS)
            found += [self._likenesses[each] for each in likely]
        return tuple(dict.fromkeys(found))[:n]

    def with_tricks(self, extra: Iterable[Trick]) -> "Vocabulary":
        """A new vocabulary with more tricks; one with a known key takes the old one's place.

        Raises VocabularyError when a name already stands for another trick, or cannot be
        written in the notation.
        """
        added = tuple(extra)
        replaced = {each.key: each for each in added}
        kept = [replaced.get(each.key, each) for each in self.tricks]
        return Vocabulary([*kept, *(each for each in added if each.key not in self.by_key)])


def _repeated_keys(tricks: tuple[Trick, ...]) -> Iterable[str]:
    seen: set[str] = set()
    for rank, trick in enumerate(tricks):
        if trick.key in seen:
            yield f"{_place(trick, rank)}: the key “{trick.key}” is used twice."
        seen.add(trick.key)


def _place(trick: Trick, rank: int) -> str:
    return _("Trick {number} ({key})").format(number=rank + 1, key=trick.key)


def _name_problems(trick: Trick, name: str) -> Iterable[str]:
    """Why a name cannot be told apart in a line of notation."""
    core, modifiers = name_key(name)
    words = name.casefold().split()
    slots = [each.modifier.slot for each in take_apart(name).marks]
    where = _("{key}: the name “{name}”").format(key=trick.key, name=name)
    if not words:
        yield _("{key}: a trick needs a name.").format(key=trick.key)
    elif len(name) > LONGEST_NAME:
        said = _("{name} is longer than {most} characters.")
        yield said.format(name=where, most=LONGEST_NAME)
    elif any(sign in name for sign in ",;|+:%/"):
        yield _("{name} may not hold any of , ; | + : % /").format(name=where)
    elif words[-1] == "x" or core in _RESERVED or BUT in core:
        yield _("{name} has a meaning of its own in the notation.").format(name=where)
    elif len(slots) > len({*slots}):
        yield _("{name} says one thing twice.").format(name=where)
    elif starts_with_short_turn(name):
        said = _("{name} may not begin with a figure that stands for a turn.")
        yield said.format(name=where)
    elif not core and not any(each.slot in ("rotation", "grab") for each in modifiers):
        said = _("{name} needs a word of its own, a turn in degrees or a grab.")
        yield said.format(name=where)
    for slot, value in sorted(modifiers, key=str):
        held = getattr(trick, slot)
        if held != value and held is not Direction.NONE:
            said = _("{name} says {slot} {value}, but the trick has {held}.")
            yield said.format(name=where, slot=slot, value=value, held=held)


def trick_problems(trick: Trick) -> list[str]:
    """What contradicts itself in a trick's attributes, a sentence each.

    Only what is certain: degrees in half turns, a direction for every turn, blind after an
    odd number of backside half turns, inverts by family, switch where the name fixes it.
    """
    turns, odd = trick.rotation, trick.rotation // 180 % 2 == 1
    sided = trick.direction in (Direction.FRONTSIDE, Direction.BACKSIDE)
    checks = (
        (turns in (0, *ROTATIONS), "rotation must be a multiple of 180 from 0 to 1800"),
        (not turns or trick.direction is not Direction.NONE, "a turn needs a direction"),
        (
            not (turns and sided) or trick.blind == (odd and trick.direction == "backside"),
            "a landing is blind after an odd number of backside half turns, and only then",
        ),
        (trick.invert == (trick.family in INVERTS), "invert does not fit the family"),
        ((trick.family is Family.RAIL) == (trick.takeoff is Takeoff.RAIL),
         "a rail trick takes off from a rail, and no other trick does"),
        (not trick.switch_only or trick.stance is Stance.SWITCH,
         "a trick that is always ridden switch leaves switch"),
        (not trick.handle_pass or turns >= 180, "a handle pass needs a turn"),
        (trick.grab in ("", *GRABS), f"the grab “{trick.grab}” is not known"),
        (1 <= trick.tier <= 10, "tier must be from 1 to 10"),
    )  # fmt: skip
    return [sentence for holds, sentence in checks if not holds]


# How each key of a table is read: the type it must have, and the enumeration it belongs to.
_TEXT_KEYS = ("key", "name", "grab", "form", "source", "note")
_ENUMS = {"family": Family, "approach": Edge, "takeoff": Takeoff, "direction": Direction,
          "air": Air}  # fmt: skip
_PLAIN = {**dict.fromkeys(_TEXT_KEYS, str), "rotation": int, "tier": int,
          "invert": bool, "handle_pass": bool, "blind": bool}  # fmt: skip
_REQUIRED = ("key", "name", "family", "approach", "takeoff", "air", "tier", "confidence",
             "source")  # fmt: skip


def load_vocabulary(toml_text: str, include_unconfirmed: bool = False) -> Vocabulary:
    """The vocabulary written in a TOML text of `[[trick]]` tables.

    Tricks of confidence "low" are checked but left out unless asked for. Raises
    VocabularyError naming every fault and the table it stands in.
    """
    try:
        tables = tomllib.loads(toml_text).get("trick", [])
    except tomllib.TOMLDecodeError as fault:
        raise VocabularyError([f"The vocabulary is not valid TOML: {fault}."]) from fault
    if not isinstance(tables, list) or not all(isinstance(each, dict) for each in tables):
        raise VocabularyError(["The vocabulary must be a list of [[trick]] tables."])
    problems: list[str] = []
    tricks: list[Trick] = []
    hidden: set[str] = set()
    for number, table in enumerate(tables, start=1):
        faults = _table_faults(table)
        if not faults:
            trick = _trick(table)
            faults = trick_problems(trick)
            tricks.append(trick)
            if table["confidence"] == "low":
                hidden.add(trick.key)
        problems += [f"Trick {number} ({table.get('key', 'no key')}): {each}."
                     for each in faults]  # fmt: skip
    try:
        everything = Vocabulary(tricks)
    except VocabularyError as clash:
        problems += clash.problems
    if problems:
        raise VocabularyError(problems)
    if include_unconfirmed:
        return everything
    return Vocabulary(each for each in tricks if each.key not in hidden)


def _table_faults(table: dict[str, Any]) -> list[str]:
    """What keeps a table from being read as a trick."""
    faults = [f"“{each}” is missing" for each in _REQUIRED if each not in table]
    for key, value in table.items():
        if key in _ENUMS:
            allowed = [each.value for each in _ENUMS[key]]
            if value not in allowed:
                faults.append(f"{key} must be one of {', '.join(allowed)}, not “{value}”")
        elif key in _PLAIN:
            if type(value) is not _PLAIN[key]:
                faults.append(f"{key} must be of type {_PLAIN[key].__name__}")
        elif key == "stance_only":
            if value != "switch":
                faults.append("stance_only can only be “switch”")
        elif key == "confidence":
            if value not in CONFIDENCES:
                faults.append(f"confidence must be one of {', '.join(CONFIDENCES)}")
        elif key == "aliases":
            if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
                faults.append("aliases must be a list of names")
        else:
            faults.append(f"“{key}” is not a known attribute")
    return faults


def _trick(table: dict[str, Any]) -> Trick:
    """The trick of a table that has no faults."""
    said: dict[str, Any] = {key: table[key] for key in _PLAIN if key in table}
    said |= {key: kind(table[key]) for key, kind in _ENUMS.items() if key in table}
    said["aliases"] = tuple(table.get("aliases", ()))
    if "stance_only" in table:
        said |= {"stance": Stance.SWITCH, "switch_only": True}
    return Trick(**said)


@lru_cache(maxsize=2)
def standard_vocabulary(include_unconfirmed: bool = False) -> Vocabulary:
    """The vocabulary that comes with the program, read once."""
    return load_vocabulary(_STANDARD_FILE.read_text(encoding="utf-8"), include_unconfirmed)
