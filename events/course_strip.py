"""A course drawn to scale: the water of each pass, its markers and its tricks, as inline SVG.

Positions along the course are percentages of the picture's width and everything else is in
pixels, so the picture fills any width while its words keep their size. Labels are spread over
rows as the narrowest telephone needs it. Nothing is told by colour alone: every kind of mark
has its own outline, and the whole picture is repeated in words in its description.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from itertools import count
from typing import Literal

from events.course_symbols import KINDS, STATES, bar, lead, short, symbol, text
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.language import gettext as _

Direction = Literal["right", "left"]

NARROW = 320.0  # px: the width that labels are spread for
LEFT, SPAN = 4.0, 92.0  # per cent of the width: where the water begins, how far it goes
CHARACTER = 6.9  # px: a generous mean width of a 13 px letter
LINE = 17.0  # px from one line of words to the next
OUTLINE = 17.0  # px: the room that one outline takes
OPEN_END = 1.15  # a pass of no stated length is drawn this much past the last thing on it


@dataclass(frozen=True, slots=True)
class StripMark:
    """A marker at `metres` from the start of its pass.

    `kind` is "start", "end", "cutoff" or "no-pickup"; any other kind is drawn as a plain
    marker. Negative metres lie in the run-in, before the start.
    """

    metres: float
    label: str
    kind: str = "marker"


@dataclass(frozen=True, slots=True)
class StripTick:
    """A trick or a set-up move that uses the water from `from_m` to `to_m` (metres).

    `state` is "expected", "planned", "dropped" or "set-up"; a label may be empty.
    """

    from_m: float
    to_m: float
    label: str
    state: str = "planned"


@dataclass(frozen=True, slots=True)
class StripPass:
    """One pass. `length_m` is None where the format does not state it.

    `direction` is the way the boat goes on the picture. `bonus` names what is offered after
    the pass, None for nothing; `note` is one more sentence under the heading.
    """

    pass_no: int
    length_m: float | None
    marks: tuple[StripMark, ...] = ()
    ticks: tuple[StripTick, ...] = ()
    direction: Direction = "right"
    bonus: str | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class _Scale:
    """Metres to per cent of the width, the same for every pass of a picture."""

    low: float
    high: float

    def at(self, metres: float, direction: Direction) -> float:
        share = (metres - self.low) / (self.high - self.low)
        if direction == "left":
            share = 1 - share
        return LEFT + SPAN * share


def course_strip(
    passes: Sequence[StripPass], *, title: str, units: Units = AS_PUBLISHED
) -> str:
    """The passes one below the other, as the text of an accessible `<svg>`.

    All passes share one scale. A pass ridden to the left starts at the right-hand edge, so
    that a there-and-back course is seen as it lies on the water.
    """
    scale = _scale(passes)
    parts: list[str] = []
    y = 0.0
    for one in passes:
        drawn, y = _draw_pass(one, scale, y, units)
        parts += drawn
    drawn, y = _draw_legend(passes, y)
    parts += drawn
    words = " ".join(strip_words(one, units) for one in passes)
    return (
        f'<svg class="course-strip" xmlns="http://www.w3.org/2000/svg" role="img" '
        f'width="100%" height="{short(y + 4)}" font-size="13" fill="currentColor">'
        f"<title>{escape(title)}</title><desc>{escape(words)}</desc>{''.join(parts)}</svg>"
    )


def strip_words(one: StripPass, units: Units = AS_PUBLISHED) -> str:
    """What the picture shows of one pass, in sentences."""
    sentences = [_heading(one, units)]
    marks = sorted(one.marks, key=lambda mark: mark.metres)
    sentences += [
        f"{_(KINDS.get(m.kind, KINDS['marker']))}: {_mark_label(m, units)}" for m in marks
    ]
    sentences += [
        _("{state}: {trick}, {start} to {end}").format(
            state=_(STATES.get(tick.state, tick.state)),
            trick=tick.label or _("no name"),
            start=units.metres(tick.from_m),
            end=units.metres(tick.to_m),
        )
        for tick in one.ticks
    ]
    if one.bonus:
        sentences.append(_after(one))
    if one.note:
        sentences.append(one.note)
    return " ".join(f"{sentence.rstrip('.')}." for sentence in sentences)


def _scale(passes: Sequence[StripPass]) -> _Scale:
    """The stretch of water that holds every pass; 1 m of it where nothing is stated."""
    lows, highs = [0.0], [0.0]
    for one in passes:
        things = [mark.metres for mark in one.marks]
        things += [metres for tick in one.ticks for metres in (tick.from_m, tick.to_m)]
        lows += things
        highs += things
        if one.length_m is not None:
            highs.append(one.length_m)
        elif things:
            highs.append(max(things) * OPEN_END)
    low, high = min(lows), max(highs)
    return _Scale(low, high if high > low else low + 1)


def _draw_pass(
    one: StripPass, scale: _Scale, y: float, units: Units
) -> tuple[list[str], float]:
    """The drawing of one pass from `y` down, and where it ends."""
    y += LINE
    parts = [text("0", y, _heading(one, units), "start", "strip-head")]
    for line in (_after(one), one.note):
        if line:
            y += LINE
            parts.append(text("0", y, line, "start", "strip-note"))
    ticks, y = _draw_ticks(one, scale, y + 6)
    parts += [*_draw_water(one, scale, y), *ticks]
    marks, y = _draw_marks(one, scale, y, units)
    return [*parts, *marks], y + LINE


def _draw_water(one: StripPass, scale: _Scale, y: float) -> Iterator[str]:
    """The water: a band and a line from start to end, dashed where the end is not stated."""
    far = scale.high if one.length_m is None else one.length_m
    start, end = scale.at(0, one.direction), scale.at(far, one.direction)
    left, width = short(min(start, end)), short(abs(end - start))
    yield (
        f'<rect class="strip-water" x="{left}%" y="{short(y)}" width="{width}%" height="12" '
        f'fill="currentColor" fill-opacity="0.12"/>'
    )
    dash = ' stroke-dasharray="7 6"' if one.length_m is None else ""
    yield (
        f'<line class="strip-line" x1="{short(start)}%" x2="{short(end)}%" y1="{short(y)}" '
        f'y2="{short(y)}" stroke="currentColor" stroke-width="2"{dash}/>'
    )
    for share in (0.25, 0.5, 0.75):
        yield symbol(f"way-{one.direction}", start + (end - start) * share, y + 6)
    if one.bonus and one.length_m is not None:
        yield symbol("bonus", end, y, shift=12 if one.direction == "right" else -12)


def _draw_ticks(one: StripPass, scale: _Scale, y: float) -> tuple[list[str], float]:
    """Tricks as bars on the water, their names above, and where the water then lies."""
    rows = _Rows()
    placed = []
    for tick in one.ticks:
        ends = [scale.at(metres, one.direction) for metres in (tick.from_m, tick.to_m)]
        middle = sum(ends) / 2
        name = (
            _("{trick} (dropped)").format(trick=tick.label)
            if tick.state == "dropped"
            else tick.label
        )
        anchor, left, right = _words_span(middle, name)
        row = rows.place(left, right) if name else 0
        placed.append((tick.state, name, min(ends), max(ends), middle, anchor, row))
    top = y
    y += rows.used * LINE + 16
    parts = []
    for state, name, left, right, middle, anchor, row in placed:
        if name:
            baseline = top + (rows.used - row) * LINE - 4
            parts.append(lead(middle, baseline + 3, y - 12))
            parts.append(text(f"{short(middle)}%", baseline, name, anchor, "strip-tick-name"))
        parts.append(bar(state, left, right, y))
    return parts, y


def _draw_marks(
    one: StripPass, scale: _Scale, y: float, units: Units
) -> tuple[list[str], float]:
    """Markers at their metres, with their words below.

    An outline lies on the water itself, or, where it would cover the one before it, beside
    its words at the foot of a line from its place on the water.
    """
    rows = _Rows()
    parts, last = [], -NARROW
    for mark in sorted(one.marks, key=lambda mark: scale.at(mark.metres, one.direction)):
        at = scale.at(mark.metres, one.direction)
        x = at / 100 * NARROW
        crowded = x - last < OUTLINE
        last = last if crowded else x
        words = _mark_label(mark, units)
        anchor, left, right = _words_span(at, words, beside=crowded)
        row = rows.place(left, right)
        baseline = y + 28 + row * LINE
        if row or crowded or mark.kind not in ("start", "end"):
            parts.append(lead(at, y, baseline - 12))
        parts.append(symbol(mark.kind, at, baseline - 4.5 if crowded else y))
        shift = {"start": 12, "end": -12}.get(anchor, 0) if crowded else 0
        parts.append(text(f"{short(at)}%", baseline, words, anchor, "strip-mark-name", shift))
    return parts, y + 14 + rows.used * LINE


def _draw_legend(passes: Sequence[StripPass], y: float) -> tuple[list[str], float]:
    """What each outline stands for, in words, in two columns; only those on the picture."""
    kinds = {m.kind if m.kind in KINDS else "marker" for one in passes for m in one.marks}
    states = {tick.state for one in passes for tick in one.ticks}
    keys = [(kind, _(words)) for kind, words in KINDS.items() if kind in kinds]
    keys += [(f"tick-{state}", _(words)) for state, words in STATES.items() if state in states]
    parts = []
    y += 10
    for place, (kind, words) in enumerate(keys):
        x, down = place % 2 * NARROW / 2, y + place // 2 * (LINE + 4)
        parts.append(symbol(kind, 0, down, shift=x + 9))
        parts.append(text(short(x + 24), down + 4.5, words, "start", "strip-key"))
    return parts, y + (len(keys) + 1) // 2 * (LINE + 4)


class _Rows:
    """Spreads stretches over as few rows as keep them apart, in the order they come."""

    def __init__(self) -> None:
        self._taken: list[list[tuple[float, float]]] = []

    @property
    def used(self) -> int:
        return len(self._taken)

    def place(self, left: float, right: float) -> int:
        """The first row with room from `left` to `right` (px)."""
        for row in count():
            if row == len(self._taken):
                self._taken.append([])
            if all(right <= a or b <= left for a, b in self._taken[row]):
                self._taken[row].append((left, right))
                return row
        raise AssertionError("count() never ends")


def _words_span(at: float, words: str, beside: bool = False) -> tuple[str, float, float]:
    """How words at `at` per cent are anchored to stay inside, and the px they cover.

    Words `beside` an outline start or end next to it; others are centred below it if they can.
    """
    x, width = at / 100 * NARROW, len(words) * CHARACTER + 8
    if beside:
        width += OUTLINE
        return ("start", x - 9, x + width) if x + width <= NARROW else ("end", x - width, x + 9)
    if x - width / 2 < 0:
        return "start", x, x + width
    if x + width / 2 > NARROW:
        return "end", x - width, x
    return "middle", x - width / 2, x + width / 2


def _heading(one: StripPass, units: Units) -> str:
    said = (
        _("Pass {number}: left to right, {length}")
        if one.direction == "right"
        else _("Pass {number}: right to left, {length}")
    )
    length = _("length not stated")
    if one.length_m is not None:
        length = units.metres(one.length_m, beside=True)
    return said.format(number=one.pass_no, length=length)


def _after(one: StripPass) -> str:
    return _("After the pass: {bonus}").format(bonus=one.bonus) if one.bonus else ""


def _mark_label(mark: StripMark, units: Units) -> str:
    return f"{mark.label}, {units.metres(mark.metres)}"
