"""From the words of one trick to an entry of the vocabulary and its modifiers."""

from collections.abc import Iterator
from dataclasses import replace
from operator import attrgetter, ne

from events.rules.notation_faults import (
    ANOTHER_TRICK,
    NO_NAME,
    SAID_TWICE,
    STRANGE,
    Misread,
    short,
)
from events.rules.notation_words import (
    BUT,
    INSIDE_OUT,
    SLOTS,
    Mark,
    Modifier,
    Phrase,
    name_key,
    nearest_words,
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


def match(text: str, vocabulary: Vocabulary) -> PlannedTrick | Misread:
    """The trick that the words name, in its normal form, or what was not understood.

    The name that accounts for most of the words wins; what is left must be modifiers. No
    word may overrule another of its kind, save after "but", as in "TS raley but HS".
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
    said = [(slot, value) for slot in SLOTS if (value := getattr(planned, slot)) is not None]
    name, named = _spelling(planned.entry, {slot for slot, _value in said})
    # What the name itself states can only be overruled after a "but".
    ahead = {slot: say(Modifier(slot, value)) for slot, value in said
             if slot in ("stance", "takeoff", "approach") and slot not in named}  # fmt: skip
    words = [ahead[slot] for slot in ("stance", "takeoff", "approach") if slot in ahead]
    after = [say(Modifier(slot, value)) for slot, value in said
             if slot not in ahead and slot not in named]  # fmt: skip
    but = [say(Modifier(slot, value)) for slot, value in said if slot in named]
    return " ".join([*words, name, *after, *([BUT, *but] if but else ())])


def _spelling(entry: Trick, said: set[str]) -> tuple[str, set[str]]:
    """The name, or an alias that leaves open what is said, as "Cab" does the degrees of
    "Cab 360"; and the attributes that it states."""
    spellings = [(each, {one.slot for one in name_key(each)[1]})
                 for each in (entry.name, *entry.aliases)]  # fmt: skip
    return next((each for each in spellings if not each[1] & said), spellings[0])


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
    phrase, overruling = _divided(take_apart(text))
    if fault := _said_twice(phrase.marks) or _said_twice(overruling):
        return fault
    found = _named(phrase, vocabulary) or _with_landing(phrase, vocabulary)
    if found is None:
        return _not_understood(text, phrase, vocabulary)
    said = {each.modifier.slot: each.modifier.value for each in overruling}
    return _settled(replace(found, **said), vocabulary)  # type: ignore[arg-type]


def _divided(phrase: Phrase) -> tuple[Phrase, tuple[Mark, ...]]:
    """The phrase up to a "but", and the modifiers after it, which overrule the name."""
    if not phrase.core or phrase.core[-1].word != BUT:
        return phrase, ()
    at = phrase.core[-1].place
    after = tuple(each for each in phrase.marks if each.place > at)
    if not after:
        return phrase, ()
    before = tuple(each for each in phrase.marks if each.place < at)
    return Phrase(phrase.core[:-1], before), after


def _said_twice(marks: tuple[Mark, ...]) -> Misread | None:
    """Two words for one attribute: most often the comma between two tricks is missing."""
    said: dict[str, Modifier] = {}
    for each in marks:
        slot = each.modifier.slot
        if slot in said:
            both = {"first": say(said[slot]), "second": say(each.modifier)}
            return Misread(each.text, each.start, SAID_TWICE[slot], both)
        said[slot] = each.modifier
    return None


def _named(phrase: Phrase, vocabulary: Vocabulary) -> PlannedTrick | None:
    """The entry that the phrase names, with what else it says; None if there is none."""
    for reading in _readings(phrase):
        for form in _candidates(reading, vocabulary):
            said = {each.modifier.slot: each.modifier.value for each in reading.marks
                    if each.modifier not in form.modifiers}  # fmt: skip
            return PlannedTrick(form.trick, **said)  # type: ignore[arg-type]
    return None


def _with_landing(phrase: Phrase, vocabulary: Vocabulary) -> PlannedTrick | None:
    """The trick that a phrase such as "HS BS 180 to blind" names, when the landing said
    after it is its own."""
    landing = phrase.core_words[-2:]
    if landing not in (("to", "blind"), ("to", "revert")):
        return None
    found = _named(Phrase(phrase.core[:-2], phrase.marks), vocabulary)
    if found is None or not found.trick.changes_stance:
        return None
    return found if found.trick.blind == (landing[1] == "blind") else None


def _readings(phrase: Phrase) -> Iterator[Phrase]:
    """The phrase, and if it says "inside-out" of another trick, with that as a take-off."""
    yield phrase
    for word in phrase.core:
        if word.word == INSIDE_OUT:
            wake = Modifier("takeoff", Takeoff.ONE_WAKE)
            core = tuple(each for each in phrase.core if each.word != INSIDE_OUT)
            if all(each.modifier.slot != wake.slot for each in phrase.marks):
                took_off = Mark(wake, word.place, word.text, word.start)
                marks = sorted((*phrase.marks, took_off), key=lambda each: each.place)
                yield Phrase(core, tuple(marks))
            elif wake in phrase.modifiers:
                yield Phrase(core, phrase.marks)
            return


def _candidates(phrase: Phrase, vocabulary: Vocabulary) -> list[Form]:
    """The names that these words may spell, the one that accounts for most first.

    A name with a turn goes before one with a grab, since a grab can be added to any air.
    Between equals the one written first wins.
    """
    said = phrase.modifiers
    fitting = [
        form for form in vocabulary.forms.get(phrase.core_words, ()) if form.modifiers <= said
    ]
    if len(fitting) < 2:
        return fitting
    places: dict[Modifier, int] = {}
    for each in phrase.marks:
        places.setdefault(each.modifier, each.place)

    def preference(form: Form) -> tuple[int, bool, list[int], int]:
        turns = any(each.slot == "rotation" for each in form.modifiers)
        written = sorted(places[each] for each in form.modifiers)
        return -len(form.modifiers), not turns, written, form.rank

    return sorted(fitting, key=preference)


def _not_understood(text: str, phrase: Phrase, vocabulary: Vocabulary) -> Misread:
    """The first word that belongs to no name, or to none that starts like this."""
    if not phrase.core:
        return Misread(text, 0, NO_NAME, {"words": short(text)}, text)
    words = phrase.core_words
    known = {word for core in vocabulary.forms for word in core}
    most = min(len(words), max(map(len, vocabulary.forms), default=0))
    longest = next((n for n in range(min(most, len(words) - 1), 0, -1)
                    if words[:n] in vocabulary.forms), 0)  # fmt: skip
    strange = next((each for each in phrase.core if each.word not in known), None)
    if strange is None:
        strange = phrase.core[longest]
        if longest and any(
            form.modifiers <= phrase.modifiers
            for n in range(1, most + 1)
            for form in vocabulary.forms.get(words[longest : longest + n], ())
        ):
            said = {"words": short(strange.text)}
            return Misread(strange.text, strange.start, ANOTHER_TRICK, said)
    # Stance, take-off and grab are seldom part of a name and would blur the likeness.
    telling = [say(each.modifier) for each in phrase.marks
               if each.modifier.slot in ("approach", "direction", "rotation")]  # fmt: skip
    rest = Phrase(tuple(each for each in phrase.core if each != strange), phrase.marks)
    return Misread(
        strange.text,
        strange.start,
        STRANGE,
        {"words": short(strange.text)},
        " ".join([*telling, *words]),
        _named(rest, vocabulary) is not None,
    )


def suggestions(found: Misread, vocabulary: Vocabulary) -> tuple[str, ...]:
    """What may have been meant, three at most: words for a modifier where the rest names a
    trick or the word is a figure, else names of tricks first. Slow."""
    if not found.like:
        return ()
    words = nearest_words(found.word)
    if words and (found.rest_is_trick or found.word[:1].isdigit()):
        return words[:3]
    both = (*vocabulary.nearest(found.like), *words)
    return tuple({each.casefold(): each for each in reversed(both)}.values())[::-1][:3]
