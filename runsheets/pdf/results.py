"""A posted result on paper: one table for each group that is ranked together."""

from html import escape
from io import BytesIO
from pathlib import Path
from typing import Any

from django.utils import timezone
from reportlab.lib.pagesizes import A4, landscape
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph, SimpleDocTemplate, Spacer, Table, TableStyle

from runsheets.pdf.fonts import BOLD, HEAD, REGULAR, load_faces
from runsheets.pdf.page import MARGIN_FOOT, MARGIN_SIDE, MARGIN_TOP
from runsheets.result_rows import Result, ResultGroup

PLACE, BIB, RIDER, FIGURE, TOTAL = 32.0, 32.0, 130.0, 56.0, 60.0
TITLE = ParagraphStyle("title", fontName=HEAD, fontSize=22, leading=25)
STATE = ParagraphStyle("state", fontName=BOLD, fontSize=11, leading=15, spaceBefore=4)
HEADING = ParagraphStyle("heading", fontName=HEAD, fontSize=15, leading=19, spaceBefore=8)
CELL = ParagraphStyle("cell", fontName=REGULAR, fontSize=9.5, leading=12)
STRONG = ParagraphStyle("strong", parent=CELL, fontName=BOLD)
LABEL = ParagraphStyle("label", parent=CELL, fontSize=8, leading=10)
RULES = TableStyle(
    [
        ("LINEBELOW", (0, 0), (-1, 0), 1.4, 0),
        ("LINEBELOW", (0, 1), (-1, -1), 0.45, 0),
        ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ("VALIGN", (0, 1), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ]
)


def result_pdf(result: Result, *, fonts: Path) -> bytes:
    """The result as PDF on A4 across; `fonts` is the folder that keeps the bold face."""
    load_faces(fonts)
    out = BytesIO()
    event, name = result.division.event, result.order.round_name
    title = ", ".join(filter(None, (result.division.name, name)))
    page = SimpleDocTemplate(
        out,
        pagesize=landscape(A4),
        leftMargin=MARGIN_SIDE,
        rightMargin=MARGIN_SIDE,
        topMargin=MARGIN_TOP,
        bottomMargin=MARGIN_FOOT + 14,
        title=f"{event.name}: result, {title}",
        lang="en-GB",
        initialFontName=REGULAR,
    )
    parts: list[Any] = [
        Paragraph(escape(event.name), CELL),
        Paragraph(escape(f"Result: {title}"), TITLE),
        Paragraph(escape(posted_words(result)), STATE),
    ]
    for group in result.groups:
        heading = f"Heat {group.heat}" if group.heat is not None else ""
        parts += [Paragraph(heading, HEADING), _table(result, group, page.width)]
    if result.said:
        parts += [Spacer(1, 10), *(Paragraph(escape(said), CELL) for said in result.said)]
    foot = f"{event.name}, {title}: {posted_words(result)}"

    def footer(canvas: Any, document: Any) -> None:
        canvas.setFont(REGULAR, 8)
        canvas.drawString(MARGIN_SIDE, MARGIN_FOOT, foot[:150])
        canvas.drawRightString(MARGIN_SIDE + page.width, MARGIN_FOOT, f"Page {document.page}")

    page.build(parts, onFirstPage=footer, onLaterPages=footer)
    return out.getvalue()


def posted_words(result: Result) -> str:
    """Whether the result is official, since when, and until when protests are taken."""
    zone = result.division.event.zone
    posted = result.posted
    if posted is None:
        return "Not posted."
    if posted.official_at is not None:
        return f"Official since {_moment(posted.official_at.astimezone(zone))}."
    until = result.protests_until
    told = f" Protests until {until.astimezone(zone):%H:%M}." if until else ""
    told = told if until and timezone.now() < until else ""
    return f"Provisional, posted {_moment(posted.posted_at.astimezone(zone))}.{told}"


def _moment(at: Any) -> str:
    return f"{at.day} {at:%B %Y, %H:%M}"


def _table(result: Result, group: ResultGroup, width: float) -> Table:
    figures = [*result.labels, "Points off"]
    head = ["Place", "Bib", "Rider", "Total", *figures, "Note"]
    rows = [[Paragraph(escape(each), LABEL) for each in head]]
    for row in group.rows:
        cells = [row.place or "–", "" if row.bib is None else str(row.bib)]
        cells += [row.entry.public_name, row.total, *(each for _, each in row.figures)]
        cells += [row.points_off, row.standing.note]
        rows.append(
            [Paragraph(escape(each), STRONG if n < 4 else CELL) for n, each in enumerate(cells)]
        )
    fixed = [PLACE, BIB, RIDER, TOTAL]
    # The note takes what is left, and never less than a fifth of the page.
    room = width - sum(fixed) - width / 5
    each = min(FIGURE, room / len(figures))
    note = width - sum(fixed) - each * len(figures)
    widths = [*fixed, *[each] * len(figures), note]
    return Table(rows, colWidths=widths, repeatRows=1, style=RULES, hAlign="LEFT")
