"""From the words of one trick to an entry of the vocabulary and its modifiers."""

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from events.rules.notation_words import (
    INSIDE_OUT,
    SLOTS,
    Mark,
    Modifier,
    Phrase,
    name_key,
    say,
    take_apart,
)
from events.rules.run import PlannedTrick
from events.rules.trick import Takeoff, Trick
from events.rules.vocabulary import Form, Vocabulary

_CACHE_SIZE = 2048
_SLOT_WORDS = {"stance": "stances", "approach": "edges", "direction": "directions",
               "takeoff": "take-offs", "rotation": "turns", "grab": "grabs"}  # fmt: skip


class Misread(NamedTuple):
    """The first words not understood, where they begin, why, and what to compare them to."""

    word: str
    start: int
    message: str
    like: str


def match(text: str, vocabulary: Vocabulary) -> PlannedTrick | Misread:
    """The trick that the words name, in its normal form, or what was not understood.

    The name that accounts for most of the words wins; what is left must be modifiers. Of
    two words for one attribute the later overrules the name, as in "Cab 540 1080".
    """
    known = vocabulary.cache.get(text)
    if isinstance(known, PlannedTrick | Misread):
        return known
    if len(vocabulary.cache) >= _CACHE_SIZE:
        vocabulary.cache.clear()
    vocabulary.cache[text] = answer = _match(text, vocabulary)
    return answer


def settle(planned: PlannedTrick, vocabulary: Vocabulary) -> PlannedTrick:
    """The same ridden trick with as few modifiers as the vocabulary allows.

    Only names that differ in modifiers alone are considered, such as "HS FS 180" and
    "HS FS 360"; a backroll with a turn stays a backroll.
    """
    wanted = {slot: getattr(planned.trick, slot) for slot in SLOTS}
    core, modifiers = name_key(planned.entry.name)
    own = Form(modifiers, planned.entry, -1)
    best = min([own, *vocabulary.siblings.get(core, ())], key=lambda form: _cost(form, wanted))
    changes = dict.fromkeys(SLOTS) | _differences(best.trick, wanted)
    return replace(planned, entry=best.trick, **changes)  # type: ignore[arg-type]


def name_slots(trick: Trick) -> frozenset[str]:
    """The attributes that a trick's name states."""
    return frozenset(each.slot for each in name_key(trick.name)[1])


def _differences(trick: Trick, wanted: dict[str, object]) -> dict[str, object]:
    return {slot: value for slot, value in wanted.items() if getattr(trick, slot) != value}


def _cost(form: Form, wanted: dict[str, object]) -> tuple[int, int, int]:
    """Fewest modifiers first, then fewest that overrule the name; the entry given (rank -1)
    wins a tie, then the earlier one."""
    changes = _differences(form.trick, wanted)
    overruled = sum(each.slot in changes for each in form.modifiers)
    return len(changes), overruled, form.rank


def _match(text: str, vocabulary: Vocabulary) -> PlannedTrick | Misread:
    phrase = take_apart(text)
    clash: Misread | None = None
    for reading in _readings(phrase):
        for form in _candidates(reading, vocabulary):
            left = [each for each in reading.marks if each.modifier not in form.modifiers]
            fault = _contradiction(form, left, reading)
            if fault is None:
                said = {each.modifier.slot: each.modifier.value for each in left}
                planned = PlannedTrick(form.trick, **said)  # type: ignore[arg-type]
                return settle(planned, vocabulary)
            clash = clash or fault
    return clash or _not_understood(text, phrase, vocabulary)


def _readings(phrase: Phrase) -> Iterator[Phrase]:
    """The phrase, and if it says "inside-out" of another trick, with that as a take-off."""
    yield phrase
    for word in phrase.core:
        if word.word == INSIDE_OUT:
            mark = Mark(
                Modifier("takeoff", Takeoff.ONE_WAKE), word.place, word.text, word.start
            )
            core = tuple(each for each in phrase.core if each.word != INSIDE_OUT)
            yield Phrase(core, tuple(sorted((*phrase.marks, mark), key=lambda m: m.place)))
            return


def _candidates(phrase: Phrase, vocabulary: Vocabulary) -> list[Form]:
    """The names that these words may spell, the one that accounts for most first.

    A name with a turn goes before one with a grab, since a grab can be added to any air.
    Between equals the one written first wins.
    """
    said = phrase.modifiers
    fitting = [
        form
        for form in vocabulary.forms.get(phrase.core_words, ())
        if form.modifiers <= said
    ]
    if len(fitting) < 2:
        return fitting
    places: dict[Modifier, int] = {}
    for mark in phrase.marks:
        places.setdefault(mark.modifier, mark.place)

    def preference(form: Form) -> tuple[int, bool, list[int], int]:
        turns = any(each.slot == "rotation" for each in form.modifiers)
        written = sorted(places[each] for each in form.modifiers)
        return -len(form.modifiers), not turns, written, form.rank

    return sorted(fitting, key=preference)


def _contradiction(form: Form, left: list[Mark], phrase: Phrase) -> Misread | None:
    """Two words for one attribute, unless the second follows the name and overrules it."""
    of_name = {each.slot: each for each in form.modifiers}
    end = max([mark.place for mark in phrase.marks if mark.modifier in form.modifiers]
              + [word.place for word in phrase.core], default=-1)  # fmt: skip
    said: dict[str, Modifier] = {}
    for mark in left:
        slot = mark.modifier.slot
        other = said.setdefault(slot, mark.modifier)
        if other == mark.modifier and slot in of_name and mark.place < end:
            other = of_name[slot]
        if other != mark.modifier:
            message = (f"Two {_SLOT_WORDS[slot]} are given, {say(other)} and "
                       f"{say(mark.modifier)}: keep one.")  # fmt: skip
            return Misread(mark.text, mark.start, message, "")
    return None


def _not_understood(text: str, phrase: Phrase, vocabulary: Vocabulary) -> Misread:
    """The first word that belongs to no name, or to none that starts like this."""
    if not phrase.core:
        shown = text if len(text) <= 40 else f"{text[:39]}…"
        return Misread(text, 0, f"“{shown}” does not name a trick.", text)
    words = phrase.core_words
    longest = max(
        (n for n in range(len(words)) if n and words[:n] in vocabulary.forms), default=0
    )
    strange = phrase.core[longest]
    known = {word for core in vocabulary.forms for word in core}
    for each in phrase.core:
        if each.word not in known:
            strange = each
            break
    shown = strange.text if len(strange.text) <= 40 else f"{strange.text[:39]}…"
    return Misread(strange.text, strange.start, f"“{shown}” is not understood.", text)
