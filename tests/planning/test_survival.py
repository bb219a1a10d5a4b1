"""The exact figures against every outcome added up, published distributions, a simulation."""

import random
from dataclasses import replace
from math import prod, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom, poisson_binom

from events.rules.findings import Grade
from events.rules.format import Format
from events.rules.riding import DoubleUp, Falls, Passes, PickupCutoff
from events.rules.run import Pass, Run
from events.rules.trick import Takeoff
from events.rules.words import CutoffEffect, NextFall, Per, WhichFall
from riders.planning.check import check
from riders.planning.report import as_text
from riders.planning.route import plan_route
from riders.planning.survival import Survival, in_hundred, reading, survive
from tests.planning.building import (
    formats,
    one_fall,
    planned,
    run_of_chances,
    runs,
    trick,
)
from tests.planning.simulator import enumerate_run, simulate


def figures(run: Run, format: Format) -> Survival:
    return survive(run, format, plan_route(run, format))


def by_falls(sums: dict[int, float], most: int) -> list[float]:
    """Weights by falls, with `most` or more falls together."""
    row = [0.0] * (most + 1)
    for falls, weight in sums.items():
        row[min(falls, most)] += weight
    return row


def check_all(run: Run, format: Format) -> None:
    route = plan_route(run, format)
    got, want = survive(run, format, route), enumerate_run(run, format, route)
    near = {"abs": 1e-12}
    if not len(run):
        assert got == Survival()
        return
    assert got.tricks is not None
    assert got.clean == pytest.approx(want.clean, **near)
    assert got.complete == pytest.approx(want.complete, **near)
    assert [odds.reach for odds in got.tricks] == pytest.approx(want.reach, **near)
    assert [odds.land for odds in got.tricks] == pytest.approx(want.land, **near)
    assert got.landed == pytest.approx(want.landed, **near)
    assert got.ends == pytest.approx(want.ends, **near)
    assert got.expected_landed == pytest.approx(sum(want.land), **near)
    tiers = sum(w * p.trick.tier for w, p in zip(want.land, run.places(), strict=True))
    assert got.expected_tiers == pytest.approx(tiers, **near)
    assert got.alive is not None
    allowed = format.falls.allowed or 0
    for row, sums in zip(got.alive, want.alive, strict=True):
        mine = by_falls(dict(enumerate(row)), allowed + 1)
        assert mine == pytest.approx(by_falls(sums, allowed + 1), **near)
    if got.double_up_reached is None:
        assert want.bonus_reached == 0
    else:
        assert got.double_up_reached == pytest.approx(want.bonus_reached, **near)
        assert got.double_up_landed == pytest.approx(want.bonus_landed, **near)


@settings(max_examples=100)
@given(runs(most=7), formats())
def test_every_outcome_added_up_gives_the_same_figures(run: Run, format: Format) -> None:
    """All 2^n outcomes, each ridden by a plain simulator, add up to the exact figures."""
    check_all(run, format)


@pytest.mark.parametrize("effect", NextFall)
@pytest.mark.parametrize("per", Per)
@pytest.mark.parametrize("allowed", [0, 1, 2])
def test_nine_tricks_on_a_short_course_with_a_double_up(
    effect: NextFall, per: Per, allowed: int
) -> None:
    """Both scopes and all effects, with restarts, a no-pick-up marker and a double-up."""
    format = Format(
        passes=Passes(length_m=(290.0, 300.0)),
        falls=Falls(allowed=allowed, counted_per=per, next_fall=effect, restart_m=55.0),
        pickup_cutoffs=(
            PickupCutoff(pass_no=2, at_fraction=0.7, fall=WhichFall.FIRST,
                         effect=CutoffEffect.ENDS_PASS),
        ),
        double_ups=(DoubleUp(after_pass=2, cutoff_fraction=0.5),),
    )  # fmt: skip
    run = run_of_chances([0.9, 0.7, 0.8, 0.6], [0.85, 0.75, 0.8, 0.5])
    last = replace(run.passes[1], bonus=(planned(chance=0.6, bonus="double-up"),))
    check_all(Run((run.passes[0], last)), format)


@given(st.lists(st.floats(0.01, 0.99), min_size=1, max_size=14))
def test_without_an_end_by_falls_the_number_landed_is_poisson_binomial(
    chances: list[float],
) -> None:
    """scipy.stats.poisson_binom gives the number landed where no fall ends anything."""
    half = len(chances) // 2
    run = run_of_chances(chances[:half], chances[half:])
    format = Format(falls=Falls(allowed=20, counted_per=Per.RUN))
    got = figures(run, format).landed
    want = poisson_binom(chances).pmf(range(len(chances) + 1))
    assert got == pytest.approx(list(want), abs=1e-12)


def test_equal_chances_give_the_binomial() -> None:
    """scipy.stats.binom gives the number landed of equal tricks where no fall ends anything."""
    got = figures(run_of_chances([0.8] * 5, [0.8] * 5), Format(falls=Falls(allowed=10)))
    assert got.clean == pytest.approx(0.8**10)
    # Not stated whether falls add up over the run: the landing of everything is told alone.
    assert got.landed is None
    told = Format(falls=Falls(allowed=10, counted_per=Per.RUN))
    landed = figures(run_of_chances([0.8] * 5, [0.8] * 5), told).landed
    assert landed == pytest.approx(list(binom(10, 0.8).pmf(range(11))))


def test_five_tricks_at_four_of_five() -> None:
    """Common practice, no source: five tricks at 80 % are all landed about 33 times in 100."""
    clean = figures(run_of_chances([0.8] * 5), one_fall()).clean
    assert clean == pytest.approx(0.32768)
    assert reading(clean) == "daring"
    assert in_hundred(clean) == "In 100 contests you would land everything about 33 times."


def test_one_fall_allowed_by_hand() -> None:
    """Three tricks at p with one fall allowed: the third is reached unless both others fell."""
    p = 0.7
    got = figures(run_of_chances([p, p, p]), one_fall())
    assert got.tricks is not None
    assert got.tricks[2].reach == pytest.approx(1 - (1 - p) ** 2)
    assert got.complete == pytest.approx(1 - (1 - p) ** 2)
    assert got.ends == pytest.approx([0, (1 - p) ** 2, 2 * p * (1 - p) ** 2])


def test_a_seeded_simulation_of_a_long_run_agrees() -> None:
    """20,000 simulated rides of two passes of 12 lie within four standard errors."""
    rng = random.Random(20260718)
    chances = [0.95 - 0.02 * number for number in range(12)]
    run = run_of_chances(chances, chances)
    last = replace(run.passes[1], bonus=(planned(chance=0.6, bonus="double-up"),))
    run = Run((run.passes[0], last))
    falls = Falls(allowed=2, counted_per=Per.RUN, next_fall=NextFall.ENDS_RUN, restart_m=45.0)
    format = Format(
        passes=Passes(length_m=(780.0,)),
        falls=falls,
        pickup_cutoffs=(PickupCutoff(pass_no=2, at_fraction=0.9, fall=WhichFall.ANY),),
        double_ups=(DoubleUp(after_pass=2, cutoff_fraction=0.75),),
    )
    route = plan_route(run, format)
    got = survive(run, format, route)
    odds = [place.planned.likelihood or 0.0 for place in run.places()]
    rides = 20_000
    landed = reached = complete = 0
    squares = 0.0
    for _ in range(rides):
        ride = simulate(run, format, route, tuple(rng.random() < chance for chance in odds))
        landed += len(ride.landed)
        squares += len(ride.landed) ** 2
        reached += 24 in ride.attempted
        complete += len(ride.attempted) == 25
    assert got.expected_landed is not None
    mean = landed / rides
    error = sqrt((squares / rides - mean**2) / rides)
    assert abs(mean - got.expected_landed) < 4 * error
    for share, exact in ((reached, got.double_up_reached), (complete, got.complete)):
        assert exact is not None
        assert 0.05 < exact < 0.95
        assert abs(share / rides - exact) < 4 * sqrt(exact * (1 - exact) / rides)


def test_a_pass_alone_is_a_run_of_that_pass() -> None:
    """Each pass ridden alone has the figures of a run without the other passes."""
    first, second = [0.9, 0.8, 0.7], [0.6, 0.9, 0.5, 0.8]
    format = replace(one_fall(220.0), falls=replace(one_fall().falls, restart_m=30.0))
    got = figures(run_of_chances(first, second), format)
    for alone, chances in zip(got.passes, (first, second), strict=True):
        single = figures(run_of_chances(chances), format)
        assert alone.landed == pytest.approx(single.landed)
        assert alone.clean == single.clean
        assert alone.complete == pytest.approx(single.complete)


def test_a_run_too_long_for_its_course_is_never_clean() -> None:
    """A trick that does not fit is not ridden, so everything landed is impossible."""
    got = figures(run_of_chances([0.9] * 5), one_fall(290.0))
    assert got.clean == 0
    assert got.complete == 0
    assert got.tricks is not None
    assert got.tricks[4].reach == 0


def test_a_fall_before_the_cutoff_keeps_the_double_up_when_tricks_no_longer_fit() -> None:
    """The restart costs the last trick, and the double-up is still on offer."""
    format = Format(
        passes=Passes(length_m=(180.0,)),
        falls=Falls(allowed=3, next_fall=NextFall.ENDS_RUN, restart_m=60.0),
        double_ups=(DoubleUp(after_pass=1, cutoff_fraction=0.75),),
    )
    bonus = planned(trick("Bonus", takeoff=Takeoff.DOUBLE_UP), 0.5, "DOUBLE-UP")
    run = Run((Pass(run_of_chances([0.0, 0.9, 0.9]).passes[0].tricks, (bonus,)),))
    got = figures(run, format)
    assert got.tricks is not None
    assert [odds.reach for odds in got.tricks] == pytest.approx([1, 1, 0, 1])
    assert got.double_up_landed == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("excludes", "reached"), [(("sixth trick",), 0.0), (None, 0.96), (("another",), 0.96)]
)
def test_of_two_bonus_tricks_that_exclude_each_other_the_first_is_ridden(
    excludes: tuple[str, ...] | None, reached: float
) -> None:
    """After Brazilian freestyle rules (archived): the sixth trick, and then no double-up."""
    format = replace(
        one_fall(),
        double_ups=(DoubleUp(excludes=excludes), DoubleUp(name="Sixth trick")),
    )
    extras = (planned(bonus="sixth trick"), planned(bonus="double-up"))
    got = figures(Run((Pass((planned(),), extras),)), format)
    assert got.tricks is not None
    assert got.tricks[1].reach == 1
    assert got.tricks[2].reach == pytest.approx(reached)  # lost by two falls in a row


def test_a_double_up_of_another_round_is_not_offered() -> None:
    """After Brazilian freestyle rules (archived): the double-up is for the open final only."""
    bonus = DoubleUp(rounds=("Final",), divisions=("Open",))
    format = replace(one_fall(), double_ups=(bonus,))
    run = Run((Pass((planned(),), (planned(bonus="double-up"),)),))
    route = plan_route(run, format)
    assert survive(run, format, route, "heats", "open").double_up_reached == 0
    assert survive(run, format, route, "final", "juniors").double_up_reached == 0
    assert survive(run, format, route, "FINAL", "open").double_up_reached == 1
    assert survive(run, format, route).double_up_reached == 1


@pytest.mark.parametrize(
    ("clean", "word", "often"),
    [
        (1.0, "safe", "every time"),
        (0.997, "safe", "nearly every time"),
        (0.56, "safe", "about 56 times"),
        (0.55, "middle", "about 55 times"),
        (0.45, "middle", "about 45 times"),
        (0.44, "daring", "about 44 times"),
        (0.01, "daring", "about once"),
        (0.001, "daring", "less than once"),
    ],
)
def test_words_for_the_chance_to_land_everything(clean: float, word: str, often: str) -> None:
    """Common practice, no source: one half is the middle."""
    assert reading(clean) == word
    assert in_hundred(clean) == f"In 100 contests you would land everything {often}."


def test_words_for_a_run_that_cannot_be_landed() -> None:
    """A run that does not fit its course is never landed whole."""
    assert in_hundred(0).startswith("You would never land everything")


def test_an_empty_run_has_no_figures() -> None:
    """Of nothing planned no chance can be told: 100 % would read as a safe run."""
    assert figures(Run((Pass(),)), Format()) == Survival()
    assert figures(Run(()), Format()) == Survival()
    got = figures(Run((run_of_chances([0.8]).passes[0], Pass())), one_fall())
    assert [each.clean for each in got.passes] == [0.8, None]


def test_a_bonus_planned_twice_is_ridden_once() -> None:
    """It is one trick: the second is not on offer, so not everything can be landed."""
    extras = (planned(bonus="double-up", chance=0.9), planned(bonus="Double-Up", chance=0.7))
    format = replace(one_fall(), double_ups=(DoubleUp(after_pass=1),))
    got = figures(Run((Pass((planned(),), extras),)), format)
    assert got.tricks is not None
    assert (got.clean, got.complete) == (0, 0)
    assert [odds.reach for odds in got.tricks] == [1, 1, 0]


def test_a_very_long_run_is_not_figured() -> None:
    """Its states would be too many; the check says so, and still tells rules and route."""
    at_most = run_of_chances([0.9] * 30, [0.9] * 30)
    assert figures(at_most, one_fall()).landed is not None
    run = run_of_chances([0.9] * 30, [0.9] * 31)
    assert figures(run, one_fall()) == Survival()
    checked = check(run, one_fall())
    told = {finding.code: finding for finding in checked.findings}
    assert told["too-long-to-figure"].grade is Grade.WARNING
    assert len(list(checked.route.steps())) == 61
    assert "too long to work out" in as_text(checked)


@given(runs(most=9), formats())
def test_figures_hold_together(run: Run, format: Format) -> None:
    """Sums and bounds that hold for every run."""
    got = figures(run, format)
    if not len(run):
        assert got == Survival()
        return
    assert got.landed is not None
    assert got.tricks is not None
    assert got.clean is not None
    assert got.complete is not None
    assert sum(got.landed) == pytest.approx(1)
    assert got.landed[-1] == pytest.approx(got.clean)
    assert got.clean <= got.complete + 1e-12
    mean = sum(count * weight for count, weight in enumerate(got.landed))
    assert got.expected_landed == pytest.approx(mean)
    product = prod(place.planned.likelihood or 0.0 for place in run.places())
    assert got.clean == pytest.approx(product) or got.clean == 0
