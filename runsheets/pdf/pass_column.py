"""One pass on a run sheet: numbered lines with boxes to tick, bonus lines set apart."""

from dataclasses import dataclass
from functools import cached_property

from events.rules.language import gettext as _
from events.rules.language import mark
from runsheets.pdf.fonts import BOLD, HEAD, REGULAR, Faces
from runsheets.pdf.page import (
    FINE,
    GREY,
    HAIR,
    LEADING,
    MEDIUM,
    PALE,
    Pen,
    SetText,
    fit,
)
from runsheets.sheets import Line, PassRows

HEADING = 15.0
HEADING_HEIGHT = 20.0
COLUMN_HEAD = 8.0
TICK_COLUMN = 33.0
TICKS = (mark("landed"), mark("fell"))
NUMBER_COLUMN = 17.0
NUMBER_GAP = 6.0
BONUS_ABOVE = 4.0
BONUS_INDENT, BONUS_GAP = 5.0, 7.0
BONUS_LABEL = 8.5
BASELINE = 0.98  # from the top of a line's box, of the size
ROW_PADDING = 4.0


@dataclass(frozen=True)
class Density:
    """How tightly lines are set: type size, least height of a row, side of a tick box."""

    size: float
    smallest: float
    row: float
    tick: float


# The first is read at arm's length. The others are for runs too long for a page in it.
DENSITIES = (Density(12, 11, 18, 12), Density(10, 9, 15, 10), Density(8.5, 8, 12, 8.5))


@dataclass(frozen=True)
class Row:
    """A measured line."""

    label: SetText
    text: SetText
    height: float
    is_bonus: bool


@dataclass(frozen=True)
class PassColumn:
    """A measured pass, ready to draw."""

    heading: SetText
    rows: tuple[Row, ...]
    density: Density
    width: float

    @cached_property
    def height(self) -> float:
        """Height from above the heading to below the last line."""
        gap = BONUS_ABOVE if any(row.is_bonus for row in self.rows) else 0
        return self.heading_height + sum(row.height for row in self.rows) + gap

    @property
    def heading_height(self) -> float:
        """Height of the heading with its rule."""
        return max(HEADING_HEIGHT, self.heading.height + 3)

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw the column with its upper left corner at (x, y)."""
        right = x + self.width
        y += self.heading_height
        first = y - 5 - (len(self.heading.lines) - 1) * self.heading.size * LEADING
        pen.say(x, first, self.heading)
        for number, tick in enumerate(TICKS):
            head = fit(pen.faces, _(tick), REGULAR, TICK_COLUMN - 1, COLUMN_HEAD, 6)
            pen.say(self._tick_centre(x, number), y - 5, head, "centre", GREY)
        pen.rule(x, y, right, y, MEDIUM)
        for index, row in enumerate(self.rows):
            starts_bonus = row.is_bonus and not (index and self.rows[index - 1].is_bonus)
            y += BONUS_ABOVE if starts_bonus else 0
            self._draw_row(pen, x, y, row)
            y += row.height

    def _tick_centre(self, x: float, number: int) -> float:
        return x + self.width - (len(TICKS) - number - 0.5) * TICK_COLUMN

    def _draw_row(self, pen: Pen, x: float, y: float, row: Row) -> None:
        if row.is_bonus:
            pen.box(x, y, self.width, row.height - 1, fill=PALE)
        left = BONUS_INDENT + row.label.width + BONUS_GAP if row.is_bonus else NUMBER_COLUMN
        first = y + (row.height - row.text.height) / 2 + row.text.size * BASELINE
        alone = y + row.height / 2 + row.label.size * 0.36
        baseline = first if row.text.lines else alone
        if row.is_bonus:
            pen.say(x + BONUS_INDENT, baseline, row.label)
        else:
            pen.say(x + NUMBER_COLUMN - NUMBER_GAP, baseline, row.label, "right")
            pen.rule(x, y + row.height, x + self.width, y + row.height, HAIR, GREY)
        pen.say(x + left, first, row.text)
        side = self.density.tick
        for number in range(len(TICKS)):
            left = self._tick_centre(x, number) - side / 2
            pen.box(left, y + (row.height - side) / 2, side, side, FINE, fill=1)


def measure_pass(faces: Faces, rows: PassRows, width: float, density: Density) -> PassColumn:
    """Set the lines of a pass within a width."""
    heading = fit(faces, rows.heading, HEAD, width - 2 * TICK_COLUMN, HEADING, 11)
    measured = [
        *(_row(faces, line, width, density, False) for line in rows.lines),
        *(_row(faces, line, width, density, True) for line in rows.bonus),
    ]
    return PassColumn(heading, tuple(measured), density, width)


def _row(faces: Faces, line: Line, width: float, density: Density, is_bonus: bool) -> Row:
    room = width - 2 * TICK_COLUMN - 4
    if is_bonus:
        label = fit(faces, line.label, BOLD, room / 2, BONUS_LABEL, BONUS_LABEL - 1.5)
        room -= BONUS_INDENT + label.width + BONUS_GAP
    else:
        label = fit(faces, line.label, HEAD, NUMBER_COLUMN, density.size)
        room -= NUMBER_COLUMN
    text = fit(faces, line.text, REGULAR, room, density.size, density.smallest)
    tall = max(text.height, label.height) + ROW_PADDING
    return Row(label, text, max(density.row + is_bonus, tall), is_bonus)
