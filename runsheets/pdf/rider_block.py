"""One rider on a run sheet: who it is, the declared passes, and room for the judges."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from events.rules.language import gettext as _
from runsheets.papers.paper import JudgedRun
from runsheets.pdf.fonts import BOLD, HEAD, REGULAR, Faces
from runsheets.pdf.page import (
    FINE,
    GREY,
    HAIR,
    HEAVY,
    LEADING,
    MEDIUM,
    Pen,
    SetText,
    fit,
)
from runsheets.pdf.pass_column import Density, PassColumn, measure_pass
from runsheets.sheets import RiderSheet

ABREAST = 2  # passes side by side
GUTTER = 20.0
ROW_GAP = 8.0

ORDER_SIZE = 50.0
ORDER_CAP = 0.70 * ORDER_SIZE
ORDER_COLUMN = 56.0  # holds two digits, so that names line up down a page
ORDER_GAP = 12.0
NAME_LARGEST, NAME_SMALLEST = 19.0, 14.0
NAME_CAP = 0.714
ABOUT = 10.0
HEAD_ABOVE, HEAD_BELOW = 8.0, 7.0
BIB_WIDTH = 66.0
BIB_LARGEST, BIB_SMALLEST = 26.0, 9.0
TINY = 7.5

MARK_WIDTH, MARK_HEIGHT, MARK_GAP = 66.0, 24.0, 6.0
MARK_LARGEST, MARK_SMALLEST = 8.0, 6.5
MARKS_BESIDE_NOTES = 4
NOTE_LINES, NOTE_PITCH = 2, 17.5
FALL_BOX, FALL_GAP, FALLS_RIGHT = 16.0, 5.0, 10.0
FOOT_ABOVE = 8.0


@dataclass(frozen=True)
class RiderBlock:
    """A measured rider, ready to draw; never parted over pages."""

    sheet: RiderSheet
    head: "Head"
    columns: tuple[PassColumn, ...]
    foot: "Foot"
    width: float
    gap = 11.0
    lead = None

    @cached_property
    def height(self) -> float:
        """Height from the heavy rule to below the last box."""
        rows = [max(c.height for c in row) for row in _rows(self.columns)]
        passes = sum(rows) + ROW_GAP * (len(rows) - 1) if rows else 0
        return self.head.height + passes + self.foot.height

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw the block with its upper left corner at (x, y)."""
        self.head.draw(pen, x, y, self.width)
        y += self.head.height
        for row in _rows(self.columns):
            for number, column in enumerate(row):
                column.draw(pen, x + number * (column.width + GUTTER), y)
            tall = max(column.height for column in row)
            if len(row) < ABREAST:
                self._draw_free(pen, x + row[-1].width + GUTTER, y, row[-1], tall)
            y += tall + ROW_GAP
        self.foot.draw(pen, x, y - ROW_GAP, self.width)

    def _draw_free(self, pen: Pen, x: float, y: float, beside: PassColumn, tall: float) -> None:
        """Rule the place beside an odd pass, in line with it, for whatever else is ridden."""
        end = x + beside.width
        line = y + beside.heading_height
        pen.say(x, line - 5, fit(pen.faces, _("also ridden"), REGULAR, end - x, TINY), ink=GREY)
        while line + beside.density.row <= y + tall + 1:
            line += beside.density.row
            pen.rule(x, line, end, line, HAIR, GREY)


@dataclass(frozen=True)
class Head:
    """Order number, name, what is known of the rider, and bib."""

    order: SetText
    name: SetText
    about: SetText
    note: SetText
    bib: SetText

    @property
    def name_left(self) -> float:
        """Where the name begins, from the left edge."""
        return max(ORDER_COLUMN, self.order.width + ORDER_GAP)

    @property
    def _bib_height(self) -> float:
        extra = (len(self.bib.lines) - 1) * self.bib.size * LEADING
        return ORDER_CAP + max(extra, 0)

    @property
    def height(self) -> float:
        """Height with the space above and below."""
        words = self._name_depth + self.about.height + self.note.height
        return HEAD_ABOVE + max(words, self._bib_height) + HEAD_BELOW

    @property
    def _name_depth(self) -> float:
        return self.name.height - self.name.size * (LEADING - NAME_CAP) + 6

    def draw(self, pen: Pen, x: float, y: float, width: float) -> None:
        """Draw it across the width, under a heavy rule."""
        pen.rule(x, y, x + width, y, HEAVY)
        top = y + HEAD_ABOVE
        pen.say(x, top + ORDER_CAP, self.order)
        left = x + self.name_left
        pen.say(left, top + self.name.size * NAME_CAP, self.name)
        foot = top + ORDER_CAP
        first = max(top + self._name_depth + self.about.size * 0.75, foot - self._rest)
        last = pen.say(left, first, self.about, ink=GREY)
        if self.note.lines:
            step = self.note.size * LEADING if self.about.lines else 0
            pen.say(left, last + step, self.note)
        self._draw_bib(pen, x + width - BIB_WIDTH, top)

    @property
    def _rest(self) -> float:
        """From the first baseline below the name to the last."""
        lines = len(self.about.lines) + len(self.note.lines)
        return max(lines - 1, 0) * self.about.size * LEADING

    def _draw_bib(self, pen: Pen, x: float, y: float) -> None:
        height = self._bib_height
        pen.box(x, y, BIB_WIDTH, height, MEDIUM)
        label = fit(pen.faces, _("bib"), REGULAR, BIB_WIDTH - 8, TINY, TINY - 1.5)
        pen.say(x + 4, y + TINY + 2, label, ink=GREY)
        extra = (len(self.bib.lines) - 1) * self.bib.size * LEADING
        first = y + (height - extra + self.bib.size * 0.7) / 2
        pen.say(x + BIB_WIDTH - 6, first, self.bib, "right")


@dataclass(frozen=True)
class Foot:
    """Boxes for falls, ruled lines for notes, and the boxes for marks."""

    marks: tuple[SetText, ...]
    falls: int
    width: float

    @property
    def _falls_width(self) -> float:
        return self.falls * (FALL_BOX + FALL_GAP) + FALLS_RIGHT if self.falls else 0

    @property
    def _beside(self) -> bool:
        return len(self.marks) <= MARKS_BESIDE_NOTES

    @property
    def _mark_rows(self) -> list[tuple[SetText, ...]]:
        most = int((self.width + MARK_GAP) // (MARK_WIDTH + MARK_GAP))
        rows = -(-len(self.marks) // most) or 1
        each = -(-len(self.marks) // rows) or 1
        return [self.marks[at : at + each] for at in range(0, len(self.marks), each)]

    @property
    def height(self) -> float:
        """Height with the space above."""
        notes = NOTE_LINES * NOTE_PITCH
        boxes = sum(_mark_height(row) + MARK_GAP for row in self._mark_rows) - MARK_GAP
        return FOOT_ABOVE + (max(notes, boxes) if self._beside else notes + 6 + boxes)

    def draw(self, pen: Pen, x: float, y: float, width: float) -> None:
        """Draw it across the width."""
        y += FOOT_ABOVE
        self._draw_falls(pen, x, y)
        left = x + self._falls_width
        taken = len(self.marks) * (MARK_WIDTH + MARK_GAP) if self._beside else 0
        end = x + width - (taken + MARK_GAP if taken else 0)
        pen.say(left, y + TINY, fit(pen.faces, _("notes"), REGULAR, width, TINY), ink=GREY)
        for number in range(1, NOTE_LINES + 1):
            line = y + number * NOTE_PITCH
            pen.rule(left, line, end, line, HAIR, GREY)
        y += 0 if self._beside else NOTE_LINES * NOTE_PITCH + 6
        for row in self._mark_rows:
            left = x + width - len(row) * (MARK_WIDTH + MARK_GAP) + MARK_GAP
            for label in row:
                self._draw_mark(pen, left, y + _mark_height(row), label)
                left += MARK_WIDTH + MARK_GAP
            y += _mark_height(row) + MARK_GAP

    def _draw_falls(self, pen: Pen, x: float, y: float) -> None:
        """One box for each fall up to the one that has the effect of the rules."""
        if not self.falls:
            return
        pen.say(x, y + TINY, fit(pen.faces, _("falls"), REGULAR, 60, TINY), ink=GREY)
        for number in range(self.falls):
            left = x + number * (FALL_BOX + FALL_GAP)
            pen.box(left, y + TINY + 6, FALL_BOX, FALL_BOX, FINE, fill=1)

    def _draw_mark(self, pen: Pen, x: float, bottom: float, label: SetText) -> None:
        pen.box(x, bottom - MARK_HEIGHT, MARK_WIDTH, MARK_HEIGHT, MEDIUM)
        first = bottom - MARK_HEIGHT - 3 - (len(label.lines) - 1) * label.size * LEADING
        pen.say(x, first, label)


def _mark_height(row: Sequence[SetText]) -> float:
    return max((label.height for label in row), default=0) + MARK_HEIGHT + 3


def _rows(columns: Sequence[PassColumn]) -> list[Sequence[PassColumn]]:
    return [columns[at : at + ABREAST] for at in range(0, len(columns), ABREAST)]


def measure_rider(faces: Faces, run: JudgedRun, width: float, density: Density) -> RiderBlock:
    """Set a rider within a width; the block may be too tall for a page."""
    sheet = run.sheet
    column = (width - (ABREAST - 1) * GUTTER) / ABREAST
    return RiderBlock(
        sheet,
        _head(faces, sheet, width),
        tuple(measure_pass(faces, rows, column, density) for rows in sheet.passes),
        Foot(_mark_texts(faces, run.marks), run.falls, width),
        width,
    )


def _mark_texts(faces: Faces, marks: Sequence[str]) -> tuple[SetText, ...]:
    """The labels of the mark boxes, all in the size that the longest asks for."""
    sizes = [
        fit(faces, mark, BOLD, MARK_WIDTH, MARK_LARGEST, MARK_SMALLEST).size for mark in marks
    ]
    return tuple(fit(faces, mark, BOLD, MARK_WIDTH, min(sizes)) for mark in marks)


def _head(faces: Faces, sheet: RiderSheet, width: float) -> Head:
    order = fit(faces, str(sheet.order or ""), HEAD, width / 4, ORDER_SIZE)
    room = width - max(ORDER_COLUMN, order.width + ORDER_GAP) - BIB_WIDTH - GUTTER
    return Head(
        order,
        fit(faces, sheet.name, BOLD, room, NAME_LARGEST, NAME_SMALLEST),
        fit(faces, joined(sheet.stance, sheet.club), REGULAR, room, ABOUT, ABOUT - 1),
        fit(faces, sheet.note, BOLD, room, ABOUT),
        fit(faces, sheet.bib, HEAD, BIB_WIDTH - 22, BIB_LARGEST, BIB_SMALLEST),
    )


def joined(*texts: str) -> str:
    """Those of the texts that are not empty, with a dot between them."""
    return "  ·  ".join(text for text in texts if text)
