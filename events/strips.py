"""A format's passes as course strips: the markers to scale, and what is ridden between them."""

from collections.abc import Mapping, Sequence

from events.course_strip import StripMark, StripPass, StripTick, course_strip
from events.rules.format import Format
from events.rules.units import plain
from events.rules.words import Course

PASSES_USUAL = 2  # drawn where the format does not say how many there are


def strip_passes(
    format: Format, ticks: Mapping[int, Sequence[StripTick]] | None = None
) -> list[StripPass]:
    """Every pass of a format with its markers; without `ticks`, with the tricks expected."""
    count = format.passes.count or max([PASSES_USUAL, *(ticks or {})])
    return [
        StripPass(
            number,
            format.pass_length(number),
            tuple(_marks(format, number)),
            tuple(_expected(format, number) if ticks is None else ticks.get(number, ())),
            "left" if _comes_back(format, number) else "right",
            _bonus(format, number),
        )
        for number in range(1, count + 1)
    ]


def format_strip(format: Format, title: str) -> str:
    """The strip of a format as SVG, with the tricks expected in each pass."""
    return course_strip(strip_passes(format), title=title)


def _comes_back(format: Format, pass_no: int) -> bool:
    return pass_no % 2 == 0 and format.passes.direction is not Course.SAME_WAY


def _bonus(format: Format, pass_no: int) -> str | None:
    names = [bonus.name for bonus in format.bonus_after(pass_no) if bonus.name]
    return ", ".join(names) or None


def _marks(format: Format, pass_no: int) -> list[StripMark]:
    length = format.pass_length(pass_no)
    marks = [StripMark(0, "start", "start")]
    if length is not None:
        marks.append(StripMark(length, f"end {plain(length)} m", "end"))
    for bonus in format.bonus_after(pass_no):
        at = format.marker(pass_no, bonus.cutoff_m, bonus.cutoff_fraction)
        if at is not None:
            marks.append(StripMark(at, f"{bonus.name} cutoff {plain(at)} m", "cutoff"))
    for cutoff in format.pickup_cutoffs or ():
        if cutoff.pass_no in (pass_no, None):
            at = format.marker(pass_no, cutoff.at_m, cutoff.at_fraction)
            if at is not None:
                marks.append(StripMark(at, f"no pick-up past {plain(at)} m", "no-pickup"))
    return marks


def _expected(format: Format, pass_no: int) -> list[StripTick]:
    length, expected = format.pass_length(pass_no), format.passes.tricks_expected
    if length is None or not expected:
        return []
    each = length / expected
    if format.route.trick_m is not None:
        each = min(each, format.route.trick_m)
    gap = (length - each * expected) / expected
    starts = [number * (each + gap) for number in range(expected)]
    return [StripTick(s, s + each, str(n), "expected") for n, s in enumerate(starts, start=1)]
