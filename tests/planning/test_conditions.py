"""When a bonus trick is on offer and which fall a marker means, with every outcome given."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from events.rules.format import Format
from events.rules.riding import DoubleUp, Falls, PickupCutoff
from events.rules.run import Pass, Run
from events.rules.words import BonusCondition, Counts, CutoffEffect, NextFall, Per, WhichFall
from riders.planning.route import plan_route
from riders.planning.survival import survive
from tests.planning.building import planned

ROOMY = Format(
    falls=Falls(allowed=3, counted_per=Per.RUN, next_fall=NextFall.ENDS_RUN, restart_m=0.0)
)
FELL, LANDED = 0.0, 1.0


def reached(format: Format, *passes: Sequence[float], bonus: bool = True) -> list[float]:
    """Whether each trick is reached, with a double-up at the end of the last pass."""
    made = [Pass(tuple(planned(chance=chance) for chance in each)) for each in passes]
    if bonus:
        made[-1] = replace(made[-1], bonus=(planned(chance=1.0, bonus="double-up"),))
    run = Run(tuple(made))
    tricks = survive(run, format, plan_route(run, format)).tricks
    assert tricks is not None
    return [odds.reach for odds in tricks]


@pytest.mark.parametrize(
    ("fewer", "first", "second", "offered"),
    [
        (1, [LANDED, LANDED], [LANDED], 1),
        (1, [FELL, LANDED], [LANDED], 0),
        (2, [FELL, LANDED], [LANDED], 1),
        (2, [FELL, LANDED], [FELL], 0),
        (3, [FELL, FELL], [LANDED], 1),
        (3, [FELL, FELL], [FELL], 0),
    ],
)
@pytest.mark.parametrize("per", Per)
def test_offered_to_riders_with_fewer_falls(
    fewer: int, first: Sequence[float], second: Sequence[float], offered: float, per: Per
) -> None:
    """Falls of the whole run, also where the allowance is counted per pass."""
    bonus = DoubleUp(condition=BonusCondition.FEWER_FALLS, falls_fewer_than=fewer)
    falls = replace(ROOMY.falls, counted_per=per)
    format = replace(ROOMY, falls=falls, double_ups=(bonus,))
    assert reached(format, first, second)[-1] == offered


@pytest.mark.parametrize(
    ("first", "second", "offered"),
    [([FELL], [LANDED], 1), ([LANDED], [FELL], 0), ([LANDED], [LANDED], 1)],
)
def test_offered_with_no_fall_in_the_last_pass(
    first: Sequence[float], second: Sequence[float], offered: float
) -> None:
    """After Brazilian freestyle rules (archived): a fall in pass 1 keeps the double-up."""
    bonus = DoubleUp(condition=BonusCondition.NO_FALL_IN_PASS)
    assert reached(replace(ROOMY, double_ups=(bonus,)), first, second)[-1] == offered


@pytest.mark.parametrize("cutoff_m", [60.0, 59.0])
def test_a_fall_on_the_cutoff_marker_is_not_past_it(cutoff_m: float) -> None:
    """The second trick takes off at 60 m: on one marker, past the other."""
    format = replace(ROOMY, double_ups=(DoubleUp(cutoff_m=cutoff_m),))
    assert reached(format, [LANDED, FELL])[-1] == (1 if cutoff_m == 60.0 else 0)


@pytest.mark.parametrize(
    ("fall", "course", "tricks", "last"),
    [
        (WhichFall.FIRST, None, [LANDED, FELL, LANDED], 0),
        (WhichFall.FIRST, None, [FELL, FELL, LANDED], 1),
        (WhichFall.ANY, None, [FELL, FELL, LANDED], 0),
        (WhichFall.ANY, None, [FELL, LANDED, LANDED], 1),
        # A free fall is never the first counted one, but the boat still does not come back.
        (WhichFall.FIRST, Counts.FREE, [LANDED, FELL, LANDED], 1),
        (WhichFall.ANY, Counts.FREE, [LANDED, FELL, LANDED], 0),
    ],
)
@pytest.mark.parametrize("effect", CutoffEffect)
def test_which_fall_is_not_picked_up(
    fall: WhichFall,
    course: Counts | None,
    tricks: Sequence[float],
    last: float,
    effect: CutoffEffect,
) -> None:
    """A marker at 50 m, falls in hand: the third trick is reached or not, and then pass 2."""
    cutoff = PickupCutoff(pass_no=1, at_m=50.0, fall=fall, effect=effect)
    falls = replace(ROOMY.falls, course=course)
    format = replace(ROOMY, falls=falls, pickup_cutoffs=(cutoff,))
    got = reached(format, tricks, [LANDED], bonus=False)
    assert got[2] == last
    assert got[3] == (1 if last or effect is CutoffEffect.ENDS_PASS else 0)


@pytest.mark.parametrize("per", Per)
@pytest.mark.parametrize("course", [None, Counts.FREE])
def test_the_first_fall_is_the_first_of_the_run(per: Per, course: Counts | None) -> None:
    """A fall in pass 1 is the first one, also where the allowance starts afresh in pass 2."""
    cutoff = PickupCutoff(pass_no=2, at_m=50.0, fall=WhichFall.FIRST,
                          effect=CutoffEffect.ENDS_RUN)  # fmt: skip
    falls = replace(ROOMY.falls, counted_per=per, course=course)
    format = replace(ROOMY, falls=falls, pickup_cutoffs=(cutoff,))
    assert reached(format, [FELL], [LANDED, FELL, LANDED], bonus=False)[3] == 1
    # A fall that does not count is never the first counted one.
    last = 1 if course is Counts.FREE else 0
    assert reached(format, [LANDED], [LANDED, FELL, LANDED], bonus=False)[3] == last


def test_free_falls_never_use_up_the_allowance() -> None:
    """Where falls on the course are free a rider may fall all the way."""
    format = replace(ROOMY, falls=Falls(allowed=0, course=Counts.FREE, restart_m=0.0))
    assert reached(format, [FELL] * 5, bonus=False) == [1] * 5
