"""The head of papers: which paper it is, whose, and what to remember."""

from collections.abc import Sequence
from dataclasses import dataclass

from events.rules.language import gettext as _
from events.rules.language import pgettext
from runsheets.papers.codes import spaced
from runsheets.papers.heading import SheetHeading
from runsheets.pdf.fonts import BOLD, HEAD, REGULAR, Faces
from runsheets.pdf.page import (
    BLACK,
    FINE,
    GREY,
    LEADING,
    MEDIUM,
    PALE,
    WHITE,
    Pen,
    SetText,
    fit,
)

TAG, TAG_PAD, TAG_CAP = 15.0, 6.0, 0.70
EVENT_LARGEST, EVENT_SMALLEST = 12.0, 9.0
PLACE_LARGEST, PLACE_SMALLEST = 30.0, 16.0
CAP = 0.70
TITLE_RULE = 4.0
JUDGE_WIDTH, JUDGE_GAP = 150.0, 5.0
JUDGE_LARGEST, JUDGE_SMALLEST = 12.0, 7.0
GUTTER = 16.0
LABEL, VALUE, VALUE_SMALLEST = 7.0, 10.0, 8.0
LABEL_DEPTH = 12.0
STAMP, STAMP_PAD = 12.0, 5.0

REMINDER, REMINDER_LABEL_WIDTH = 9.5, 96.0
REMINDER_MOST_LINES = 40
REMINDER_PAD = 7.0
REMINDER_GAP = 2.5

RUNNING, RUNNING_SMALLEST, RUNNING_SENTENCE = 13.0, 9.0, 8.5


@dataclass(frozen=True)
class Stamp:
    """What the paper replaces, in a frame; nothing where it replaces nothing."""

    text: SetText

    @property
    def height(self) -> float:
        """Height with the space above; 0 where there is none."""
        return self.text.height + 2 * STAMP_PAD + 5 if self.text.lines else 0

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw the frame with its upper left corner at (x, y)."""
        if self.text.lines:
            width, height = self.text.width + 18, self.text.height + 2 * STAMP_PAD
            pen.box(x, y + 5, width, height, MEDIUM)
            pen.say(x + 9, y + 5 + STAMP_PAD + self.text.size * 0.94, self.text)


def _stamp(faces: Faces, heading: SheetHeading, width: float, size: float) -> Stamp:
    return Stamp(fit(faces, heading.replaces, BOLD, width - 18, size, size - 2))


@dataclass(frozen=True)
class Title:
    """Which paper it is and of which event; the round in large letters; its facts below."""

    tag: SetText
    event: SetText
    place: SetText
    facts: tuple[tuple[SetText, SetText], ...]
    columns: tuple[float, ...]
    stamp: Stamp
    with_judge: bool

    @property
    def _top(self) -> float:
        return max(self.tag.size * LEADING + TAG_PAD, self.event.height) + 10

    @property
    def _rule_depth(self) -> float:
        more = (len(self.place.lines) - 1) * self.place.size * LEADING
        return self._top + self.place.size * CAP + max(more, 0) + 10

    @property
    def judge_depth(self) -> float:
        """From the top to the line for the judge's name."""
        return self._rule_depth - 10

    @property
    def _facts_depth(self) -> float:
        return self._rule_depth + 20 + max(value.height for _, value in self.facts)

    @property
    def height(self) -> float:
        """Height down to below the facts and the stamp."""
        return self._facts_depth + self.stamp.height

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it across the page."""
        pen.box(x, y, self.tag.width + 2 * TAG_PAD, self.tag.size + TAG_PAD, fill=BLACK)
        pen.say(x + TAG_PAD, y + TAG_PAD / 2 + self.tag.size * 0.86, self.tag, ink=WHITE)
        pen.say(pen.frame.right, y + self.event.size, self.event, "right")
        pen.say(x, y + self._top + self.place.size * CAP, self.place)
        if self.with_judge:
            draw_judge(pen, y + self.judge_depth)
        rule = y + self._rule_depth
        pen.rule(x, rule, pen.frame.right, rule, TITLE_RULE)
        for (label, value), left in zip(self.facts, self.columns, strict=True):
            pen.say(x + left, rule + LABEL_DEPTH, label, ink=GREY)
            pen.say(x + left, rule + LABEL_DEPTH + 12, value)
        self.stamp.draw(pen, x, y + self._facts_depth)


def _judge_label(faces: Faces) -> SetText:
    return fit(faces, _("judge"), REGULAR, JUDGE_WIDTH, LABEL)


def draw_judge(pen: Pen, y: float) -> None:
    """Leave a line at the right for the judge's name, with its baseline at y."""
    left = pen.frame.right - JUDGE_WIDTH
    label = _judge_label(pen.faces)
    pen.say(left, y, label, ink=GREY)
    pen.rule(left + label.width + JUDGE_GAP, y + 2, pen.frame.right, y + 2, FINE)


def draw_judge_name(pen: Pen, y: float, name: str) -> None:
    """Write a judge's name on the line that was left for it; a long one also above it."""
    room = JUDGE_WIDTH - _judge_label(pen.faces).width - 2 * JUDGE_GAP
    text = fit(pen.faces, name, BOLD, room, JUDGE_LARGEST, JUDGE_SMALLEST, 2)
    above = (len(text.lines) - 1) * text.size * LEADING
    pen.say(pen.frame.right - room, y - above, text)


def measure_title(
    faces: Faces, heading: SheetHeading, width: float, *, with_judge: bool = False
) -> Title:
    """Set the title within a width; `with_judge` leaves a line for a name."""
    no_edition = pgettext("edition", "none")
    edition = str(heading.edition_no) if heading.edition_no else no_edition
    starts = [(_("planned start"), heading.starts, 0.2)] if heading.starts else []
    facts = (
        (_("venue"), heading.venue or _("not stated"), 0.19 if starts else 0.34),
        (_("edition of the rules"), edition, 0.15 if starts else 0.17),
        *starts,
        (_("printed"), heading.printed, 0.31),
        (_("code"), spaced(heading.code) or pgettext("code", "none"), 0.15 if starts else 0.18),
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
    tag = fit(faces, heading.title, HEAD, width / 2, TAG, TAG - 4, 1)
    room = width - (JUDGE_WIDTH + GUTTER if with_judge else 0)
    return Title(
        tag,
        fit(faces, heading.event, BOLD, width - tag.width - 2 * TAG_PAD - GUTTER,
            EVENT_LARGEST, EVENT_SMALLEST),
        fit(faces, heading.place, HEAD, room, PLACE_LARGEST, PLACE_SMALLEST),
        tuple(measured),
        tuple(columns),
        _stamp(faces, heading, width, STAMP),
        with_judge,
    )  # fmt: skip


@dataclass(frozen=True)
class Reminders:
    """What to remember, on a pale ground."""

    rows: tuple[tuple[SetText, SetText], ...]
    width: float
    gap = 9.0
    lead = None

    @property
    def height(self) -> float:
        """Height of the ground."""
        rows = sum(max(label.height, text.height) for label, text in self.rows)
        return rows + REMINDER_GAP * (len(self.rows) - 1) + 2 * REMINDER_PAD

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw them across the page."""
        pen.box(x, y, self.width, self.height, fill=PALE)
        pen.box(x, y, 3, self.height, fill=BLACK)
        y += REMINDER_PAD
        for label, text in self.rows:
            pen.say(x + 12, y + label.size * 0.96, label)
            pen.say(x + 12 + REMINDER_LABEL_WIDTH, y + text.size * 0.96, text)
            y += max(label.height, text.height) + REMINDER_GAP


def measure_reminders(
    faces: Faces,
    reminders: Sequence[tuple[str, str]],
    width: float,
    most: float,
    size: float = REMINDER,
) -> list[Reminders]:
    """Set the reminders within a width, in portions of at most `most` points."""
    room = width - REMINDER_LABEL_WIDTH - 22
    portions: list[Reminders] = []
    for label, sentence in reminders:
        row = (
            fit(faces, label, BOLD, REMINDER_LABEL_WIDTH - 8, size, REMINDER - 1.5),
            fit(faces, sentence, REGULAR, room, size, 0, REMINDER_MOST_LINES),
        )
        longer = Reminders((*portions[-1].rows, row), width) if portions else None
        if longer and longer.height <= most:
            portions[-1] = longer
        else:
            portions.append(Reminders((row,), width))
    return portions


@dataclass(frozen=True)
class RunningHead:
    """The head of the second page and on: paper, round, edition, and one sentence."""

    named: SetText
    edition: SetText
    sentence: SetText
    stamp: Stamp
    with_judge: bool

    @property
    def judge_depth(self) -> float:
        """From the top to the line for the judge's name."""
        return self.named.size * 0.8

    @property
    def height(self) -> float:
        """Height with the space below."""
        return self.named.height + self.sentence.height + self.stamp.height + 12

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it across the page."""
        last = pen.say(x, y + self.named.size * 0.8, self.named)
        edge = pen.frame.right
        if self.with_judge:
            draw_judge(pen, y + self.judge_depth)
            edge -= JUDGE_WIDTH + GUTTER
        pen.say(edge, y + self.judge_depth, self.edition, "right")
        last = pen.say(x, last + self.sentence.size * LEADING + 3, self.sentence)
        self.stamp.draw(pen, x, last + 3)


def measure_running_head(
    faces: Faces,
    heading: SheetHeading,
    sentence: str,
    width: float,
    *,
    with_judge: bool = False,
) -> RunningHead:
    """Set the running head within a width."""
    said = _("Edition {number}").format(number=heading.edition_no) if heading.edition_no else ""
    edition = fit(faces, said, BOLD, 80, RUNNING_SENTENCE)
    judge = JUDGE_WIDTH + GUTTER if with_judge else 0
    room = width - judge - GUTTER - edition.width
    named = "  ·  ".join(t for t in (heading.title, heading.place, heading.event) if t)
    return RunningHead(
        fit(faces, named, HEAD, room, RUNNING, RUNNING_SMALLEST, 4),
        edition,
        fit(faces, sentence, REGULAR, width, RUNNING_SENTENCE, 0, 6),
        _stamp(faces, heading, width, STAMP - 2),
        with_judge,
    )
