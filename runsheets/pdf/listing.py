"""A list as a table: large numbers, names, boxes to tick, and a head on every page."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from runsheets.papers.paper import Boxes, Cell, Column, Listing, ListRow, Look
from runsheets.pdf.fonts import BOLD, HEAD, REGULAR, Faces
from runsheets.pdf.page import FINE, GREY, HAIR, HEAVY, LEADING, MEDIUM, Pen, SetText, fit

HEADING, LABEL = 15.0, 8.0
CELL_PAD, ROW_PAD = 4.0, 5.0
LEAST_ROW = 27.0
BIG, BIG_SMALLEST = 22.0, 10.0
STRONG, STRONG_SMALLEST = 13.5, 11.0
TEXT, TEXT_SMALLEST, BELOW = 10.5, 9.0, 9.0
BOX = 15.0
WRITE_ROOM = 19.0
CAP = 0.72


@dataclass(frozen=True)
class SetCell:
    """A measured cell: text with smaller words below it, or boxes."""

    text: SetText
    below: SetText
    boxes: tuple[SetText, ...] = ()
    ticked: bool = False

    @property
    def height(self) -> float:
        """Height of what stands in it."""
        return BOX if self.boxes else self.text.height + self.below.height

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it with its upper left corner at (x, y)."""
        if self.boxes:
            self._draw_boxes(pen, x, y)
            return
        last = pen.say(x, y + self.text.size * 0.95, self.text)
        pen.say(x, last + self.below.size * LEADING + 1, self.below, ink=GREY)

    def _draw_boxes(self, pen: Pen, x: float, y: float) -> None:
        for number, label in enumerate(self.boxes):
            pen.say(x, y + BOX / 2 + label.size * 0.36, label)
            x += label.width + (4 if label.lines else 0)
            pen.box(x, y, BOX, BOX, FINE, fill=1)
            if self.ticked and not number:
                pen.rule(x + 3, y + BOX * 0.55, x + BOX * 0.42, y + BOX - 3, 2)
                pen.rule(x + BOX * 0.42, y + BOX - 3, x + BOX - 2, y + 2, 2)
            x += BOX + 10


@dataclass(frozen=True)
class TableHead:
    """The heading of a list and the labels of its columns, over a rule."""

    heading: SetText
    labels: tuple[SetText, ...]
    edges: tuple[float, ...]
    width: float
    gap = 10.0
    lead = None

    @property
    def height(self) -> float:
        """Height down to the rule."""
        tall = max((label.height for label in self.labels), default=0)
        return self.heading.height + tall + 4

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it with its upper left corner at (x, y)."""
        pen.say(x, y + self.heading.size * 0.86, self.heading)
        for label, left in zip(self.labels, self.edges, strict=True):
            first = y + self.height - 4 - (len(label.lines) - 1) * label.size * LEADING
            pen.say(x + left, first, label, ink=GREY)
        pen.rule(x, y + self.height, x + self.width, y + self.height, HEAVY)


@dataclass(frozen=True)
class TableRow:
    """A measured row."""

    cells: tuple[SetCell, ...]
    edges: tuple[float, ...]
    width: float
    lead: TableHead
    struck: bool
    write: SetText
    gap = 0.0

    @cached_property
    def _body(self) -> float:
        tall = max((cell.height for cell in self.cells), default=0)
        return max(LEAST_ROW, tall + 2 * ROW_PAD)

    @property
    def height(self) -> float:
        """Height down to the rule below it."""
        return self._body + (WRITE_ROOM if self.write.lines else 0)

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it with its upper left corner at (x, y)."""
        for cell, left in zip(self.cells, self.edges, strict=True):
            cell.draw(pen, x + left, y + (self._body - cell.height) / 2)
        if self.struck:
            pen.rule(x, y + self._body / 2, x + self.width, y + self._body / 2, MEDIUM)
        if self.write.lines:
            line = y + self._body + WRITE_ROOM - 6
            pen.say(x + self.edges[1], line, self.write, ink=GREY)
            left = x + self.edges[1] + self.write.width + 6
            pen.rule(left, line + 1, x + self.width, line + 1, HAIR, GREY)
        pen.rule(x, y + self.height, x + self.width, y + self.height, FINE)


@dataclass(frozen=True)
class Sentence:
    """What is said where a list is empty."""

    text: SetText
    lead: TableHead
    gap = 0.0

    @property
    def height(self) -> float:
        """Height of the sentence."""
        return self.text.height + 16

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it with its upper left corner at (x, y)."""
        pen.say(x, y + 10 + self.text.size, self.text)


def measure_listing(
    faces: Faces, listing: Listing, width: float
) -> list[list[TableRow | Sentence]]:
    """Set a list within a width, each row a group of its own."""
    edges = _edges(listing.columns, width)
    rooms = [column.share * width - CELL_PAD for column in listing.columns]
    labels = tuple(
        fit(faces, column.label, REGULAR, room, LABEL, LABEL - 1.5)
        for column, room in zip(listing.columns, rooms, strict=True)
    )
    head = TableHead(
        fit(faces, listing.heading, HEAD, width, HEADING, HEADING - 3), labels, edges, width
    )
    write = fit(faces, listing.ruled, REGULAR, width / 3, LABEL)
    if not listing.rows:
        return [[Sentence(fit(faces, listing.empty, BOLD, width, STRONG), head)]]
    return [
        [_row(faces, row, listing.columns, rooms, edges, width, head, write)]
        for row in listing.rows
    ]


def _edges(columns: Sequence[Column], width: float) -> tuple[float, ...]:
    edges, left = [], 0.0
    for column in columns:
        edges.append(left)
        left += column.share * width
    return tuple(edges)


def _row(
    faces: Faces,
    row: ListRow,
    columns: Sequence[Column],
    rooms: Sequence[float],
    edges: tuple[float, ...],
    width: float,
    head: TableHead,
    write: SetText,
) -> TableRow:
    cells = tuple(
        _cell(faces, cell, column.look, room)
        for cell, column, room in zip(row.cells, columns, rooms, strict=True)
    )
    return TableRow(cells, edges, width, head, row.struck, write)


def _cell(faces: Faces, cell: Cell, look: Look, room: float) -> SetCell:
    nothing = fit(faces, "", REGULAR, room, BELOW)
    if isinstance(cell, Boxes):
        labels = tuple(fit(faces, label, REGULAR, room, TEXT) for label in cell.labels)
        return SetCell(nothing, nothing, labels, cell.ticked)
    first, _, second = cell.partition("\n")
    below = fit(faces, second, REGULAR, room, BELOW)
    if look is Look.BIG:
        return SetCell(fit(faces, first, HEAD, room, BIG, BIG_SMALLEST), below)
    if look is Look.STRONG:
        return SetCell(fit(faces, first, BOLD, room, STRONG, STRONG_SMALLEST), below)
    return SetCell(fit(faces, first, REGULAR, room, TEXT, TEXT_SMALLEST), below)
