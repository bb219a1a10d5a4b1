"""What riders read about passes: how many, how long, what ends them, and tricks in them."""

from collections.abc import Iterator

from events.rules.answers_words import (
    Point,
    Topic,
    capital,
    in_seconds,
    joined,
    missing,
    number,
)
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from events.rules.riding import Passes
from events.rules.units import plain
from events.rules.words import (
    Breach,
    Course,
    EndedBy,
)

RUN = mark("Your run")

_ENDS = {
    EndedBy.MARKER: mark("A pass ends at the end marker."),
    EndedBy.TIME: mark("A pass ends when its time is up."),
    EndedBy.FIRST_OF_BOTH: (
        mark("A pass ends at the end marker or when its time is up, whichever comes first.")
    ),
}
_DIRECTIONS = {
    Course.THERE_AND_BACK: (
        mark(
            "The boat comes back along the course: each pass goes the other way from the last."
        )
    ),
    Course.SAME_WAY: mark("Every pass starts at the same end and goes the same way."),
}
_TOO_MANY = {
    None: mark("What a trick too many means is not stated; a check takes it as a breach."),
    Breach.NOT_COUNTED: mark("A trick too many is not counted."),
    Breach.MOVED_UP: mark("A rider with a trick too many is moved up a division."),
    Breach.DISQUALIFIED: mark("A rider with a trick too many is disqualified."),
    Breach.JUDGES_DECIDE: mark("The judges decide what a trick too many is worth."),
    Breach.FOR_INFORMATION: mark(
        "A trick too many has no effect: the number is for information."
    ),
}
# (the one pass, each pass, one of several passes)
_Said = tuple[str, str, str]
_LONG: _Said = (
    mark("The pass is {value} long."),
    mark("Each pass is {value} long."),
    mark("pass {number} is {value} long"),
)
_LASTS: _Said = (
    mark("The pass lasts {value}."),
    mark("Each pass lasts {value}."),
    mark("pass {number} lasts {value}"),
)


def passes(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """How many passes, how long, what ends them, and how many tricks in each."""
    return Topic(
        "passes",
        _("How many passes?"),
        _(RUN),
        (*_course(format.passes, units), *_tricks(format.passes)),
        _("How many passes there are, and how long, is not stated: ask the organiser."),
    )


def _course(stated: Passes, units: Units) -> Iterator[Point]:
    if stated.count is None:
        yield missing("count", _("Passes"), _("how many passes a run has"))
    else:
        text = ngettext(
            "A run has {number} pass.", "A run has {number} passes.", stated.count
        ).format(number=number(stated.count))
        yield Point("count", _("Passes"), text)
    if stated.length_m:
        lengths = [units.published_metres(length) for length in stated.length_m]
        text = _each_pass(lengths, stated.count, _LONG)
        yield Point("length", _("Length of a pass"), text)
    elif not stated.seconds or stated.ended_by in (EndedBy.MARKER, EndedBy.FIRST_OF_BOTH):
        yield missing("length", _("Length of a pass"), _("the length of a pass"))
    yield from _time(stated)
    if stated.ended_by is None:
        yield missing(
            "end", _("End of a pass"), _("what ends a pass, the marker or the clock,")
        )
    else:
        yield Point("end", _("End of a pass"), _(_ENDS[stated.ended_by]))
    if stated.direction is not None:
        yield Point("direction", _("Direction"), _(_DIRECTIONS[stated.direction]))
    elif stated.count != 1:
        yield missing("direction", _("Direction"), _("which way the passes go"))


def _time(stated: Passes) -> Iterator[Point]:
    most = None if stated.seconds_most is None else in_seconds(stated.seconds_most)
    label = _("Time of a pass")
    if stated.seconds:
        times = [in_seconds(time) for time in stated.seconds]
        if most and len(times) == 1:
            times = [_("{least} to {most}").format(least=plain(stated.seconds[0]), most=most)]
        text = _each_pass(times, stated.count, _LASTS)
        if most and len(times) > 1:
            text += " " + _("No pass lasts longer than {most}.").format(most=most)
        yield Point("time", label, text)
    elif most:
        yield Point("time", label, _("A pass lasts at most {most}.").format(most=most))
    elif stated.ended_by in (EndedBy.TIME, EndedBy.FIRST_OF_BOTH):
        yield missing("time", label, _("the time of a pass"))


def _each_pass(values: list[str], passes: int | None, said: _Said) -> str:
    the_one, each_one, one_of_them = said
    if len(values) == 1:
        return _(the_one if passes == 1 else each_one).format(value=values[0])
    each = [
        _(one_of_them).format(number=number, value=value)
        for number, value in enumerate(values, 1)
    ]
    return f"{capital(joined(each))}."


def _tricks(stated: Passes) -> Iterator[Point]:
    label = _("Tricks in a pass")
    least, most, expected = stated.tricks_least, stated.tricks_most, stated.tricks_expected
    if expected is not None:
        text = _expected(expected)
        yield Point("expected", label, text)
    if least is not None:
        text = ngettext(
            "At least {number} trick in each pass.",
            "At least {number} tricks in each pass.",
            least,
        ).format(number=number(least))
        none = _("No least number of tricks in each pass.")
        yield Point("least", label, text if least else none)
    if most is not None:
        text = ngettext(
            "At most {number} trick in each pass.",
            "At most {number} tricks in each pass.",
            most,
        ).format(number=number(most))
        yield Point("most", label, text if most else _("No tricks in a pass."))
    if stated.any_number is not None:
        text = (
            _("You may ride any number of tricks: there is no least and no most.")
            if stated.any_number
            else _("The number of tricks is not free.")
        )
        yield Point("any", label, text)
    elif expected is None and least is None and most is None:
        yield missing("tricks", label, _("how many tricks go into a pass"))
    if most is not None or stated.tricks_over is not None:
        known = stated.tricks_over is not None
        yield Point("over", _("A trick too many"), _(_TOO_MANY[stated.tricks_over]), known)
    if stated.different_least is not None:
        text = ngettext(
            "At least {number} different trick in the run.",
            "At least {number} different tricks in the run.",
            stated.different_least,
        ).format(number=number(stated.different_least))
        none = _("No least number of different tricks in the run.")
        yield Point(
            "different", _("Different tricks"), text if stated.different_least else none
        )
    begun = _("Trick begun in time")
    if stated.begun_counts is None:
        yield missing(
            "begun", begun, _("whether a trick begun before the end of a pass counts")
        )
    else:
        yield Point(
            "begun",
            begun,
            _("A trick begun before the end of a pass counts, even if it lands beyond.")
            if stated.begun_counts
            else _("A trick counts only if it is landed before the end of the pass."),
        )


def _expected(tricks: int) -> str:
    if not tricks:
        return _("No tricks are expected in each pass; this is a guide, not a rule.")
    return ngettext(
        "About {number} trick is expected in each pass; this is a guide, not a rule.",
        "About {number} tricks are expected in each pass; this is a guide, not a rule.",
        tricks,
    ).format(number=number(tricks))
