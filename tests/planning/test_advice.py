"""Advice on a route, what the figures need, and the trade's advice out of the model."""

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from events.rules.condition import Condition
from events.rules.findings import Finding, Grade, is_legal
from events.rules.format import Format
from events.rules.riding import DoubleUp, Falls, Limit, Passes, PickupCutoff
from events.rules.run import Pass, Run
from events.rules.staging import Boat
from events.rules.staging import Route as Figures
from events.rules.trick import Air, Direction, Stance, Takeoff, Trick
from events.rules.units import Amount
from events.rules.words import EndedBy, NextFall, Per
from riders.planning.advice import route_findings
from riders.planning.route import plan_route
from riders.planning.survival import survive
from tests.planning.building import (
    HS,
    TS,
    one_fall,
    planned,
    run_of,
    run_of_chances,
    trick,
)

ROOMY = replace(one_fall(2000.0), route=Figures(trick_m=60.0, turn_m=15.0, cross_m=25.0))


def advice(run: Run, format: Format = ROOMY) -> list[Finding]:
    return route_findings(run, format, plan_route(run, format))


def found(run: Run, code: str, format: Format = ROOMY) -> list[tuple[int | None, int | None]]:
    return [(f.pass_no, f.position) for f in advice(run, format) if f.code == code]


def test_set_up_moves_are_named_at_the_trick_they_are_for() -> None:
    """Heelside twice needs a crossing; from switch back to the own stance needs a turn."""
    run = run_of([trick("Backroll", HS), trick("Heelside 360", HS, 360)])
    assert found(run, "crossing-needed") == [(1, 2)]
    assert found(run, "turn-needed") == []
    run = run_of([trick("Roll to revert", HS, 180), trick("Toeside backroll", TS)])
    assert found(run, "turn-needed") == [(1, 2)]
    turn = next(f for f in advice(run) if f.code == "turn-needed")
    assert "starts in your own stance" in turn.message
    assert "you land switch" in turn.message


def test_a_move_before_the_first_trick() -> None:
    """A first trick in switch on the toeside edge: a turn, and no crossing."""
    run = run_of([trick("Switch toeside 180", TS, 180, Stance.SWITCH)])
    assert found(run, "turn-needed") == [(1, 1)]
    assert found(run, "crossing-needed") == []


def test_big_air_after_wake_to_wake() -> None:
    """Common practice, no source: big airs early, wake-to-wake later."""
    big, crossing = trick("Big air", air=Air.BIG), trick("Heelside 180", HS, 180)
    code = "big-air-after-wake-to-wake"
    assert found(run_of([crossing, big]), code) == [(1, 2)]
    assert found(run_of([big, big, crossing]), code) == []
    flat = trick("Ollie", takeoff=Takeoff.FLATS)
    assert found(run_of([crossing, flat, big]), code) == []


@pytest.mark.parametrize(("chance", "told"), [(0.79, True), (0.8, False), (None, False)])
def test_the_first_trick_is_a_reliable_one(chance: float | None, told: bool) -> None:
    """Common practice, no source: landed four times of five."""
    run = Run((Pass((planned(chance=chance), planned(chance=0.1))),))
    assert found(run, "first-trick-unreliable") == ([(1, 1)] if told else [])


def tiers(*values: int) -> Run:
    return run_of([trick(f"Trick {tier}", tier=tier) for tier in values])


@pytest.mark.parametrize(
    ("run", "code"),
    [
        (tiers(9, 2, 3), "hardest-trick-early"),
        (tiers(2, 9, 3), "hardest-trick-mid-pass"),
        (tiers(2, 3, 9), None),
        (tiers(9, 3, 9), None),
        (tiers(9, 2), None),
    ],
)
def test_the_hardest_trick_comes_last(run: Run, code: str | None) -> None:
    """Common practice, no source: never first, never mid-pass; a tie says nothing."""
    codes = [f.code for f in advice(run) if f.code.startswith("hardest")]
    assert codes == ([code] if code else [])


@pytest.mark.parametrize(
    ("place", "code"),
    [(1, "hardest-trick-early"), (3, "hardest-trick-mid-pass"), (4, None),
     (5, "hardest-past-cutoff")],
)  # fmt: skip
@pytest.mark.parametrize("kind", ["double-up", "pick-up"])
def test_the_hardest_trick_before_a_cutoff(place: int, code: str | None, kind: str) -> None:
    """Common practice, no source: last, but before the cutoff where there is one."""
    values = [1] * 5
    values[place - 1] = 9
    run = tiers(*values)  # take-offs at 0, 60, 120, 180 and 240 m
    if kind == "double-up":
        extra = planned(trick("Bonus", takeoff=Takeoff.DOUBLE_UP), bonus="double-up")
        run = Run((replace(run.passes[0], bonus=(extra,)),))
        format = replace(ROOMY, double_ups=(DoubleUp(after_pass=1, cutoff_m=200.0),))
    else:
        format = replace(ROOMY, pickup_cutoffs=(PickupCutoff(pass_no=1, at_m=200.0),))
    told = [f for f in advice(run, format) if f.code.startswith("hardest")]
    assert [f.code for f in told] == ([code] if code else [])
    assert all("place 4" in f.hint for f in told)


def test_a_double_up_that_is_not_planned_has_no_cutoff_to_mind() -> None:
    """A rider who leaves out the double-up cannot lose it."""
    format = replace(ROOMY, double_ups=(DoubleUp(after_pass=1, cutoff_m=10.0),))
    assert found(tiers(1, 1, 9), "hardest-past-cutoff", format) == []


def test_a_pass_that_is_longer_than_the_course() -> None:
    """What no longer fits cannot be reached; the pass is told once."""
    run = run_of_chances([0.9] * 6, [0.9])
    format = replace(ROOMY, passes=Passes(length_m=(290.0,), begun_counts=False))
    assert found(run, "pass-too-long", format) == [(1, None)]
    assert found(run, "does-not-fit", format) == [(1, 5), (1, 6)]
    told = {f.code: f for f in advice(run, format)}
    assert told["does-not-fit"].grade is Grade.UNREACHABLE
    first = next(f for f in advice(run, format) if f.code == "does-not-fit")
    assert "50 m are left" in first.message
    assert "360 m" in told["pass-too-long"].message


def grades(run: Run, format: Format) -> list[tuple[int | None, Grade]]:
    return [(f.position, f.grade) for f in advice(run, format) if f.code == "does-not-fit"]


def test_a_trick_across_the_end_where_it_is_open_whether_it_counts() -> None:
    """It begins at 240 m of 290 m: not stated; the next one is past the end either way."""
    run = run_of_chances([0.9] * 6)
    format = replace(ROOMY, passes=Passes(length_m=(290.0,)))
    assert grades(run, format) == [(5, Grade.UNREACHABLE), (6, Grade.UNREACHABLE)]
    assert found(run, "begun-unstated", format) == [(1, 5)]
    stated = replace(format, passes=Passes(length_m=(290.0,), begun_counts=False))
    assert found(run, "begun-unstated", stated) == []


@pytest.mark.parametrize("begun", [None, False])
def test_a_trick_that_fits_the_longest_pass_of_a_range(begun: bool | None) -> None:
    """20 to 26 s at 10 to 11 m/s: 200 m surely, 286 m at the most."""
    passes = Passes(seconds=(20.0,), seconds_most=26.0, begun_counts=begun)
    boat = Boat(speed_least=Amount(36.0, "km/h"), speed_most=Amount(39.6, "km/h"))
    format = replace(ROOMY, passes=passes, boat=boat)
    assert format.pass_length(1) == pytest.approx(200)
    assert format.pass_length_most(1) == pytest.approx(286)
    expected = [(4, Grade.WARNING), (5, Grade.UNREACHABLE)]
    assert grades(run_of_chances([0.9] * 5), format) == expected
    told = {f.code: f.message for f in advice(run_of_chances([0.9] * 4), format)}
    assert "fits a pass of 286 m" in told["does-not-fit"]
    assert "the pass is about 200 m long at the stated speed" in told["pass-too-long"]


def test_a_length_and_a_time_without_a_word_which_ends_the_pass() -> None:
    """20 s at 10 m/s are 200 m, not the 300 m of the marker; said where a pass is ridden."""
    passes = Passes(length_m=(300.0,), seconds=(20.0,))
    format = replace(ROOMY, passes=passes, boat=Boat(speed=Amount(36.0, "km/h")))
    run = run_of_chances([0.9], [])
    assert found(run, "end-unstated", format) == [(1, None)]
    same = replace(format, passes=replace(passes, length_m=(200.0,)))
    stated = replace(format, passes=replace(passes, ended_by=EndedBy.TIME))
    assert found(run, "end-unstated", same) == found(run, "end-unstated", stated) == []


def test_an_unstated_length_is_said_once() -> None:
    """Whether everything fits cannot be told."""
    run = run_of_chances([0.9], [0.9])
    unstated = [f for f in advice(run, one_fall()) if f.code == "length-unstated"]
    assert [(f.grade, f.pass_no) for f in unstated] == [(Grade.UNSTATED, None)]
    assert found(run, "length-unstated") == []


def rich() -> list[Trick]:
    return [
        trick("Grabbed air", HS, grab="indy"),
        trick("Toeside 180", TS, 180, direction=Direction.FRONTSIDE),
        trick("Half cab", HS, 180, Stance.SWITCH, direction=Direction.BACKSIDE),
        trick("Tantrum", HS, invert=True),
        trick("Toeside 360", TS, 360, direction=Direction.BACKSIDE),
    ]


def little(run: Run, format: Format = ROOMY) -> set[str]:
    return {f.code for f in advice(run, format) if f.code.startswith("variety")}


def test_a_run_with_a_range_of_skills() -> None:
    """Common practice, no source: edges, stance, spin directions, grabs and inverts."""
    assert little(run_of(rich())) == set()
    assert little(run_of([trick("Air", HS)] * 4)) == set()  # too few to show everything
    poor = little(run_of([trick("Heelside 360", HS, 360, direction=Direction.BACKSIDE)] * 5))
    assert poor == {
        f"variety-{what}" for what in ("edges", "stance", "spins", "grabs", "inverts")
    }


def test_no_invert_is_asked_for_where_they_are_banned() -> None:
    """After the Gravel Tour divisions: novices ride without inverts."""
    tricks = [each for each in rich() if not each.invert] + [trick("Air", TS)]
    assert little(run_of(tricks)) == {"variety-inverts"}
    banned = replace(ROOMY, limits=(Limit(when=Condition(invert=True), most=0),))
    assert little(run_of(tricks), banned) == set()


def test_advice_never_makes_a_run_illegal() -> None:
    """Only the format makes a thing illegal."""
    run = run_of([trick("Air", HS, tier=9)] * 12, [trick("Air", TS)] * 12)
    told = advice(run, replace(ROOMY, passes=Passes(length_m=(300.0,))))
    assert told
    assert is_legal(told)
    assert all(f.message.endswith(".") and f.hint for f in told)


# What the trade advises comes out of the exact figures.

chances = st.floats(0.05, 0.95)


def moved(values: Sequence[float], at: int, to: int) -> list[float]:
    rest = [*values[:at], *values[at + 1 :]]
    return [*rest[:to], values[at], *rest[to:]]


@given(
    st.lists(chances, min_size=2, max_size=6),
    st.lists(chances, max_size=4),
    st.integers(0, 3),
    st.sampled_from(Per),
    st.sampled_from(NextFall),
    st.sampled_from([None, 250.0, 330.0]),
)
def test_the_hardest_trick_is_best_at_the_end_of_its_pass(
    first: list[float],
    second: list[float],
    allowed: int,
    per: Per,
    effect: NextFall,
    length: float | None,
) -> None:
    """With equal metres and no double-up, moving it there never lowers what is landed."""
    format = Format(
        passes=Passes(length_m=None if length is None else (length,)),
        falls=Falls(allowed=allowed, counted_per=per, next_fall=effect, restart_m=45.0),
    )
    hardest = first.index(min(first))

    def expected(values: list[float]) -> float:
        run = run_of_chances(values, second)
        figure = survive(run, format, plan_route(run, format)).expected_landed
        assert figure is not None
        return figure

    last = moved(first, hardest, len(first) - 1)
    assert expected(last) >= expected(first) - 1e-12


@given(st.lists(chances, min_size=4, max_size=6), st.integers(0, 2), st.integers(1, 2))
def test_past_the_cutoff_the_hardest_trick_costs_the_double_up(
    values: list[float], at: int, allowed: int
) -> None:
    """Moved past the cutoff it lowers the chance to reach the double-up."""
    hardest = values.index(min(values))
    assume(sorted(values)[1] > min(values) + 0.01)
    before = moved(values, hardest, at)
    after = moved(values, hardest, len(values) - 1)
    falls = Falls(allowed=allowed, next_fall=NextFall.ENDS_RUN, restart_m=0.0)
    last_takeoff = 60.0 * (len(values) - 1)
    format = Format(
        falls=falls,
        double_ups=(DoubleUp(after_pass=1, cutoff_m=last_takeoff - 1),),
    )

    def reached(chances: list[float]) -> float:
        tricks = run_of_chances(chances).passes[0].tricks
        run = Run((Pass(tricks, (planned(bonus="double-up"),)),))
        figure = survive(run, format, plan_route(run, format)).double_up_reached
        assert figure is not None
        return figure

    assert reached(after) < reached(before)
