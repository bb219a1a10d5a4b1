"""The course of a format as a picture: each pass with its markers and what is ridden there."""

from collections.abc import Iterator, Mapping

from django.utils.safestring import SafeString, mark_safe

from events.course_strip import StripMark, StripPass, StripTick, course_strip
from events.rules.answers_bonus import bonus_name
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.words import Course

Ticks = Mapping[int, tuple[StripTick, ...]]


def format_strip(
    format: Format,
    title: str = "",
    ticks: Ticks | None = None,
    units: Units = AS_PUBLISHED,
) -> SafeString:
    """The picture of every pass of an effective format, as inline SVG.

    `ticks` are what is ridden in each pass, by its number; without them the tricks expected
    are drawn.
    """
    count = max([_passes(format), *(ticks or {})])
    passes = [_strip_pass(format, number, ticks, units) for number in range(1, count + 1)]
    # Our own drawing; every text in it is escaped.
    return mark_safe(course_strip(passes, title=title or _("The course"), units=units))  # nosec B308


def _passes(format: Format) -> int:
    """The stated number of passes, or as many as something is said of."""
    if format.passes.count is not None:
        return format.passes.count
    named = [bonus.after_pass for bonus in format.double_ups or ()]
    named += [cutoff.pass_no for cutoff in format.pickup_cutoffs or ()]
    of_each = max(len(format.passes.length_m or ()), len(format.passes.seconds or ()))
    return max(1, of_each, *(number or 1 for number in named))


def _strip_pass(format: Format, number: int, ticks: Ticks | None, units: Units) -> StripPass:
    length = format.pass_length(number)
    drawn, note = (ticks or {}).get(number, ()), ""
    if ticks is None:
        drawn, note = _expected(format, length, units)
    back = format.passes.direction is Course.THERE_AND_BACK and number % 2 == 0
    bonuses = [bonus_name(bonus) for bonus in format.bonus_after(number)]
    return StripPass(
        number,
        length,
        marks=tuple(_marks(format, number, length)),
        ticks=drawn,
        direction="left" if back else "right",
        bonus=", ".join(bonuses) or None,
        note=note,
    )


def _marks(format: Format, number: int, length: float | None) -> Iterator[StripMark]:
    yield StripMark(0, _("Start"), "start")
    if length is not None:
        yield StripMark(round(length, 1), _("End"), "end")
    for bonus in format.bonus_after(number):
        metres = format.marker(number, bonus.cutoff_m, bonus.cutoff_fraction)
        if metres is not None:
            name = _capital(bonus_name(bonus))
            label = _("{bonus} lost past").format(bonus=name)
            yield StripMark(round(metres, 1), label, "cutoff")
    for cutoff in format.pickup_cutoffs or ():
        metres = format.marker(number, cutoff.at_m, cutoff.at_fraction)
        if metres is not None and cutoff.pass_no in (number, None):
            yield StripMark(round(metres, 1), _("No pick-up past"), "no-pickup")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _expected(
    format: Format, length: float | None, units: Units
) -> tuple[tuple[StripTick, ...], str]:
    """The expected tricks one after the other from the start, as far as they fit."""
    expected, each = format.passes.tricks_expected, format.route.trick_m
    if not expected or (each is None and length is None):
        return (), ""
    step = each if each is not None else (length or 0) / expected
    fit = expected if length is None else min(expected, int(length / step + 1e-9))
    ticks = tuple(
        StripTick(round(no * step, 1), round((no + 1) * step, 1), str(no + 1), "expected")
        for no in range(fit)
    )
    if each is None:
        said = _("Tricks are spread evenly: what one uses of the course is not stated.")
        return ticks, said
    if fit < expected:
        each_uses = units.metres(each, beside=True)
        said = _("Only {fit} of {expected} tricks fit at {length} each.")
        return ticks, said.format(fit=fit, expected=expected, length=each_uses)
    return ticks, ""
