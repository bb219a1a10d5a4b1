"""A safe trick for every place of a run, to be ridden there instead after a fall.

A back-up starts from the side and in the stance where the planned trick starts, and lands
where it lands, so that the tricks around it stay as they are. Derived from the route rules;
to have a simpler run ready is common practice.
"""

from dataclasses import dataclass, replace
from itertools import islice

from events.rules.language import gettext as _
from events.rules.notation import write_run
from events.rules.run import Place, PlannedTrick, Run
from events.rules.trick import Stance
from riders.planning.advice import RELIABLE
from riders.planning.ground import Ground, Record, broken, replacements, said, with_trick_at
from riders.planning.metres import costs_of
from riders.planning.route import Step, state_after, states_before
from riders.planning.worth import wasted


@dataclass(frozen=True, slots=True)
class BackUp:
    """The back-up of one place. `trick` is None where there is none, and `sentence` says
    why; else it says what to ride."""

    place: Place
    trick: PlannedTrick | None
    sentence: str


def back_ups(run: Run, ground: Ground, record: Record) -> tuple[BackUp, ...]:
    """For every place the safe trick of the record with the highest tier that fits there.

    Safe is landed at least four times of five, and more often than the planned trick. Fits:
    same state before and after, no more metres, and with it the run breaks no rule and has
    no more tricks that do not count, whichever earlier trick the fall was on. Each back-up
    holds by itself: it is the only change of the run.
    """
    steps = ground.route(run).steps()
    places = run.places()
    return tuple(
        _back_up(run, ground, record, place, step)
        for place, step in zip(places, steps, strict=True)
    )


def back_up_line(run: Run, found: tuple[BackUp, ...]) -> str:
    """The run in notation with the back-ups in it, and the planned trick where there is
    none. For the rider to take along; taken together the back-ups may break a rule."""
    for each in found:
        if each.trick is not None:
            run = with_trick_at(run, each.place.pass_no, each.place.position, each.trick)
    return write_run(run)


def _back_up(run: Run, ground: Ground, record: Record, place: Place, step: Step) -> BackUp:
    name = said(place.planned)
    chance = place.planned.likelihood or 0.0
    safe = [
        each for each in replacements(place.planned, record)
        if (each.likelihood or 0.0) >= RELIABLE and (each.likelihood or 0.0) > chance
    ]  # fmt: skip
    if not safe:
        if chance >= RELIABLE:
            sentence = _("{trick} is safe itself: your record has no safer one.")
        else:
            sentence = _(
                "Your record has no trick for {trick} that you land at least four times of "
                "five and more often."
            )
        return BackUp(place, None, sentence.format(trick=name))
    fitting = [each for each in safe if _fits(each, step, ground)]
    if not fitting:
        sentence = _(
            "No safe trick starts {edge} in your own stance and lands as {trick} does."
        )
        if step.before.stance is Stance.SWITCH:
            sentence = _("No safe trick starts {edge} switch and lands as {trick} does.")
        return BackUp(place, None, sentence.format(edge=step.edge, trick=name))
    fitting.sort(key=lambda each: (-each.trick.tier, -(each.likelihood or 0.0), said(each)))
    for each in fitting:
        if _is_worth_it_after_a_fall(run, ground, place, each):
            sentence = _(
                "After a fall ride {safe_trick} ({percent}) instead of {trick}: it starts and "
                "lands where {trick} does."
            )
            percent = f"{100 * (each.likelihood or 0.0):.0f} %"
            said_of = sentence.format(safe_trick=said(each), percent=percent, trick=name)
            return BackUp(place, each, said_of)
    sentence = _(
        "Every safe trick that fits in place of {trick} would break a rule here, or be a "
        "repeat that may not count."
    )
    return BackUp(place, None, sentence.format(trick=name))


def _fits(planned: PlannedTrick, step: Step, ground: Ground) -> bool:
    """Whether the trick can be ridden from the same state to the same state, as short."""
    trick = planned.trick
    starts_there = step.before in states_before(trick, ground.foot)
    if not starts_there or state_after(step.before, trick) != step.after:
        return False
    metres = costs_of(ground.format).trick_m if trick.metres is None else trick.metres
    return bool(planned.bonus) or metres <= step.trick_m


def _is_worth_it_after_a_fall(
    run: Run, ground: Ground, place: Place, planned: PlannedTrick
) -> bool:
    """Whether the trick breaks no rule there and makes none of the run a repeat in vain, with
    any earlier trick missed or none.

    A fall alone may break a rule, where tricks must be landed; that is not held against it.
    """
    index = list(run.places()).index(place)
    falls = [run, *(_with_fall(run, each) for each in islice(run.places(), index))]
    for each in falls:
        changed = with_trick_at(each, place.pass_no, place.position, planned)
        if not broken(ground.legality(changed)) <= broken(ground.legality(each)):
            return False
        if wasted(changed, ground) > wasted(each, ground):
            return False
    return True


def _with_fall(run: Run, place: Place) -> Run:
    fallen = replace(place.planned, fell=True)
    return with_trick_at(run, place.pass_no, place.position, fallen)
