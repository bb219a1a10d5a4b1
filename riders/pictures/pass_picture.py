"""One pass of a run seen from above: the wake, markers, the rider's line, and the key."""

from collections.abc import Iterator
from dataclasses import dataclass
from textwrap import wrap

from events.course_symbols import short, symbol
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.trick import Stance
from riders.pictures.course import Marker, Water
from riders.pictures.ink import (
    CHARACTER,
    DISC,
    LINE,
    NARROW,
    box,
    disc,
    line,
    loop,
    say,
    width_of,
)
from riders.pictures.track import WAKE, Kind, Track, track_of
from riders.pictures.words import DROPPED, named, number, set_up, start_of, way
from riders.planning.route import PassRoute, Route, Side, Step

LEFT, SPAN = 4.0, 92.0  # per cent of the width: where the water begins, how far it goes
OUTSIDE = 31.0  # px from the boat's line to the rider outside the wake
REACH = OUTSIDE + 8  # px: how far markers reach across
KEY_INDENT = 26.0
CLEAR = 2 * DISC + 1
DASHES = {Kind.CROSS: "2 5", Kind.DROPPED: "7 5"}


@dataclass(frozen=True, slots=True)
class Stretch:
    """The metres that every pass of a picture shows; `extra_m` is given to a bonus trick."""

    low: float
    high: float
    extra_m: float


class PassPicture:
    """One pass: heading, water, the rider's line with numbers, markers, and its key."""

    def __init__(
        self,
        route: Route,
        each: PassRoute,
        water: Water,
        format: Format,
        stretch: Stretch,
        units: Units = AS_PUBLISHED,
    ) -> None:
        self.each, self.water, self.stretch, self.units = each, water, stretch, units
        start = start_of(route, each.pass_no)
        self.track: Track = track_of(each, format, start, stretch.extra_m)
        self.middle = self.foot = self.bottom = 0.0

    def parts(self, top: float) -> Iterator[str]:
        """Everything, from `top` down; `bottom` is then where it ends."""
        y = top + LINE
        yield say("0", y, self.water.heading(self.units), "picture-head")
        self.middle = y + 30 + OUTSIDE
        yield from self._sides()
        yield from self._wake()
        yield from self._marks()
        yield from self._rider()
        yield from self._key()

    def x(self, metres: float) -> float:
        """Metres from the start of the pass in per cent of the width."""
        low, high = self.stretch.low, self.stretch.high
        share = (metres - low) / (high - low)
        return LEFT + SPAN * (1 - share if self.water.back else share)

    def y(self, lane: float) -> float:
        """A lane in px: port lies above where the boat goes to the right."""
        down = -lane if self.water.back else lane
        return self.middle + down * OUTSIDE

    @property
    def _far(self) -> float:
        return self.track.end_m if self.water.length_m is None else self.water.length_m

    def _sides(self) -> Iterator[str]:
        back = self.water.back
        x, anchor = ("100%", "end") if back else ("0", "start")
        above, below = (Side.STARBOARD, Side.PORT) if back else (Side.PORT, Side.STARBOARD)
        yield say(x, self.middle - REACH - 3, above.words, "soft", anchor)
        yield say(x, self.middle + REACH + 13, below.words, "soft", anchor)

    def _wake(self) -> Iterator[str]:
        start, end = sorted((self.x(0), self.x(self._far)))
        inner = WAKE * OUTSIDE
        yield box("wake-water", start, self.middle - inner, end - start, 2 * inner,
                  opacity=0.09)  # fmt: skip
        for side in (-inner, inner):
            yield line("wake", start, self.middle + side, end, self.middle + side)
        numbers = [self.x(spot.metres) for spot in self.track.spots if spot.step]
        for share in (0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875):
            at = start + (end - start) * share
            if all(abs(at - other) / 100 * NARROW > DISC + 6 for other in numbers):
                yield symbol("way-left" if self.water.back else "way-right", at, self.middle)

    def _marks(self) -> Iterator[str]:
        """Buoys on the water; other markers across it, with their metres at the foot."""
        yield symbol("start", self.x(0), self.middle)
        if self.water.length_m is not None:
            yield symbol("end", self.x(self.water.length_m), self.middle)
        word = max(width_of(side.words) for side in Side) + 6
        at_start = (NARROW - word, NARROW) if self.water.back else (0.0, word)
        rows = [[at_start]]
        placed = [(metres, marks, self._row(metres, marks, rows))
                  for metres, marks in self.water.grouped().items()]  # fmt: skip
        base = self.middle + REACH + 13
        for metres, _marks, row in placed:
            at = self.x(metres)
            yield line("marker-line", at, self.middle - REACH, at, base + row * LINE - 12)
        # Words come after all lines, so that none is struck out by another marker's.
        for metres, marks, row in placed:
            yield from self._mark_words(metres, marks, base + row * LINE)
        self.foot = base + (len(rows) - 1) * LINE

    def _words_place(self, metres: float, marks: list[Marker]) -> tuple[str, float, float]:
        """How the words of markers are anchored, and the px they cover with their symbols."""
        x, words = self.x(metres) / 100 * NARROW, width_of(self.units.metres(metres))
        if not _symbols(marks) and words / 2 <= x <= NARROW - words / 2:
            return "middle", x - words / 2, x + words / 2
        width = 18.0 * len(_symbols(marks)) + words
        if x - 9 + width <= NARROW:
            return "start", x - 9, x - 9 + width
        return "end", x + 9 - width, x + 9

    def _row(
        self, metres: float, marks: list[Marker], rows: list[list[tuple[float, float]]]
    ) -> int:
        _, left, right = self._words_place(metres, marks)
        return _free_row(rows, left - 4, right + 4)

    def _mark_words(self, metres: float, marks: list[Marker], foot: float) -> Iterator[str]:
        at, kinds = self.x(metres), _symbols(marks)
        anchor = self._words_place(metres, marks)[0]
        side = {"start": 1, "middle": 0, "end": -1}[anchor]
        for place, kind in enumerate(kinds):
            yield symbol(kind, at, foot - 4.5, shift=18.0 * place * side)
        shift = (18.0 * len(kinds) - 6) * side
        words = self.units.metres(metres)
        yield say(f"{short(at)}%", foot, words, "metres", anchor, shift)

    def _rider(self) -> Iterator[str]:
        for stroke in self.track.strokes:
            yield line(
                f"rider rider--{stroke.kind}",
                self.x(stroke.from_m),
                self.y(stroke.from_lane),
                self.x(stroke.to_m),
                self.y(stroke.to_lane),
                DASHES.get(stroke.kind, ""),
            )
        buoys = [0.0] if self.water.length_m is None else [0.0, self.water.length_m]
        taken = [(self.x(metres) / 100 * NARROW, self.middle) for metres in buoys]
        for spot in self.track.spots:
            at, y = self.x(spot.metres), self.y(spot.lane)
            if spot.step is None:
                yield loop(at, y - 1, dropped=not spot.fits)
                continue
            y = _clear(at, y, self.middle, taken)
            yield disc(number(spot.step), at, y, disc_kind(spot.step))

    def _key(self) -> Iterator[str]:
        """The tricks by number: their names, and where they go."""
        y = self.foot + 8
        for step in self.each.steps:
            first = True
            for words, soft in _key_lines(step):
                y += LINE if not first else LINE + 3
                if first:
                    yield disc(number(step), 0, y - 4.5, disc_kind(step), DISC + 1)
                yield _two_inks(y, words, soft)
                first = False
        if not self.each.steps:
            y += LINE
            yield say("0", y, _("No tricks planned."), "soft")
        self.bottom = y + 14


def _clear(at: float, y: float, middle: float, taken: list[tuple[float, float]]) -> float:
    """The nearest height at which a disc covers none of those before it."""
    x = at / 100 * NARROW
    for move in (0.0, -CLEAR, CLEAR, -1.6 * CLEAR, 1.6 * CLEAR):
        free = all(abs(x - a) >= CLEAR - 1 or abs(y + move - b) >= CLEAR - 1 for a, b in taken)
        if free and abs(y + move - middle) <= REACH:
            y += move
            break
    taken.append((x, y))
    return y


def _key_lines(step: Step) -> Iterator[tuple[str, str]]:
    """(trick, where it goes) of each line: one line where both have room."""
    name = named(step)
    goes = ", ".join(filter(None, [set_up(step), way(step)]))
    soft = goes if step.fits else _(DROPPED)
    most = int((NARROW - KEY_INDENT) / CHARACTER)
    if len(name) + len(soft) + 2 <= most:
        yield name, soft
        return
    for words in wrap(name, most):
        yield words, ""
    yield "", soft


def _two_inks(y: float, words: str, soft: str) -> str:
    if not words:
        return say(short(KEY_INDENT), y, soft, "soft")
    drawn = say(short(KEY_INDENT), y, words, "words")
    if not soft:
        return drawn
    # The soft words follow the others at whatever width those have.
    ending = "</text>"
    inner = say("0", y, soft, "soft").partition(">")[2].removesuffix(ending)
    return f'{drawn.removesuffix(ending)}<tspan class="soft" dx="8">{inner}</tspan>{ending}'


def disc_kind(step: Step) -> str:
    """How the number of a trick is drawn, by its stance and whether it fits."""
    stance = "switch" if step.before.stance is Stance.SWITCH else "own"
    return stance if step.fits else f"{stance} dropped"


def _symbols(marks: list[Marker]) -> list[str]:
    """The kinds to draw at the foot; the end has its buoy on the water."""
    return [mark.kind for mark in marks if mark.kind != "end"]


def _free_row(rows: list[list[tuple[float, float]]], left: float, right: float) -> int:
    for at, row in enumerate(rows):
        if all(right <= a or b <= left for a, b in row):
            row.append((left, right))
            return at
    rows.append([(left, right)])
    return len(rows) - 1
