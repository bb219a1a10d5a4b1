"""The best order against every order, and what the trade says about it."""

from collections import Counter
from dataclasses import replace
from itertools import permutations, product

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from events.rules.condition import Condition
from events.rules.format import Format
from events.rules.riding import DoubleUp, Falls, Limit, Repeats
from events.rules.run import Pass, Run
from events.rules.staging import Route as Figures
from events.rules.trick import Edge
from events.rules.words import NextFall, Per, Repeat
from riders.planning import order
from riders.planning.ground import Goal, Ground, Method, bare
from riders.planning.order import best_order
from riders.planning.route import Foot
from tests.planning.building import (
    HS,
    TS,
    chances,
    formats,
    one_fall,
    planned,
    run_of,
    run_of_chances,
    runs,
    trick,
)

FIGURES = Figures(trick_m=60.0, turn_m=15.0, cross_m=25.0)


def every_order(run: Run) -> list[Run]:
    """The run with the tricks of each pass in every order, the planned one first."""
    ways = [list(permutations(each.tricks)) for each in run.passes]
    return [
        Run(tuple(replace(each, tricks=tricks) for each, tricks in zip(run.passes, way, strict=True)))
        for way in product(*ways)
    ]


def moved(run: Run, other: Run) -> int:
    return sum(a.planned != b.planned for a, b in zip(run.places(), other.places(), strict=True))


def tricks_of(run: Run) -> list[Counter[object]]:
    return [Counter(each.tricks) for each in run.passes]


@settings(max_examples=60, deadline=None)
@given(runs(most=6), formats(), st.sampled_from(Goal))
def test_no_order_of_all_orders_is_better(run: Run, format: Format, goal: Goal) -> None:
    """Every order of every pass, ridden by the whole programme, with restarts, markers,
    double-ups and falls per run or per pass."""
    ground = Ground(format)
    suggestion = best_order(run, ground, goal=goal)
    before = goal.of(ground.survive(run))
    assert suggestion.before == before
    if before is None:
        assert suggestion.run == run
        return
    legal = [each for each in every_order(run) if ground.is_legal(each)]
    values = [goal.of(ground.survive(each)) or 0.0 for each in legal]
    if not legal:
        assert suggestion.run == run
        return
    assert suggestion.method is Method.EXACT
    assert suggestion.after == pytest.approx(max(values), rel=1e-9, abs=1e-12)
    assert tricks_of(suggestion.run) == tricks_of(run)
    assert ground.is_legal(suggestion.run)


@settings(max_examples=40, deadline=None)
@given(runs(most=6), formats())
def test_of_equal_orders_the_fewest_set_up_metres_then_the_least_change(
    run: Run, format: Format
) -> None:
    """To land everything, orders are either possible or not, so most of them are equal."""
    ground = Ground(format)
    suggestion = best_order(run, ground, goal=Goal.CLEAN)
    legal = [each for each in every_order(run) if ground.is_legal(each)]
    assume(legal)
    best = max(ground.survive(each).clean or 0.0 for each in legal)
    equal = [e for e in legal if ground.survive(e).clean == pytest.approx(best, rel=1e-9, abs=0)]
    least = min((round(ground.setup_m(each), 6), moved(run, each)) for each in equal)
    found = suggestion.run
    assert (round(ground.setup_m(found), 6), moved(run, found)) == least


@settings(max_examples=40, deadline=None)
@given(runs(most=8), formats(), st.sampled_from(Goal), st.booleans())
def test_asking_again_changes_nothing(
    run: Run, format: Format, goal: Goal, across: bool
) -> None:
    """A suggested run is its own best order, and the same question has the same answer."""
    ground = Ground(format)
    first = best_order(run, ground, goal=goal, across_passes=across)
    assert best_order(run, ground, goal=goal, across_passes=across) == first
    again = best_order(first.run, ground, goal=goal, across_passes=across)
    assert again.run == first.run
    if first.before is not None and first.after is not None and ground.is_legal(run):
        assert first.after >= first.before - 1e-12


@given(st.lists(st.floats(0.05, 0.95), min_size=2, max_size=5, unique=True), st.integers(0, 2))
def test_the_surest_trick_comes_first_and_the_hardest_last(
    values: list[float], allowed: int
) -> None:
    """Common practice, no source: easier tricks first, the hardest at the end of a pass.

    With equal metres, no marker and falls that end the run, no order is better.
    """
    falls = Falls(allowed=allowed, next_fall=NextFall.ENDS_RUN, restart_m=0.0)
    run = run_of_chances(values)
    assume(len(values) > allowed + 1)
    best = best_order(run, Ground(Format(falls=falls)), goal=Goal.EXPECTED_LANDED)
    sure_first = run_of_chances(sorted(values, reverse=True))
    want = Ground(Format(falls=falls)).survive(sure_first).expected_landed
    assert best.after == pytest.approx(want)  # orders that tie may differ


def test_the_doubtful_trick_goes_before_the_cutoff_of_the_double_up() -> None:
    """Common practice, no source: where a fall past the marker loses the double-up, the
    hardest trick is ridden before it."""
    format = Format(
        falls=Falls(allowed=1, next_fall=NextFall.ENDS_RUN, restart_m=0.0),
        double_ups=(DoubleUp(after_pass=1, cutoff_m=179.0),),
        route=FIGURES,
    )
    tricks = run_of_chances([0.9, 0.92, 0.94, 0.4]).passes[0].tricks
    run = Run((Pass(tricks, (planned(chance=0.7, bonus="double-up"),)),))
    best = best_order(run, Ground(format), goal=Goal.DOUBLE_UP)
    places = [each.chance for each in best.run.passes[0].tricks]
    assert places[-1] == 0.94
    assert best.after is not None
    assert best.before is not None
    assert best.after > best.before


def test_alternating_edges_saves_the_crossings() -> None:
    """Derived: even wake-to-wake tricks flow where the edges alternate."""
    backrolls = [trick(f"Heelside {n}", HS) for n in range(2)]
    run = run_of([*backrolls, *(trick(f"Toeside {n}", TS) for n in range(2))])
    format = replace(one_fall(245.0), route=FIGURES)
    best = best_order(run, Ground(format), goal=Goal.CLEAN)
    assert best.before == 0.0
    assert best.after == pytest.approx(0.8**4)
    edges = [each.trick.approach for each in best.run.passes[0].tricks]
    assert edges == [Edge.HEELSIDE, Edge.TOESIDE] * 2
    assert best.sentence.startswith("Ride pass 1: Heelside 0, Toeside ")
    assert "Clean 0 % to 41 %." in best.sentence


def test_what_is_missing_is_said() -> None:
    """Without a chance, or a rule on falls, the run stays as it is and the reason is told."""
    run = Run((Pass((planned(trick("Indy"), None), planned())),))
    nothing = best_order(run, Ground(one_fall()), goal=Goal.CLEAN)
    assert (nothing.run, nothing.after) == (run, None)
    assert "How often you land Indy is not known" in nothing.sentence
    known = run_of([trick(), trick("Indy", HS)])
    assert "falls are allowed is not stated" in best_order(known, Ground(Format())).sentence
    assert best_order(known, Ground(Format()), goal=Goal.CLEAN).after == pytest.approx(0.64)
    no_extra = best_order(known, Ground(one_fall()), goal=Goal.DOUBLE_UP)
    assert no_extra.sentence == "No bonus trick that the format offers is planned."


@settings(max_examples=25, deadline=None)
@given(st.lists(chances, min_size=2, max_size=4), st.lists(chances, min_size=1, max_size=3), formats())
def test_exchanges_come_near_and_never_beat_the_exact_order(
    first: list[float], second: list[float], format: Format
) -> None:
    """The other method finds a legal order between the planned and the best."""
    run, ground = run_of_chances(first, second), Ground(format)
    exact = best_order(run, ground)
    course = order.Course(run, ground, Goal.EXPECTED_LANDED)
    found = order.exchange(run, course, order.given_orders(run), across=False)
    value = ground.survive(order.arranged(run, course, found)).expected_landed
    assert value is not None
    assert exact.before is not None
    assert exact.after is not None
    assert exact.before - 1e-9 <= value <= exact.after + 1e-9


def test_a_pass_of_eight_is_improved_by_exchanges_and_says_so() -> None:
    """Too many orders to try all: no claim to be exact, but no single exchange helps."""
    values = [0.5, 0.9, 0.6, 0.95, 0.7, 0.8, 0.85, 0.75]
    ground = Ground(one_fall())
    best = best_order(run_of_chances(values), ground)
    assert best.method is Method.EXCHANGE
    want = ground.survive(run_of_chances(sorted(values, reverse=True))).expected_landed
    assert best.after == pytest.approx(want)
    alike = best_order(run_of_chances([0.8] * 4 + [0.7] * 4), ground)
    assert alike.method is Method.EXACT  # only 70 orders look different


def test_across_passes_tricks_may_change_places() -> None:
    """With nothing after a fall, the doubtful trick of the first pass belongs in the last."""
    falls = Falls(allowed=0, counted_per=Per.RUN, next_fall=NextFall.ENDS_RUN, restart_m=0.0)
    run, ground = run_of_chances([0.5, 0.9], [0.8, 0.95]), Ground(Format(falls=falls))
    within, across = best_order(run, ground), best_order(run, ground, across_passes=True)
    assert across.method is Method.EXCHANGE
    assert [p.chance for each in across.run.passes for p in each.tricks] == [0.95, 0.9, 0.8, 0.5]
    assert (across.after or 0) > (within.after or 0) > (within.before or 0)


def test_an_order_that_breaks_a_rule_is_not_suggested() -> None:
    """Where a repeat does not use up a limit again, the order decides which trick does."""
    indy, plain = trick("Indy", grab="indy"), trick("Straight air")
    format = replace(
        one_fall(),
        limits=(Limit(say="No indy.", when=Condition(grab=("indy",)), most=0),),
        repeats=Repeats(rule=Repeat.NOT_COUNTED, per=Per.RUN, differs_by=(), uses_limit=False),
        falls=Falls(allowed=0, next_fall=NextFall.ENDS_RUN),
    )
    ground = Ground(format)
    run = Run((Pass((planned(plain, 0.5), planned(indy, 0.9), planned(trick("Nose", tier=3), 0.7))),))
    assert ground.is_legal(run)
    best = best_order(run, ground)
    assert ground.is_legal(best.run)
    assert best.method is Method.EXCHANGE
    legal = [each for each in every_order(run) if ground.is_legal(each)]
    assert len(legal) < 6
    values = [ground.survive(each).expected_landed or 0.0 for each in legal]
    assert best.after == pytest.approx(max(values))


@settings(max_examples=25, deadline=None)
@given(runs(most=6), formats(), st.sampled_from(Goal))
def test_a_mirrored_rider_has_the_mirrored_order(run: Run, format: Format, goal: Goal) -> None:
    """Derived: with the other foot forward on the other side the same run is the same ride."""
    ground = Ground(format)
    mirrored = replace(ground, foot=Foot.RIGHT, side=ground.side.other)
    assert best_order(run, ground, goal=goal) == best_order(run, mirrored, goal=goal)


def test_a_run_that_breaks_a_rule_in_every_order_stays_as_it_is() -> None:
    """A banned trick is banned in any place."""
    banned = Limit(say="No indy.", when=Condition(grab=("indy",)), most=0)
    run = run_of([trick(tier=2), trick("Indy", grab="indy")])
    best = best_order(run, Ground(one_fall(limits=(banned,))))
    assert best.run == run
    assert best.sentence == "This run breaks a rule in every order that was tried. Mend that first."


def test_bare_leaves_out_all_but_the_trick() -> None:
    """Landings, chance, fall and bonus are no part of what a trick is."""
    one = replace(planned(chance=0.7, bonus="double-up", fell=True), landed=4, tried=5)
    assert bare(one) == bare(planned(chance=0.2))
