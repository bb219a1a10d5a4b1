"""A run as one line of text, read and written.

Passes are separated by `|`, tricks by `,`; bonus tricks follow `+` at the end of a pass:

    HS backroll 4/5, TS 180 indy, switch HS 360 | Tantrum 80% + double-up tantrum

A bonus trick claims the double-up unless another name stands before a colon, as in
`+ style trick: HS 180 indy`. After a trick may follow its landings (`4/5`) or a chance
(`60%`), and `x` for a fall. `run-in x` before the first trick and `turn x` after the last
mark falls between tricks.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import Decimal
from typing import NamedTuple

from events.rules.notation_match import Misread, match, name_slots, settle
from events.rules.notation_words import SLOTS, Modifier, say
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.trick import Takeoff
from events.rules.vocabulary import Vocabulary, standard_vocabulary

DOUBLE_UP = "double-up"
"""The bonus that a trick after `+` claims when no other is named."""

LONGEST_TEXT = 20_000
MOST_TRICKS = 400
MOST_PASSES = 40
_MOST_SUGGESTED = 10  # likeness is slow to measure; a text full of faults needs no more

_RECORD = re.compile(r"(?:^|(?<=\s))([0-9]+)\s*/\s*([0-9]+)$")
_CHANCE = re.compile(r"(?:^|(?<=\s))([-−]?[0-9]*\.?[0-9]+)\s*%$")
_FALL = re.compile(r"(?:^|(?<=\s))[xX]$")
_BETWEEN = re.compile(r"(run[\s-]?in|turn)\s+x", re.IGNORECASE)


class Problem(NamedTuple):
    """One thing not understood: the words, where they begin in the whole text, a sentence,
    and the names of tricks that look alike."""

    word: str
    start: int
    message: str
    suggestions: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """The message, with the suggestions as a question."""
        if not self.suggestions:
            return self.message
        *others, last = self.suggestions
        names = f"{', '.join(others)} or {last}" if others else last
        return f"{self.message} Did you mean {names}?"


class NotationError(ValueError):
    """A text that is not a run. `problems` holds everything that was not understood, in
    order; `word`, `start`, `message` and `suggestions` are those of the first."""

    def __init__(self, text: str, problems: tuple[Problem, ...]) -> None:
        self.text = text
        self.problems = problems
        self.word, self.start, self.message, self.suggestions = problems[0]
        super().__init__(" ".join(each.sentence for each in problems))


class _Piece(NamedTuple):
    """A stretch of the text between separators: what stood before it, and where it begins."""

    opener: str
    text: str
    start: int


def read_run(text: str, vocabulary: Vocabulary | None = None) -> Run:
    """The run that a text describes. Raises NotationError with every fault found.

    An empty text has no passes. Empty places between commas are skipped.
    """
    _refuse_oversize(text)
    if not text.strip():
        return Run()
    reader = _Reader(text, vocabulary or standard_vocabulary())
    passes = tuple(reader.read_pass(piece) for piece in _split(text, "|"))
    reader.finish()
    return Run(passes)


def read_trick(text: str, vocabulary: Vocabulary | None = None) -> PlannedTrick:
    """One place of a run, with its landings, chance or fall. Raises NotationError."""
    _refuse_oversize(text)
    reader = _Reader(text, vocabulary or standard_vocabulary())
    planned = reader.read_place(_trimmed("", text, 0))
    reader.finish()
    assert planned is not None  # otherwise a problem was recorded
    return planned


def write_run(run: Run) -> str:
    """The line of notation for a run; a normalised run reads back as the same run."""
    if len(run.passes) == 1 and not _write_pass(run.passes[0]):
        return ","  # one empty pass; an empty text would have none
    return " | ".join(map(_write_pass, run.passes)).strip()


def write_trick(planned: PlannedTrick) -> str:
    """The notation of one place, without the name of the bonus that it claims."""
    named = name_slots(planned.entry)
    said = [(slot, value) for slot in SLOTS if (value := getattr(planned, slot)) is not None]
    # What the name itself states can only be overruled after the name.
    ahead = {slot: say(Modifier(slot, value)) for slot, value in said
             if slot in ("stance", "takeoff", "approach") and slot not in named}  # fmt: skip
    words = [ahead[slot] for slot in ("stance", "takeoff", "approach") if slot in ahead]
    words.append(planned.entry.name)
    words += [say(Modifier(slot, value)) for slot, value in said if slot not in ahead]
    if planned.chance is not None:
        words.append(_percent(planned.chance))
    elif planned.tried is not None:
        words.append(f"{planned.landed or 0}/{planned.tried}")
    return " ".join([*words, "x"] if planned.fell else words)


def normalise(planned: PlannedTrick, vocabulary: Vocabulary | None = None) -> PlannedTrick:
    """The form in which the reader gives this trick.

    A modifier that repeats the entry's own attribute is dropped, and a spin whose modifiers
    make it another entry becomes that entry: "HS FS 180" said to be a 360 is "HS FS 360".
    A trick that claims the double-up leaves from it. A chance stands in place of a record.
    """
    bonus = " ".join(planned.bonus.split())
    if bonus.casefold() in (DOUBLE_UP, "double up"):
        planned, bonus = replace(planned, takeoff=Takeoff.DOUBLE_UP), DOUBLE_UP
    if planned.chance is not None:
        planned = replace(planned, landed=None, tried=None)
    return settle(replace(planned, bonus=bonus), vocabulary or standard_vocabulary())


def normalise_run(run: Run, vocabulary: Vocabulary | None = None) -> Run:
    """The run with every trick normalised."""
    known = vocabulary or standard_vocabulary()
    return Run(tuple(
        replace(each, tricks=tuple(normalise(trick, known) for trick in each.tricks),
                bonus=tuple(normalise(trick, known) for trick in each.bonus))
        for each in run.passes
    ))  # fmt: skip


def _write_pass(each: Pass) -> str:
    places = ["run-in x"] * each.run_in_falls + [write_trick(trick) for trick in each.tricks]
    bonuses = [f"+ {_write_bonus(trick)}" for trick in each.bonus]
    written = " ".join(filter(None, [", ".join(places), *bonuses]))
    return ", ".join([*filter(None, [written]), *["turn x"] * each.turn_falls])


def _write_bonus(planned: PlannedTrick) -> str:
    if planned.bonus != DOUBLE_UP:
        return f"{planned.bonus}: {write_trick(planned)}"
    return write_trick(replace(planned, takeoff=Takeoff.DOUBLE_UP))


def _percent(chance: float) -> str:
    """A chance in percent, with just the digits that give the same number when read."""
    digits = format(Decimal(repr(abs(chance))).scaleb(2), "f")
    return (digits.rstrip("0").rstrip(".") if "." in digits else digits) + "%"


class _Reader:
    """Reads the pieces of one text and collects what it does not understand."""

    def __init__(self, text: str, vocabulary: Vocabulary) -> None:
        self.text = text
        self.vocabulary = vocabulary
        self.problems: list[Problem] = []
        self.places = 0

    def finish(self) -> None:
        """Raise what was found, if anything was."""
        if self.problems:
            raise NotationError(self.text, tuple(self.problems))

    def fault(self, word: str, start: int, message: str, like: str = "") -> None:
        """Note a problem; `like` is the text to find similar names for."""
        near = like and len(self.problems) < _MOST_SUGGESTED
        suggestions = self.vocabulary.nearest(like) if near else ()
        self.problems.append(Problem(word, start, message, suggestions))

    def read_pass(self, piece: _Piece) -> Pass:
        """One pass: its tricks, its bonus tricks and the falls between tricks."""
        tricks: list[PlannedTrick] = []
        bonus: list[PlannedTrick] = []
        falls = {"run-in": 0, "turn": 0}
        begun = bonus_begun = False
        for place in _split(piece.text, ",+", piece.start):
            if not place.text:
                continue
            if place.opener != "+" and (between := _BETWEEN.fullmatch(place.text)):
                kind = "turn" if between[1].casefold() == "turn" else "run-in"
                falls[kind] += 1
                if kind == "run-in" and (begun or falls["turn"]):
                    self.fault(place.text, place.start,
                               "“run-in x” stands before the first trick of a pass.")  # fmt: skip
                continue
            if falls["turn"]:
                self.fault(place.text, place.start,
                           "“turn x” stands after the last trick of a pass.")  # fmt: skip
            begun = True
            if place.opener == "+":
                bonus_begun = True
                bonus += filter(None, [self._read_bonus(place)])
            elif bonus_begun:
                self.fault(place.text, place.start, f"“{_short(place.text)}” stands after a "
                           "bonus trick: put + before it, or move it forward.")  # fmt: skip
            else:
                tricks += filter(None, [self.read_place(place)])
        return Pass(tuple(tricks), tuple(bonus), falls["run-in"], falls["turn"])

    def _read_bonus(self, piece: _Piece) -> PlannedTrick | None:
        before, colon, after = piece.text.partition(":")
        name = " ".join(before.split())
        if colon and not name:
            self.fault(":", piece.start, "Write the name of the bonus trick before the colon.")
            return None
        if not colon or name.casefold() in (DOUBLE_UP, "double up", "du"):
            trick = piece if not colon else _trimmed(
                "+", after, piece.start + len(before) + 1)  # fmt: skip
            return self._read_double_up(trick)
        trick = _trimmed("+", after, piece.start + len(before) + 1)
        planned = self.read_place(trick)
        return planned and replace(planned, bonus=name)

    def _read_double_up(self, piece: _Piece) -> PlannedTrick | None:
        planned = self.read_place(piece)
        if planned is None:
            return None
        if planned.takeoff not in (None, Takeoff.DOUBLE_UP):
            self.fault(piece.text, piece.start,
                       f"A trick on the double-up leaves from it: drop “{planned.takeoff}”, or "
                       "name another bonus before a colon.")  # fmt: skip
            return None
        return normalise(replace(planned, bonus=DOUBLE_UP), self.vocabulary)

    def read_place(self, piece: _Piece) -> PlannedTrick | None:
        """One trick with what follows it; None when a problem was noted."""
        self.places += 1
        if self.places > MOST_TRICKS:
            raise _refusal(self.text, f"A run may have at most {MOST_TRICKS} tricks.")
        body, said = self._read_tail(piece)
        if ":" in body and piece.opener != "+":
            self.fault(_short(body), piece.start,
                       "A colon only follows the name of a bonus trick, after +.")  # fmt: skip
            return None
        if not body:
            tail = f" before “{_short(piece.text)}”" if piece.text else " here"
            self.fault(piece.text, piece.start, f"There is no trick{tail}.")
            return None
        found = match(body, self.vocabulary)
        if isinstance(found, Misread):
            self.fault(found.word, piece.start + found.start, found.message, found.like)
            return None
        return replace(found, **said) if said else found  # type: ignore[arg-type]

    def _read_tail(self, piece: _Piece) -> tuple[str, dict[str, object]]:
        """The words of the trick, and the landings, chance and fall that follow them."""
        body, said = piece.text, {}
        steps: list[tuple[re.Pattern[str], Callable[[re.Match[str]], dict[str, object]]]] = [
            (_FALL, lambda _: {"fell": True}),
            (_RECORD, lambda found: self._record(found, piece)),
            (_CHANCE, lambda found: self._chance(found, piece)),
        ]
        while steps and body[-1:] in _TAIL_ENDS:
            for step in steps:
                if found := step[0].search(body, max(0, len(body) - _LONGEST_TAIL)):
                    said |= step[1](found)
                    body = body[: found.start()].rstrip()
                    steps.remove(step)
                    break
            else:
                break
        if "tried" in said and "chance" in said:
            self.fault(piece.text[len(body) :].strip(), piece.start + len(body),
                       "Give the landings or a chance, not both.")  # fmt: skip
        return body, said

    def _record(self, found: re.Match[str], piece: _Piece) -> dict[str, object]:
        start = piece.start + found.start()
        if max(len(found[1]), len(found[2])) > _MOST_DIGITS:
            self.fault(_short(found[0]), start, "That is more landings than anybody counts.")
            return {}
        landed, tried = int(found[1]), int(found[2])
        if landed > tried:
            self.fault(found[0], start, f"Landed {landed} of {tried}: landed cannot be more "
                       "than tried.")  # fmt: skip
        elif not tried:
            self.fault(found[0], start, "Landed 0 of 0: write landed and tried, such as 4/5, "
                       "or leave it out.")  # fmt: skip
        return {"landed": landed, "tried": tried}

    def _chance(self, found: re.Match[str], piece: _Piece) -> dict[str, object]:
        digits = found[1].replace("−", "-")
        if not 0 <= float(digits) <= 100:
            self.fault(_short(found[0]), piece.start + found.start(),
                       "A chance lies between 0 % and 100 %.")  # fmt: skip
        return {"chance": abs(float(f"{digits}e-2"))}


_TAIL_ENDS = frozenset("xX%0123456789")
_LONGEST_TAIL = 1000  # the longest exact percentage has about 400 digits
_MOST_DIGITS = 9


def _split(text: str, signs: str, start: int = 0) -> Iterator[_Piece]:
    """The stretches between separators, blanks around them cut off."""
    opener, begin = "", 0
    for found in re.finditer(f"[{re.escape(signs)}]", text):
        yield _trimmed(opener, text[begin : found.start()], start + begin)
        opener, begin = found.group(), found.end()
    yield _trimmed(opener, text[begin:], start + begin)


def _trimmed(opener: str, text: str, start: int) -> _Piece:
    return _Piece(opener, text.strip(), start + len(text) - len(text.lstrip()))


def _short(text: str) -> str:
    """A quotation that fits in a sentence."""
    return text if len(text) <= 40 else f"{text[:39]}…"


def _refusal(text: str, message: str) -> NotationError:
    return NotationError(text, (Problem("", 0, message),))


def _refuse_oversize(text: str) -> None:
    if len(text) > LONGEST_TEXT:
        raise _refusal(text, f"A run may have at most {LONGEST_TEXT:,} characters; this one "
                       f"has {len(text):,}.")  # fmt: skip
    if text.count("|") >= MOST_PASSES:
        raise _refusal(text, f"A run may have at most {MOST_PASSES} passes.")
