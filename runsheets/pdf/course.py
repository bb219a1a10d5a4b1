"""The course drawn to scale: a pass as a line, buoys at its ends, markers in between."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from events.rules.language import gettext as _
from runsheets.pdf.fonts import BOLD, HEAD, REGULAR, Faces
from runsheets.pdf.page import BLACK, FINE, GREY, LEADING, Pen, SetText, fit
from runsheets.sheets import CourseStrip, StripMark

TITLE_WIDTH = 62.0
END_ROOM, START_ROOM = 88.0, 24.0
LINE_WEIGHT = 2.0
BUOY = 4.0
STEM = 9.0
LABEL_SIZE, METRES_SIZE, TITLE_SIZE = 8.0, 8.0, 12.0
LABEL_WIDTH = 190.0
LABEL_STEP = LABEL_SIZE * LEADING + 1
BELOW = 17.0
NEAR = 4.0


@dataclass(frozen=True)
class PlacedMark:
    """A marker on the line: its words with their left edge and level above the line, and
    its metres with their centre and depth below it. All from the start of the line."""

    x: float
    label: SetText
    left: float
    level: float
    metres: SetText
    centre: float
    depth: int


@dataclass(frozen=True)
class Strip:
    """A measured pass. `length` is the drawn length of the line in points."""

    title: SetText
    length: float
    end: SetText
    marks: tuple[PlacedMark, ...]
    gap = 9.0
    lead = None

    @property
    def _above(self) -> float:
        tops = [mark.level + mark.label.height for mark in self.marks]
        return max([BUOY + 6, *(STEM + top for top in tops)])

    @property
    def height(self) -> float:
        """Height from the highest label to the metres below the line."""
        deepest = max([mark.depth for mark in self.marks], default=0)
        return max(self._above + BELOW + deepest * LABEL_STEP, self.title.height + BELOW)

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw the line with its title at the left and everything that stands on it."""
        y += self._above
        start = x + TITLE_WIDTH
        pen.say(x, y + self.title.size * 0.35, self.title)
        pen.rule(start, y, start + self.length, y, LINE_WEIGHT)
        for mark in self.marks:
            self._draw_mark(pen, start, y, mark)
        for at in (0.0, self.length):
            pen.disc(start + at, y, BUOY, 1.6, fill=1)
        below = y + BELOW - 3
        pen.say(
            start - BUOY, below, fit(pen.faces, _("start"), REGULAR, 60, METRES_SIZE), ink=GREY
        )
        pen.say(start + self.length + BUOY, below, self.end, "right")

    def _draw_mark(self, pen: Pen, start: float, y: float, mark: PlacedMark) -> None:
        x = start + mark.x
        pen.rule(x, y + 6, x, y - STEM - mark.level - mark.label.height + 2, FINE)
        pen.box(x - 2.2, y - 5, 4.4, 10, fill=BLACK)
        foot = mark.level + mark.label.height - mark.label.size * LEADING
        pen.say(start + mark.left, y - STEM - foot, mark.label)
        below = y + BELOW - 3 + mark.depth * LABEL_STEP
        pen.say(start + mark.centre, below, mark.metres, "centre")


def measure_strips(faces: Faces, strips: Sequence[CourseStrip], width: float) -> list[Strip]:
    """Set the passes within a width, all to the scale of the longest."""
    longest = max((strip.length_m for strip in strips), default=0)
    room = width - TITLE_WIDTH - BUOY
    return [_strip(faces, strip, room / longest, room) for strip in strips if longest]


def _strip(faces: Faces, strip: CourseStrip, scale: float, room: float) -> Strip:
    end = fit(
        faces,
        _("end {metres} m").format(metres=f"{strip.length_m:g}"),
        BOLD,
        END_ROOM,
        METRES_SIZE,
    )
    length = strip.length_m * scale
    title = fit(faces, strip.title, HEAD, TITLE_WIDTH - 10, TITLE_SIZE, 9)
    labels = _sides([_label(faces, mark, scale, room) for mark in _merged(strip.marks)], room)
    return Strip(title, length, end, tuple(_depths(_levels(labels), length - end.width)))


def _merged(marks: Sequence[StripMark]) -> list[StripMark]:
    """The markers from start to end; those in one place are one, with all the words."""
    words: dict[float, list[str]] = {}
    for mark in sorted(marks, key=lambda mark: mark.metres):
        words.setdefault(mark.metres, []).append(mark.label)
    return [StripMark(metres, " · ".join(said)) for metres, said in words.items()]


def _label(faces: Faces, mark: StripMark, scale: float, room: float) -> PlacedMark:
    x = mark.metres * scale
    label = fit(faces, mark.label, REGULAR, LABEL_WIDTH, LABEL_SIZE, LABEL_SIZE - 1)
    metres = fit(faces, f"{mark.metres:g} m", BOLD, LABEL_WIDTH, METRES_SIZE)
    centre = min(x, room + BUOY - metres.width / 2)
    return PlacedMark(x, label, x + NEAR, 0, metres, centre, 0)


def _sides(marks: list[PlacedMark], room: float) -> list[PlacedMark]:
    """Words stand right of their stem; left of it where the page ends or a stem would cross."""
    placed: list[PlacedMark] = []
    for mark in reversed(marks):
        crossed = any(o.left < mark.x < o.x for o in placed)
        if crossed or mark.left + mark.label.width > room:
            mark = replace(mark, left=mark.x - NEAR - mark.label.width)
        placed.insert(0, mark)
    return placed


def _levels(marks: list[PlacedMark]) -> list[PlacedMark]:
    """Lift words over all they would touch: left ones from the left, then right ones from
    the right, so that no stem runs through words."""
    step = max((mark.label.height for mark in marks), default=0) + 1
    leftward = [mark for mark in marks if mark.left < mark.x]
    rightward = [mark for mark in reversed(marks) if mark.left >= mark.x]
    placed: list[PlacedMark] = []
    for mark in leftward + rightward:
        touched = [other.level for other in placed if _touch(mark, other)]
        level = max(touched) + step if touched else 0.0
        placed.append(replace(mark, level=level))
    return sorted(placed, key=lambda mark: mark.x)


def _touch(mark: PlacedMark, other: PlacedMark) -> bool:
    right, other_right = (max(m.x, m.left + m.label.width) for m in (mark, other))
    left, other_left = (min(m.x, m.left) for m in (mark, other))
    return left < other_right + NEAR and other_left < right + NEAR


def _depths(marks: list[PlacedMark], free: float) -> list[PlacedMark]:
    """Lower the metres of a marker below those that they would touch."""
    placed: list[PlacedMark] = []
    for mark in marks:
        half = mark.metres.width / 2
        depths = [
            other.depth
            for other in placed
            if mark.centre - half < other.centre + other.metres.width / 2 + NEAR
        ]
        at_an_end = mark.centre + half > free - NEAR or mark.centre - half < START_ROOM
        depth = max(max(depths, default=-1) + 1, int(at_an_end))
        placed.append(replace(mark, depth=depth))
    return placed
