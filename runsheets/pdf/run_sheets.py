"""Run sheets as PDF: all riders of a division in one round, in riding order."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import Any, Protocol

from reportlab.pdfgen.canvas import Canvas

from runsheets.pdf.course import measure_strips
from runsheets.pdf.fonts import BOLD, MISSING, REGULAR, Faces, load_faces
from runsheets.pdf.front import (
    RunningHead,
    measure_empty,
    measure_reminders,
    measure_running_head,
    measure_title,
)
from runsheets.pdf.page import FOOTER, GREY, HAIR, Frame, Pen, fit
from runsheets.pdf.rider_block import RiderBlock
from runsheets.pdf.rider_parts import rider_blocks
from runsheets.sheets import SheetBook

FRONT_GAP, RIDER_GAP = 9.0, 11.0
MOST_STRETCH = 10.0  # more air between riders where a page has it
REMINDERS_MOST = 0.5  # of the page's height, before they go on over the page
FOOT_SIZE = 8.0
NOT_PRINTABLE = f"{MISSING} stands for a character that could not be printed."


class Block(Protocol):
    """Something that is measured and can be drawn."""

    @property
    def height(self) -> float:
        """Its height."""

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it with its upper left corner at (x, y)."""


@dataclass
class Leaf:
    """One page: its blocks and how much height is left."""

    room: float
    blocks: list[Block] = field(default_factory=list)

    def takes(self, block: Block) -> bool:
        """Put a block on the page if there is room for it."""
        needed = block.height + (_gap(block) if self.blocks else 0)
        if self.blocks and needed > self.room:
            return False
        self.blocks.append(block)
        self.room -= needed
        return True


def run_sheets_pdf(
    book: SheetBook, paper: str = "a4", *, fonts: Path, invariant: bool = False
) -> bytes:
    """The run sheets as PDF on "a4" or "letter" paper, upright.

    `fonts` is the folder that keeps the bold face, which is made on the first call. With
    `invariant` the same book gives the same bytes. Raises ValueError for another paper.
    """
    frame = Frame.of(paper)
    faces = load_faces(fonts)
    running = measure_running_head(faces, book, frame.measure)
    leaves = _leaves(_blocks(faces, book, frame, running), frame, running)
    out = BytesIO()
    canvas = Canvas(
        out,
        pagesize=(frame.width, frame.height),
        invariant=int(invariant),
        pageCompression=1,
        initialFontName=REGULAR,
        lang="en-GB",
    )
    heading = book.heading
    canvas.setTitle(f"Run sheets: {heading.event}, {heading.division}, {heading.round}")
    canvas.setSubject(f"Edition {heading.edition_no}, printed {heading.printed}")
    for number, leaf in enumerate(leaves, start=1):
        pen = Pen(canvas, frame, faces)
        top = frame.top
        if number > 1:
            running.draw(pen, frame.left, top)
            top += running.height
        _draw_leaf(pen, leaf, top, number < len(leaves))
        _draw_footer(pen, book, f"Page {number} of {len(leaves)}")
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _blocks(
    faces: Faces, book: SheetBook, frame: Frame, running: RunningHead
) -> Iterable[Block]:
    width = frame.measure
    full = frame.bottom - frame.top - running.height
    yield measure_title(faces, book.heading, width)
    yield from measure_strips(faces, book.strips, width)
    yield from measure_reminders(faces, book.reminders, width, REMINDERS_MOST * full)
    for sheet in book.riders:
        yield from rider_blocks(faces, sheet, book.marks, width, full)
    if not book.riders:
        yield measure_empty(faces, width)


def _leaves(blocks: Iterable[Block], frame: Frame, running: RunningHead) -> list[Leaf]:
    leaves = [Leaf(frame.bottom - frame.top)]
    for block in blocks:
        if not leaves[-1].takes(block):
            leaves.append(Leaf(frame.bottom - frame.top - running.height))
            leaves[-1].takes(block)
    return leaves


def _gap(block: Block) -> float:
    return RIDER_GAP if isinstance(block, RiderBlock) else FRONT_GAP


def _draw_leaf(pen: Pen, leaf: Leaf, y: float, is_full: bool) -> None:
    gaps = sum(isinstance(block, RiderBlock) for block in leaf.blocks[1:])
    stretch = min(leaf.room / gaps, MOST_STRETCH) if gaps and is_full else 0
    for number, block in enumerate(leaf.blocks):
        if number:
            y += _gap(block) + (stretch if isinstance(block, RiderBlock) else 0)
        if isinstance(block, RiderBlock):
            _add_bookmark(pen.canvas, block, pen.frame.height - y)
        block.draw(pen, pen.frame.left, y)
        y += block.height


def _add_bookmark(canvas: Any, block: RiderBlock, height: float) -> None:
    sheet = block.sheet
    key = f"rider-{canvas.getPageNumber()}-{height:.0f}"
    canvas.bookmarkHorizontal(key, 0, height)
    canvas.addOutlineEntry(f"{sheet.order}  {sheet.name}", key)


def _draw_footer(pen: Pen, book: SheetBook, page: str) -> None:
    frame = pen.frame
    y = frame.bottom + FOOTER
    pen.rule(frame.left, y - FOOT_SIZE - 5, frame.right, y - FOOT_SIZE - 5, HAIR, GREY)
    number = fit(pen.faces, page, BOLD, frame.measure / 3, FOOT_SIZE)
    pen.say(frame.right, y, number, "right")
    said = [f"Printed {book.heading.printed}"]
    if book.heading.code:
        said.append(f"Code {book.heading.code}")
    if _lacks(pen.seen):
        said.append(NOT_PRINTABLE)
    room = frame.measure - number.width - 20
    pen.say(frame.left, y, fit(pen.faces, "  ·  ".join(said), REGULAR, room, FOOT_SIZE, 5.5, 1))


def _lacks(lines: Iterable[str]) -> bool:
    return any(MISSING in line for line in lines)
