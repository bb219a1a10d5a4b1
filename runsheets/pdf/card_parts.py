"""The parts of a dock card: head, headings, lines of tricks, reminders."""

from dataclasses import dataclass

from events.rules.language import gettext as _
from events.rules.language import mark
from runsheets.card import CardHead, CardLine
from runsheets.pdf.fonts import BOLD, HEAD, REGULAR, Faces
from runsheets.pdf.page import (
    BLACK,
    FINE,
    GREY,
    HAIR,
    HEAVY,
    MEDIUM,
    MM,
    PALE,
    Pen,
    SetText,
    fit,
)

CARD_WIDTH, CARD_HEIGHT = 105 * MM, 148 * MM
PAD = 7 * MM
FOOT = PAD + 4.0
MEASURE = CARD_WIDTH - 2 * PAD

# Type sizes of a trick, read at arm's length with wet hands, and of a reminder.
SIZES = ((15.0, 8.5), (13.5, 8.0), (12.0, 8.0), (12.0, 7.5), (12.0, 7.0))
SMALL_SIZE = (10.0, 7.0)
NAME_LARGEST, NAME_SMALLEST = 18.0, 12.0
CONTEST, STATUS = 8.0, 9.0
HEADING, HEADING_ABOVE, START = 15.0, 5.0, 9.0
LABEL_COLUMN, LABEL_GAP = 17.0, 6.0
BONUS_LABEL, BONUS_INDENT = 8.5, 4.0
DOES_NOT_FIT = mark("does not fit")
MOVES = 8.5
BACK_UP = 9.0
ROW_PAD = 0.3  # of the type size, above and below a trick together
REMINDER_COLUMN = 6.0  # of the type size
REMINDER_MOST_LINES = 20
CAP = 0.72
MOST_LINES = 40  # of a note; it is never cut in practice


@dataclass(frozen=True)
class HeadBlock:
    """Who, where, and which run it is, over a heavy rule."""

    name: SetText
    bib: SetText
    contest: SetText
    status: SetText

    @classmethod
    def of(cls, faces: Faces, head: CardHead) -> "HeadBlock":
        """Set a head within a card."""
        bib = fit(faces, head.bib, HEAD, MEASURE / 4, NAME_LARGEST)
        room = MEASURE - (bib.width + 10 if head.bib else 0)
        return cls(
            fit(faces, head.rider, HEAD, room, NAME_LARGEST, NAME_SMALLEST, 2),
            bib,
            fit(faces, head.contest, REGULAR, MEASURE, CONTEST, CONTEST - 1, 3),
            fit(faces, head.which, BOLD, MEASURE, STATUS, STATUS - 1, 2),
        )

    @property
    def height(self) -> float:
        """Down to below the rule."""
        return self.name.height + self.contest.height + self.status.height + 8

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it with its upper left corner at (x, y)."""
        pen.say(x, y + self.name.size * CAP, self.name)
        pen.say(x + MEASURE, y + self.bib.size * CAP, self.bib, "right")
        y += self.name.height
        pen.say(x, y + self.contest.size * CAP, self.contest, ink=GREY)
        y += self.contest.height
        pen.say(x, y + self.status.size * CAP + 1, self.status)
        y += self.status.height + 3
        pen.rule(x, y, x + MEASURE, y, HEAVY)


@dataclass(frozen=True)
class CardBlock:
    """Something measured with `height`, and the space `above` it inside a card."""

    height: float
    above: float

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it with its upper left corner at (x, y)."""
        raise NotImplementedError


@dataclass(frozen=True)
class Heading(CardBlock):
    """The number of a pass, and how it starts."""

    title: SetText
    start: SetText

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it over a rule."""
        line = y + self.height
        pen.say(x, line - 4, self.title)
        pen.say(x + MEASURE, line - 4, self.start, "right")
        pen.rule(x, line, x + MEASURE, line, MEDIUM)


def heading_block(faces: Faces, title: str, start: str) -> Heading:
    """The heading of a pass; an empty `start` is left out."""
    first = fit(faces, title, HEAD, MEASURE, HEADING)
    said = _("start: {state}").format(state=start) if start else ""
    return Heading(
        HEADING + 2,
        HEADING_ABOVE,
        first,
        fit(faces, said, REGULAR, MEASURE - first.width - 10, START, 7),
    )


@dataclass(frozen=True)
class Line(CardBlock):
    """One trick with its number or name, the moves before it, and what to know of it."""

    is_bonus: bool
    fits: bool
    label: SetText
    moves: SetText
    trick: SetText
    aside: SetText
    back_up: SetText

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it over a thin rule; a bonus trick on a pale ground."""
        first = y + self.trick.size * (ROW_PAD / 2 + 0.96)
        if self.is_bonus:
            pen.box(x, y, MEASURE, self.height - 1, fill=PALE)
            left = x + BONUS_INDENT
            pen.say(left, first, self.label)
        else:
            left = x + LABEL_COLUMN
            pen.say(left - LABEL_GAP, first, self.label, "right")
            bottom = y + self.height
            pen.rule(x, bottom, x + MEASURE, bottom, HAIR, GREY)
        left += _taken(self.label) if self.is_bonus else 0
        pen.say(left, first, self.moves, ink=GREY)
        ink = BLACK if self.fits else GREY
        last = pen.say(left + _taken(self.moves), first, self.trick, ink=ink)
        pen.say(x + MEASURE - 2, first, self.aside, "right", ink=GREY)
        pen.say(left, last + self.back_up.size * 1.3, self.back_up, ink=GREY)


def _taken(text: SetText) -> float:
    """The width that words before a trick take, with the gap after them."""
    return text.width + 7 if text.lines else 0.0


def line_block(faces: Faces, line: CardLine, size: float) -> Line:
    """Set a trick in a size; a long one is wrapped, never cut."""
    room = MEASURE - (BONUS_INDENT if line.is_bonus else LABEL_COLUMN) - 2
    if line.is_bonus:
        label = fit(faces, line.label, BOLD, room * 0.4, BONUS_LABEL)
        room -= _taken(label)
    else:
        label = fit(faces, line.label, HEAD, LABEL_COLUMN - 2, size)
    moves = fit(faces, line.moves, REGULAR, room * 0.4, MOVES)
    aside = fit(faces, "" if line.fits else _(DOES_NOT_FIT), REGULAR, room * 0.4, MOVES)
    trick = fit(faces, line.text, BOLD, room - _taken(moves) - _taken(aside), size)
    said = _("or {trick}").format(trick=line.back_up) if line.back_up else ""
    back_up = fit(faces, said, REGULAR, room, BACK_UP)
    beside = _taken(moves) + trick.width + 7 + back_up.width <= room
    if line.fits and beside and len(trick.lines) == len(back_up.lines) == 1:
        aside, back_up = back_up, SetText((), REGULAR, BACK_UP)
    height = max(trick.height + back_up.height, label.height, moves.height, aside.height)
    return Line(
        height + size * ROW_PAD,
        4.0 if line.is_bonus else 0.0,
        line.is_bonus,
        line.fits,
        label,
        moves,
        trick,
        aside,
        back_up,
    )


@dataclass(frozen=True)
class Said(CardBlock):
    """A sentence, with a label before it or a bar beside it."""

    label: SetText
    text: SetText

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw the label in its column and the sentence beside it."""
        first = y + self.text.size
        pen.say(x, first, self.label)
        left = x + REMINDER_COLUMN * self.text.size
        if not self.label.lines:
            pen.rule(x + 1, y + 2, x + 1, y + self.height, FINE * 3)
            left = x + 8
        pen.say(left, first, self.text)


def reminder_block(faces: Faces, label: str, text: str, size: float) -> Said:
    """A reminder: its label, and its sentence beside it."""
    column = REMINDER_COLUMN * size
    said = fit(faces, label, BOLD, column - 4, size)
    words = fit(faces, text, REGULAR, MEASURE - column, size, most_lines=REMINDER_MOST_LINES)
    return Said(max(said.height, words.height) + 1, 0.0, said, words)


def note_block(faces: Faces, text: str) -> Said:
    """A sentence to heed, under the head."""
    words = fit(faces, text, BOLD, MEASURE - 8, STATUS, most_lines=MOST_LINES)
    return Said(words.height + 3, 4.0, SetText((), BOLD, STATUS), words)
