"""The band of clean: published moments, Goodman's variance, and its own samples."""

from dataclasses import replace
from math import comb, prod, sqrt
from random import Random
from statistics import fmean

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta, betabinom, binom

from events.rules.format import Format
from events.rules.riding import DoubleUp
from events.rules.run import Pass, PlannedTrick, Run
from riders.planning.band import chances, clean_band, moments, no_band, quantile, sampled
from riders.planning.ground import Ground
from tests.planning.building import one_fall, planned, trick

GROUND = Ground(one_fall())
records = st.integers(1, 40).flatmap(
    lambda tried: st.tuples(st.integers(0, tried), st.just(tried))
)


def recorded(name: str, landed: int, tried: int) -> PlannedTrick:
    return replace(planned(trick(name), None), landed=landed, tried=tried)


def run(*tricks: PlannedTrick) -> Run:
    half = len(tricks) // 2
    return Run((Pass(tricks[:half]), Pass(tricks[half:])))


@given(records, st.integers(1, 4))
def test_a_power_of_one_chance_has_the_moments_of_the_beta(
    record: tuple[int, int], times: int
) -> None:
    """scipy.stats.beta gives the moments of the Jeffreys posterior, and betabinom the same
    mean as the chance to land every one of so many."""
    landed, tried = record
    a, b = landed + 0.5, tried - landed + 0.5
    mean, variance = moments(run(*[recorded("Indy", landed, tried)] * times))
    assert mean == pytest.approx(beta(a, b).moment(times), rel=1e-5)  # it integrates
    assert mean == pytest.approx(betabinom(times, a, b).pmf(times), rel=1e-9)
    second = betabinom(2 * times, a, b).pmf(2 * times)
    assert variance == pytest.approx(second - mean**2, rel=1e-6, abs=1e-12)


@given(records, records)
def test_goodmans_variance_of_a_product_of_two(
    one: tuple[int, int], other: tuple[int, int]
) -> None:
    """Goodman (1960), On the exact variance of products, JASA 55 (from memory): for
    independent x and y, V(xy) = E(x)^2 V(y) + E(y)^2 V(x) + V(x) V(y)."""
    x, y = (beta(landed + 0.5, tried - landed + 0.5) for landed, tried in (one, other))
    mean, variance = moments(run(recorded("One", *one), recorded("Other", *other)))
    assert mean == pytest.approx(x.mean() * y.mean(), rel=1e-9)
    goodman = x.mean() ** 2 * y.var() + y.mean() ** 2 * x.var() + x.var() * y.var()
    assert variance == pytest.approx(goodman, rel=1e-6, abs=1e-12)
    second = x.moment(2) * y.moment(2)
    assert variance == pytest.approx(second - mean**2, rel=1e-4, abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(st.lists(records, min_size=1, max_size=6), st.integers(1, 3), st.integers(0, 10**6))
def test_the_samples_agree_with_the_exact_moments(
    given_records: list[tuple[int, int]], times: int, seed: int
) -> None:
    """Sampled mean and variance lie within four standard errors of the exact ones.

    The standard error of a variance comes from the exact fourth moment. Six standard errors
    are allowed here so that a few hundred comparisons hardly ever fail by chance alone.
    """
    tricks = [recorded(f"Trick {at}", *each) for at, each in enumerate(given_records)]
    one = run(*tricks, *[tricks[0]] * (times - 1))
    mean, variance = moments(one)
    raw = [prod(c.moment(k * c.times) for c in chances(one)) for k in range(5)]
    fourth = sum(comb(4, k) * raw[k] * (-mean) ** (4 - k) for k in range(5))
    count = 4000
    drawn = list(sampled(one, Random(seed), count))
    centre = fmean(drawn)
    assert abs(centre - mean) <= 6 * sqrt(variance / count) + 1e-12
    spread = fmean((each - mean) ** 2 for each in drawn)
    assert abs(spread - variance) <= 6 * sqrt(max(0.0, fourth - variance**2) / count) + 1e-9


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_fixed_sample_is_within_four_standard_errors(seed: int) -> None:
    """Five tricks at four of five tries each: the seeded mean against the exact one."""
    one = run(*[recorded(f"Trick {at}", 4, 5) for at in range(5)])
    mean, variance = moments(one)
    drawn = list(sampled(one, Random(seed), 4000))
    assert abs(fmean(drawn) - mean) <= 4 * sqrt(variance / 4000)
    assert mean == pytest.approx((4.5 / 6) ** 5)


def test_a_trick_used_twice_shares_one_unknown_chance() -> None:
    """It spreads wider, with a higher mean, than two tricks with the same record."""
    shared = run(recorded("Indy", 4, 5), recorded("Indy", 4, 5))
    apart = run(recorded("Indy", 4, 5), recorded("Method", 4, 5))
    assert len(chances(shared)) == 1
    assert moments(shared)[0] > moments(apart)[0]
    assert moments(shared)[1] > moments(apart)[1]


def test_typed_chances_are_certain() -> None:
    """Then the band is one number: the product."""
    band = clean_band(run(*[planned(trick(f"T{at}"), 0.8) for at in range(5)]), GROUND)
    assert band is not None
    assert band.sd == 0.0
    assert (band.low, band.high, band.mean) == pytest.approx((0.8**5,) * 3)


def test_one_record_gives_the_quantiles_of_its_posterior() -> None:
    """scipy.stats.beta.ppf gives the 5 % and 95 % points; a quantile of n samples is off by
    about sqrt(p (1 - p) / n) / density, and four of these are allowed."""
    band = clean_band(run(recorded("Indy", 8, 10)), GROUND, seed=5)
    assert band is not None
    posterior = beta(8.5, 2.5)
    for got, part in ((band.low, 0.05), (band.high, 0.95)):
        want = posterior.ppf(part)
        error = sqrt(part * (1 - part) / band.samples) / posterior.pdf(want)
        assert abs(got - want) <= 4 * error


def test_about_nine_in_ten_chances_lie_in_the_band() -> None:
    """Other samples fall into the band as often as it says, by scipy.stats.binom."""
    one = run(*[recorded(f"Trick {at}", 7, 9) for at in range(4)])
    band = clean_band(one, GROUND, seed=1)
    assert band is not None
    inside = sum(band.low <= each <= band.high for each in sampled(one, Random(2), 4000))
    spread = binom(4000, 0.9).std()
    assert abs(inside - 3600) <= 8 * spread  # both the band and the count are samples
    assert band.low < band.mean < band.high


def test_the_same_seed_gives_the_same_band() -> None:
    """And a random source may be handed in instead of a seed."""
    one = run(recorded("Indy", 4, 5), recorded("Method", 9, 12))
    assert clean_band(one, GROUND, seed=7) == clean_band(one, GROUND, seed=7)
    assert clean_band(one, GROUND, seed=7) == clean_band(one, GROUND, seed=Random(7))
    assert clean_band(one, GROUND, seed=7) != clean_band(one, GROUND, seed=8)


@given(st.lists(st.floats(0, 1), min_size=1, max_size=30), st.floats(0, 1))
def test_quantiles_lie_between_the_ends(values: list[float], part: float) -> None:
    """From the least to the most, in order."""
    ordered = sorted(values)
    assert ordered[0] - 1e-12 <= quantile(ordered, part) <= ordered[-1] + 1e-12
    assert quantile(ordered, 0.0) == ordered[0]


def test_no_band_without_a_chance_or_a_place() -> None:
    """The rider is told what is missing."""
    missing = run(planned(trick("Indy"), None))
    assert clean_band(missing, GROUND) is None
    assert "How often you land Indy" in (no_band(missing, GROUND) or "")
    short = Ground(one_fall(100.0))
    long = Run((Pass((recorded("One", 4, 5), recorded("Two", 4, 5))),))
    assert clean_band(long, short) is None
    assert "Two no longer fits" in (no_band(long, short) or "")
    claims = Run((Pass((planned(),), (planned(bonus="double-up"),)),))
    assert "not on offer" in (no_band(claims, Ground(Format(double_ups=()))) or "")
    offered = Ground(one_fall(double_ups=(DoubleUp(after_pass=1),)))
    assert no_band(claims, offered) is None
    assert no_band(Run(), GROUND) == "No trick is planned yet. Add one."
