"""What pictures of a run say: its tricks in shorthand, and where each of them goes."""

from dataclasses import replace

from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.notation import write_trick
from events.rules.run import PlannedTrick
from events.rules.trick import Stance
from riders.planning.route import Move, Route, Side, State, Step

STANCES = {Stance.REGULAR: mark("own stance"), Stance.SWITCH: mark("switch")}
LANDS = {Stance.REGULAR: mark("lands own stance"), Stance.SWITCH: mark("lands switch")}
AFTER = {
    (Move.TURN,): mark("after a turn"),
    (Move.CROSS,): mark("after a crossing"),
    (Move.TURN, Move.CROSS): mark("after a turn and a crossing"),
}
DROPPED = mark("no longer fits the pass")


def shorthand(planned: PlannedTrick) -> str:
    """A trick in trade shorthand: without record and chance, a bonus trick without its name."""
    alone = replace(planned, landed=None, tried=None, chance=None, fell=False)
    return write_trick(replace(alone, bonus="", takeoff=None) if planned.bonus else alone)


def number(step: Step) -> str:
    """The number of a trick in its pass; a plus sign for a bonus trick."""
    return "+" if step.planned.bonus else str(step.position)


def named(step: Step) -> str:
    """A trick in shorthand, a bonus trick with its name: "Double-up: HS tantrum"."""
    bonus = step.planned.bonus
    trick = shorthand(step.planned)
    return f"{bonus[:1].upper()}{bonus[1:]}: {trick}" if bonus else trick


def set_up(step: Step) -> str:
    """The moves before a trick: "turn", "cross", "turn, cross", or nothing."""
    return ", ".join(move.words for move in step.moves)


def way(step: Step) -> str:
    """Where a trick goes, briefly: "to port", after set-up moves "then stays on starboard"."""
    if step.before.side is step.after.side:
        where = _("then stays on {side}") if step.moves else _("stays on {side}")
    else:
        where = _("then to {side}") if step.moves else _("to {side}")
    return where.format(side=step.after.side.words)


def start_in_words(state: State) -> str:
    """Where the rider sets off, as a sentence."""
    return _("You start on {side}, {stance}.").format(
        side=state.side.words, stance=_(STANCES[state.stance])
    )


def step_in_words(step: Step) -> str:
    """One step for somebody who cannot see it: "1 HS backroll: starboard to port, own
    stance"."""
    if step.before.side is step.after.side:
        where = _("stays on {side}").format(side=step.before.side.words)
    else:
        where = _("{side} to {other_side}").format(
            side=step.before.side.words, other_side=step.after.side.words
        )
    parts = [where, _(STANCES[step.before.stance])]
    if step.after.stance is not step.before.stance:
        parts.append(_(LANDS[step.after.stance]))
    if step.moves:
        parts.insert(0, _(AFTER[step.moves]))
    if not step.fits:
        parts.append(_(DROPPED))
    return f"{number(step)} {named(step)}: {', '.join(parts)}"


def start_of(route: Route, pass_no: int) -> State | None:
    """Where the rider sets off in a pass; None where the pass has no tricks and it is free.

    The first pass begins on the chosen side in the rider's own stance. Later ones begin as
    their first trick wants.
    """
    if pass_no == 1:
        return State(route.side, Stance.REGULAR)
    steps = route.passes[pass_no - 1].steps
    return steps[0].before if steps else None


def side_before_moves(step: Step) -> Side:
    """The side before the set-up moves of a step."""
    return step.before.side.other if Move.CROSS in step.moves else step.before.side
