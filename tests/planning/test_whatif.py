"""Runs with marked falls: what is still ridden, and how they end."""

from collections.abc import Collection
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.rules.findings import Grade
from events.rules.format import Format
from events.rules.riding import DoubleUp, Falls, Passes, PickupCutoff
from events.rules.run import Pass, Run
from events.rules.trick import Takeoff
from events.rules.words import (
    BonusCondition,
    Counts,
    CutoffEffect,
    NextFall,
    Per,
    RunIn,
    WhichFall,
)
from riders.planning.route import plan_route
from riders.planning.whatif import Ending, Story, follow
from tests.planning.building import formats, planned, runs, trick
from tests.planning.simulator import simulate

# Inter-club wake page on riding in a contest, Belgium (vzw-iwv.be/882): two passes of about
# 370 m with about five tricks each; the second counted fall ends the run; a first fall in
# the run-in is free, one in the turn counts; a first fall on pass 2 past the three-quarter
# marker is not picked up; a trick begun before the end marker counts.
INTER_CLUB = Format(
    passes=Passes(count=2, length_m=(370.0,), tricks_expected=5, begun_counts=True),
    falls=Falls(
        allowed=1,
        counted_per=Per.RUN,
        next_fall=NextFall.ENDS_RUN,
        run_in=RunIn.FIRST_FREE,
        course=Counts.COUNTS,
        turn=Counts.COUNTS,
        restart_m=0.0,  # not on the page
    ),
    pickup_cutoffs=(
        PickupCutoff(
            pass_no=2, at_fraction=0.75, fall=WhichFall.FIRST, effect=CutoffEffect.ENDS_RUN
        ),
    ),
)
AIR = trick(metres=74.0)  # five of them: take-offs at 0, 20, 40, 60 and 80 per cent


def a_pass(falls: Collection[int] = (), run_in: int = 0, turn: int = 0, count: int = 5) -> Pass:
    tricks = tuple(planned(AIR, fell=at in falls) for at in range(1, count + 1))
    return Pass(tricks, run_in_falls=run_in, turn_falls=turn)


def tell(format: Format, *passes: Pass, round: str | None = None) -> Story:
    run = Run(passes)
    return follow(run, format, plan_route(run, format), round)


def codes(story: Story) -> list[str]:
    return [finding.code for finding in story.findings]


def test_one_fall_on_the_first_pass_then_clean_survives() -> None:
    """Belgian inter-club page, first outcome."""
    story = tell(INTER_CLUB, a_pass(falls={2}), a_pass())
    assert story.ending is Ending.TO_THE_END
    assert (len(story.ridden), len(story.landed), story.falls) == (10, 9, 1)
    assert codes(story) == ["fall-counted"]
    assert story.certain


def test_a_free_fall_in_the_run_in_and_one_more_survives() -> None:
    """Belgian inter-club page, second outcome."""
    story = tell(INTER_CLUB, a_pass(run_in=1, falls={3}), a_pass())
    assert story.ending is Ending.TO_THE_END
    assert (len(story.ridden), story.falls) == (10, 1)
    assert codes(story) == ["fall-free", "fall-counted"]


def test_a_fall_in_the_turn_and_one_on_the_second_pass_end_the_run() -> None:
    """Belgian inter-club page, third outcome: the rest is not reached."""
    story = tell(INTER_CLUB, a_pass(turn=1), a_pass(falls={2}))
    assert story.ending is Ending.FALLS
    assert story.falls == 2
    assert [place.position for place in story.not_reached] == [3, 4, 5]
    assert codes(story) == ["fall-counted", "fall-counted", "run-ended"] + ["not-reached"] * 3
    assert {f.grade for f in story.findings if f.code == "not-reached"} == {Grade.UNREACHABLE}


def test_a_first_fall_late_on_the_second_pass_is_not_picked_up() -> None:
    """Belgian inter-club page, fourth outcome: at 0.80 the run ends with one fall."""
    story = tell(INTER_CLUB, a_pass(), a_pass(falls={5}))
    assert story.ending is Ending.NOT_PICKED_UP
    assert story.falls == 1
    assert codes(story) == ["fall-counted", "not-picked-up"]
    assert "at 296 m" in story.findings[0].message


def test_a_first_fall_late_on_the_first_pass_is_picked_up() -> None:
    """Belgian inter-club page, fifth outcome: the marker stands in pass 2 only."""
    story = tell(INTER_CLUB, a_pass(falls={5}), a_pass())
    assert story.ending is Ending.TO_THE_END
    assert len(story.ridden) == 10


def test_a_second_fall_in_the_run_in_counts() -> None:
    """Only the first one is free; two more end the run before the first marker."""
    story = tell(INTER_CLUB, a_pass(run_in=3), a_pass())
    assert story.ending is Ending.FALLS
    assert story.ridden == ()
    assert len(story.not_reached) == 10


def test_a_third_fall_in_total_ends_a_run_with_obstacles() -> None:
    """Belgian inter-club page: separate allowances, the third fall in total ends the run."""
    falls = replace(INTER_CLUB.falls, allowed=2, water_allowed=1, obstacle_allowed=1)
    format = replace(INTER_CLUB, falls=falls, pickup_cutoffs=())
    rail = planned(trick("Boardslide", takeoff=Takeoff.RAIL), fell=True)
    air, fallen = planned(AIR), planned(AIR, fell=True)
    survives = tell(format, Pass((rail, fallen, air)), Pass((air,)))
    assert (survives.ending, survives.falls) == (Ending.TO_THE_END, 2)
    third = tell(format, Pass((rail, fallen, air)), Pass((fallen, air)))
    assert (third.ending, third.falls) == (Ending.FALLS, 3)
    two_on_water = tell(format, Pass((fallen, air)), Pass((fallen, air)))
    assert (two_on_water.ending, two_on_water.falls) == (Ending.FALLS, 2)
    two_on_obstacles = tell(format, Pass((rail, rail, air)))
    assert (two_on_obstacles.ending, two_on_obstacles.falls) == (Ending.FALLS, 2)


# Brazilian freestyle rules (archived): the first fall ends the pass; a double-up in the open
# final after pass 2, only with no fall in pass 2.
FREESTYLE = Format(
    falls=Falls(allowed=0, counted_per=Per.PASS, next_fall=NextFall.ENDS_PASS, restart_m=0.0),
    double_ups=(
        DoubleUp(after_pass=2, rounds=("final",), condition=BonusCondition.NO_FALL_IN_PASS),
    ),
)


def with_bonus(each: Pass, fell: bool = False) -> Pass:
    bonus = planned(trick("Bonus", takeoff=Takeoff.DOUBLE_UP), bonus="double-up", fell=fell)
    return replace(each, bonus=(bonus,))


@pytest.mark.parametrize(
    ("first", "second", "round", "bar"),
    [
        ({2}, (), "final", None),
        ((), {5}, "final", "a fall ended the pass"),
        ((), (), "heats", "it is not offered in this round"),
    ],
)
def test_double_up_of_the_freestyle_rules(
    first: Collection[int], second: Collection[int], round: str, bar: str | None
) -> None:
    """A fall in pass 1 keeps the double-up, one in pass 2 loses it, a heat has none."""
    story = tell(FREESTYLE, a_pass(first), with_bonus(a_pass(second)), round=round)
    assert [offer.bar for offer in story.offers] == [bar]
    assert ("double-up-offered" if bar is None else "double-up-lost") in codes(story)


def test_a_fall_that_ends_the_pass_leaves_the_next_pass() -> None:
    """The rest of pass 1 is not reached, pass 2 is ridden."""
    story = tell(FREESTYLE, a_pass({2}), a_pass())
    assert [(p.pass_no, p.position) for p in story.not_reached] == [(1, 3), (1, 4), (1, 5)]
    assert codes(story)[:2] == ["fall-counted", "pass-ended"]
    assert len(story.ridden) == 7


def test_a_fall_past_the_cutoff_loses_the_double_up() -> None:
    """Common practice, no source: past the cutoff marker the double-up is lost."""
    bonus = DoubleUp(after_pass=1, cutoff_fraction=0.75)
    format = replace(INTER_CLUB, double_ups=(bonus,))
    late = tell(format, with_bonus(a_pass({5})))
    assert late.offers[0].bar == "there was a fall past its cutoff marker"
    early = tell(format, with_bonus(a_pass({4})))
    assert early.offers[0].bar is None
    assert len(early.ridden) == 6


def test_a_fall_on_the_double_up_counts_unless_the_format_says_otherwise() -> None:
    """After one fall on pass 1, a fall on the double-up ends the run, or does not count."""
    for counts, ridden in ((None, 6), (True, 6), (False, 11)):
        bonus = DoubleUp(after_pass=1, fall_counts=counts)
        format = replace(INTER_CLUB, double_ups=(bonus,))
        story = tell(format, with_bonus(a_pass({1}), fell=True), a_pass())
        assert len(story.ridden) == ridden


def test_a_restart_costs_the_last_tricks() -> None:
    """After a fall the metres of the restart are gone, and the pass ends sooner."""
    falls = replace(INTER_CLUB.falls, restart_m=100.0)
    story = tell(replace(INTER_CLUB, falls=falls), a_pass({1}), a_pass())
    assert [(p.pass_no, p.position) for p in story.not_reached] == [(1, 5)]
    assert "not reached: only 0 m of the pass are left" in story.findings[-1].message


def test_what_is_not_stated_is_said() -> None:
    """Open values are named, and what was taken instead."""
    open_falls = Falls(allowed=1, counted_per=Per.RUN, next_fall=NextFall.ENDS_RUN)
    format = replace(INTER_CLUB, falls=open_falls, pickup_cutoffs=())
    story = tell(format, a_pass(run_in=1), a_pass())
    assert codes(story) == ["fall-unstated", "fall-counted"]
    assert not story.certain
    assert not tell(format, a_pass(turn=1), a_pass()).certain
    assert not tell(format, a_pass(falls={1}), a_pass()).certain  # the restart
    unknown = tell(replace(format, falls=Falls(restart_m=0.0)), a_pass({1, 2}), a_pass())
    assert codes(unknown) == ["fall-counted", "falls-unstated"] * 2
    assert len(unknown.ridden) == 10
    bonus = tell(format, with_bonus(a_pass()))
    assert codes(bonus) == ["bonus-unstated", "double-up-lost"]


def test_a_fall_after_the_end() -> None:
    """Falls after the last pass are falls after the end, with a rule of their own."""
    falls = replace(INTER_CLUB.falls, after_end=Counts.FREE)
    format = replace(INTER_CLUB, falls=falls)
    story = tell(format, a_pass(turn=1), a_pass(turn=1))
    assert codes(story) == ["fall-counted", "fall-free"]
    assert story.ending is Ending.TO_THE_END


@given(runs(most=9), formats(), st.data())
def test_the_story_agrees_with_the_plain_simulator(
    run: Run, format: Format, data: st.DataObject
) -> None:
    """The same tricks are ridden and landed as in the simulator of the survival tests."""
    outcomes = tuple(data.draw(st.lists(st.booleans(), min_size=len(run), max_size=len(run))))
    at = iter(outcomes)
    marked = Run(
        tuple(
            replace(
                each,
                tricks=tuple(replace(place, fell=not next(at)) for place in each.tricks),
                bonus=tuple(replace(place, fell=not next(at)) for place in each.bonus),
            )
            for each in run.passes
        )
    )
    route = plan_route(marked, format)
    story, ride = follow(marked, format, route), simulate(marked, format, route, outcomes)
    places = list(marked.places())
    assert list(story.ridden) == [places[index] for index in ride.attempted]
    assert list(story.landed) == [places[index] for index in ride.landed]
    assert (story.ending is not Ending.TO_THE_END) == (ride.ended_at is not None)
    assert len(story.ridden) + len(story.not_reached) == len(marked)


@pytest.mark.parametrize(
    ("cutoff", "first", "certain"),
    [
        (PickupCutoff(pass_no=1, at_m=50.0, fall=WhichFall.ANY, effect=CutoffEffect.ENDS_RUN),
         (1, 2), True),
        (PickupCutoff(pass_no=1, at_m=50.0, effect=CutoffEffect.ENDS_RUN), (2,), True),
        (PickupCutoff(pass_no=1, at_m=50.0, effect=CutoffEffect.ENDS_RUN), (1, 2), False),
        (PickupCutoff(pass_no=1, at_m=50.0, fall=WhichFall.ANY), (2,), False),
        (PickupCutoff(pass_no=2, at_m=50.0, fall=WhichFall.ANY), (), True),
    ],
)  # fmt: skip
def test_a_marker_that_leaves_open_what_it_does(
    cutoff: PickupCutoff, first: tuple[int, ...], certain: bool
) -> None:
    """A first fall is both the first and any; after the last pass nothing is left to end."""
    falls = replace(INTER_CLUB.falls, allowed=3)
    format = replace(INTER_CLUB, falls=falls, pickup_cutoffs=(cutoff,))
    story = tell(format, a_pass(first), a_pass((2,)))
    assert story.ending is Ending.NOT_PICKED_UP
    assert story.certain is certain
    assert ("cutoff-unstated" in [f.code for f in story.findings]) is not certain
