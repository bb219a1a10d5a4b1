"""What the survival figures need, and what is left out where it is missing."""

from dataclasses import replace

import pytest

from events.rules.findings import Grade
from events.rules.format import Format
from events.rules.riding import DoubleUp, Falls, Passes, PickupCutoff
from events.rules.run import Pass, Run
from events.rules.words import BonusCondition, Counts, NextFall, Per, WhichFall
from riders.planning.route import plan_route
from riders.planning.survival import Survival, needs, survive
from tests.planning.building import one_fall, planned, run_of_chances

STATED = Falls(allowed=1, counted_per=Per.RUN, next_fall=NextFall.ENDS_RUN, restart_m=40.0)
LENGTH = Passes(length_m=(370.0,))
TWO = run_of_chances([0.8, 0.7], [0.9])
ONE = run_of_chances([0.8, 0.7, 0.9])
WITH_BONUS = Run((Pass((planned(),), (planned(bonus="double-up"),)),))


def codes(run: Run, format: Format) -> list[str]:
    return [finding.code for finding in needs(run, format)]


def figures(run: Run, format: Format) -> Survival:
    return survive(run, format, plan_route(run, format))


@pytest.mark.parametrize(
    ("run", "falls", "passes", "code"),
    [
        (TWO, STATED, LENGTH, None),
        (TWO, replace(STATED, allowed=None), LENGTH, "falls-unstated"),
        (TWO, replace(STATED, next_fall=None), LENGTH, "falls-unstated"),
        (TWO, replace(STATED, next_fall=None, allowed=3), LENGTH, None),
        (TWO, replace(STATED, next_fall=None, allowed=2, counted_per=Per.PASS), LENGTH, None),
        (TWO, replace(STATED, counted_per=None), LENGTH, "counted-per-unstated"),
        (ONE, replace(STATED, counted_per=None), LENGTH, None),
        (TWO, replace(STATED, counted_per=None, allowed=0), LENGTH, None),
        (TWO, replace(STATED, restart_m=None), LENGTH, "restart-unstated"),
        (TWO, replace(STATED, restart_m=None), Passes(), None),
        (TWO, replace(STATED, restart_m=None, allowed=0), LENGTH, None),
        (TWO, Falls(course=Counts.FREE, restart_m=40.0), LENGTH, None),
        (TWO, Falls(course=Counts.FREE), LENGTH, "restart-unstated"),
        (TWO, replace(STATED, allowed=None, water_allowed=1, obstacle_allowed=1), LENGTH, None),
    ],
)
def test_open_fall_rules(run: Run, falls: Falls, passes: Passes, code: str | None) -> None:
    """Without a value that matters only the chance to land everything is told."""
    format = Format(falls=falls, passes=passes)
    assert codes(run, format) == ([] if code is None else [code])
    got = figures(run, format)
    assert got.clean == pytest.approx(0.8 * 0.7 * 0.9)
    told = (got.complete, got.tricks, got.landed, got.expected_landed, got.ends, got.alive)
    assert all((value is None) is (code is not None) for value in told)


def test_a_missing_chance_leaves_nothing_to_tell() -> None:
    """It is named at its place."""
    run = Run((Pass((planned(), planned(chance=None))),))
    missing = needs(run, one_fall())
    assert [(f.code, f.pass_no, f.position) for f in missing] == [("chance-missing", 1, 2)]
    assert missing[0].grade is Grade.UNSTATED
    assert figures(run, one_fall()) == Survival()


def test_passes_alone_do_not_ask_how_falls_add_up() -> None:
    """Each pass alone is told where only the scope of the allowance is open."""
    got = figures(TWO, Format(falls=replace(STATED, counted_per=None)))
    assert got.complete is None
    assert [each.complete for each in got.passes] == pytest.approx([1, 1])


def test_a_bonus_that_the_format_does_not_mention() -> None:
    """It is said, and taken as not ridden; the other figures are told."""
    assert codes(WITH_BONUS, one_fall()) == ["bonus-unstated"]
    got = figures(WITH_BONUS, one_fall())
    assert (got.clean, got.complete, got.double_up_reached) == (0, 0, None)
    assert got.landed == pytest.approx((0.2, 0.8, 0))
    assert codes(WITH_BONUS, replace(one_fall(), double_ups=())) == []


def test_an_open_condition_of_a_bonus() -> None:
    """Fewer falls than what: not guessed."""
    bonus = DoubleUp(condition=BonusCondition.FEWER_FALLS)
    format = replace(one_fall(), double_ups=(bonus,))
    assert codes(WITH_BONUS, format) == ["bonus-condition-unstated"]
    assert figures(WITH_BONUS, format).complete is None


def test_markers_that_cannot_be_placed() -> None:
    """A part of a pass whose length is not stated is nowhere."""
    bonus = replace(one_fall(), double_ups=(DoubleUp(cutoff_fraction=0.75),))
    assert codes(WITH_BONUS, bonus) == ["cutoff-unstated"]
    cutoff = PickupCutoff(pass_no=2, at_fraction=0.75, fall=WhichFall.ANY)
    pickup = replace(one_fall(), pickup_cutoffs=(cutoff,))
    assert codes(TWO, pickup) == ["cutoff-unstated"]
    assert codes(ONE, pickup) == []
    assert figures(TWO, pickup).complete is None
    placed = replace(pickup, passes=LENGTH)
    assert codes(TWO, placed) == []
