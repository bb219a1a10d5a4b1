"""Which trick is worth practising: what a better chance of it does for the run."""

from dataclasses import dataclass, replace

from events.rules.language import gettext as _
from events.rules.language import ngettext
from events.rules.run import PlannedTrick, Run
from riders.planning.ground import Ground, bare, figure, said, with_trick_at
from riders.planning.landing import estimate

CAUTION_TRIES = 10  # our judgement: below this a record says little
MOST_TRIES = 10**9


@dataclass(frozen=True, slots=True)
class Training:
    """What one trick of the run would bring, per unit of its chance.

    `clean` is the derivative of the chance to land everything by the chance of the trick,
    `expected_landed` that of the expected number landed; None where falls cannot be told.
    A trick planned `times` times has one chance. `caution` is a sentence where few tries
    stand behind the chance, else empty.
    """

    trick: PlannedTrick
    times: int
    chance: float
    clean: float
    expected_landed: float | None
    sentence: str
    caution: str


def training(run: Run, ground: Ground) -> tuple[Training, ...]:
    """Every different trick of a run, the one that clean gains most from first.

    Both figures are linear in the chance of each place by itself. So the derivative at a
    place is the figure with the trick surely landed less that with it surely missed, and a
    trick planned in several places has the sum of theirs: exact. Empty where a chance is
    missing.
    """
    if any(place.planned.likelihood is None for place in run.places()):
        return ()
    places: dict[PlannedTrick, list[tuple[float, float | None]]] = {}
    for place in run.places():
        slopes = _slopes(run, ground, place.pass_no, place.position)
        places.setdefault(bare(place.planned), []).append(slopes)
    planned = {bare(place.planned): place.planned for place in reversed(list(run.places()))}
    found = [_training(planned[trick], slopes) for trick, slopes in places.items()]
    return tuple(sorted(found, key=lambda each: (-each.clean, -(each.expected_landed or 0.0))))


def _slopes(
    run: Run, ground: Ground, pass_no: int, position: int
) -> tuple[float, float | None]:
    planned = run.passes[pass_no - 1].attempts[position - 1]
    ends = [
        ground.survive(with_trick_at(run, pass_no, position, replace(planned, chance=chance)))
        for chance in (0.0, 1.0)
    ]
    clean = (ends[1].clean or 0.0) - (ends[0].clean or 0.0)
    if ends[0].expected_landed is None or ends[1].expected_landed is None:
        return clean, None
    return clean, ends[1].expected_landed - ends[0].expected_landed


def _training(planned: PlannedTrick, slopes: list[tuple[float, float | None]]) -> Training:
    clean = sum(each for each, _ in slopes)
    told = [landed for _, landed in slopes if landed is not None]
    landed = sum(told) if len(told) == len(slopes) else None
    sentence = _("One point more on {trick} adds {points} points of clean.")
    if landed is not None:
        sentence = _(
            "One point more on {trick} adds {points} points of clean and {number} tricks "
            "landed."
        )
    said_of = sentence.format(
        trick=said(planned), points=figure(clean, 2), number=figure((landed or 0.0) / 100, 3)
    )
    return Training(
        bare(planned), len(slopes), planned.likelihood or 0.0, clean, landed, said_of,
        caution(planned),
    )  # fmt: skip


def caution(planned: PlannedTrick) -> str:
    """A word of caution on a chance from few tries; empty for ten or more, or a typed one."""
    if planned.chance is not None or not planned.tried or planned.tried >= CAUTION_TRIES:
        return ""
    return ngettext(
        "Only one try of {trick} so far: its chance may be quite different. Count more tries "
        "before you rely on it.",
        "Only {number} tries of {trick} so far: its chance may be quite different. Count more "
        "tries before you rely on it.",
        planned.tried,
    ).format(number=planned.tried, trick=said(planned))


def interval_width(landed: float, tried: float) -> float:
    """The width of the 95 % Jeffreys interval; counts between whole numbers are allowed.

    With the usual ends: from 0 where nothing was landed, to 1 where everything was.
    """
    from scipy.special import betaincinv  # slow to import, and only needed here

    a, b = landed + 0.5, tried - landed + 0.5
    low = 0.0 if landed <= 0 else float(betaincinv(a, b, 0.025))
    high = 1.0 if landed >= tried else float(betaincinv(a, b, 0.975))
    return high - low


def tries_for_width(landed: int, tried: int, width: float) -> int:
    """How many more tries, landed at the same rate, narrow the 95 % interval to a width.

    0 where it is that narrow already. Raises ValueError, with a sentence for the rider, for
    counts that cannot be, or a width that is not between 0 and 1.
    """
    estimate(landed, tried)  # says what is wrong with the counts
    if not 0 < width < 1:
        raise ValueError(_("The width must lie between 0 and 1, such as 0.2 for 20 points."))
    rate = landed / tried

    def is_narrow(more: int) -> bool:
        counted = tried + more
        # The counts of a rate of 0 or 1 stay whole, so that its interval keeps its end.
        return interval_width(counted if rate == 1 else rate * counted, counted) <= width

    if is_narrow(0):
        return 0
    too_few, enough = 0, 1
    while not is_narrow(enough):
        if enough > MOST_TRIES:
            raise ValueError(_("That is narrower than any number of tries can show."))
        too_few, enough = enough, 2 * enough
    while enough - too_few > 1:
        middle = (too_few + enough) // 2
        too_few, enough = (too_few, middle) if is_narrow(middle) else (middle, enough)
    return enough
