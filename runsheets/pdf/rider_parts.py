"""How a rider's run goes on pages: whole, smaller, or in parts."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from events.rules.language import gettext as _
from events.rules.language import mark
from runsheets.papers.paper import JudgedRun
from runsheets.pdf.fonts import Faces
from runsheets.pdf.pass_column import DENSITIES
from runsheets.pdf.rider_block import RiderBlock, joined, measure_rider
from runsheets.sheets import PassRows

Fits = Callable[[tuple[PassRows, ...]], bool]
PART = mark("Part {number} of {total}")
MOST_PARTS = 99


def rider_blocks(faces: Faces, run: JudgedRun, width: float, most: float) -> list[RiderBlock]:
    """Set a rider within a width, as one block of at most `most` points if at all possible.

    A run too long for a page in the usual size is set smaller. One that is too long even
    so is parted into blocks of whole passes, and a pass too long for a page into blocks of
    lines; each carries the rider's number and name, and the last one the boxes for falls
    and marks.
    """
    for density in DENSITIES:
        block = measure_rider(faces, run, width, density)
        if block.height <= most:
            return [block]
    sheet = run.sheet

    def fits(passes: tuple[PassRows, ...]) -> bool:
        note = joined(sheet.note, _part(MOST_PARTS, MOST_PARTS))
        trial = replace(run, sheet=replace(sheet, passes=passes, note=note))
        return measure_rider(faces, trial, width, DENSITIES[0]).height <= most

    parts = list(_parts(sheet.passes, fits))
    blocks = []
    for number, passes in enumerate(parts, start=1):
        note = joined(sheet.note, _part(number, len(parts)))
        part = replace(run, sheet=replace(sheet, passes=passes, note=note))
        if number < len(parts):
            part = replace(part, marks=(), falls=0)
        blocks.append(measure_rider(faces, part, width, DENSITIES[0]))
    return blocks


def _part(number: int, total: int) -> str:
    return _(PART).format(number=number, total=total)


def _parts(passes: Sequence[PassRows], fits: Fits) -> Iterator[tuple[PassRows, ...]]:
    portion: tuple[PassRows, ...] = ()
    for each in passes:
        for piece in _pieces(each, fits):
            if portion and not fits((*portion, piece)):
                yield portion
                portion = ()
            portion = (*portion, piece)
    if portion:
        yield portion


def _pieces(each: PassRows, fits: Fits) -> list[PassRows]:
    """A pass in as few pieces of about the same number of lines as fit a page each."""
    total = len(each.lines) + len(each.bonus)
    for count in range(1, total + 1):
        pieces = _cut(each, -(-total // count))
        if all(fits((piece,)) for piece in pieces):
            return pieces
    return _cut(each, 1)


def _cut(each: PassRows, size: int) -> list[PassRows]:
    tagged = [(line, False) for line in each.lines] + [(line, True) for line in each.bonus]
    pieces = []
    for at in range(0, len(tagged), size):
        chunk = tagged[at : at + size]
        lines = tuple(line for line, is_bonus in chunk if not is_bonus)
        bonus = tuple(line for line, is_bonus in chunk if is_bonus)
        heading = _("{heading}, continued").format(heading=each.heading) if at else each.heading
        pieces.append(PassRows(heading, lines, bonus))
    return pieces
