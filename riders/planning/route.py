"""Where the rider is: side of the wake, stance and set-up moves; and the cheapest way on.

A rider with the left foot forward has the chest to starboard. Outside the wake to starboard
the cut back to it is then on the heels, to port on the toes; riding switch swaps the two,
and so does the right foot forward. Between two tricks the rider may turn (a surface or
ollie 180, changes the stance) and cross (ride over the wakes, changes the side).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import NamedTuple

from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import pgettext
from events.rules.run import Pass, Place, PlannedTrick, Run
from events.rules.trick import Edge, Stance, Trick
from riders.planning.metres import Costs, costs_of, fits, position


class Foot(StrEnum):
    """The forward foot in the rider's own stance."""

    LEFT = "left"
    RIGHT = "right"


class Side(StrEnum):
    """The side of the wake, looking forward."""

    PORT = "port"
    STARBOARD = "starboard"

    @property
    def other(self) -> "Side":
        """The side after a crossing."""
        return Side.PORT if self is Side.STARBOARD else Side.STARBOARD

    @property
    def words(self) -> str:
        """The side as riders read it."""
        return _("port") if self is Side.PORT else _("starboard")


class Move(StrEnum):
    """A set-up move between two tricks."""

    TURN = "turn"
    CROSS = "cross"

    @property
    def words(self) -> str:
        """The move in a word, as riders read it."""
        if self is Move.TURN:
            return pgettext("set-up move", "turn")
        return pgettext("set-up move", "cross")


class State(NamedTuple):
    """Where the rider is: side of the wake, and stance."""

    side: Side
    stance: Stance


@dataclass(frozen=True, slots=True)
class Step:
    """One planned trick on the route.

    `edge` is the edge ridden. `moves` are made before the trick and use `setup_m` metres;
    `takeoff_m` is the course position at take-off and `end_m` after the trick, both with
    everything before it landed. `fits` is False where the pass is over by then. A bonus
    trick uses no metres, and the rider gets ready for it freely.
    """

    pass_no: int
    position: int
    planned: PlannedTrick
    edge: Edge
    before: State
    after: State
    moves: tuple[Move, ...]
    setup_m: float
    trick_m: float
    takeoff_m: float
    end_m: float
    fits: bool

    @property
    def place(self) -> Place:
        """The planned trick and where it stands."""
        return Place(self.pass_no, self.position, self.planned)


@dataclass(frozen=True, slots=True)
class PassRoute:
    """The route of one pass; `steps` hold its tricks, then its bonus tricks.

    `length_m` is None where the format does not say, and then everything fits. `metres`
    are used by what fits, everything landed. `dropped` are the positions that no longer
    fit; their steps are kept as they would be ridden.
    """

    pass_no: int
    length_m: float | None
    steps: tuple[Step, ...]
    metres: float
    dropped: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Route:
    """The route of a whole run."""

    foot: Foot
    side: Side
    passes: tuple[PassRoute, ...]

    def steps(self) -> Iterator[Step]:
        """Every step, in declared order."""
        for each in self.passes:
            yield from each.steps

    @property
    def dropped(self) -> tuple[Step, ...]:
        """The steps that no longer fit their pass."""
        return tuple(step for step in self.steps() if not step.fits)


def ridden_edge(state: State, foot: Foot) -> Edge:
    """The edge of the cut from outside the wake, on a side and in a stance."""
    left_foot_leads = (foot is Foot.LEFT) is (state.stance is Stance.REGULAR)
    heels = left_foot_leads is (state.side is Side.STARBOARD)
    return Edge.HEELSIDE if heels else Edge.TOESIDE


def states_before(trick: Trick, foot: Foot) -> tuple[State, ...]:
    """The states a trick can start from, heelside first; two where its edge is free."""
    return _states(trick.stance, trick.approach, foot)


@cache
def _states(stance: Stance, approach: Edge, foot: Foot) -> tuple[State, ...]:
    both = [State(side, stance) for side in Side]
    both.sort(key=lambda state: ridden_edge(state, foot))
    return tuple(s for s in both if approach in (Edge.EITHER, ridden_edge(s, foot)))


def state_after(state: State, trick: Trick) -> State:
    """The state in which a trick lands."""
    side = state.side.other if trick.changes_side else state.side
    return State(side, trick.lands)


def moves_between(here: State, there: State) -> tuple[Move, ...]:
    """The fewest set-up moves from one state to another, a turn before a crossing."""
    turn = (Move.TURN,) if here.stance is not there.stance else ()
    cross = (Move.CROSS,) if here.side is not there.side else ()
    return turn + cross


@dataclass(frozen=True, slots=True)
class Path:
    """A way to reach the start of a trick; `ranks` are 0 for heelside, 1 for toeside."""

    turns: int = 0
    crosses: int = 0
    setups: tuple[float, ...] = ()
    ranks: tuple[int, ...] = ()
    states: tuple[State, ...] = ()
    moves: tuple[tuple[Move, ...], ...] = ()

    def key(self, costs: Costs) -> tuple[float, int, tuple[float, ...], tuple[int, ...]]:
        """Fewest metres, then fewest moves, then moves as late as possible, then heelside."""
        metres = costs.moves(self.turns, self.crosses)
        return metres, self.turns + self.crosses, self.setups, self.ranks

    def on_to(self, before: State, moves: tuple[Move, ...], costs: Costs, foot: Foot) -> "Path":
        turns, crosses = moves.count(Move.TURN), moves.count(Move.CROSS)
        return Path(
            self.turns + turns,
            self.crosses + crosses,
            (*self.setups, costs.moves(turns, crosses)),
            (*self.ranks, int(ridden_edge(before, foot) is Edge.TOESIDE)),
            (*self.states, before),
            (*self.moves, moves),
        )


def plan_route(
    run: Run, format: Format, foot: Foot = Foot.LEFT, side: Side = Side.STARBOARD
) -> Route:
    """The cheapest route of a run, found exactly.

    Each pass is planned by a shortest path over the states from which its tricks can start,
    because a trick ridden from either edge leaves a choice. The first pass starts on `side`
    in the rider's own stance; later passes start as their first trick wants, since side and
    stance are chosen in the turn (trade practice, from memory).
    """
    costs = costs_of(format)
    passes = []
    for number, each in enumerate(run.passes, start=1):
        start = start_of(number, side)
        passes.append(_plan_pass(number, each, format, costs, foot, start))
    return Route(foot, side, tuple(passes))


def start_of(pass_no: int, side: Side) -> State | None:
    """Where a pass starts; None where the rider chooses."""
    return State(side, Stance.REGULAR) if pass_no == 1 else None


class Arrival(NamedTuple):
    """Landed in a state (None: not started yet) by the best path to it.

    `parent` is the place of the arrival that the path comes from, in the list before.
    """

    state: State | None
    path: Path
    parent: int = 0


def onwards(
    arrivals: Sequence[Arrival], trick: Trick, costs: Costs, foot: Foot
) -> list[Arrival]:
    """The best ways to ride one more trick, one for each state it can start from."""
    reached = []
    for before in states_before(trick, foot):
        ways = [
            path.on_to(before, moves_between(here, before) if here else (), costs, foot)
            for here, path, _ in arrivals
        ]
        parent = _least(ways, costs)
        reached.append(Arrival(state_after(before, trick), ways[parent], parent))
    return reached


def cheapest(arrivals: Sequence[Arrival], costs: Costs) -> int:
    """The place in the list of the arrival by the best path."""
    return _least([arrival.path for arrival in arrivals], costs)


def _least(paths: Sequence[Path], costs: Costs) -> int:
    """The place in the list of the best path."""
    if len(paths) == 1:
        return 0
    return min(range(len(paths)), key=lambda at: paths[at].key(costs))


def _shortest(
    tricks: tuple[PlannedTrick, ...], costs: Costs, foot: Foot, start: State | None
) -> Path:
    """The best path through the tricks of a pass; None starts anywhere without a move."""
    arrivals = [Arrival(start, Path())]
    for planned in tricks:
        arrivals = onwards(arrivals, planned.trick, costs, foot)
    return arrivals[cheapest(arrivals, costs)].path


def _plan_pass(
    number: int, each: Pass, format: Format, costs: Costs, foot: Foot, start: State | None
) -> PassRoute:
    length, begun = format.pass_length(number), format.passes.begun_counts
    path = _shortest(each.tricks, costs, foot, start)
    steps: list[Step] = []
    here, used, metres, on_course = start, 0.0, 0.0, True
    for at, planned in enumerate(each.tricks):
        trick, before = planned.trick, path.states[at]
        trick_m = costs.trick_m if trick.metres is None else trick.metres
        takeoff = position(used + path.setups[at])
        used = position(takeoff + trick_m)
        on_course = on_course and fits(takeoff, trick_m, length, begun)
        after = state_after(before, trick)
        if on_course:
            here, metres = after, used
        steps.append(
            Step(number, at + 1, planned, ridden_edge(before, foot), before, after,
                 path.moves[at], path.setups[at], trick_m, takeoff, used, on_course)
        )  # fmt: skip
    dropped = tuple(step.position for step in steps if not step.fits)
    steps += _bonus_steps(number, each, foot, here, metres)
    return PassRoute(number, length, tuple(steps), metres, dropped)


def _bonus_steps(
    number: int, each: Pass, foot: Foot, here: State | None, metres: float
) -> Iterator[Step]:
    """The bonus tricks of a pass, each from the nearest state that it can start from."""
    for at, planned in enumerate(each.bonus, start=len(each.tricks) + 1):
        choices = states_before(planned.trick, foot)
        before = choices[0]
        if here is not None:
            last = here
            before = min(choices, key=lambda state: len(moves_between(last, state)))
        here = state_after(before, planned.trick)
        yield Step(number, at, planned, ridden_edge(before, foot), before, here,
                   (), 0.0, 0.0, metres, metres, True)  # fmt: skip
