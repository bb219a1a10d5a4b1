"""Landing estimates against SciPy and statsmodels."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta
from statsmodels.stats.proportion import proportion_confint

from riders.planning.landing import estimate

records = st.integers(1, 400).flatmap(
    lambda tried: st.tuples(st.integers(0, tried), st.just(tried))
)


@given(records)
def test_interval_is_the_middle_of_the_jeffreys_posterior(record: tuple[int, int]) -> None:
    """scipy.stats.beta.ppf at 2.5 % and 97.5 %, with the usual ends."""
    landed, tried = record
    got = estimate(landed, tried)
    posterior = beta(landed + 0.5, tried - landed + 0.5)
    low = 0.0 if landed == 0 else posterior.ppf(0.025)
    high = 1.0 if landed == tried else posterior.ppf(0.975)
    assert (got.low, got.high) == pytest.approx((low, high), rel=1e-9)
    assert got.cautious == pytest.approx(posterior.mean())


@pytest.mark.parametrize(("landed", "tried"), [(1, 2), (4, 5), (3, 10), (17, 20), (59, 60)])
def test_statsmodels_agrees_inside_the_ends(landed: int, tried: int) -> None:
    """statsmodels proportion_confint(method="jeffreys")."""
    got = estimate(landed, tried)
    want = proportion_confint(landed, tried, alpha=0.05, method="jeffreys")
    assert (got.low, got.high) == pytest.approx(want, rel=1e-9)


def test_four_of_five() -> None:
    """Common practice, no source: four of five is 80 %; the cautious chance is 4.5 / 6."""
    got = estimate(4, 5)
    assert got.counted == 0.8
    assert got.cautious == 0.75
    assert got.low < 0.4  # five tries say little
    assert got.high > 0.95


@given(records)
def test_the_chances_lie_in_the_interval(record: tuple[int, int]) -> None:
    """Counted and cautious lie between the bounds, and cautious nearer the middle."""
    got = estimate(*record)
    assert 0 <= got.low <= got.counted <= got.high <= 1
    assert got.low < got.cautious < got.high
    assert abs(got.cautious - 0.5) <= abs(got.counted - 0.5) + 1e-12


@pytest.mark.parametrize(
    ("landed", "tried", "word"),
    [(3, 2, "3 landed of 2"), (-1, 4, "negative"), (0, -1, "negative"), (0, 0, "no tries")],
)
def test_counts_that_cannot_be(landed: int, tried: int, word: str) -> None:
    """A sentence says what is wrong."""
    with pytest.raises(ValueError, match=word):
        estimate(landed, tried)
