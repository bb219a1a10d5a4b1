"""Paper, inks and a pen: the few marks that every sheet is made of.

All lengths are points (1/72 inch). Unlike in PDF itself, y grows downwards from the top
edge, as one reads.
"""

import re
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Any

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.pdfbase.pdfmetrics import stringWidth

from runsheets.pdf.fonts import Faces

MM = 72 / 25.4
PAPERS = {"a4": A4, "letter": LETTER}

# Inks: 0 is black, 1 is paper. No meaning hangs on them, so that any copier will do.
BLACK, GREY, PALE, WHITE = 0.0, 0.38, 0.92, 1.0

MARGIN_SIDE = 14 * MM
MARGIN_TOP = 11 * MM
MARGIN_FOOT = 10 * MM
FOOTER = 8 * MM

HEAVY, MEDIUM, FINE, HAIR = 2.4, 1.1, 0.7, 0.45

LEADING = 1.24
MOST_LINES = 12  # an endless text is cut here, with an ellipsis
SHRINK = 0.5
AFTER_HYPHEN = re.compile(r"(?<=[-‐–/])")


@dataclass(frozen=True)
class Frame:
    """The page and the part of it between the margins, above the footer."""

    width: float
    height: float

    @classmethod
    def of(cls, paper: str) -> "Frame":
        """The frame of "a4" or "letter"; ValueError for another paper."""
        if paper.lower() not in PAPERS:
            raise ValueError(f"Paper is a4 or letter, not {paper}.")
        return cls(*PAPERS[paper.lower()])

    left = MARGIN_SIDE
    top = MARGIN_TOP

    @property
    def right(self) -> float:
        """Right edge of the printed part."""
        return self.width - MARGIN_SIDE

    @property
    def bottom(self) -> float:
        """Where the body ends and the footer begins."""
        return self.height - MARGIN_FOOT - FOOTER

    @property
    def measure(self) -> float:
        """Width of the printed part."""
        return self.right - self.left


# Papers say the same few words over and over: what was measured once is kept.
@lru_cache(maxsize=8192)
def text_width(text: str, face: str, size: float) -> float:
    """The width of a text in points."""
    return float(stringWidth(text, face, size))


@dataclass(frozen=True)
class SetText:
    """Text that is set: printable lines in one face and size."""

    lines: tuple[str, ...]
    face: str
    size: float

    @cached_property
    def height(self) -> float:
        """From the top of the first line's box to the bottom of the last."""
        return len(self.lines) * self.size * LEADING

    @cached_property
    def width(self) -> float:
        """Width of the longest line."""
        return max((text_width(line, self.face, self.size) for line in self.lines), default=0)


@lru_cache(maxsize=8192)
def fit(
    faces: Faces,
    text: str,
    face: str,
    width: float,
    largest: float,
    smallest: float = 0,
    most_lines: int = MOST_LINES,
) -> SetText:
    """Set a text within a width: as large as fits on one line, else wrapped at `smallest`.

    Nothing is cut, except a text that would run beyond `most_lines`.
    """
    text = faces.printable(text)
    face = faces.choose(text, face)
    smallest = smallest or largest
    size = largest
    while size > smallest and text_width(text, face, size) > width:
        size = max(smallest, size - SHRINK)
    lines = wrap(text, face, size, width)
    if len(lines) > most_lines:
        lines = [*lines[: most_lines - 1], _ended(lines[most_lines - 1], face, size, width)]
    return SetText(tuple(lines), face, size)


def wrap(text: str, face: str, size: float, width: float) -> list[str]:
    """Break a text at spaces, and within words that are wider than the line."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if text_width(longer, face, size) <= width:
            line = longer
            continue
        if line:
            lines.append(line)
        *full, line = _pieces(word, face, size, width)
        lines += full
    return [*lines, line] if line else lines


def _pieces(word: str, face: str, size: float, width: float) -> list[str]:
    """A word that is wider than the line: after a hyphen if there is one, else anywhere."""
    pieces, piece = [], ""
    for part in AFTER_HYPHEN.split(word):
        if piece and text_width(piece + part, face, size) > width:
            pieces.append(piece)
            piece = ""
        for each in part:
            if piece and text_width(piece + each, face, size) > width:
                pieces.append(piece)
                piece = ""
            piece += each
    return [*pieces, piece]


def _ended(line: str, face: str, size: float, width: float) -> str:
    while line and text_width(f"{line}…", face, size) > width:
        line = line[:-1]
    return f"{line}…"


@dataclass(frozen=True)
class Pen:
    """Draws on one canvas page; `canvas` is reportlab's. `seen` collects what it wrote."""

    canvas: Any
    frame: Frame
    faces: Faces
    seen: set[str] = field(default_factory=set)

    def say(
        self, x: float, y: float, text: SetText, align: str = "left", ink: float = BLACK
    ) -> float:
        """Write set text with its first baseline at y; return the last baseline."""
        shift = {"left": 0.0, "centre": 0.5, "right": 1.0}[align]
        self.canvas.setFillGray(ink)
        self.canvas.setFont(text.face, text.size)
        self.seen.update(text.lines)
        for line in text.lines:
            start = x - shift * text_width(line, text.face, text.size) if shift else x
            self.canvas.drawString(start, self.frame.height - y, line)
            y += text.size * LEADING
        return y - text.size * LEADING if text.lines else y

    def rule(
        self, x1: float, y1: float, x2: float, y2: float, weight: float, ink: float = BLACK
    ) -> None:
        """Draw a straight line."""
        self.canvas.setStrokeGray(ink)
        self.canvas.setLineWidth(weight)
        self.canvas.line(x1, self.frame.height - y1, x2, self.frame.height - y2)

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        weight: float = 0,
        fill: float | None = None,
    ) -> None:
        """Draw a rectangle from its upper left corner, outlined if `weight` is given."""
        if fill is not None:
            self.canvas.setFillGray(fill)
        self.canvas.setStrokeGray(BLACK)
        self.canvas.setLineWidth(weight)
        low = self.frame.height - y - height
        self.canvas.rect(
            x, low, width, height, stroke=int(weight > 0), fill=int(fill is not None)
        )

    def disc(self, x: float, y: float, radius: float, weight: float, fill: float) -> None:
        """Draw a circle around a point."""
        self.canvas.setStrokeGray(BLACK)
        self.canvas.setLineWidth(weight)
        self.canvas.setFillGray(fill)
        self.canvas.circle(x, self.frame.height - y, radius, stroke=1, fill=1)
