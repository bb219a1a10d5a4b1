"""How likely a planned run survives its format: exact figures, without sampling.

Tricks are ridden in declared order, each landed or not independently of the others. One
dynamic programme goes through the run: see `riders.planning.programme`.
"""

from dataclasses import dataclass, replace

from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import ngettext
from events.rules.run import Place, Run
from riders.planning.counting import Counting, counting
from riders.planning.falls import Progress, Rules
from riders.planning.programme import Tally, ride
from riders.planning.route import Route
from riders.planning.stretches import Bar, Extra, Leg, Stretch, eased
from riders.planning.unknowns import BONUS_PASS, CHANCE_MISSING, COUNTED_PER, TOO_LONG, needs

__all__ = ["Survival", "TrickOdds", "in_hundred", "left_out", "needs", "reading", "survive"]

MIDDLE = 0.5  # common practice, no source
ABOUT = 0.05  # how near counts as "about" is ours


@dataclass(frozen=True, slots=True)
class TrickOdds:
    """The probability that a trick is attempted, that it is landed, and that its landing
    adds to the number landed."""

    place: Place
    reach: float
    land: float
    count: float


@dataclass(frozen=True, slots=True)
class Survival:
    """Probabilities of a run. None: it cannot be told, see `needs`; all are None where
    nothing is planned.

    `clean`: every planned trick is landed. `complete`: every planned trick is attempted.
    Both speak of all tricks, also of those that are ridden but not counted, and both are
    None where the format does not say whether there is a planned bonus trick; the other
    figures are then without it.
    `double_up_reached` and `double_up_landed`: of the bonus tricks planned and stated by
    the format, at least one is attempted, or landed; None where there is none.
    `tricks` in declared order, bonus tricks after the tricks of their pass. `landed[k]`:
    exactly k tricks are landed that count; `expected_landed` is the mean of that, and
    `expected_tiers` the expected sum of their difficulty tiers. `ends[i]`: a fall on trick
    i ends the run, also where nothing was left to ride. `alive[i][f]`: trick i is attempted
    with f falls so far, as the format counts them. `passes`: each pass ridden alone, with
    no falls before it.
    `uncounted`: so many planned tricks are ridden but not counted; `open`: for so many more
    that depends on what was landed before. `is_least`: too many tricks depend on each other,
    and the figures of what is landed are the least that counts.
    """

    clean: float | None = None
    complete: float | None = None
    double_up_reached: float | None = None
    double_up_landed: float | None = None
    tricks: tuple[TrickOdds, ...] | None = None
    landed: tuple[float, ...] | None = None
    expected_landed: float | None = None
    expected_tiers: float | None = None
    ends: tuple[float, ...] | None = None
    alive: tuple[tuple[float, ...], ...] | None = None
    passes: tuple["Survival", ...] = ()
    uncounted: int = 0
    open: int = 0
    is_least: bool = False


def survive(
    run: Run,
    format: Format,
    route: Route,
    round: str | None = None,
    division: str | None = None,
    apart: bool = True,
) -> Survival:
    """The figures of a run on its route; see `Survival`, and `needs` for what is missing.

    `round` and `division` are names; a bonus trick limited to some is taken as offered
    where None is given. The route must be the run's own. Without `apart` the passes are
    not ridden alone as well, which saves a search half its time.
    """
    missing = {finding.code for finding in needs(run, format, route)} - {BONUS_PASS}
    if not len(run) or missing & {CHANCE_MISSING, TOO_LONG}:
        return Survival()
    rules = Rules(run, format, route, round, division)
    chances = [place.planned.likelihood or 0.0 for place in run.places()]
    stretches = tuple(eased(each, rules.begun_counts) for each in rules.stretches)
    counted = counting(run, format, division, round)
    if apart and len(stretches) == 1:
        whole = _figures(rules, stretches, chances, counted, not missing)
        return replace(whole, passes=(whole,))
    told = missing <= {COUNTED_PER}
    alone = []
    if apart:
        alone = [_figures(rules, (each,), chances, counted, told) for each in stretches]
    return _figures(rules, stretches, chances, counted, not missing, tuple(alone))


def _figures(
    rules: Rules,
    stretches: tuple[Stretch, ...],
    chances: list[float],
    counted: Counting | None,
    told: bool,
    passes: tuple[Survival, ...] = (),
) -> Survival:
    extras = [extra for stretch in stretches for extra in stretch.extras]
    if not extras and not any(stretch.legs for stretch in stretches):
        return Survival()
    is_open = any(extra.bar is Bar.UNSTATED for extra in extras)
    clean = None if is_open else _clean(rules, stretches, chances)
    if not told:
        return Survival(clean=clean, passes=passes)
    tally = ride(rules, stretches, Tally(chances, counted))
    ridden: list[Leg | Extra] = []
    for stretch in stretches:
        ridden += [*stretch.legs, *stretch.extras]
    most = len(ridden)
    if counted is not None:
        most -= sum(each.index in counted.never for each in ridden)
    landed, bonuses, complete = [0.0] * (most + 1), [0.0] * 3, 0.0
    for (count, bonus, whole), weight in tally.finished.items():
        landed[count] += weight
        bonuses[bonus] += weight
        complete += weight if whole else 0.0
    odds = tuple(_odds(each, tally) for each in ridden)
    tiers = (
        tally.tiers.get(each.index, one.land * one.place.trick.tier)
        for each, one in zip(ridden, odds, strict=True)
    )
    stated = any(extra.stated for extra in extras)
    return Survival(
        clean=clean,
        complete=None if is_open else complete,
        double_up_reached=bonuses[1] + bonuses[2] if stated else None,
        double_up_landed=bonuses[2] if stated else None,
        tricks=odds,
        landed=tuple(landed),
        expected_landed=sum(each.count for each in odds),
        expected_tiers=sum(tiers),
        ends=tuple(tally.ends[each.index] for each in ridden),
        alive=tuple(_by_falls(tally.alive[each.index]) for each in ridden),
        passes=passes,
        uncounted=counted.uncounted if counted else 0,
        open=counted.open if counted else 0,
        is_least=counted is not None and counted.is_least,
    )


def _odds(ridden: Leg | Extra, tally: Tally) -> TrickOdds:
    index = ridden.index
    land = tally.land[index]
    return TrickOdds(ridden.place, tally.reach[index], land, tally.count.get(index, land))


def _by_falls(weights: dict[int, float]) -> tuple[float, ...]:
    return tuple(weights.get(falls, 0.0) for falls in range(max(weights, default=-1) + 1))


def _clean(rules: Rules, stretches: tuple[Stretch, ...], chances: list[float]) -> float:
    """The product of the chances, or 0 where landing everything is not enough."""
    product, progress = 1.0, Progress(0.0)
    for stretch in stretches:
        progress = rules.start(progress, stretch)
        for leg in stretch.legs:
            if not rules.fits(progress, stretch, leg):
                return 0.0
            progress = rules.lands(progress, leg)
            product *= chances[leg.index]
        for extra in stretch.extras:
            if rules.bar(progress, extra) is not None:
                return 0.0
            product *= chances[extra.index]
    return product


def reading(clean: float) -> str:
    """How a chance to land everything reads: "safe", "middle" or "daring".

    Common practice, no source: one half is the middle, more is safe, less is daring.
    """
    if abs(clean - MIDDLE) <= ABOUT + 1e-12:
        return "middle"
    return "safe" if clean > MIDDLE else "daring"


def in_hundred(clean: float) -> str:
    """The chance to land everything, as a count out of 100 contests."""
    times = round(100 * clean)
    if 0 < clean < 0.005:
        return _("In 100 contests you would land everything less than once.")
    if 0.995 <= clean < 1:
        return _("In 100 contests you would land everything nearly every time.")
    if times == 100:
        return _("In 100 contests you would land everything every time.")
    if not times:
        return _(
            "You would never land everything: not everything can be ridden, or something "
            "always falls."
        )
    return ngettext(
        "In 100 contests you would land everything about once.",
        "In 100 contests you would land everything about {number} times.",
        times,
    ).format(number=times)


def left_out(survival: Survival, to_rider: bool = True) -> str:
    """What the figures of landed tricks leave out, in sentences; empty where nothing.

    They are said to the rider, or to somebody else.
    """
    said = []
    if survival.uncounted:
        if to_rider:
            sentence = ngettext(
                "Figures of what you land leave out {number} trick that is ridden but not "
                "counted.",
                "Figures of what you land leave out {number} tricks that are ridden but not "
                "counted.",
                survival.uncounted,
            )
        else:
            sentence = ngettext(
                "Figures of what is landed leave out {number} trick that is ridden but not "
                "counted.",
                "Figures of what is landed leave out {number} tricks that are ridden but not "
                "counted.",
                survival.uncounted,
            )
        said.append(sentence.format(number=survival.uncounted))
    if survival.open:
        sentence = ngettext(
            "Whether {number} trick counts depends on the tricks before: the figures take that "
            "in.",
            "Whether {number} tricks count depends on the tricks before: the figures take that "
            "in.",
            survival.open,
        )
        said.append(sentence.format(number=survival.open))
    if survival.is_least:
        said.append(
            _(
                "So many tricks depend on each other that these figures are the least that "
                "counts."
            )
        )
    return " ".join(said)
