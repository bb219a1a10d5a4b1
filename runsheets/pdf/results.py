"""A posted result on paper: one table for each group that is ranked together."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from io import BytesIO
from pathlib import Path
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.pagesizes import landscape
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import CondPageBreak, Paragraph, SimpleDocTemplate, Table, TableStyle

from events.rules.answers_words import capital
from riders.models import Entry
from runsheets.next_round import Told
from runsheets.papers.heading import when_printed
from runsheets.pdf.fonts import BOLD, HEAD, REGULAR, Faces, load_faces
from runsheets.pdf.language import language_code
from runsheets.pdf.page import MARGIN_FOOT, MARGIN_SIDE, MARGIN_TOP, PAPERS, fit, text_width
from runsheets.result_rows import Result, ResultGroup

PLACE, BIB, RIDER = 32.0, 32.0, 140.0
FIGURE = "888.88"  # as wide as most figures
GAP = 8.0  # to the right of each figure
SLACK = 1.0  # so that rounding breaks no word that just fits
FRAME = 6.0  # what the frame of a page leaves free on either side
BEGUN = 80.0  # a heading with the head of its table and a row
FOOT = 8.0
TITLE = ParagraphStyle("title", fontName=HEAD, fontSize=22, leading=25)
STATE = ParagraphStyle("state", fontName=BOLD, fontSize=11, leading=15, spaceBefore=4)
HEADING = ParagraphStyle("heading", fontName=HEAD, fontSize=15, leading=19, spaceBefore=10)
CELL = ParagraphStyle("cell", fontName=REGULAR, fontSize=9.5, leading=12)
STRONG = ParagraphStyle("strong", parent=CELL, fontName=BOLD)
NUMBER = ParagraphStyle("number", parent=CELL, alignment=TA_RIGHT)
STRONG_NUMBER = ParagraphStyle("strong number", parent=STRONG, alignment=TA_RIGHT)
LABEL = ParagraphStyle("label", parent=CELL, fontSize=8, leading=10)
NUMBER_LABEL = ParagraphStyle("number label", parent=LABEL, alignment=TA_RIGHT)
SAID = ParagraphStyle("said", parent=CELL, spaceBefore=3)
RULES = (
    ("LINEBELOW", (0, 0), (-1, 0), 1.4, 0),
    ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
    ("VALIGN", (0, 1), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), GAP),
)


def result_pdf(
    result: Result, told: Sequence[Told] = (), *, paper: str = "a4", fonts: Path
) -> bytes:
    """The result as PDF across "a4" or "letter" paper; ValueError for another paper.

    `told` is who goes on, and `fonts` the folder that keeps the bold face.
    """
    if paper not in PAPERS:
        raise ValueError(f"Paper is a4 or letter, not {paper}.")
    faces = load_faces(fonts)
    write = _Writer(faces)
    out = BytesIO()
    event, name = result.division.event, result.order.round_name
    title = ", ".join(filter(None, (result.division.name, name)))
    page = SimpleDocTemplate(
        out,
        pagesize=landscape(PAPERS[paper]),
        leftMargin=MARGIN_SIDE,
        rightMargin=MARGIN_SIDE,
        topMargin=MARGIN_TOP,
        bottomMargin=MARGIN_FOOT + 14,
        title=_("{event}: result, {round}").format(event=event.name, round=title),
        lang=language_code(),
        initialFontName=REGULAR,
    )
    parts: list[Any] = [
        write(event.name, CELL),
        write(_("Result: {round}").format(round=title), TITLE),
        write(posted_words(result), STATE),
    ]
    for group in result.groups:
        heading = _("Places")
        if group.heat is not None:
            heading = _("Heat {number}").format(number=group.heat)
        table = _table(write, result, group, page.width - 2 * FRAME)
        parts += [CondPageBreak(BEGUN), write(heading, HEADING), table]
    parts += [write(each, SAID) for each in _said(result)]
    parts += _told(write, told)
    foot = f"{event.name}, {title}: {posted_words(result)}"

    def footer(canvas: Any, document: Any) -> None:
        number = _("Page {number}").format(number=document.page)
        left, right = MARGIN_SIDE + FRAME, MARGIN_SIDE + page.width - FRAME
        room = right - left - text_width(number, REGULAR, FOOT) - GAP
        line = fit(faces, foot, REGULAR, room, FOOT, most_lines=1).lines[0]
        canvas.setFont(REGULAR, FOOT)
        canvas.drawString(left, MARGIN_FOOT, line)
        canvas.drawRightString(right, MARGIN_FOOT, number)

    page.build(parts, onFirstPage=footer, onLaterPages=footer)
    return out.getvalue()


@dataclass(frozen=True)
class _Writer:
    """Sets a text in the face of its style, or in one that has all of its letters."""

    faces: Faces

    def __call__(self, text: str, style: ParagraphStyle, lead: str = "") -> Paragraph:
        face = self.faces.choose(self.faces.printable(text), style.fontName)
        own = style if face == style.fontName else ParagraphStyle("", style, fontName=face)
        bold = f'<font name="{BOLD}">{escape(lead)}</font> ' if lead else ""
        return Paragraph(bold + escape(self.faces.printable(text)), own)


def posted_words(result: Result) -> str:
    """Whether the result is official, since when, and until when protests are taken."""
    zone = result.division.event.zone
    posted = result.posted
    if posted is None:
        return _("Not posted.")
    if posted.official_at is not None:
        since = when_printed(posted.official_at.astimezone(zone), None)
        return _("Official since {when}.").format(when=since)
    when = when_printed(posted.posted_at.astimezone(zone), None)
    until = result.protests_until
    if until is None or timezone.now() >= until:
        return _("Provisional, posted {when}.").format(when=when)
    said = _("Provisional, posted {when}. Protests until {until}.")
    return said.format(when=when, until=f"{until.astimezone(zone):%H:%M}")


def _said(result: Result) -> list[str]:
    """Who judged, what was taken without being stated, and how ties were decided."""
    said = list(result.said)
    if result.judges:
        judges = ", ".join(f"{judge.number} {judge.name}" for judge in result.judges)
        named = _("Judges: {judges}. Figures are rounded for reading only.")
        said.insert(0, named.format(judges=judges))
    tie = _("Tie of {riders}: {how}")
    return said + [
        tie.format(riders=_names(entries), how=how) for how, entries in result.decided
    ]


def _told(write: _Writer, told: Sequence[Told]) -> list[Any]:
    if not told:
        return []
    lines = [
        write(
            f"{_names([row.entry for row in each.rows])}. {each.reason}"
            if each.is_listed
            else f"{_many(len(each.rows))} {each.reason}",
            SAID,
            lead=f"{capital(each.fate.words)}:",
        )
        for each in told
    ]
    return [CondPageBreak(BEGUN), write(_("Who goes on"), HEADING), *lines]


def _many(riders: int) -> str:
    return ngettext("{number} rider.", "{number} riders.", riders).format(number=riders)


def _names(entries: Sequence[Entry]) -> str:
    return ", ".join(entry.public_name for entry in entries)


def _table(write: _Writer, result: Result, group: ResultGroup, width: float) -> Table:
    is_sum = bool(group.rows) and group.rows[0].standing.lower_is_better
    total = _("Sum of places") if is_sum else _("Total")
    beside, widths = _columns(result, total, width)
    rows: list[list[Any]] = [
        [
            *(write(each, LABEL) for each in (_("Place"), _("Bib"), _("Rider"))),
            *(write(each, NUMBER_LABEL) for each in (total, *beside, _("Points off"))),
            write(_("Note"), LABEL),
        ]
    ]
    style: list[Any] = [*RULES]
    for row in group.rows:
        rider = (
            row.place or "–",
            "" if row.bib is None else str(row.bib),
            row.entry.public_name,
        )
        marks = [figure for label, figure in row.figures if label in beside]
        rows.append(
            [
                *(write(each, STRONG) for each in rider),
                write(row.total, STRONG_NUMBER),
                *(write(each, NUMBER) for each in (*marks, row.points_off)),
                write(row.standing.note, CELL),
            ]
        )
        below = [
            f"{label} {mark}" for label, mark in row.figures if label not in beside and mark
        ]
        if below:
            at = len(rows)
            rows.append(["", "", write(" · ".join(below), LABEL), *[""] * (len(widths) - 3)])
            style += [("SPAN", (2, at), (-1, at)), ("NOSPLIT", (0, at - 1), (-1, at))]
        style.append(("LINEBELOW", (0, len(rows) - 1), (-1, len(rows) - 1), 0.45, 0))
    if not group.rows:
        nobody = write(_("Nobody can be ranked yet."), CELL)
        rows.append(["", "", nobody, *[""] * (len(widths) - 3)])
        style.append(("SPAN", (2, 1), (-1, 1)))
    return Table(
        rows, colWidths=widths, repeatRows=1, style=TableStyle(style), hAlign="LEFT",
        spaceAfter=6,
    )  # fmt: skip


def _columns(result: Result, total: str, width: float) -> tuple[list[str], list[float]]:
    """The figures that have a column of their own, and the widths of all columns.

    As many as fit without a broken word or figure: judges and criteria, or only the
    criteria, or neither; the others stand in a line below each rider. The note takes what
    is left, and never less than a sixth of the page.
    """
    fixed = [PLACE, BIB, RIDER]
    room = width - sum(fixed) - width / 6
    for beside in (result.labels, result.labels[len(result.judges) :], []):
        wanted = [_least(each) for each in (total, *beside, _("Points off"))]
        if sum(wanted) <= room:
            break
    return beside, [*fixed, *wanted, width - sum(fixed) - sum(wanted)]


def _least(label: str) -> float:
    words = (text_width(word, REGULAR, LABEL.fontSize) for word in label.split())
    return max(text_width(FIGURE, BOLD, CELL.fontSize), *words) + SLACK + GAP
