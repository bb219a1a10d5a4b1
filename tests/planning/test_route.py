"""Side, stance, set-up moves and metres of course."""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.rules.format import Format
from events.rules.riding import Passes
from events.rules.run import Pass, Run
from events.rules.staging import Boat
from events.rules.staging import Route as Figures
from events.rules.trick import Edge, Stance, Takeoff, Trick
from events.rules.units import Amount
from events.rules.words import EndedBy
from riders.planning.route import (
    Foot,
    Move,
    Side,
    State,
    moves_between,
    plan_route,
    ridden_edge,
    state_after,
)
from tests.planning.building import EITHER, HS, TS, planned, run_of, runs, trick

PORT, STARBOARD = Side.PORT, Side.STARBOARD
OWN, SWITCH = Stance.REGULAR, Stance.SWITCH
LEFT, RIGHT = Foot.LEFT, Foot.RIGHT
TURN, CROSS = Move.TURN, Move.CROSS
FIGURES = Format(route=Figures(trick_m=50.0, turn_m=10.0, cross_m=20.0))


@pytest.mark.parametrize(
    ("foot", "stance", "side", "edge", "after_even", "after_odd"),
    [
        (LEFT, OWN, STARBOARD, HS, TS, HS),
        (LEFT, OWN, PORT, TS, HS, TS),
        (LEFT, SWITCH, STARBOARD, TS, HS, TS),
        (LEFT, SWITCH, PORT, HS, TS, HS),
        (RIGHT, OWN, STARBOARD, TS, HS, TS),
        (RIGHT, OWN, PORT, HS, TS, HS),
        (RIGHT, SWITCH, STARBOARD, HS, TS, HS),
        (RIGHT, SWITCH, PORT, TS, HS, TS),
    ],
)
def test_edge_of_the_cut(
    foot: Foot, stance: Stance, side: Side, edge: Edge, after_even: Edge, after_odd: Edge
) -> None:
    """Derived from one fact: the chest points to starboard where the left foot leads.

    An even spin from wake to wake alternates the edge, an odd one keeps it.
    """
    here = State(side, stance)
    assert ridden_edge(here, foot) is edge
    even = state_after(here, trick(rotation=360, stance=stance))
    odd = state_after(here, trick(rotation=540, stance=stance))
    assert ridden_edge(even, foot) is after_even
    assert ridden_edge(odd, foot) is after_odd
    assert (even.side, odd.side) == (side.other, side.other)


HS_180 = trick("Heelside 180", HS, 180)
HALF_CAB = trick("Half cab", HS, 180, SWITCH)
BACKROLL = trick("Backroll", HS, invert=True)
TANTRUM = trick("Tantrum", HS, invert=True)
TS_360 = trick("Toeside frontside 360", TS, 360)
HS_360 = trick("Heelside backside 360", HS, 360)
ROLL_TO_REVERT = trick("Roll to revert", HS, 180, invert=True)
TS_BACKROLL = trick("Toeside backroll", TS, invert=True)
SCARECROW = trick("Scarecrow", TS, 180, invert=True)
SWITCH_TS_180 = trick("Switch toeside 180", TS, 180, SWITCH)


@pytest.mark.parametrize(
    ("foot", "tricks", "moves", "last"),
    [
        (LEFT, (TANTRUM, SCARECROW, SWITCH_TS_180), ((), (), ()), (PORT, OWN)),
        (LEFT, (HS_180, HALF_CAB, BACKROLL, TS_360), ((),) * 4, (STARBOARD, OWN)),
        (RIGHT, (BACKROLL, HS_360), ((), (CROSS,)), (STARBOARD, OWN)),
        (LEFT, (ROLL_TO_REVERT, TS_BACKROLL), ((), (TURN,)), (STARBOARD, OWN)),
        (
            RIGHT,
            (
                trick("Roll to blind", HS, 180, invert=True),
                trick("Half cab roll", HS, 180, SWITCH, invert=True),
                trick("Mobe", HS, 360, invert=True),
                trick("Toeside front mobe", TS, 360, invert=True),
            ),
            ((),) * 4,
            (PORT, OWN),
        ),
        # Rolled off one wake the rider stays on this side, and rides out over the wake.
        (LEFT, (trick("One wake 180", HS, 180, takeoff=Takeoff.ONE_WAKE), HALF_CAB),
         ((), (CROSS,)), (STARBOARD, OWN)),
        (LEFT, (trick("Crow mobe", TS, 360, invert=True), HALF_CAB),
         ((CROSS,), (TURN, CROSS)), (STARBOARD, OWN)),
        (LEFT, (trick("Crow mobe as a 540", TS, 540, invert=True), HALF_CAB),
         ((CROSS,), (CROSS,)), (STARBOARD, OWN)),
        (RIGHT, (trick("Toeside frontside 540", TS, 540), TANTRUM),
         ((), (TURN,)), (STARBOARD, OWN)),
    ],
)  # fmt: skip
def test_worked_examples(
    foot: Foot,
    tricks: tuple[Trick, ...],
    moves: tuple[tuple[Move, ...], ...],
    last: tuple[Side, Stance],
) -> None:
    """Derived by hand from side, stance and rotation; the tricks are real ones."""
    # Everybody starts where the first trick of most examples wants: on the heelside.
    side = STARBOARD if foot is LEFT or tricks[0].approach is TS else PORT
    route = plan_route(run_of(tricks), FIGURES, foot, side)
    assert tuple(step.moves for step in route.steps()) == moves
    assert route.passes[0].steps[-1].after == last


def test_the_double_up_after_a_tantrum_is_got_ready_for_freely() -> None:
    """Right foot forward, the tantrum lands to starboard and the double-up starts to port."""
    bonus = planned(
        trick("Double-up 540", HS, 540, takeoff=Takeoff.DOUBLE_UP), 0.5, "double-up"
    )
    run = Run((Pass((planned(TANTRUM),), (bonus,)),))
    step = plan_route(run, FIGURES, RIGHT, PORT).passes[0].steps[-1]
    assert (step.position, step.before, step.after) == (2, (PORT, OWN), (STARBOARD, SWITCH))
    assert (step.moves, step.setup_m, step.trick_m, step.end_m) == ((), 0.0, 0.0, 50.0)


def test_metres_of_a_pass() -> None:
    """Take-offs are sums of tricks and moves before; a trick's own metres hold."""
    long = trick("Long air", EITHER, metres=80.0)
    route = plan_route(run_of([BACKROLL, BACKROLL, long], [TS_360]), FIGURES)
    first, second = route.passes
    assert [step.takeoff_m for step in first.steps] == [0, 70, 120]
    assert [step.end_m for step in first.steps] == [50, 120, 200]
    assert first.metres == 200
    # In the turn the rider chooses the side, so the second pass starts without a crossing.
    assert second.steps[0].moves == ()


def test_the_first_pass_starts_on_the_given_side() -> None:
    """A crossing before the very first trick uses course."""
    step = next(plan_route(run_of([TS_360]), FIGURES, LEFT, STARBOARD).steps())
    assert (step.moves, step.takeoff_m) == ((CROSS,), 20.0)
    step = next(plan_route(run_of([TS_360]), FIGURES, LEFT, PORT).steps())
    assert (step.moves, step.takeoff_m) == ((), 0.0)


@pytest.mark.parametrize(
    ("begun_counts", "dropped"), [(None, (3, 4)), (False, (3, 4)), (True, (4,))]
)
def test_where_a_pass_ends(begun_counts: bool | None, dropped: tuple[int, ...]) -> None:
    """A trick begun before the end marker counts where the format says so."""
    format = Format(
        passes=Passes(length_m=(150.0,), begun_counts=begun_counts),
        route=Figures(trick_m=50.0),
    )
    short = trick("Hop", EITHER, metres=1.0)
    run = run_of([trick(), trick(), trick("Long air", metres=51.0), short])
    route = plan_route(run, format)
    assert route.passes[0].dropped == dropped
    assert tuple(step.position for step in route.dropped) == dropped
    assert route.passes[0].metres == (151.0 if begun_counts else 100.0)


def test_a_trick_that_ends_on_the_marker_fits() -> None:
    """Sums of decimals do not cost a trick by a rounding error."""
    format = Format(passes=Passes(length_m=(0.3,)), route=Figures(trick_m=0.1))
    assert plan_route(run_of([trick()] * 3), format).dropped == ()


def test_a_pass_by_time_is_as_long_as_the_boat_goes() -> None:
    """25 seconds at 36 km/h are 250 m, so five tricks of 50 m fit and the sixth does not."""
    format = Format(
        passes=Passes(seconds=(25.0,), ended_by=EndedBy.TIME),
        boat=Boat(speed=Amount(36, "km/h")),
        route=Figures(trick_m=50.0),
    )
    assert plan_route(run_of([trick()] * 6), format).passes[0].dropped == (6,)


def test_an_unstated_length_has_room_for_everything() -> None:
    """Nothing is dropped where the format does not say how long the pass is."""
    route = plan_route(run_of([trick()] * 40), Format())
    assert route.passes[0].length_m is None
    assert route.dropped == ()


def dearness(moves: tuple[Move, ...]) -> float:
    return sum(10.0 if move is TURN else 20.0 for move in moves)


def cheapest_by_trying(tricks: tuple[Trick, ...], foot: Foot, start: State | None) -> float:
    """Every sequence of up to two moves before every trick, tried out move by move."""
    any_moves = [moves for size in range(3) for moves in product(Move, repeat=size)]
    starts = [start] if start else [State(side, s) for side in Side for s in Stance]
    best = float("inf")
    for here in starts:
        reached = {here: 0.0}
        for number, each in enumerate(tricks):
            following: dict[State, float] = {}
            for state, used in reached.items():
                for moves in any_moves if start or number else [()]:
                    side, stance = state
                    for move in moves:
                        side = side.other if move is CROSS else side
                        stance = stance.other if move is TURN else stance
                    ready = State(side, stance)
                    edge_is_right = each.approach in (EITHER, ridden_edge(ready, foot))
                    if stance is not each.stance or not edge_is_right:
                        continue
                    after, total = state_after(ready, each), used + dearness(moves)
                    following[after] = min(total, following.get(after, float("inf")))
            reached = following
        best = min([best, *reached.values()])
    return best


@given(runs(most=8, bonus=False), st.sampled_from(Foot), st.sampled_from(Side))
def test_the_route_is_the_cheapest(run: Run, foot: Foot, side: Side) -> None:
    """No sequence of moves through a pass costs less than the one that is found."""
    route = plan_route(run, FIGURES, foot, side)
    for number, (each, found) in enumerate(zip(run.passes, route.passes, strict=True)):
        start = State(side, OWN) if number == 0 else None
        tricks = tuple(place.trick for place in each.tricks)
        setups = sum(step.setup_m for step in found.steps)
        assert setups == cheapest_by_trying(tricks, foot, start)


@given(runs(most=8), st.sampled_from(Foot), st.sampled_from(Side))
def test_a_route_holds_together(run: Run, foot: Foot, side: Side) -> None:
    """The moves lead from each landing to the next start, on an edge that the trick has."""
    route = plan_route(run, FIGURES, foot, side)
    assert [step.place for step in route.steps()] == list(run.places())
    for found, each in zip(route.passes, run.passes, strict=True):
        here = State(side, OWN) if found.pass_no == 1 else None
        for step in found.steps[: len(each.tricks)]:
            assert step.edge is ridden_edge(step.before, foot)
            assert step.planned.trick.approach in (EITHER, step.edge)
            assert step.before.stance is step.planned.trick.stance
            assert step.moves == (moves_between(here, step.before) if here else ())
            here = step.after


@given(runs(most=8), st.sampled_from(Side))
def test_the_other_foot_is_the_mirror_image(run: Run, side: Side) -> None:
    """Right foot forward from the other side: the same moves, metres and edges."""
    left = plan_route(run, FIGURES, LEFT, side)
    right = plan_route(run, FIGURES, RIGHT, side.other)
    for mine, mirrored in zip(left.steps(), right.steps(), strict=True):
        assert mine.edge is mirrored.edge
        assert mine.moves == mirrored.moves
        assert mine.takeoff_m == mirrored.takeoff_m
        assert mine.before.side is mirrored.before.side.other


def test_a_crossing_that_can_wait_comes_late() -> None:
    """Of equally dear routes the one with late moves loses the least course if cut short."""
    route = plan_route(run_of([BACKROLL, trick("Air", EITHER), TS_360]), FIGURES)
    assert [step.moves for step in route.steps()] == [(), (), (CROSS,)]
    again = plan_route(run_of([BACKROLL, trick("Air", EITHER), TS_360]), FIGURES)
    assert route == again
