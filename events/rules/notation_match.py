"""From the words of one trick to an entry of the vocabulary and its modifiers."""

from collections.abc import Iterator
from dataclasses import replace
from operator import attrgetter, ne
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

DOUBLE_UP = "double-up"
"""The bonus that a trick claims when no other is named."""

_attributes = attrgetter(*SLOTS)
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
    answer = _match(text, vocabulary)
    if isinstance(answer, PlannedTrick):
        answer = _as_read(answer, vocabulary)
    vocabulary.cache[text] = answer
    return answer


def normalise(planned: PlannedTrick, vocabulary: Vocabulary) -> PlannedTrick:
    """The form in which the reader gives this trick.

    A modifier that repeats the entry's own attribute is dropped. Modifiers that make it
    another entry give that entry: "HS FS 180" said to be a 360 is "HS FS 360". A turn
    without a direction is frontside where the vocabulary has a name for it. A trick that
    claims the double-up leaves from it. A chance stands in place of a record.
    """
    bonus = " ".join(planned.bonus.split())
    if bonus.casefold() in (DOUBLE_UP, "double up", "du"):
        planned, bonus = replace(planned, takeoff=Takeoff.DOUBLE_UP), DOUBLE_UP
    if planned.chance is not None:
        planned = replace(planned, landed=None, tried=None)
    read = _as_read(_settled(planned, vocabulary), vocabulary)
    return replace(planned, bonus=bonus, entry=read.entry,
                   **{slot: getattr(read, slot) for slot in SLOTS})  # fmt: skip


def write_words(planned: PlannedTrick) -> str:
    """The name of the entry with the modifiers that are set, without what follows a trick."""
    named = {each.slot for each in name_key(planned.entry.name)[1]}
    said = [(slot, value) for slot in SLOTS if (value := getattr(planned, slot)) is not None]
    # What the name itself states can only be overruled after the name.
    ahead = {slot: say(Modifier(slot, value)) for slot, value in said
             if slot in ("stance", "takeoff", "approach") and slot not in named}  # fmt: skip
    words = [ahead[slot] for slot in ("stance", "takeoff", "approach") if slot in ahead]
    after = [say(Modifier(slot, value)) for slot, value in said if slot not in ahead]
    return " ".join([*words, planned.entry.name, *after])


def stated_takeoff(trick: Trick) -> Takeoff | None:
    """The take-off that a trick's name itself states, as "One-wake jump" does."""
    states = any(each.slot == "takeoff" for each in name_key(trick.name)[1])
    return trick.takeoff if states else None


def _as_read(planned: PlannedTrick, vocabulary: Vocabulary) -> PlannedTrick:
    """What the trick's own text is read as: itself, unless the modifiers complete another
    name, as "Raley" with 360 is a 313.

    Two names may each lead to the other, as "HS FS 180" off a rail and "Rail FS 180" from
    heelside do; then the text that sorts first stands for both.
    """
    passed: list[PlannedTrick] = []
    while planned not in passed and not _unmodified(planned):
        read = _match(write_words(planned), vocabulary)
        if isinstance(read, Misread) or read == planned:
            return planned
        passed.append(planned)
        planned = read
    if planned not in passed:
        return planned
    return min(passed[passed.index(planned) :], key=write_words)


def _settled(planned: PlannedTrick, vocabulary: Vocabulary) -> PlannedTrick:
    """The same ridden trick with as few modifiers as the vocabulary allows, nothing else.

    Only names that differ in modifiers alone are considered, such as "HS FS 180" and
    "HS FS 360"; a backroll with a turn stays a backroll.
    """
    if _unmodified(planned):
        return PlannedTrick(planned.entry)
    wanted = _attributes(planned.trick)
    core, modifiers = name_key(planned.entry.name)
    own = Form(modifiers, planned.entry, -1)
    forms = (own, *vocabulary.siblings.get(core, ()))
    best = min(forms, key=lambda form: _cost(form, wanted))
    held = _attributes(best.trick)
    changes = {slot: said for slot, has, said in zip(SLOTS, held, wanted, strict=True)
               if has != said}  # fmt: skip
    return PlannedTrick(best.trick, **changes)


def _unmodified(planned: PlannedTrick) -> bool:
    return all(getattr(planned, slot) is None for slot in SLOTS)


def _cost(form: Form, wanted: tuple[object, ...]) -> tuple[int, int, int]:
    """Fewest modifiers first, then fewest that overrule the name; the entry given (rank -1)
    wins a tie, then the earlier one."""
    changed = [*map(ne, _attributes(form.trick), wanted)]
    overruled = sum(changed[SLOTS.index(each.slot)] for each in form.modifiers)
    return sum(changed), overruled, form.rank


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
                return _settled(planned, vocabulary)
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
    known = {word for core in vocabulary.forms for word in core}
    most = min(len(words) - 1, max(map(len, vocabulary.forms), default=0))
    longest = next((n for n in range(most, 0, -1) if words[:n] in vocabulary.forms), 0)
    strange = phrase.core[longest]
    for each in phrase.core:
        if each.word not in known:
            strange = each
            break
    shown = strange.text if len(strange.text) <= 40 else f"{strange.text[:39]}…"
    # Stance, take-off and grab are seldom part of a name and would blur the likeness.
    telling = [say(each.modifier) for each in phrase.marks
               if each.modifier.slot in ("approach", "direction", "rotation")]  # fmt: skip
    like = " ".join([*telling, *words])
    return Misread(strange.text, strange.start, f"“{shown}” is not understood.", like)
