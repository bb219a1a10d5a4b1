"""The head of run sheets: whose they are, the course to scale, and what to remember."""

from collections.abc import Sequence
from dataclasses import dataclass

from runsheets.pdf.fonts import BOLD, HEAD, REGULAR, Faces
from runsheets.pdf.page import (
    BLACK,
    FINE,
    GREY,
    HAIR,
    LEADING,
    PALE,
    Pen,
    SetText,
    fit,
)
from runsheets.sheets import SheetBook, SheetHeading

EVENT_LARGEST, EVENT_SMALLEST = 36.0, 20.0
ROUND_LARGEST, ROUND_SMALLEST = 20.0, 13.0
CAP = 0.70
TITLE_RULE = 4.0
JUDGE_WIDTH = 120.0
GUTTER = 16.0
LABEL, VALUE, VALUE_SMALLEST = 7.0, 10.0, 8.0
LABEL_DEPTH = 12.0

REMINDER, REMINDER_LABEL_WIDTH = 9.5, 84.0
REMINDER_MOST_LINES = 40
REMINDER_PAD = 7.0
REMINDER_GAP = 2.5

RUNNING, RUNNING_SMALLEST, RUNNING_FALLS = 13.0, 9.0, 8.5


@dataclass(frozen=True)
class Title:
    """Event, division and round in large letters; venue, edition and time below the rule."""

    event: SetText
    round: SetText
    facts: tuple[tuple[SetText, SetText], ...]
    columns: tuple[float, ...]

    @property
    def _rule_depth(self) -> float:
        return (
            self.event.size * CAP
            + (len(self.event.lines) - 1) * self.event.size * LEADING
            + 11
            + self.round.size * CAP
            + (len(self.round.lines) - 1) * self.round.size * LEADING
            + 10
        )

    @property
    def height(self) -> float:
        """Height down to below the facts."""
        return self._rule_depth + 20 + max(value.height for _, value in self.facts)

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it across the page."""
        last = pen.say(x, y + self.event.size * CAP, self.event)
        pen.say(x, last + 11 + self.round.size * CAP, self.round)
        draw_judge(pen, y + self._rule_depth - 10)
        rule = y + self._rule_depth
        pen.rule(x, rule, pen.frame.right, rule, TITLE_RULE)
        for (label, value), left in zip(self.facts, self.columns, strict=True):
            pen.say(x + left, rule + LABEL_DEPTH, label, ink=GREY)
            pen.say(x + left, rule + LABEL_DEPTH + 12, value)


def draw_judge(pen: Pen, y: float) -> None:
    """Leave a line at the right for the judge's name, with its baseline at y."""
    left = pen.frame.right - JUDGE_WIDTH
    pen.say(left, y, fit(pen.faces, "judge", REGULAR, JUDGE_WIDTH, LABEL), ink=GREY)
    pen.rule(left + 22, y + 1, pen.frame.right, y + 1, FINE)


def measure_title(faces: Faces, heading: SheetHeading, width: float) -> Title:
    """Set the title within a width."""
    facts = (
        ("venue", heading.venue or "not stated", 0.34),
        ("edition of the rules", str(heading.edition_no), 0.17),
        ("printed", heading.printed, 0.33),
        ("code", heading.code or "none", 0.16),
    )
    left, columns, measured = 0.0, [], []
    for label, value, share in facts:
        room = share * width - 8
        columns.append(left)
        measured.append(
            (
                fit(faces, label, REGULAR, room, LABEL),
                fit(faces, value, BOLD, room, VALUE, VALUE_SMALLEST),
            )
        )
        left += share * width
    named = f"{heading.division}  ·  {heading.round}" if heading.round else heading.division
    return Title(
        fit(faces, heading.event, HEAD, width, EVENT_LARGEST, EVENT_SMALLEST),
        fit(
            faces,
            named,
            HEAD,
            width - JUDGE_WIDTH - GUTTER,
            ROUND_LARGEST,
            ROUND_SMALLEST,
        ),
        tuple(measured),
        tuple(columns),
    )


@dataclass(frozen=True)
class Reminders:
    """What the table needs to remember, on a pale ground."""

    rows: tuple[tuple[SetText, SetText], ...]

    @property
    def height(self) -> float:
        """Height of the ground."""
        rows = sum(max(label.height, text.height) for label, text in self.rows)
        return rows + REMINDER_GAP * (len(self.rows) - 1) + 2 * REMINDER_PAD

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw them across the page."""
        pen.box(x, y, pen.frame.measure, self.height, fill=PALE)
        pen.box(x, y, 3, self.height, fill=BLACK)
        y += REMINDER_PAD
        for label, text in self.rows:
            pen.say(x + 12, y + REMINDER * 0.96, label)
            pen.say(x + 12 + REMINDER_LABEL_WIDTH, y + REMINDER * 0.96, text)
            y += max(label.height, text.height) + REMINDER_GAP


def measure_reminders(
    faces: Faces, reminders: Sequence[tuple[str, str]], width: float, most: float
) -> list[Reminders]:
    """Set the reminders within a width, in portions of at most `most` points."""
    room = width - REMINDER_LABEL_WIDTH - 22
    portions: list[Reminders] = []
    for label, sentence in reminders:
        row = (
            fit(faces, label, BOLD, REMINDER_LABEL_WIDTH - 8, REMINDER, REMINDER - 1.5),
            fit(faces, sentence, REGULAR, room, REMINDER, 0, REMINDER_MOST_LINES),
        )
        longer = Reminders((*portions[-1].rows, row)) if portions else None
        if longer and longer.height <= most:
            portions[-1] = longer
        else:
            portions.append(Reminders((row,)))
    return portions


@dataclass(frozen=True)
class RunningHead:
    """The head of the second page and on: division, edition, and what a fall does."""

    named: SetText
    edition: SetText
    falls: SetText

    @property
    def height(self) -> float:
        """Height with the space below."""
        return self.named.height + self.falls.height + 12

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it across the page."""
        last = pen.say(x, y + self.named.size * 0.8, self.named)
        draw_judge(pen, y + self.named.size * 0.8)
        edge = pen.frame.right - JUDGE_WIDTH - GUTTER
        pen.say(edge, y + self.named.size * 0.8, self.edition, "right")
        pen.say(x, last + self.falls.size * LEADING + 3, self.falls, ink=BLACK)


def measure_running_head(faces: Faces, book: SheetBook, width: float) -> RunningHead:
    """Set the running head within a width."""
    heading = book.heading
    edition = fit(faces, f"Edition {heading.edition_no}", BOLD, 80, RUNNING_FALLS)
    room = width - JUDGE_WIDTH - 2 * GUTTER - edition.width
    named = "  ·  ".join(t for t in (heading.division, heading.round, heading.event) if t)
    falls = f"Falls: {book.falls_reminder}" if book.falls_reminder else ""
    return RunningHead(
        fit(faces, named, HEAD, room, RUNNING, RUNNING_SMALLEST, 4),
        edition,
        fit(faces, falls, REGULAR, width, RUNNING_FALLS, 0, 6),
    )


@dataclass(frozen=True)
class Empty:
    """What is printed where there is nobody to print."""

    text: SetText
    hint: SetText

    @property
    def height(self) -> float:
        """Height of both sentences."""
        return 40 + self.text.height + self.hint.height

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw both sentences."""
        pen.rule(x, y, pen.frame.right, y, HAIR)
        last = pen.say(x, y + 34, self.text)
        pen.say(x, last + 20, self.hint, ink=GREY)


def measure_empty(faces: Faces, width: float) -> Empty:
    """Set the sentences for a division without riders."""
    return Empty(
        fit(faces, "There is nobody in this division yet.", BOLD, width, 16, 12),
        fit(faces, "Print the sheets again once riders are in it.", REGULAR, width, 11),
    )
