"""How sure the chance to land everything is, given the few tries behind each chance.

The chance of a trick with `landed` of `tried` is unknown: after the tries it is spread as
Beta(landed + 1/2, tried - landed + 1/2), the Jeffreys posterior. A trick planned twice has
one unknown chance, so its power counts. The chances of different tricks are taken as
independent, and a typed chance as certain.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from math import prod, sqrt
from random import Random
from typing import NamedTuple

from events.rules.language import gettext as _
from events.rules.run import Pass, PlannedTrick, Run
from riders.planning.ground import Ground, bare
from riders.planning.unknowns import BONUS_OPEN, TOO_LONG, needs

SAMPLES = 4000
TAIL = 0.05  # below the band, and above it


@dataclass(frozen=True, slots=True)
class Band:
    """The chance to land everything as a spread. All are probabilities but `samples`.

    `mean` and `sd` are exact. `low` and `high` hold the middle 90 %, found from so many
    seeded samples.
    """

    mean: float
    sd: float
    low: float
    high: float
    samples: int


class Chance(NamedTuple):
    """The chance of one trick, planned `times` times: certain, or from a record."""

    times: int
    certain: float | None
    landed: int = 0
    tried: int = 0

    def moment(self, order: int) -> float:
        """The mean of the chance to this power.

        For Beta(a, b) it is the product of (a + r) / (a + b + r) for r below the power.
        """
        if self.certain is not None:
            return self.certain**order
        a = self.landed + 0.5
        return prod((a + r) / (self.tried + 1 + r) for r in range(order))

    def drawn(self, random: Random) -> float:
        """One chance that it may be."""
        if self.certain is not None:
            return self.certain
        return random.betavariate(self.landed + 0.5, self.tried - self.landed + 0.5)


def no_band(run: Run, ground: Ground) -> str | None:
    """Why there is no band: a sentence for the rider; None where there is one."""
    places = list(run.places())
    if not places:
        return _("No trick is planned yet. Add one.")
    for place in places:
        if place.planned.likelihood is None:
            return _(
                "How often you land {trick} is not known. Enter tries and landings for it, or "
                "type a chance."
            ).format(trick=place.trick.name)
    sure = Run(tuple(_sure(each) for each in run.passes))
    for finding in needs(run, ground.format, ground.route(run)):
        if finding.code == TOO_LONG:
            return f"{finding.message} {finding.hint}"
    clean = ground.survive(sure).clean
    if clean is None:
        return _(BONUS_OPEN)
    if not clean:
        dropped = [step.planned.trick.name for step in ground.route(run).dropped]
        if dropped:
            return _(
                "{trick} no longer fits its pass, so not everything can be landed. Leave out a "
                "trick before it, or move it."
            ).format(trick=dropped[0])
        return _(
            "A planned bonus trick is not on offer, so not everything can be landed. Take it "
            "out."
        )
    return None


def _sure(each: Pass) -> Pass:
    """The pass with every trick surely landed."""
    tricks, bonus = (
        tuple(replace(planned, chance=1.0) for planned in part)
        for part in (each.tricks, each.bonus)
    )
    return replace(each, tricks=tricks, bonus=bonus)


def chances(run: Run) -> tuple[Chance, ...]:
    """The unknown chances of a run: one for all places with the same trick and record."""
    counted = Counter(_unknown(place.planned) for place in run.places())
    return tuple(known._replace(times=times) for (_, known), times in counted.items())


def _unknown(planned: PlannedTrick) -> tuple[PlannedTrick, Chance]:
    if planned.chance is not None or not planned.tried:
        return bare(planned), Chance(1, planned.likelihood or 0.0)
    return bare(planned), Chance(1, None, planned.landed or 0, planned.tried)


def moments(run: Run) -> tuple[float, float]:
    """Mean and variance of the product of the chances, exactly.

    For independent x and y the variance of the product is
    E(x)^2 V(y) + E(y)^2 V(x) + V(x) V(y): Goodman (1960), On the exact variance of products,
    Journal of the American Statistical Association 55 (from memory).
    """
    return _moments(chances(run))


def _moments(found: tuple[Chance, ...]) -> tuple[float, float]:
    mean, variance = 1.0, 0.0
    for each in found:
        here = each.moment(each.times)
        spread = 0.0 if each.certain is not None else each.moment(2 * each.times) - here**2
        variance = mean**2 * spread + here**2 * variance + spread * variance
        mean *= here
    return mean, variance


def sampled(run: Run, random: Random, samples: int = SAMPLES) -> Iterator[float]:
    """Products of chances that may be, one for each sample."""
    return _sampled(chances(run), random, samples)


def _sampled(found: tuple[Chance, ...], random: Random, samples: int) -> Iterator[float]:
    for _sample in range(samples):
        yield prod(each.drawn(random) ** each.times for each in found)


def clean_band(
    run: Run, ground: Ground, *, seed: int | Random = 0, samples: int = SAMPLES
) -> Band | None:
    """The band of the chance to land everything; None where `no_band` says why.

    The same seed gives the same band.
    """
    if no_band(run, ground) is not None:
        return None
    if isinstance(seed, Random):
        return _band(chances(run), seed, samples)
    return _kept_band(chances(run), seed, samples)


@lru_cache(maxsize=512)
def _kept_band(found: tuple[Chance, ...], seed: int, samples: int) -> Band:
    """A band is asked for again and again with the same records: each page shows it."""
    return _band(found, Random(seed), samples)


def _band(found: tuple[Chance, ...], random: Random, samples: int) -> Band:
    mean, variance = _moments(found)
    drawn = sorted(_sampled(found, random, samples))
    low, high = quantile(drawn, TAIL), quantile(drawn, 1 - TAIL)
    return Band(mean, sqrt(variance), low, high, samples)


def quantile(ordered: list[float], part: float) -> float:
    """A quantile of sorted numbers, linear between the two nearest."""
    at = part * (len(ordered) - 1)
    below = int(at)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (at - below) * (ordered[above] - ordered[below])
