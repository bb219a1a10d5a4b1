"""Reads the passes and places of a run's text and gathers what is not understood."""

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any, NamedTuple

from events.rules.language import gettext as _
from events.rules.language import pgettext
from events.rules.notation_faults import Misread, NotationError, Problem, short, too_early
from events.rules.notation_match import (
    DOUBLE_UP,
    match,
    normalise,
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

_BEFORE = r"(?:^|(?<=\s)|(?=\())\(?\s*"
_RECORD = re.compile(_BEFORE + r"([0-9]+)\s*/\s*([0-9]+)\s*\)?$")
_CHANCE = re.compile(_BEFORE + r"([-−]?[0-9]*\.?[0-9]+)\s*%\s*\)?$")
_TOO_EARLY = re.compile(r"(?:^|\s)(\(?[0-9]+\s*/\s*[0-9]+\)?|\(?[0-9.]+\s*%\)?)\s+(\S+)")
_DOUBLE_UPS = (DOUBLE_UP, "double up", "du")
_EXAMPLE = "+ double-up tantrum"
_FALL = re.compile(r"(?:^|(?<=\s))[xX]$")
_BETWEEN = re.compile(r"(run[\s-]?in|turn)\s+x", re.IGNORECASE)


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
            self.where = _("Pass {pass_no}, trick {number}").format(
                pass_no=number, number=tried + 1
            )
            if place.opener != "+" and (between := _BETWEEN.fullmatch(place.text)):
                kind = "turn" if between[1].casefold() == "turn" else "run-in"
                falls[kind] += 1
                if kind == "run-in" and (tried or falls["turn"]):
                    message = _("“run-in x” stands before the first trick of a pass.")
                    self.fault(place.text, place.start, message)
                continue
            if falls["turn"]:
                message = _("“turn x” stands after the last trick of a pass.")
                self.fault(place.text, place.start, message)
            tried += 1
            if place.opener == "+":
                bonus_begun = True
                bonus += filter(None, [self._read_bonus(place)])
            elif bonus_begun:
                message = _(
                    "“{words}” stands after a bonus trick: put + before it, or move it forward."
                )
                self.fault(place.text, place.start, message.format(words=short(place.text)))
            else:
                tricks += filter(None, [self.read_place(place)])
        return Pass(tuple(tricks), tuple(bonus), falls["run-in"], falls["turn"])

    def _read_bonus(self, piece: _Piece) -> PlannedTrick | None:
        before, colon, after = piece.text.partition(":")
        name = " ".join(before.split())
        if colon and not name:
            message = _("Write the name of the bonus trick before the colon.")
            self.fault(":", piece.start, message)
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
            message = _(
                "The trick of the double-up is missing: write it after, as in “{example}”."
            )
            self.fault(piece.text, piece.start, message.format(example=_EXAMPLE))
            return None
        planned = self.read_place(piece)
        if planned is None:
            return None
        takeoff = planned.takeoff or stated_takeoff(planned.entry)
        if takeoff not in (None, Takeoff.DOUBLE_UP):
            message = _(
                "A trick on the double-up leaves from it: drop “{takeoff}”, or name another "
                "bonus before a colon."
            )
            self.fault(piece.text, piece.start, message.format(takeoff=takeoff))
            return None
        return normalise(replace(planned, bonus=DOUBLE_UP), self.vocabulary)

    def read_place(self, piece: _Piece) -> PlannedTrick | None:
        """One trick with what follows it; None when a problem was noted."""
        self.places += 1
        if self.places > MOST_TRICKS:
            message = _("A run may have at most {number} tricks.")
            raise _refusal(self.text, message.format(number=MOST_TRICKS))
        body, said = self._read_tail(piece)
        if ":" in body and piece.opener != "+":
            message = _("A colon only follows the name of a bonus trick, after +.")
            self.fault(body, piece.start, message)
            return None
        if not body:
            before = _("There is no trick before “{words}”.").format(words=short(piece.text))
            message = before if piece.text else _("There is no trick here.")
            self.fault(piece.text, piece.start, message)
            return None
        if early := _TOO_EARLY.search(body):
            message = too_early(early[1], early.start(1) > 0)
            self.fault(early[2], piece.start + early.start(2), message)
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
            (_FALL, lambda _found: {"fell": True}),
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
            self.fault(tail.text, tail.start, _("Give the landings or a chance, not both."))
        return body, said

    def _record(self, found: re.Match[str], piece: _Piece) -> dict[str, Any]:
        start = piece.start + found.start()
        if max(len(found[1]), len(found[2])) > _MOST_DIGITS:
            self.fault(found[0], start, _("That is more landings than anybody counts."))
            return {}
        landed, tried = int(found[1]), int(found[2])
        if landed > tried:
            message = _("Landed {landed} of {tried}: landed cannot be more than tried.")
            self.fault(found[0], start, message.format(landed=landed, tried=tried))
        elif not tried:
            message = _("Landed 0 of 0: write landed and tried, such as 4/5, or leave it out.")
            self.fault(found[0], start, message)
        return {"landed": landed, "tried": tried}

    def _chance(self, found: re.Match[str], piece: _Piece) -> dict[str, Any]:
        digits = found[1].replace("−", "-")
        if not 0 <= float(digits) <= 100:
            message = _("A chance lies between 0 % and 100 %.")
            self.fault(found[0], piece.start + found.start(), message)
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
        message = _("A run may have at most {most} characters; this one has {number}.")
        most, number = _grouped(LONGEST_TEXT), _grouped(len(text))
        raise _refusal(text, message.format(most=most, number=number))
    if text.count("|") >= MOST_PASSES:
        message = _("A run may have at most {number} passes.")
        raise _refusal(text, message.format(number=MOST_PASSES))


def _grouped(number: int) -> str:
    """A large number with a sign between its thousands."""
    return f"{number:,}".replace(",", pgettext("between thousands, as in 20,000", ","))
