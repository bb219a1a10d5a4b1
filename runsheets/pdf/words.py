"""Sentences on paper: under a heading, or in a heavy frame where they keep people safe."""

from dataclasses import dataclass

from events.rules.language import gettext as _
from events.rules.language import mark
from runsheets.papers.paper import Caution, Words
from runsheets.pdf.fonts import BOLD, REGULAR, Faces
from runsheets.pdf.page import BLACK, HEAVY, LEADING, Pen, SetText, fit

QUESTION, QUESTION_SMALLEST, SENTENCE = 10.0, 9.0, 9.0
MOST_LINES = 60
BULLET = 9.0
CAUTION_PAD, CAUTION_INDENT = 8.0, 22.0
CAUTION_SIZE = 9.5
TAKE_CARE = mark("Take care")


@dataclass(frozen=True)
class Question:
    """A heading; alone where nothing follows."""

    text: SetText
    gap = 9.0
    lead = None

    @property
    def height(self) -> float:
        """Height with the space below."""
        return self.text.height + 1

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it with its upper left corner at (x, y)."""
        pen.say(x, y + self.text.size * 0.95, self.text)


@dataclass(frozen=True)
class Point:
    """One sentence, with a dash before it where it is one of several."""

    text: SetText
    lead: Question
    dashed: bool
    gap = 1.0

    @property
    def height(self) -> float:
        """Height of its lines."""
        return self.text.height

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it with its upper left corner at (x, y)."""
        first = y + self.text.size * 0.95
        if self.dashed:
            pen.say(x, first, fit(pen.faces, "–", REGULAR, BULLET, self.text.size))
        pen.say(x + (BULLET if self.dashed else 0), first, self.text)


def measure_words(faces: Faces, words: Words, width: float) -> list[Question | Point]:
    """Set a heading and its sentences within a width."""
    heading = fit(faces, words.heading, BOLD, width, QUESTION, QUESTION_SMALLEST, MOST_LINES)
    question = Question(heading)
    dashed = len(words.sentences) > 1
    room = width - (BULLET if dashed else 0)
    points = [
        Point(fit(faces, said, REGULAR, room, SENTENCE, 0, MOST_LINES), question, dashed)
        for said in words.sentences
    ]
    return [*points] or [question]


@dataclass(frozen=True)
class Frame:
    """Cautions in a heavy frame, with a sign that needs no colour."""

    heading: SetText
    sentences: tuple[SetText, ...]
    width: float
    gap = 12.0
    lead = None

    @property
    def height(self) -> float:
        """Height of the frame."""
        said = sum(text.height for text in self.sentences) + 2 * len(self.sentences)
        return self.heading.height + said + 2 * CAUTION_PAD

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it with its upper left corner at (x, y)."""
        pen.box(x, y, self.width, self.height, HEAVY)
        pen.box(x, y, CAUTION_INDENT - 8, self.height, fill=BLACK)
        left = x + CAUTION_INDENT
        y += CAUTION_PAD
        pen.say(left, y + self.heading.size * 0.95, self.heading)
        y += self.heading.height
        for text in self.sentences:
            y += 2
            last = pen.say(left, y + text.size * 0.95, text)
            y = last + text.size * (LEADING - 0.95)


def measure_caution(faces: Faces, caution: Caution, width: float) -> Frame:
    """Set cautions within a width."""
    room = width - CAUTION_INDENT - CAUTION_PAD
    return Frame(
        fit(faces, _(TAKE_CARE), BOLD, room, CAUTION_SIZE + 2),
        tuple(fit(faces, said, REGULAR, room, CAUTION_SIZE) for said in caution.sentences),
        width,
    )
