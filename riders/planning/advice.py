"""What a route and the make-up of a run suggest. Advice only: no rule is broken by any of it.

The advice is common practice among contest riders, no source, unless said otherwise.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from events.rules.figures import AS_PUBLISHED, Units
from events.rules.findings import Finding, Grade
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.run import Run
from events.rules.trick import Air, Stance, Takeoff
from riders.planning.metres import is_past
from riders.planning.room import ends, lengths, room
from riders.planning.route import Move, PassRoute, Route, Step
from riders.planning.stretches import stated_bonus
from riders.planning.variety import variety

RELIABLE = 0.8  # four of five: common practice, no source
HARDEST_FROM = 3  # tricks in a pass that has a middle

# By whether the trick is the first of its pass, and by the stance that it starts in.
_TURN_NEEDED = {
    (True, Stance.SWITCH): mark(
        "{trick} starts switch. You start in your own stance, so a turn is needed."
    ),
    (True, Stance.REGULAR): mark(
        "{trick} starts in your own stance. You start switch, so a turn is needed."
    ),
    (False, Stance.SWITCH): mark(
        "{trick} starts switch. Before it you land in your own stance, so a turn is needed."
    ),
    (False, Stance.REGULAR): mark(
        "{trick} starts in your own stance. Before it you land switch, so a turn is needed."
    ),
}
_CROSSING_NEEDED = {
    True: mark(
        "{trick} on the {edge} edge starts on the {side} side. You start on the {other_side} "
        "side, so a crossing is needed."
    ),
    False: mark(
        "{trick} on the {edge} edge starts on the {side} side. Before it you land on the "
        "{other_side} side, so a crossing is needed."
    ),
}
_HARDEST = {
    "hardest-trick-early": mark(
        "{trick} is the hardest trick of the pass and comes first: a fall on it puts the "
        "tricks after it at risk."
    ),
    "hardest-trick-mid-pass": mark(
        "{trick} is the hardest trick of the pass and comes in the middle: a fall on it puts "
        "the tricks after it at risk."
    ),
}


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
        found += room(planned, tricks, format, units)
    found += _first_trick(run)
    found += lengths(route)
    found += ends(format, route, units)
    found += variety(run, format, route)
    return found


def _course_steps(run: Run, planned: PassRoute) -> tuple[Step, ...]:
    return planned.steps[: len(run.passes[planned.pass_no - 1].tricks)]


def _advice(code: str, step: Step, message: str, hint: str) -> Finding:
    return Finding(code, Grade.ADVICE, message, hint, step.pass_no, step.position)


def _set_up(steps: Sequence[Step]) -> Iterator[Finding]:
    for at, step in enumerate(steps):
        name, wants = step.planned.trick.name, step.before
        is_first = not at
        if Move.TURN in step.moves:
            yield _advice(
                "turn-needed",
                step,
                _(_TURN_NEEDED[is_first, wants.stance]).format(trick=name),
                _(
                    "Put a trick with a half turn before it, ride it in the other stance, "
                    "or keep the metres for a surface or ollie 180."
                ),
            )
        if Move.CROSS in step.moves:
            yield _advice(
                "crossing-needed",
                step,
                _(_CROSSING_NEEDED[is_first]).format(
                    trick=name,
                    edge=step.edge,
                    side=wants.side.words,
                    other_side=wants.side.other.words,
                ),
                _(
                    "Put a wake-to-wake trick before it, take it from the other edge, or keep "
                    "the metres for riding across."
                ),
            )


def _big_air(steps: Sequence[Step]) -> Iterator[Finding]:
    for last, step in pairwise(steps):
        before, trick = last.planned.trick, step.planned.trick
        small_crossing = before.takeoff is Takeoff.WAKE_TO_WAKE and before.air is not Air.BIG
        if trick.air is Air.BIG and small_crossing:
            yield _advice(
                "big-air-after-wake-to-wake",
                step,
                _(
                    "{trick} is big air and comes right after {before}, which goes from wake "
                    "to wake and leaves little room to build speed."
                ).format(trick=trick.name, before=before.name),
                _("Ride big airs early in the pass, and wake-to-wake tricks after them."),
            )


def _first_trick(run: Run) -> Iterator[Finding]:
    first = next(iter(run.places()), None)
    if first is None or first.planned.likelihood is None:
        return
    if first.planned.likelihood < RELIABLE:
        yield Finding(
            "first-trick-unreliable",
            Grade.ADVICE,
            _("The first trick, {trick}, is landed {times} times in 100.").format(
                trick=first.trick.name, times=f"{100 * first.planned.likelihood:.0f}"
            ),
            _(
                "Start with a trick that you land at least four times of five, whatever the "
                "wake."
            ),
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
    if cutoff is not None and is_past(step.takeoff_m, cutoff):
        takeoff, marker = units.apart(step.takeoff_m, cutoff)
        yield _advice(
            "hardest-past-cutoff",
            step,
            _(
                "{trick} is the hardest trick of the pass. It takes off at {takeoff}, past the "
                "cutoff at {marker}, where a fall costs the most."
            ).format(trick=name, takeoff=takeoff, marker=f"{marker}{units.in_metres(cutoff)}"),
            _("Move it before the cutoff: to place {place} at the latest.").format(place=best),
        )
    elif step.position < best:
        code = "hardest-trick-early" if step.position == 1 else "hardest-trick-mid-pass"
        hint = _("Move it to place {place}.").format(place=best)
        if cutoff is None:
            hint = _("Move it to the last place of the pass.")
        yield _advice(code, step, _(_HARDEST[code]).format(trick=name), hint)
