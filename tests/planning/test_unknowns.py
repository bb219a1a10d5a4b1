"""What the survival figures need, and what is left out where it is missing."""

from dataclasses import replace

import pytest

from events.rules.findings import Grade
from events.rules.format import Format
from events.rules.riding import DoubleUp, Falls, Passes, PickupCutoff
from events.rules.run import Pass, Run
from events.rules.words import BonusCondition, Counts, CutoffEffect, NextFall, Per, WhichFall
from riders.planning.band import no_band
from riders.planning.check import check
from riders.planning.ground import Goal, Ground
from riders.planning.order import best_order
from riders.planning.report import as_text
from riders.planning.route import plan_route
from riders.planning.survival import Survival, needs, survive
from riders.planning.unknowns import BONUS_OPEN
from tests.planning.building import one_fall, planned, run_of_chances

STATED = Falls(allowed=1, counted_per=Per.RUN, next_fall=NextFall.ENDS_RUN, restart_m=40.0)
LENGTH = Passes(length_m=(370.0,))
TWO = run_of_chances([0.8, 0.7], [0.9])
ONE = run_of_chances([0.8, 0.7, 0.9])
WITH_BONUS = Run((Pass((planned(),), (planned(bonus="double-up"),)),))


def codes(run: Run, format: Format) -> list[str]:
    return [finding.code for finding in needs(run, format, plan_route(run, format))]


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
    missing = needs(run, one_fall(), plan_route(run, one_fall()))
    assert [(f.code, f.pass_no, f.position) for f in missing] == [("chance-missing", 1, 2)]
    assert missing[0].grade is Grade.UNSTATED
    assert figures(run, one_fall()) == Survival()


def test_passes_alone_do_not_ask_how_falls_add_up() -> None:
    """Each pass alone is told where only the scope of the allowance is open."""
    got = figures(TWO, Format(falls=replace(STATED, counted_per=None)))
    assert got.complete is None
    assert [each.complete for each in got.passes] == pytest.approx([1, 1])


def test_a_bonus_that_the_format_does_not_mention() -> None:
    """What takes in every planned trick is open; the other figures are without the bonus.

    The rules say that it is not stated, and it is said once.
    """
    assert codes(WITH_BONUS, one_fall()) == []
    got = figures(WITH_BONUS, one_fall())
    assert (got.clean, got.complete, got.double_up_reached) == (None, None, None)
    assert got.landed == pytest.approx((0.2, 0.8, 0))
    checked = check(WITH_BONUS, one_fall())
    unstated = [f.code for f in checked.findings if "double-up" in f.message]
    assert unstated == ["double-up-unstated"]
    text = as_text(checked)
    assert BONUS_OPEN in text
    assert "Landed on average: 0.80 of 2" in text
    assert text.count("reached") == 1
    ground = Ground(one_fall())
    assert no_band(WITH_BONUS, ground) == BONUS_OPEN
    assert best_order(WITH_BONUS, ground, goal=Goal.CLEAN).sentence == BONUS_OPEN
    assert figures(WITH_BONUS, replace(one_fall(), double_ups=())).clean == 0


def test_a_bonus_without_a_pass() -> None:
    """Taken as offered after every pass; said unless it is planned after the last one."""
    format = replace(one_fall(), double_ups=(DoubleUp(),))
    assert codes(WITH_BONUS, format) == []
    early = Run((*WITH_BONUS.passes, *ONE.passes))
    assert codes(early, format) == ["bonus-pass-unstated"]
    assert figures(early, format).complete is not None
    two = replace(format, passes=Passes(count=2))
    assert codes(WITH_BONUS, two) == ["bonus-pass-unstated"]
    assert codes(early, replace(format, double_ups=(DoubleUp(after_pass=1),))) == []


ANY, FIRST, ENDS = WhichFall.ANY, WhichFall.FIRST, CutoffEffect.ENDS_RUN


@pytest.mark.parametrize(
    ("cutoff", "falls", "found"),
    [
        (PickupCutoff(pass_no=1, at_m=50.0, fall=ANY, effect=ENDS), {}, 0),
        (PickupCutoff(pass_no=1, at_m=50.0, effect=ENDS), {"allowed": 2}, 1),
        (PickupCutoff(pass_no=1, at_m=50.0, effect=ENDS), {"counted_per": Per.PASS}, 1),
        (PickupCutoff(pass_no=1, at_m=50.0, effect=ENDS), {}, 0),  # the second fall ends the run anyway
        (PickupCutoff(pass_no=1, at_m=50.0, fall=ANY), {}, 1),
        (PickupCutoff(pass_no=1, at_m=50.0, fall=ANY), {"allowed": 0}, 0),  # as every fall does
        (PickupCutoff(pass_no=2, at_m=50.0, fall=ANY), {}, 0),  # nothing follows pass 2
        (PickupCutoff(pass_no=1, at_m=50.0), {"allowed": 2}, 2),
        (PickupCutoff(pass_no=1, at_m=130.0), {"allowed": 2}, 0),  # nobody takes off past it
        (PickupCutoff(pass_no=1, at_m=90.0), {"allowed": 2}, 2),  # only after a restart
    ],
)
def test_what_a_marker_leaves_open(cutoff: PickupCutoff, falls: dict, found: int) -> None:
    """Where a fall can lie past it, and it matters; the figures with falls are left out."""
    stated = replace(STATED, **falls)
    format = Format(falls=stated, passes=LENGTH, pickup_cutoffs=(cutoff,))
    run = run_of_chances([0.8, 0.7], [0.9, 0.9])
    assert codes(run, format) == ["cutoff-unstated"] * found
    got = figures(run, format)
    assert got.clean is not None
    assert (got.complete is None) is (found > 0)


def test_an_open_condition_of_a_bonus() -> None:
    """Fewer falls than what: not guessed."""
    bonus = DoubleUp(condition=BonusCondition.FEWER_FALLS)
    format = replace(one_fall(), double_ups=(bonus,))
    assert codes(WITH_BONUS, format) == ["bonus-condition-unstated"]
    got = figures(WITH_BONUS, format)
    assert got.complete is None
    assert got.clean == pytest.approx(0.64)  # no fall is fewer than any number


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
