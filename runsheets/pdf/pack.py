"""Papers as one PDF, in the order given, with an outline that leads to each of them."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path
from typing import Any

from reportlab.pdfgen.canvas import Canvas

from events.languages import made_on_paper
from events.rules.language import gettext as _
from events.rules.language import mark
from runsheets.papers.codes import spaced
from runsheets.papers.paper import Block as Rows
from runsheets.papers.paper import (
    Caution,
    Facts,
    JudgedRun,
    Kind,
    Listing,
    Paper,
    Square,
    Strips,
    Words,
    WrittenRun,
)
from runsheets.pdf.course import measure_strips
from runsheets.pdf.fonts import BOLD, MISSING, REGULAR, Faces, load_faces
from runsheets.pdf.front import (
    RunningHead,
    Title,
    draw_judge_name,
    measure_reminders,
    measure_running_head,
    measure_title,
)
from runsheets.pdf.language import language_code
from runsheets.pdf.layout import COLUMN_GAP, Block, Stack, pages_of
from runsheets.pdf.listing import measure_listing
from runsheets.pdf.page import FOOTER, GREY, HAIR, Frame, Pen, fit
from runsheets.pdf.rider_block import RiderBlock
from runsheets.pdf.rider_parts import rider_blocks
from runsheets.pdf.square import measure_square
from runsheets.pdf.words import measure_caution, measure_words
from runsheets.pdf.written_run import measure_written_run

BODY_ABOVE = 9.0
MOST_STRETCH = 10.0  # more air between riders where a page has it
REMINDERS_MOST = 0.5  # of the page's height, before they go on over the page
FACT_SIZES = {Kind.DOCK: 13.0, Kind.BOAT: 11.0}
FACT_SIZE = 9.5
FOOT_SIZE = 8.0
NOT_PRINTABLE = mark("{sign} stands for a character that could not be printed.")
WITH_JUDGE = frozenset({Kind.RUN_SHEETS})


@made_on_paper
def papers_pdf(
    papers: Sequence[Paper],
    paper: str = "a4",
    *,
    fonts: Path,
    title: str = "",
    invariant: bool = False,
) -> bytes:
    """The papers as PDF on "a4" or "letter" paper, upright, in the language of the site.

    `fonts` is the folder that keeps the bold face, which is made on the first call. With
    `invariant` the same papers give the same bytes. Raises ValueError for another paper
    size, or where there is nothing to print.
    """
    if not papers:
        raise ValueError("There is no paper to print.")
    frame = Frame.of(paper)
    faces = load_faces(fonts)
    out = BytesIO()
    canvas = Canvas(
        out,
        pagesize=(frame.width, frame.height),
        invariant=int(invariant),
        pageCompression=1,
        initialFontName=REGULAR,
        lang=language_code(),
    )
    first = papers[0].heading
    canvas.setTitle(title or f"{first.title}: {first.event}, {first.place}")
    canvas.setSubject(_("Printed {when}").format(when=first.printed))
    last: Kind | None = None
    for number, each in enumerate(papers):
        alone = len(papers) == 1
        _Drawn(canvas, frame, faces, each, number).draw(alone, each.scope.kind is last)
        last = each.scope.kind
    canvas.save()
    return out.getvalue()


@dataclass
class _Drawn:
    """One paper on its way to the canvas."""

    canvas: Any
    frame: Frame
    faces: Faces
    paper: Paper
    number: int

    def __post_init__(self) -> None:
        heading = replace(self.paper.heading, code=self._code)
        judged = self.paper.scope.kind in WITH_JUDGE
        width = self.frame.measure
        self.title = measure_title(self.faces, heading, width, with_judge=judged)
        self.running = measure_running_head(
            self.faces, heading, self.paper.running, width, with_judge=judged
        )
        high = self.frame.bottom - self.frame.top
        self.full = high - self.running.height
        first = high - self.title.height - BODY_ABOVE
        self.pages = pages_of(self._groups(), first, self.full, self.paper.columns)

    @property
    def _code(self) -> str:
        return "" if self.paper.scope.kind is Kind.CHANGES else self.paper.code

    @property
    def _width(self) -> float:
        columns = self.paper.columns
        return (self.frame.measure - (columns - 1) * COLUMN_GAP) / columns

    def _groups(self) -> Iterator[Sequence[Block]]:
        for rows in self.paper.blocks:
            yield from self._measured(rows)

    def _measured(self, rows: Rows) -> Iterable[Sequence[Block]]:
        """The groups of one block of rows; those in a group stay together if they can."""
        faces, width = self.faces, self._width
        if isinstance(rows, JudgedRun):
            blocks = rider_blocks(faces, rows, width, self.full)
            return [[block] for block in blocks]
        if isinstance(rows, WrittenRun):
            return [measure_written_run(faces, rows, width)]
        if isinstance(rows, Listing):
            return measure_listing(faces, rows, width)
        if isinstance(rows, Facts):
            size = FACT_SIZES.get(self.paper.scope.kind, FACT_SIZE)
            most = REMINDERS_MOST * self.full
            return [[each] for each in measure_reminders(faces, rows.rows, width, most, size)]
        if isinstance(rows, Strips):
            return [[strip] for strip in measure_strips(faces, rows.strips, width)]
        if isinstance(rows, Words):
            return [measure_words(faces, rows, width)]
        if isinstance(rows, Caution):
            return [[measure_caution(faces, rows, width)]]
        assert isinstance(rows, Square)
        return [[measure_square(faces, rows, width)]]

    def draw(self, alone: bool, same_kind: bool) -> None:
        """Draw every copy, page by page."""
        copies = self.paper.copies or ("",)
        for at, judge in enumerate(copies):
            self._outline(alone, same_kind or at > 0, judge)
            for number, stacks in enumerate(self.pages, start=1):
                self._draw_page(number, stacks, judge, at, len(copies), alone)
                self.canvas.showPage()

    def _draw_page(
        self, number: int, stacks: list[Stack], judge: str, copy: int, copies: int, alone: bool
    ) -> None:
        """Draw a page; of several copies the first is kept as a form and used again."""
        name = f"paper-{self.number}-{number}"
        if copies == 1:
            self._draw_body(number, stacks)
        else:
            if copy == 0:
                self.canvas.beginForm(name, 0, 0, self.frame.width, self.frame.height)
                self._draw_body(number, stacks)
                self.canvas.endForm()
            self.canvas.doForm(name)
        pen = Pen(self.canvas, self.frame, self.faces)
        if judge:
            draw_judge_name(pen, self.frame.top + self._head(number).judge_depth, judge)
        if alone and copy == 0:
            self._rider_bookmarks(number, stacks)

    def _head(self, number: int) -> Title | RunningHead:
        return self.title if number == 1 else self.running

    def _top(self, number: int) -> float:
        above = BODY_ABOVE if number == 1 else 0
        return self.frame.top + self._head(number).height + above

    def _draw_body(self, number: int, stacks: list[Stack]) -> None:
        pen = Pen(self.canvas, self.frame, self.faces)
        self._head(number).draw(pen, self.frame.left, self.frame.top)
        is_full = number < len(self.pages)
        for column, stack in enumerate(stacks):
            left = self.frame.left + column * (self._width + COLUMN_GAP)
            for block, y in _places(stack, self._top(number), is_full):
                block.draw(pen, left, y)
        page = _("Page {number} of {total}").format(number=number, total=len(self.pages))
        self._draw_footer(pen, page)

    def _outline(self, alone: bool, same_kind: bool, judge: str) -> None:
        if alone:
            return
        kind, heading = self.paper.scope.kind, self.paper.heading
        key = f"paper-{self.canvas.getPageNumber()}"
        self.canvas.bookmarkPage(key)
        if not same_kind:  # a key of its own, because an outline has one title for each
            self.canvas.bookmarkPage(f"{key}-{kind.value}")
            self.canvas.addOutlineEntry(heading.title, f"{key}-{kind.value}", 0, 1)
        if kind is not Kind.CHANGES:
            named = ", ".join(
                filter(None, (heading.division, heading.round, heading.heat, judge))
            )
            self.canvas.addOutlineEntry(named, key, 1, 1)

    def _rider_bookmarks(self, number: int, stacks: list[Stack]) -> None:
        is_full = number < len(self.pages)
        for block, y in _places(stacks[0], self._top(number), is_full):
            if isinstance(block, RiderBlock):
                key = f"rider-{self.canvas.getPageNumber()}-{y:.0f}"
                self.canvas.bookmarkHorizontal(key, 0, self.frame.height - y)
                named = f"{block.sheet.order or ''}  {block.sheet.name}".strip()
                self.canvas.addOutlineEntry(named, key)

    def _draw_footer(self, pen: Pen, page: str) -> None:
        frame, heading = self.frame, self.paper.heading
        y = frame.bottom + FOOTER
        pen.rule(frame.left, y - FOOT_SIZE - 5, frame.right, y - FOOT_SIZE - 5, HAIR, GREY)
        number = fit(pen.faces, page, BOLD, frame.measure / 3, FOOT_SIZE)
        pen.say(frame.right, y, number, "right")
        said = [_("Printed {when}").format(when=heading.printed)]
        if self._code:
            said.append(_("Code {code}").format(code=spaced(self._code)))
        if any(MISSING in line for line in pen.seen):
            said.append(_(NOT_PRINTABLE).format(sign=MISSING))
        text = "  ·  ".join(said)
        room = frame.measure - number.width - 20
        pen.say(frame.left, y, fit(pen.faces, text, REGULAR, room, FOOT_SIZE, 5.5, 1))


def _places(stack: Stack, y: float, is_full: bool) -> Iterator[tuple[Block, float]]:
    """Where each block of a column goes; riders with more air where a full page has it."""
    gaps = sum(isinstance(block, RiderBlock) for block in stack.blocks[1:])
    stretch = min(stack.room / gaps, MOST_STRETCH) if gaps and is_full else 0
    for number, block in enumerate(stack.blocks):
        if number:
            y += block.gap + (stretch if isinstance(block, RiderBlock) else 0)
        yield block, y
        y += block.height
