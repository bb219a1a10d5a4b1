"""What a route says of the room in each pass: what no longer fits, and what that hangs on."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from events.rules.figures import Units
from events.rules.findings import Finding, Grade
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.words import EndedBy
from riders.planning.metres import fits, position
from riders.planning.route import PassRoute, Route, Step


def room(
    planned: PassRoute, tricks: Sequence[Step], format: Format, units: Units
) -> Iterator[Finding]:
    """The tricks (all steps but those of bonus tricks) that a pass has no room for."""
    length = planned.length_m
    if length is None or not planned.dropped:
        return
    need = tricks[-1].takeoff_m if format.passes.begun_counts else tricks[-1].end_m
    number = planned.pass_no
    is_timed = _length_by(format, number, EndedBy.MARKER) != length
    needed, there_is = units.apart(need, length)
    if is_timed:
        message = _(
            "Pass {number} needs {needed} with everything landed; the pass is about {length} "
            "long at the stated speed."
        ).format(number=number, needed=needed, length=there_is)
    else:
        message = _(
            "Pass {number} needs {needed} with everything landed; the course is {length} "
            "long{in_metres}."
        ).format(
            number=number, needed=needed, length=there_is, in_metres=units.in_metres(length)
        )
    yield Finding(
        "pass-too-long",
        Grade.ADVICE,
        message,
        _("Leave out a trick, or save a turn or a crossing by changing the order."),
        number,
    )
    most, begun = format.pass_length_most(number), format.passes.begun_counts
    for step in tricks:
        if not step.fits:
            yield from _does_not_fit(step, length, most or length, begun, units)


def _does_not_fit(
    step: Step, length: float, most: float, begun: bool | None, units: Units
) -> Iterator[Finding]:
    """A trick without room; `most` is the length at the upper end of stated ranges."""
    name, takeoff, uses = step.planned.trick.name, step.takeoff_m, step.trick_m
    left = max(0.0, position(length - takeoff))
    if fits(takeoff, uses, most, begun):
        grade = Grade.WARNING
        longest, shortest = units.apart(most, length)
        message = _(
            "{trick} depends on the time and the speed: it fits a pass of {longest}, the "
            "longest that they allow, and not the shortest, of {shortest}, taken here."
        ).format(trick=name, longest=longest, shortest=shortest)
    else:
        grade = Grade.UNREACHABLE
        there_is, used = units.apart(left, uses)
        message = _(
            "{trick} no longer fits: {room} are left of the pass and it uses {used}."
        ).format(trick=name, room=there_is, used=used)
    hint = _("Leave out a trick before it, or move it to another pass.")
    yield Finding("does-not-fit", grade, message, hint, step.pass_no, step.position)
    if begun is None and fits(takeoff, uses, most, begun_counts=True):
        message = _(
            "{trick} begins before the end of the pass and lands beyond. Whether such a trick "
            "counts is not stated; it is taken as not fitting here."
        ).format(trick=name)
        hint = _("Ask the organiser.")
        place = (step.pass_no, step.position)
        yield Finding("begun-unstated", Grade.UNSTATED, message, hint, *place)


def lengths(route: Route) -> Iterator[Finding]:
    """The passes whose length the format does not state."""
    unknown = [p.pass_no for p in route.passes if p.length_m is None and p.steps]
    if not unknown:
        return
    everywhere = len(unknown) == len(route.passes)
    for number in [None] if everywhere else unknown:
        if number is None:
            message = _(
                "How long the passes are is not stated, so whether every trick fits cannot be "
                "told."
            )
        else:
            message = _(
                "How long pass {number} is is not stated, so whether every trick fits cannot "
                "be told."
            ).format(number=number)
        yield Finding(
            "length-unstated",
            Grade.UNSTATED,
            message,
            _("Ask the organiser for the length of the course, or the time and the speed."),
            number,
        )


def _length_by(format: Format, number: int, end: EndedBy) -> float | None:
    """How long a pass would be if this ended it."""
    return replace(format, passes=replace(format.passes, ended_by=end)).pass_length(number)


def ends(format: Format, route: Route, units: Units) -> Iterator[Finding]:
    """The passes of which it is open whether the marker or the time ends them."""
    passes = format.passes
    if passes.ended_by is not None or not passes.length_m or not passes.seconds:
        return
    for each in route.passes:
        by_time = _length_by(format, each.pass_no, EndedBy.TIME)
        if not each.steps or each.length_m is None or by_time in (None, each.length_m):
            continue
        marker, end = units.apart(each.length_m, by_time)
        yield Finding(
            "end-unstated",
            Grade.UNSTATED,
            _(
                "What ends pass {number} is not stated: the marker is at {marker}, and the "
                "time is up after about {end}. Here it is the marker."
            ).format(
                number=each.pass_no,
                marker=f"{marker}{units.in_metres(each.length_m)}",
                end=end,
            ),
            _("Ask the organiser whether the marker, the time, or the first of both ends it."),
            each.pass_no,
        )
