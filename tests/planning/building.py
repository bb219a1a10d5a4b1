"""Runs and formats for the tests, and random ones for Hypothesis."""

from collections.abc import Sequence

from hypothesis import strategies as st

from events.rules.format import Format
from events.rules.riding import DoubleUp, Falls, Passes, PickupCutoff
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.trick import Air, Direction, Edge, Family, Stance, Takeoff, Trick
from events.rules.words import (
    BonusCondition,
    Counts,
    CutoffEffect,
    NextFall,
    Per,
    WhichFall,
)

HS, TS, EITHER = Edge.HEELSIDE, Edge.TOESIDE, Edge.EITHER


def trick(
    name: str = "Straight air",
    approach: Edge = EITHER,
    rotation: int = 0,
    stance: Stance = Stance.REGULAR,
    takeoff: Takeoff = Takeoff.WAKE_TO_WAKE,
    tier: int = 1,
    metres: float | None = None,
    air: Air = Air.STANDARD,
    invert: bool = False,
    direction: Direction = Direction.NONE,
    grab: str = "",
) -> Trick:
    """A trick with the attributes that planning looks at."""
    return Trick(
        key=name.lower().replace(" ", "-"),
        name=name,
        family=Family.STRAIGHT_AIR,
        approach=approach,
        takeoff=takeoff,
        stance=stance,
        rotation=rotation,
        tier=tier,
        metres=metres,
        air=air,
        invert=invert,
        direction=direction,
        grab=grab,
    )


def planned(each: Trick | None = None, chance: float | None = 0.8, bonus: str = "",
            fell: bool = False) -> PlannedTrick:  # fmt: skip
    """One place in a run."""
    return PlannedTrick(each or trick(), chance=chance, bonus=bonus, fell=fell)


def run_of(*passes: Sequence[Trick]) -> Run:
    """A run of tricks without bonus tricks."""
    return Run(tuple(Pass(tuple(planned(each) for each in tricks)) for tricks in passes))


def run_of_chances(*passes: Sequence[float]) -> Run:
    """A run of tricks from either edge, which need no set-up, with these chances."""
    return Run(
        tuple(Pass(tuple(planned(chance=chance) for chance in chances)) for chances in passes)
    )


def one_fall(length: float | None = None, **more: object) -> Format:
    """Common practice, no source: one fall allowed, the second ends the run."""
    lengths = None if length is None else (length,)
    falls = Falls(allowed=1, counted_per=Per.RUN, next_fall=NextFall.ENDS_RUN, restart_m=0.0)
    return Format(passes=Passes(length_m=lengths), falls=falls, **more)  # type: ignore[arg-type]


tricks = st.builds(
    trick,
    approach=st.sampled_from(Edge),
    rotation=st.sampled_from([0, 180, 360, 540]),
    stance=st.sampled_from(Stance),
    takeoff=st.sampled_from(list(Takeoff)),
    tier=st.integers(1, 10),
    metres=st.sampled_from([None, None, 30.0, 70.0, 85.5]),
)
chances = st.one_of(st.sampled_from([0.0, 0.5, 0.8, 1.0]), st.floats(0.05, 0.95))


@st.composite
def runs(draw: st.DrawFn, most: int = 9, bonus: bool = True) -> Run:
    """A run of at most so many tricks in one to three passes."""
    left, passes = most, []
    for _ in range(draw(st.integers(1, 3))):
        size = draw(st.integers(0, min(left, 5)))
        left -= size
        extras = draw(st.integers(0, min(left, 2))) if bonus else 0
        left -= extras
        names = draw(st.permutations(["double-up", "Extra"]))
        passes.append(
            Pass(
                tuple(planned(draw(tricks), draw(chances)) for _ in range(size)),
                tuple(
                    planned(trick("Bonus", takeoff=Takeoff.DOUBLE_UP), draw(chances), name)
                    for name in names[:extras]
                ),
            )
        )
    return Run(tuple(passes))


@st.composite
def cutoffs(draw: st.DrawFn) -> PickupCutoff:
    """A no-pick-up marker, in metres or as a part of the pass."""
    in_metres = draw(st.booleans())
    return PickupCutoff(
        pass_no=draw(st.sampled_from([None, 1, 2])),
        at_m=draw(st.sampled_from([60.0, 125.0, 200.0])) if in_metres else None,
        at_fraction=None if in_metres else draw(st.sampled_from([0.25, 0.5, 0.75])),
        fall=draw(st.sampled_from(WhichFall)),
        effect=draw(st.sampled_from(CutoffEffect)),
    )


@st.composite
def bonuses(draw: st.DrawFn, name: str) -> DoubleUp:
    """A bonus trick with a condition and perhaps a cutoff."""
    return DoubleUp(
        name=name,
        after_pass=draw(st.sampled_from([None, None, 1, 2])),
        condition=draw(st.sampled_from([None, *BonusCondition])),
        falls_fewer_than=draw(st.integers(1, 3)),
        cutoff_fraction=draw(st.sampled_from([None, 0.25, 0.5, 0.75])),
        fall_counts=draw(st.sampled_from([None, True, False])),
    )


@st.composite
def formats(draw: st.DrawFn) -> Format:
    """A format that states everything the survival figures need."""
    apart, both = draw(st.booleans()), ("Double-Up", "extra")
    falls = Falls(
        allowed=draw(st.integers(0, 3)),
        counted_per=draw(st.sampled_from(Per)),
        next_fall=draw(st.sampled_from(NextFall)),
        course=draw(st.sampled_from([None, None, None, *Counts])),
        restart_m=draw(st.sampled_from([0.0, 12.5, 40.0, 90.0])),
        water_allowed=draw(st.sampled_from([None, 0, 1, 2])) if apart else None,
        obstacle_allowed=draw(st.sampled_from([None, 0, 1])) if apart else None,
    )
    lengths = draw(st.lists(st.sampled_from([100.0, 200.0, 240.0, 370.0, 600.0]), min_size=1,
                            max_size=3))  # fmt: skip
    return Format(
        passes=Passes(
            length_m=tuple(lengths), begun_counts=draw(st.sampled_from([None, True]))
        ),
        falls=falls,
        pickup_cutoffs=tuple(draw(st.lists(cutoffs(), max_size=2))),
        double_ups=tuple(
            draw(bonuses(name))
            for name in draw(st.sampled_from([(), ("Double-Up",), both, both, both]))
        ),
    )
