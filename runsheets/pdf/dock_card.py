"""The rider's dock card as PDF: a card for the pocket, alone or several on a sheet to cut.

A card is 105 x 148 mm (A6 of ISO 216). A run that does not fit one card goes on on the next,
and each says so; nothing is left out.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from io import BytesIO
from pathlib import Path
from typing import Any

from reportlab.pdfgen.canvas import Canvas

from events.rules.language import gettext as _
from events.rules.language import mark
from runsheets.card import CardHead, CardPass, DockCard
from runsheets.pdf.card_parts import (
    CARD_HEIGHT,
    CARD_WIDTH,
    FOOT,
    MEASURE,
    PAD,
    SIZES,
    SMALL_SIZE,
    CardBlock,
    HeadBlock,
    heading_block,
    line_block,
    note_block,
    reminder_block,
)
from runsheets.pdf.fonts import BOLD, REGULAR, Faces, load_faces
from runsheets.pdf.language import language_code
from runsheets.pdf.page import GREY, HAIR, MM, PAPERS, Frame, Pen, fit

MANY = 8  # a pass of more tricks than these may be set smaller
FOOT_SIZE = 6.5
FIRST = mark("What the driver and the safety crew say comes first.")
SHEETS = {"a6": (1, 1), "a4": (2, 2), "letter": (2, 1)}  # cards across and down


@dataclass
class Card:
    """One card: its blocks and how much height is left."""

    room: float
    blocks: list[CardBlock] = field(default_factory=list)


def dock_card_pdf(
    card: DockCard, paper: str = "a6", *, fonts: Path, invariant: bool = False
) -> bytes:
    """The card as PDF: alone on "a6", or with cut lines four on "a4" or two on "letter".

    `fonts` is the folder that keeps the bold face, which is made on the first call. With
    `invariant` the same card gives the same bytes. Raises ValueError for another paper.
    """
    paper = paper.lower()
    if paper not in SHEETS:
        raise ValueError(f"A dock card is printed on a6, a4 or letter, not {paper}.")
    faces = load_faces(fonts)
    cards = _set(faces, card)
    page = PAPERS.get(paper, (CARD_WIDTH, CARD_HEIGHT))
    out = BytesIO()
    canvas = Canvas(
        out,
        pagesize=page,
        invariant=int(invariant),
        pageCompression=1,
        initialFontName=REGULAR,
        lang=language_code(),
    )
    title = _("Dock card: {rider}, {contest}")
    canvas.setTitle(title.format(rider=card.head.rider, contest=card.head.contest))
    canvas.setSubject(card.head.status)
    places = list(_places(paper, page))
    for sheet in _sheets(len(cards), len(places)):
        for at, (left, top) in zip(sheet, places, strict=False):
            canvas.saveState()
            canvas.translate(left, page[1] - top - CARD_HEIGHT)
            pen = Pen(canvas, Frame(CARD_WIDTH, CARD_HEIGHT), faces)
            _draw(pen, card.head, cards[at], at + 1, len(cards))
            canvas.restoreState()
        _cut_lines(canvas, page, places)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _sheets(cards: int, places: int) -> Iterator[list[int]]:
    """Which card lies in which place of each sheet: as many whole sets as go on one sheet."""
    copies = max(1, places // cards)
    wanted = list(range(cards)) * copies
    for at in range(0, len(wanted), places):
        yield wanted[at : at + places]


def _places(paper: str, page: tuple[float, float]) -> Iterator[tuple[float, float]]:
    """The upper left corners of the cards on a sheet, together in its middle."""
    across, down = SHEETS[paper]
    left, top = (page[0] - across * CARD_WIDTH) / 2, (page[1] - down * CARD_HEIGHT) / 2
    for row in range(down):
        for column in range(across):
            yield left + column * CARD_WIDTH, top + row * CARD_HEIGHT


def _cut_lines(
    canvas: Any, page: tuple[float, float], places: list[tuple[float, float]]
) -> None:
    """Broken lines along the edges of the cards, where those are not the paper's own."""
    canvas.setStrokeGray(GREY)
    canvas.setLineWidth(HAIR)
    canvas.setDash(4, 4)
    lefts, tops = {left for left, _ in places}, {page[1] - top for _, top in places}
    near = MM  # an edge this close to the paper's own is not worth a cut
    for x in sorted(lefts | {left + CARD_WIDTH for left in lefts}):
        if near < x < page[0] - near:
            canvas.line(x, 0, x, page[1])
    for y in sorted(tops | {top - CARD_HEIGHT for top in tops}):
        if near < y < page[1] - near:
            canvas.line(0, y, page[0], y)
    canvas.setDash()


def _set(faces: Faces, card: DockCard) -> list[Card]:
    """The card as few cards as can be, and then in the largest type."""
    sizes = [*SIZES, *([SMALL_SIZE] if card.longest > MANY else [])]
    return min((_cards(faces, card, *size) for size in sizes), key=len)


def _cards(faces: Faces, card: DockCard, size: float, reminder: float) -> list[Card]:
    full = CARD_HEIGHT - PAD - FOOT - HeadBlock.of(faces, card.head).height
    cards = [Card(full)]
    if card.note:
        _put(cards, full, [note_block(faces, card.note)])
    for each in card.passes:
        _put_pass(cards, full, faces, each, size)
    for number, (label, text) in enumerate(card.reminders):
        block = reminder_block(faces, label, text, reminder)
        _put(cards, full, [replace(block, above=block.above if number else 6.0)])
    return cards


def _put_pass(
    cards: list[Card], full: float, faces: Faces, each: CardPass, size: float
) -> None:
    """Put a pass on one card, or line by line on several; each of them has its heading."""
    heading = heading_block(faces, each.heading, each.start)
    again = heading_block(faces, _("{heading}, continued").format(heading=each.heading), "")
    lines = [line_block(faces, line, size) for line in each.lines]
    if not _fits(cards[-1], [heading, *lines]):
        cards.append(Card(full))
    pending: list[CardBlock] = [heading]
    for line in lines:
        if not _fits(cards[-1], [*pending, line]):
            cards.append(Card(full))
            pending = pending or [again]
        _put(cards, full, [*pending, line])
        pending = []


def _needed(card: Card, blocks: list[CardBlock]) -> float:
    return sum(block.height + block.above for block in blocks) - (
        0 if card.blocks else blocks[0].above
    )


def _fits(card: Card, blocks: list[CardBlock]) -> bool:
    return not card.blocks or _needed(card, blocks) <= card.room


def _put(cards: list[Card], full: float, blocks: list[CardBlock]) -> None:
    if not _fits(cards[-1], blocks):
        cards.append(Card(full))
    card = cards[-1]
    card.room -= _needed(card, blocks)
    card.blocks += blocks


def _draw(pen: Pen, head: CardHead, card: Card, number: int, count: int) -> None:
    block = HeadBlock.of(pen.faces, head)
    block.draw(pen, PAD, PAD)
    y = PAD + block.height
    for at, each in enumerate(card.blocks):
        y += each.above if at else 0
        each.draw(pen, PAD, y)
        y += each.height
    foot = CARD_HEIGHT - PAD + 6
    if count > 1:
        said = _("Card {number} of {total}").format(number=number, total=count)
        part = fit(pen.faces, said, BOLD, MEASURE / 3, FOOT_SIZE + 1.5)
        pen.say(CARD_WIDTH - PAD, foot, part, "right")
    pen.say(
        PAD, foot, fit(pen.faces, _(FIRST), REGULAR, MEASURE - 60, FOOT_SIZE, 5.5), ink=GREY
    )
