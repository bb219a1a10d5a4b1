"""What riders read about a run: passes, falls, declared order, repeats and limits."""

from collections.abc import Iterator

from events.rules.answers_words import (
    Point,
    Topic,
    capital,
    in_seconds,
    joined,
    missing,
    number,
    ordinal,
)
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from events.rules.riding import Falls, Passes
from events.rules.units import plain
from events.rules.words import (
    Breach,
    Counts,
    Course,
    EndedBy,
    NextFall,
    Per,
    RunIn,
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
_NEXT_FALL = {
    NextFall.ENDS_RUN: mark("{allowed}: the {ordinal} ends your run."),
    NextFall.ENDS_PASS: mark("{allowed}: the {ordinal} ends that pass."),
    NextFall.NOTHING_LATER_COUNTS: mark(
        "{allowed}: the {ordinal} means that nothing later counts."
    ),
}
_AFTER_THE_LAST = {
    NextFall.ENDS_RUN: mark(
        "The fall after the last one allowed ends your run; how many are allowed is not "
        "stated: ask the organiser."
    ),
    NextFall.ENDS_PASS: mark(
        "The fall after the last one allowed ends that pass; how many are allowed is not "
        "stated: ask the organiser."
    ),
    NextFall.NOTHING_LATER_COUNTS: mark(
        "The fall after the last one allowed means that nothing later counts; how many are "
        "allowed is not stated: ask the organiser."
    ),
}
_RUN_IN = {
    RunIn.COUNTS: mark("A fall in the run-in counts."),
    RunIn.FREE: mark("A fall in the run-in is free."),
    RunIn.FIRST_FREE: mark("The first fall in the run-in is free; a second one there counts."),
}
_WATER = mark("at most {number} may be on the water")
_OBSTACLE = mark("at most {number} may be on an obstacle")
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
# (attribute, label, that it counts, that it is free, whether it does)
_PLACES = (
    (
        "turn",
        mark("Fall in the turn"),
        mark("A fall in the turn between two passes counts."),
        mark("A fall in the turn between two passes is free."),
        mark("whether a fall in the turn between two passes counts"),
    ),
    (
        "after_end",
        mark("Fall after the end"),
        mark("A fall past the last marker counts."),
        mark("A fall past the last marker is free."),
        mark("whether a fall past the last marker counts"),
    ),
    (
        "course",
        mark("Fall on the course"),
        mark("A fall on the course, between the markers, counts."),
        mark("A fall on the course, between the markers, is free."),
        "",  # that a fall on the course counts is what falls are about
    ),
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


def falls(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """How many falls, counted over what, and what the next one does."""
    stated = format.falls
    return Topic(
        "falls",
        _("How many falls, and what does the next one do?"),
        _(RUN),
        tuple(_falls(stated, units)),
        _(
            "How many falls are allowed, and what the next one does, is not "
            "stated: ask the organiser."
        ),
    )


def falls_sentence(stated: Falls) -> str:
    """Falls both ways: "One fall allowed: the second ends your run."."""
    if stated.allowed is None:
        if stated.next_fall is None:
            return _(
                "How many falls are allowed, and what the next one does, is not "
                "stated: ask the organiser."
            )
        return _(_AFTER_THE_LAST[stated.next_fall])
    per_pass = stated.counted_per is Per.PASS
    allowed, next_one = _allowed(stated.allowed, per_pass), ordinal(stated.allowed + 1)
    if stated.next_fall is None:
        said = _("{allowed}; what the {ordinal} does is not stated: ask the organiser.")
    elif per_pass and stated.next_fall is NextFall.ENDS_RUN:
        said = _("{allowed}: the {ordinal} in a pass ends your run.")
    else:
        said = _(_NEXT_FALL[stated.next_fall])
    return said.format(allowed=allowed, ordinal=next_one)


def _allowed(falls: int, per_pass: bool) -> str:
    if not falls:
        return _("No fall allowed in any pass") if per_pass else _("No fall allowed")
    said = (
        ngettext(
            "{number} fall allowed in each pass", "{number} falls allowed in each pass", falls
        )
        if per_pass
        else ngettext("{number} fall allowed", "{number} falls allowed", falls)
    )
    return said.format(number=capital(number(falls)))


def _falls(stated: Falls, units: Units) -> Iterator[Point]:
    known = stated.allowed is not None or stated.next_fall is not None
    yield Point("allowed", _("Falls"), falls_sentence(stated), known)
    if stated.counted_per is not None:
        text = (
            _("Falls are counted over the whole run.")
            if stated.counted_per is Per.RUN
            else _("Falls are counted afresh in each pass.")
        )
        yield Point("per", _("Falls counted per"), text)
    elif stated.allowed != 0 or stated.next_fall is not NextFall.ENDS_RUN:
        what = _("whether falls add up over the run or start afresh in each pass")
        yield missing("per", _("Falls counted per"), what)
    shares = [
        *_share(stated.water_allowed, _("none may be on the water"), _WATER),
        *_share(stated.obstacle_allowed, _("none may be on an obstacle"), _OBSTACLE),
    ]
    if shares:
        text = _("Of the falls allowed, {shares}.").format(shares=joined(shares))
        yield Point("kinds", _("Falls on water and obstacles"), text)
    if stated.restart_m is not None:
        text = _("A fall uses up {length} of the course.").format(
            length=units.published_metres(stated.restart_m)
        )
        yield Point("restart-m", _("Course lost by a fall"), text)
    if stated.restart_s is not None:
        text = _("A fall uses up {time} of the pass.").format(time=in_seconds(stated.restart_s))
        yield Point("restart-s", _("Time lost by a fall"), text)
    if stated.restart_m is None and stated.restart_s is None:
        what = _("how much of the course a fall uses up")
        yield missing("restart", _("Course lost by a fall"), what)


def _share(most: int | None, none: str, said: str) -> Iterator[str]:
    if most is not None:
        yield _(said).format(number=number(most)) if most else none


def fall_places(format: Format) -> Topic:
    """Which places count: run-in, turn, after the end, and the course."""
    stated = format.falls
    points = [
        missing("run_in", _("Fall in the run-in"), _("whether a fall in the run-in counts"))
        if stated.run_in is None
        else Point("run_in", _("Fall in the run-in"), _(_RUN_IN[stated.run_in]))
    ]
    for name, label, counts, is_free, whether in _PLACES:
        value: Counts | None = getattr(stated, name)
        if value is not None:
            text = counts if value is Counts.COUNTS else is_free
            points.append(Point(name, _(label), _(text)))
        elif whether:
            points.append(missing(name, _(label), _(whether)))
    return Topic(
        "run-in",
        _("Does a fall in the run-in count?"),
        _(RUN),
        tuple(points),
        _(
            "Whether a fall in the run-in, in the turn or past the last marker "
            "counts is not stated: ask the organiser."
        ),
    )
