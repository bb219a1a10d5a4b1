"""Probabilities as runs out of a hundred, whole numbers that add up."""

from collections.abc import Sequence
from math import floor

HUNDRED = 100


def out_of_hundred(shares: Sequence[float], total: int = HUNDRED) -> tuple[int, ...]:
    """Whole numbers in proportion to `shares`, which add up to `total` exactly.

    The method of the largest remainder (Hamilton): each share is rounded down, and what is
    left goes one by one to the largest remainders, the first of equal ones. All zeros where
    the shares are. Raises ValueError for a negative share.
    """
    if any(share < 0 for share in shares):
        raise ValueError("A share cannot be negative.")
    whole = sum(shares)
    if not whole:
        return (0,) * len(shares)
    # Sums of floats are off by a hair: 0.29 of 1 is 29 of 100, not 28.999... and a bit.
    quotas = [round(share / whole * total, 9) for share in shares]
    counts = [floor(quota) for quota in quotas]
    by_remainder = sorted(range(len(shares)), key=lambda at: counts[at] - quotas[at])
    for at in by_remainder[: total - sum(counts)]:
        counts[at] += 1
    return tuple(counts)
