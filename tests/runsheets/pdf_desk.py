"""What tests of drawn papers share: every line of text with its place on the page."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from runsheets.pdf.page import MARGIN_FOOT, MARGIN_SIDE, MARGIN_TOP

MM = 72 / 25.4


@dataclass(frozen=True)
class Written:
    """A line of text and the box of its letters, without the descenders."""

    page: int
    text: str
    left: float
    low: float
    right: float
    high: float

    def overlaps(self, other: "Written") -> bool:
        beside = self.right <= other.left + 0.1 or other.right <= self.left + 0.1
        above = self.high <= other.low + 0.1 or other.high <= self.low + 0.1
        return not (beside or above)


class Recorder(Canvas):
    """A canvas that remembers every line of text it was given."""

    lines: list[Written] = []

    def drawString(self, x, y, text, *args, **options):
        face, size = self._fontname, self._fontsize
        right = x + stringWidth(text, face, size)
        line = Written(self.getPageNumber(), text, x, y, right, y + 0.7 * size)
        Recorder.lines.append(line)
        super().drawString(x, y, text, *args, **options)


def misplaced(lines: list[Written], paper: str = "a4") -> Iterator[object]:
    """Text outside the margins, and pairs of texts that overlap."""
    width, height = {"a4": (210 * MM, 297 * MM), "letter": (612, 792)}[paper]
    by_page = defaultdict(list)
    for line in lines:
        if line.text:
            by_page[line.page].append(line)
        if line.left < MARGIN_SIDE - 1 or line.right > width - MARGIN_SIDE + 1:
            yield line
        if line.low < MARGIN_FOOT - 1 or line.high > height - MARGIN_TOP + 4:
            yield line
    for together in by_page.values():
        yield from (pair for pair in combinations(together, 2) if pair[0].overlaps(pair[1]))
