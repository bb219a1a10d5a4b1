"""The best order where landed tricks may not count: compared by what counts."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.rules.format import Format
from events.rules.riding import Repeats
from events.rules.run import Run
from events.rules.words import Attribute, Per, Repeat
from riders.planning.ground import Goal, Ground, Method
from riders.planning.order import best_order
from tests.planning.building import formats, one_fall, run_of_chances, runs


@settings(max_examples=25, deadline=None)
@given(
    runs(most=6, bonus=False), formats(), st.sampled_from(Repeat), st.booleans(),
    st.sampled_from([Goal.EXPECTED_LANDED, Goal.EXPECTED_TIERS]),
)  # fmt: skip
def test_orders_where_tricks_may_not_count_are_compared_by_what_counts(
    run: Run, format: Format, rule: Repeat, across: bool, goal: Goal
) -> None:
    """The figure told is that of the run told, never below the plan's, and asked again the same."""
    ground = Ground(replace(format, repeats=Repeats(rule, Per.RUN, (Attribute.ROTATION,))))
    best = best_order(run, ground, goal=goal, across_passes=across)
    if best.before is None or not ground.is_legal(run):
        return
    assert best.after == goal.of(ground.survive(best.run))
    assert best.after is not None
    assert best.after >= best.before - 1e-9
    assert best_order(best.run, ground, goal=goal, across_passes=across).run == best.run


def test_the_first_of_two_alike_that_counts_is_the_surer_one() -> None:
    """Worked out by hand: only the first counts, so 0.9 goes before 0.5, and 0.9 is landed."""
    run = run_of_chances([0.5, 0.9])
    format = one_fall(repeats=Repeats(Repeat.FIRST_COUNTS, Per.RUN, ()))
    best = best_order(run, Ground(format))
    assert (best.before, best.after) == (pytest.approx(0.5), pytest.approx(0.9))
    assert best.method is Method.EXCHANGE
    assert best_order(run, Ground(format), goal=Goal.CLEAN).method is Method.EXACT
