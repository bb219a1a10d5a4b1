"""What a route and the make-up of a run suggest. Advice only: no rule is broken by any of it.

The advice is common practice among contest riders, no source, unless said otherwise.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from events.rules.figures import AS_PUBLISHED, Units
from events.rules.findings import Finding, Grade
from events.rules.format import Format
from events.rules.run import Run
from events.rules.trick import Air, Stance, Takeoff
from events.rules.words import EndedBy
from riders.planning.metres import fits, is_past, position
from riders.planning.route import Move, PassRoute, Route, Step
from riders.planning.stretches import stated_bonus
from riders.planning.variety import variety

RELIABLE = 0.8  # four of five: common practice, no source
HARDEST_FROM = 3  # tricks in a pass that has a middle


def route_findings(
    run: Run, format: Format, route: Route, units: Units = AS_PUBLISHED
) -> list[Finding]:
    """Advice on a planned run, and the tricks that its passes have no room for."""
    found: list[Finding] = []
    for planned in route.passes:
        tricks = _course_steps(run, planned)
        found += _set_up(tricks)
        found += _big_air(tricks)
        found += _hardest(planned, tricks, format, units)
        found += _room(planned, tricks, format, units)
    found += _first_trick(run)
    found += _lengths(route)
    found += _ends(format, route, units)
    found += variety(run, format, route)
    return found


def _course_steps(run: Run, planned: PassRoute) -> tuple[Step, ...]:
    return planned.steps[: len(run.passes[planned.pass_no - 1].tricks)]


def _advice(code: str, step: Step, message: str, hint: str) -> Finding:
    return Finding(code, Grade.ADVICE, message, hint, step.pass_no, step.position)


def _set_up(steps: Sequence[Step]) -> Iterator[Finding]:
    for at, step in enumerate(steps):
        name, wants = step.planned.trick.name, step.before
        where = "Before it you land" if at else "You start"
        last = steps[at - 1].after if at else None
        if Move.TURN in step.moves:
            had = wants.stance.other if last is None else last.stance
            yield _advice(
                "turn-needed",
                step,
                f"{name} starts {_said(wants.stance)}. {where} {_said(had)}, so a turn is "
                f"needed.",
                "Put a trick with a half turn before it, ride it in the other stance, "
                "or keep the metres for a surface or ollie 180.",
            )
        if Move.CROSS in step.moves:
            side = wants.side.other if last is None else last.side
            yield _advice(
                "crossing-needed",
                step,
                f"{name} on the {step.edge} edge starts on the {wants.side} side. {where} "
                f"on the {side} side, so a crossing is needed.",
                "Put a wake-to-wake trick before it, take it from the other edge, or keep "
                "the metres for riding across.",
            )


def _said(stance: Stance) -> str:
    return "switch" if stance is Stance.SWITCH else "in your own stance"


def _big_air(steps: Sequence[Step]) -> Iterator[Finding]:
    for last, step in pairwise(steps):
        before, trick = last.planned.trick, step.planned.trick
        small_crossing = before.takeoff is Takeoff.WAKE_TO_WAKE and before.air is not Air.BIG
        if trick.air is Air.BIG and small_crossing:
            yield _advice(
                "big-air-after-wake-to-wake",
                step,
                f"{trick.name} is big air and comes right after {before.name}, which goes "
                f"from wake to wake and leaves little room to build speed.",
                "Ride big airs early in the pass, and wake-to-wake tricks after them.",
            )


def _first_trick(run: Run) -> Iterator[Finding]:
    first = next(iter(run.places()), None)
    if first is None or first.planned.likelihood is None:
        return
    if first.planned.likelihood < RELIABLE:
        yield Finding(
            "first-trick-unreliable",
            Grade.ADVICE,
            f"The first trick, {first.trick.name}, is landed "
            f"{100 * first.planned.likelihood:.0f} times in 100.",
            "Start with a trick that you land at least four times of five, whatever the wake.",
            first.pass_no,
            first.position,
        )


def _cutoffs(planned: PassRoute, tricks: Sequence[Step], format: Format) -> list[float]:
    """The markers past which a fall on this pass costs more, in metres."""
    markers: list[float | None] = []
    for bonus in planned.steps[len(tricks) :]:
        stated, bar = stated_bonus(format, bonus.place)
        if stated is not None and bar is None:
            markers.append(
                format.marker(planned.pass_no, stated.cutoff_m, stated.cutoff_fraction)
            )
    for each in format.pickup_cutoffs or ():
        if each.pass_no in (planned.pass_no, None):
            markers.append(format.marker(planned.pass_no, each.at_m, each.at_fraction))
    return [marker for marker in markers if marker is not None]


def _hardest(
    planned: PassRoute, tricks: Sequence[Step], format: Format, units: Units
) -> Iterator[Finding]:
    tiers = [step.planned.trick.tier for step in tricks]
    if len(tricks) < HARDEST_FROM or tiers.count(max(tiers)) > 1:
        return
    step = tricks[tiers.index(max(tiers))]
    name = step.planned.trick.name
    cutoff = min(_cutoffs(planned, tricks, format), default=None)
    best = len(tricks)
    if cutoff is not None:
        best = sum(not is_past(each.takeoff_m, cutoff) for each in tricks) or 1
    goal = "the last place of the pass" if cutoff is None else f"place {best}"
    if cutoff is not None and is_past(step.takeoff_m, cutoff):
        takeoff, marker = units.apart(step.takeoff_m, cutoff)
        yield _advice(
            "hardest-past-cutoff",
            step,
            f"{name} is the hardest trick of the pass. It takes off at {takeoff}, past the "
            f"cutoff at {marker}{units.in_metres(cutoff)}, where a fall costs the most.",
            f"Move it before the cutoff: to {goal} at the latest.",
        )
    elif step.position < best:
        early = step.position == 1
        yield _advice(
            "hardest-trick-early" if early else "hardest-trick-mid-pass",
            step,
            f"{name} is the hardest trick of the pass and comes "
            f"{'first' if early else 'in the middle'}: a fall on it puts the tricks after "
            f"it at risk.",
            f"Move it to {goal}.",
        )


def _room(
    planned: PassRoute, tricks: Sequence[Step], format: Format, units: Units
) -> Iterator[Finding]:
    length = planned.length_m
    if length is None or not planned.dropped:
        return
    need = tricks[-1].takeoff_m if format.passes.begun_counts else tricks[-1].end_m
    number = planned.pass_no
    is_timed = _length_by(format, number, EndedBy.MARKER) != length
    needed, there_is = units.apart(need, length)
    what = f"the course is {there_is} long{units.in_metres(length)}"
    if is_timed:
        what = f"the pass is about {there_is} long at the stated speed"
    yield Finding(
        "pass-too-long",
        Grade.ADVICE,
        f"Pass {number} needs {needed} with everything landed; {what}.",
        "Leave out a trick, or save a turn or a crossing by changing the order.",
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
        message = (
            f"{name} depends on the time and the speed: it fits a pass of {longest}, the "
            f"longest that they allow, and not the shortest, of {shortest}, taken here."
        )
    else:
        grade = Grade.UNREACHABLE
        room, used = units.apart(left, uses)
        message = f"{name} no longer fits: {room} are left of the pass and it uses {used}."
    hint = "Leave out a trick before it, or move it to another pass."
    yield Finding("does-not-fit", grade, message, hint, step.pass_no, step.position)
    if begun is None and fits(takeoff, uses, most, begun_counts=True):
        message = (
            f"{name} begins before the end of the pass and lands beyond. Whether such a trick "
            "counts is not stated; it is taken as not fitting here."
        )
        hint = "Ask the organiser."
        place = (step.pass_no, step.position)
        yield Finding("begun-unstated", Grade.UNSTATED, message, hint, *place)


def _lengths(route: Route) -> Iterator[Finding]:
    unknown = [p.pass_no for p in route.passes if p.length_m is None and p.steps]
    if not unknown:
        return
    everywhere = len(unknown) == len(route.passes)
    for number in [None] if everywhere else unknown:
        what = "the passes are" if number is None else f"pass {number} is"
        yield Finding(
            "length-unstated",
            Grade.UNSTATED,
            f"How long {what} is not stated, so whether every trick fits cannot be told.",
            "Ask the organiser for the length of the course, or the time and the speed.",
            number,
        )


def _length_by(format: Format, number: int, end: EndedBy) -> float | None:
    """How long a pass would be if this ended it."""
    return replace(format, passes=replace(format.passes, ended_by=end)).pass_length(number)


def _ends(format: Format, route: Route, units: Units) -> Iterator[Finding]:
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
            f"What ends pass {each.pass_no} is not stated: the marker is at {marker}"
            f"{units.in_metres(each.length_m)}, and the time is up after about {end}. Here it "
            f"is the marker.",
            "Ask the organiser whether the marker, the time, or the first of both ends it.",
            each.pass_no,
        )
