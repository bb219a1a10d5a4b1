"""Reads the passes and places of a run's text and gathers what is not understood."""

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any, NamedTuple

from events.rules.notation_match import (
    DOUBLE_UP,
    Misread,
    match,
    normalise,
    short,
    stated_takeoff,
    suggestions,
)
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.trick import Takeoff
from events.rules.vocabulary import Vocabulary

LONGEST_TEXT = 20_000  # characters
MOST_TRICKS = 400
MOST_PASSES = 40
_MOST_SUGGESTED = 10  # likeness is slow to measure; a text full of faults needs no more

_SHOWN = 10  # faults named in the text of an error; more would only be scrolled past

_BEFORE = r"(?:^|(?<=\s)|(?=\())\(?\s*"
_RECORD = re.compile(_BEFORE + r"([0-9]+)\s*/\s*([0-9]+)\s*\)?$")
_CHANCE = re.compile(_BEFORE + r"([-−]?[0-9]*\.?[0-9]+)\s*%\s*\)?$")
_TOO_EARLY = re.compile(r"(?:^|\s)(\(?[0-9]+\s*/\s*[0-9]+\)?|\(?[0-9.]+\s*%\)?)\s+(\S+)")
_DOUBLE_UPS = (DOUBLE_UP, "double up", "du")
_FALL = re.compile(r"(?:^|(?<=\s))[xX]$")
_BETWEEN = re.compile(r"(run[\s-]?in|turn)\s+x", re.IGNORECASE)


class Problem(NamedTuple):
    """One thing not understood: the words, where they begin in the whole text, a sentence,
    and what may have been meant. `where` names pass and trick when there are several."""

    word: str
    start: int
    message: str
    suggestions: tuple[str, ...] = ()
    where: str = ""

    @property
    def sentence(self) -> str:
        """Where it is, the message, and the suggestions as a question."""
        words = f"{self.where}: {self.message}" if self.where else self.message
        if not self.suggestions:
            return words
        *others, last = self.suggestions
        names = f"{', '.join(others)} or {last}" if others else last
        return f"{words} Did you mean {names}?"


class NotationError(ValueError):
    """A text that is not a run. `problems` holds everything that was not understood, in
    order; `word`, `start`, `message` and `suggestions` are those of the first. As a text
    it names the first ten and says how many more there are."""

    def __init__(self, text: str, problems: tuple[Problem, ...]) -> None:
        self.text = text
        self.problems = problems
        self.word, self.start, self.message, self.suggestions, _ = problems[0]
        sentences = [each.sentence for each in problems[:_SHOWN]]
        if len(problems) > _SHOWN:
            sentences.append(f"And {len(problems) - _SHOWN} more.")
        super().__init__(" ".join(sentences))


class _Piece(NamedTuple):
    """A stretch of the text between separators: what stood before it, and where it begins."""

    opener: str
    text: str
    start: int


class Reader:
    """Reads the pieces of one text and collects what it does not understand."""

    def __init__(self, text: str, vocabulary: Vocabulary) -> None:
        _refuse_oversize(text)
        self.text = text
        self.vocabulary = vocabulary
        self.problems: list[Problem] = []
        self.places = 0
        self.where = ""

    def read_run(self) -> Run:
        """Every pass of the text; raises NotationError when anything was not understood."""
        if not self.text.strip():
            return Run()
        passes = tuple(self.read_pass(piece, number) for number, piece in
                       enumerate(_split(self.text, _PASS_ENDS), start=1))  # fmt: skip
        self.finish()
        return Run(passes)

    def read_trick(self) -> PlannedTrick:
        """The text as one place; raises NotationError when it was not understood."""
        planned = self.read_place(_trimmed("", self.text, 0))
        self.finish()
        assert planned is not None  # otherwise a problem was recorded
        return planned

    def finish(self) -> None:
        """Raise what was found, if anything was."""
        if len(self.problems) == 1:
            self.problems = [self.problems[0]._replace(where="")]
        if self.problems:
            raise NotationError(self.text, tuple(self.problems))

    def fault(self, word: str, start: int, message: str, meant: tuple[str, ...] = ()) -> None:
        """Note a problem, with what may have been meant."""
        self.problems.append(Problem(word, start, message, meant, self.where))

    def read_pass(self, piece: _Piece, number: int) -> Pass:
        """One pass: its tricks, its bonus tricks and the falls between tricks."""
        tricks: list[PlannedTrick] = []
        bonus: list[PlannedTrick] = []
        falls = {"run-in": 0, "turn": 0}
        tried = 0
        bonus_begun = False
        for place in _split(piece.text, _PLACE_ENDS, piece.start):
            if not place.text:
                continue
            self.where = f"Pass {number}, trick {tried + 1}"
            if place.opener != "+" and (between := _BETWEEN.fullmatch(place.text)):
                kind = "turn" if between[1].casefold() == "turn" else "run-in"
                falls[kind] += 1
                if kind == "run-in" and (tried or falls["turn"]):
                    message = "“run-in x” stands before the first trick of a pass."
                    self.fault(place.text, place.start, message)
                continue
            if falls["turn"]:
                self.fault(place.text, place.start,
                           "“turn x” stands after the last trick of a pass.")  # fmt: skip
            tried += 1
            if place.opener == "+":
                bonus_begun = True
                bonus += filter(None, [self._read_bonus(place)])
            elif bonus_begun:
                self.fault(place.text, place.start, f"“{short(place.text)}” stands after a "
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
        if not colon or name.casefold() in _DOUBLE_UPS:
            trick = piece if not colon else _trimmed(
                "+", after, piece.start + len(before) + 1)  # fmt: skip
            return self._read_double_up(trick)
        trick = _trimmed("+", after, piece.start + len(before) + 1)
        planned = self.read_place(trick)
        return planned and replace(planned, bonus=name)

    def _read_double_up(self, piece: _Piece) -> PlannedTrick | None:
        if piece.text.casefold() in (*_DOUBLE_UPS, ""):
            self.fault(piece.text, piece.start, "The trick of the double-up is missing: write "
                       "it after, as in “+ double-up tantrum”.")  # fmt: skip
            return None
        planned = self.read_place(piece)
        if planned is None:
            return None
        takeoff = planned.takeoff or stated_takeoff(planned.entry)
        if takeoff not in (None, Takeoff.DOUBLE_UP):
            self.fault(piece.text, piece.start,
                       f"A trick on the double-up leaves from it: drop “{takeoff}”, or "
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
            self.fault(body, piece.start,
                       "A colon only follows the name of a bonus trick, after +.")  # fmt: skip
            return None
        if not body:
            tail = f" before “{short(piece.text)}”" if piece.text else " here"
            self.fault(piece.text, piece.start, f"There is no trick{tail}.")
            return None
        if early := _TOO_EARLY.search(body):
            lost = ("is a comma missing after it?" if early.start(1)
                    else "there is no trick before it.")  # fmt: skip
            self.fault(early[2], piece.start + early.start(2), "Landings and chances stand "
                       f"after their trick, but “{short(early[1])}” is followed by more: "
                       f"{lost}")  # fmt: skip
            return None
        found = match(body, self.vocabulary)
        if isinstance(found, Misread):
            near = len(self.problems) < _MOST_SUGGESTED
            self.fault(found.word, piece.start + found.start, found.message,
                       suggestions(found, self.vocabulary) if near else ())  # fmt: skip
            return None
        return replace(found, **said) if said else found

    def _read_tail(self, piece: _Piece) -> tuple[str, dict[str, Any]]:
        """The words of the trick, and the landings, chance and fall that follow them."""
        body = piece.text
        said: dict[str, Any] = {}
        steps: list[tuple[re.Pattern[str], Callable[[re.Match[str]], dict[str, Any]]]] = [
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
            tail = _trimmed("", piece.text[len(body) :], piece.start + len(body))
            self.fault(tail.text, tail.start, "Give the landings or a chance, not both.")
        return body, said

    def _record(self, found: re.Match[str], piece: _Piece) -> dict[str, Any]:
        start = piece.start + found.start()
        if max(len(found[1]), len(found[2])) > _MOST_DIGITS:
            self.fault(found[0], start, "That is more landings than anybody counts.")
            return {}
        landed, tried = int(found[1]), int(found[2])
        if landed > tried:
            self.fault(found[0], start, f"Landed {landed} of {tried}: landed cannot be more "
                       "than tried.")  # fmt: skip
        elif not tried:
            self.fault(found[0], start, "Landed 0 of 0: write landed and tried, such as 4/5, "
                       "or leave it out.")  # fmt: skip
        return {"landed": landed, "tried": tried}

    def _chance(self, found: re.Match[str], piece: _Piece) -> dict[str, Any]:
        digits = found[1].replace("−", "-")
        if not 0 <= float(digits) <= 100:
            self.fault(found[0], piece.start + found.start(),
                       "A chance lies between 0 % and 100 %.")  # fmt: skip
        return {"chance": abs(float(f"{digits}e-2"))}


_TAIL_ENDS = frozenset("xX%0123456789)")
_PASS_ENDS = re.compile(r"\|")
_PLACE_ENDS = re.compile(r"\+\s*|[,;\r\n]")
_LONGEST_TAIL = 1000  # the longest exact percentage has about 400 digits
_MOST_DIGITS = 9


def _split(text: str, ends: re.Pattern[str], start: int = 0) -> Iterator[_Piece]:
    """The stretches between separators, blanks around them cut off."""
    opener, begin = "", 0
    for found in ends.finditer(text):
        yield _trimmed(opener, text[begin : found.start()], start + begin)
        opener, begin = found.group()[0], found.end()
    yield _trimmed(opener, text[begin:], start + begin)


def _trimmed(opener: str, text: str, start: int) -> _Piece:
    return _Piece(opener, text.strip(), start + len(text) - len(text.lstrip()))


def _refusal(text: str, message: str) -> NotationError:
    return NotationError(text, (Problem("", 0, message),))


def _refuse_oversize(text: str) -> None:
    if len(text) > LONGEST_TEXT:
        raise _refusal(text, f"A run may have at most {LONGEST_TEXT:,} characters; this one "
                       f"has {len(text):,}.")  # fmt: skip
    if text.count("|") >= MOST_PASSES:
        raise _refusal(text, f"A run may have at most {MOST_PASSES} passes.")
