"""What practice brings: finite differences, shared chances, and the width of intervals."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta
from statsmodels.stats.proportion import proportion_confint

from events.rules.format import Format
from events.rules.run import Pass, PlannedTrick, Run
from riders.planning.ground import Ground, bare
from riders.planning.training import (
    CAUTION_TRIES,
    caution,
    interval_width,
    training,
    tries_for_width,
)
from tests.planning.building import formats, one_fall, planned, run_of_chances, runs, trick


def with_chance(run: Run, which: PlannedTrick, change: float) -> Run:
    """The run with one trick's chance changed wherever it is planned."""

    def changed(each: PlannedTrick) -> PlannedTrick:
        if bare(each) != which:
            return each
        return replace(each, chance=(each.likelihood or 0.0) + change)

    return Run(
        tuple(
            replace(p, tricks=tuple(map(changed, p.tricks)), bonus=tuple(map(changed, p.bonus)))
            for p in run.passes
        )
    )


@settings(max_examples=60, deadline=None)
@given(runs(most=7), formats())
def test_the_slopes_are_those_of_finite_differences(run: Run, format: Format) -> None:
    """A small step up and down on the chance of a trick, wherever it is planned."""
    ground, step = Ground(format), 1e-5
    run = Run(tuple(
        replace(p, tricks=tuple(replace(t, chance=min(0.9, max(0.1, t.chance or 0))) for t in p.tricks))
        for p in run.passes
    ))  # fmt: skip
    for each in training(run, ground):
        if not 0.05 < each.chance < 0.95:
            continue
        up, down = (ground.survive(with_chance(run, each.trick, s)) for s in (step, -step))
        assert up.clean is not None
        assert down.clean is not None
        assert each.clean == pytest.approx((up.clean - down.clean) / (2 * step), abs=1e-6)
        if each.expected_landed is not None:
            assert up.expected_landed is not None
            assert down.expected_landed is not None
            slope = (up.expected_landed - down.expected_landed) / (2 * step)
            assert each.expected_landed == pytest.approx(slope, abs=1e-5)


def test_a_trick_used_twice_shares_one_chance() -> None:
    """p squared times q has the slope 2 p q by p, and p squared by q."""
    twice, once = planned(trick("Indy"), 0.7), planned(trick("Method"), 0.9)
    run = Run((Pass((twice, once)), Pass((twice,))))
    found = {each.trick.entry.name: each for each in training(run, Ground(one_fall()))}
    assert len(found) == 2
    assert found["Indy"].times == 2
    assert found["Indy"].clean == pytest.approx(2 * 0.7 * 0.9)
    assert found["Method"].clean == pytest.approx(0.7**2)


def test_the_hardest_trick_brings_clean_the_most() -> None:
    """The slope of a product by a factor is the product over that factor."""
    values = [0.9, 0.6, 0.8]
    run = Run((Pass(tuple(planned(trick(f"T{v}"), v) for v in values)),))
    found = training(run, Ground(one_fall()))
    assert [each.chance for each in found] == [0.6, 0.8, 0.9]
    assert found[0].clean == pytest.approx(0.9 * 0.8)
    assert found[0].sentence.startswith("One point more on T0.6 adds 0.72 points of clean and ")


def test_what_cannot_be_told_is_left_out() -> None:
    """Without a rule on falls only clean is told; without a chance nothing is."""
    run = run_of_chances([0.8, 0.9])
    (only,) = training(run, Ground(Format()))
    assert only.expected_landed is None
    assert only.clean == pytest.approx(0.8 + 0.9)
    assert "tricks landed" not in only.sentence
    assert training(Run((Pass((planned(chance=None),)),)), Ground(one_fall())) == ()


@pytest.mark.parametrize(
    ("landed", "tried", "chance", "warned"),
    [(4, 5, None, True), (0, 1, None, True), (9, CAUTION_TRIES, None, False),
     (8, CAUTION_TRIES - 1, None, True), (4, 5, 0.8, False), (None, None, 0.5, False)],
)  # fmt: skip
def test_few_tries_bring_a_word_of_caution(
    landed: int | None, tried: int | None, chance: float | None, warned: bool
) -> None:
    """Under ten tries, our judgement; a typed chance has no tries to speak of."""
    each = replace(planned(trick("Indy"), chance), landed=landed, tried=tried)
    assert bool(caution(each)) is warned


records = st.integers(1, 12).flatmap(
    lambda tried: st.tuples(st.integers(0, tried), st.just(tried))
)


def width(landed: float, tried: float) -> float:
    """The same interval by scipy.stats.beta."""
    posterior = beta(landed + 0.5, tried - landed + 0.5)
    low = 0.0 if landed <= 0 else posterior.ppf(0.025)
    high = 1.0 if landed >= tried else posterior.ppf(0.975)
    return float(high - low)


@settings(max_examples=25, deadline=None)
@given(records, st.floats(0.25, 0.9))
def test_no_fewer_tries_are_enough(record: tuple[int, int], wanted: float) -> None:
    """One more try at a time, by scipy.stats.beta, until the interval is narrow enough."""
    landed, tried = record
    rate, more = landed / tried, 0
    last = 1.0
    while True:
        counted = tried + more
        here = width(counted if landed == tried else rate * counted, counted)
        assert here <= last + 1e-9  # so the first that is narrow enough is the only turn
        last = here
        if here <= wanted:
            break
        more += 1
    assert tries_for_width(landed, tried, wanted) == pytest.approx(more, abs=0)


@given(records.filter(lambda each: 0 < each[0] < each[1]))
def test_the_interval_is_the_published_one(record: tuple[int, int]) -> None:
    """statsmodels' proportion_confint with the Jeffreys method."""
    low, high = proportion_confint(*record, alpha=0.05, method="jeffreys")
    assert interval_width(*record) == pytest.approx(high - low, abs=1e-9)


def test_narrower_asks_for_more_tries() -> None:
    """Four of five to within 20 points: about 60 tries, as 4 p (1 - p) (1.96 / width)^2 says
    for many tries."""
    more = [tries_for_width(4, 5, wanted) for wanted in (0.5, 0.2, 0.1, 0.02)]
    assert more == sorted(more)
    many = 4 * 0.8 * 0.2 * (1.96 / 0.02) ** 2
    assert more[-1] + 5 == pytest.approx(many, rel=0.01)
    assert tries_for_width(80, 100, 0.5) == 0


@pytest.mark.parametrize(
    ("landed", "tried", "wanted", "words"),
    [(0, 0, 0.2, "no tries yet"), (5, 4, 0.2, "check the two numbers"),
     (4, 5, 0.0, "between 0 and 1"), (4, 5, 1.0, "between 0 and 1"), (4, 5, 1e-9, "narrower")],
)  # fmt: skip
def test_what_cannot_be_asked_is_said(
    landed: int, tried: int, wanted: float, words: str
) -> None:
    """A sentence for the rider, never a number that means nothing."""
    with pytest.raises(ValueError, match=words):
        tries_for_width(landed, tried, wanted)
