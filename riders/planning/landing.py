"""What a landing record says about the chance of landing a trick."""

from dataclasses import dataclass

from events.rules.language import gettext as _


@dataclass(frozen=True, slots=True)
class LandingEstimate:
    """A chance from `landed` of `tried`, as proportions between 0 and 1.

    `counted` is landed / tried. `cautious` is the mean of the Jeffreys posterior, which
    leaves room for the few tries there were. `low` and `high` bound the 95 % interval.
    """

    landed: int
    tried: int
    counted: float
    cautious: float
    low: float
    high: float


def estimate(landed: int, tried: int) -> LandingEstimate:
    """The landing chance with its 95 % Jeffreys interval.

    The interval holds the middle 95 % of Beta(landed + 1/2, tried - landed + 1/2), with
    the usual ends: 0 where nothing was landed, 1 where everything was. Recommended for few
    tries by Brown, Cai and DasGupta (2001), Interval Estimation for a Binomial Proportion,
    Statistical Science 16 (from memory).

    Raises ValueError, with a sentence for the rider, for counts that cannot be.
    """
    if tried < 0 or landed < 0:
        raise ValueError(_("Tries and landings cannot be negative."))
    if tried == 0:
        raise ValueError(_("There are no tries yet. Enter at least one, or type a chance."))
    if landed > tried:
        message = _("{landed} landed of {tried} tried cannot be: check the two numbers.")
        raise ValueError(message.format(landed=landed, tried=tried))
    from scipy.special import betaincinv  # slow to import, and only needed here

    a, b = landed + 0.5, tried - landed + 0.5
    low = 0.0 if landed == 0 else float(betaincinv(a, b, 0.025))
    high = 1.0 if landed == tried else float(betaincinv(a, b, 0.975))
    return LandingEstimate(landed, tried, landed / tried, a / (tried + 1), low, high)
