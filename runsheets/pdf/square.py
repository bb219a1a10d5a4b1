"""An address as a QR code (ISO/IEC 18004), with the address in letters beside it."""

from dataclasses import dataclass
from itertools import groupby

import segno

from runsheets.papers.paper import Square
from runsheets.pdf.fonts import BOLD, REGULAR, Faces
from runsheets.pdf.page import BLACK, MM, Pen, SetText, fit

SIDE = 30 * MM  # with the quiet zone; read from an arm's length
QUIET = 4  # modules of plain paper around it, as the standard asks
BESIDE = 8.0
SENTENCE, ADDRESS, ADDRESS_SMALLEST = 9.5, 8.5, 7.0
ERROR_LEVEL = "m"  # a code that is 15 % dirty or wet can still be read


@dataclass(frozen=True)
class SetSquare:
    """A measured code."""

    modules: tuple[tuple[int, ...], ...]
    sentence: SetText
    address: SetText
    gap = 9.0
    lead = None

    @property
    def height(self) -> float:
        """Height of the code with its quiet zone."""
        return max(SIDE, self.sentence.height + self.address.height + 2 * BESIDE)

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it with its upper left corner at (x, y)."""
        module = SIDE / (len(self.modules) + 2 * QUIET)
        for row, line in enumerate(self.modules):
            at = 0
            for dark, run in groupby(line):
                length = len(list(run))
                if dark:
                    left = x + (QUIET + at) * module
                    # A hair taller, so that no light line stays between two rows.
                    top = y + (QUIET + row) * module
                    pen.box(left, top, length * module, module * 1.02, fill=BLACK)
                at += length
        left = x + SIDE + BESIDE
        first = y + QUIET * module + self.sentence.size * 0.95
        last = pen.say(left, first, self.sentence)
        pen.say(left, last + self.address.size * 1.6, self.address)


def measure_square(faces: Faces, square: Square, width: float) -> SetSquare:
    """Set a code within a width."""
    code = segno.make(square.address, error=ERROR_LEVEL, micro=False)
    room = width - SIDE - BESIDE
    return SetSquare(
        tuple(tuple(int(bool(module)) for module in row) for row in code.matrix),
        fit(faces, square.sentence, REGULAR, room, SENTENCE),
        fit(faces, square.address, BOLD, room, ADDRESS, ADDRESS_SMALLEST),
    )
