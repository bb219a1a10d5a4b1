"""How a run's marks make one figure: what judges mark, out of what, and how it adds up.

Pure Python and exact: marks are decimals, sums are fractions, and only what is shown is
rounded. A margin of 0.43 points has parted first from third in a final (published account
of a 2017 professional final), so that rounding before ranking could change a result.
"""

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from events.rules.answers_words import joined
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.staging import Criterion, Judging
from events.rules.words import Combine
from runsheets.judging.tie_words import By, TieBreak, read_tie_breaks

WHOLE = Fraction(100)
# 33.3 + 33.3 + 33.3 was meant as a hundred.
ABOUT = Fraction(1, 2)


class RunState(StrEnum):
    """What became of a run."""

    RIDDEN = "ridden"
    NOT_STARTED = "did not start"
    DISQUALIFIED = "disqualified"
    WITHDRAWN = "withdrawn"


STATE_SENTENCES = {
    RunState.RIDDEN: mark("Ridden."),
    RunState.NOT_STARTED: mark("Did not start."),
    RunState.DISQUALIFIED: mark("Disqualified."),
    RunState.WITHDRAWN: mark("Withdrawn."),
}


@dataclass(frozen=True, slots=True)
class RunMarks:
    """One run of one rider, as the judges marked it.

    `marks` gives for each judge the mark of each criterion, by name; the name is empty
    where there is one mark for the run. `attempt` counts the rider's runs in the round from
    1. `repeats` is the attempt that a re-ride stands in place of. `points_off` are taken
    from the run's mark. `falls` are the counted falls; None where nobody counted.
    """

    rider: Hashable
    attempt: int = 1
    marks: Mapping[Hashable, Mapping[str, Decimal]] = field(default_factory=dict)
    points_off: Decimal = Decimal(0)
    status: RunState = RunState.RIDDEN
    repeats: int | None = None
    falls: int | None = None


@dataclass(frozen=True, slots=True)
class Marked:
    """One thing that judges mark: its name, the marks it goes from and to, and its factor.

    `most` is None where no highest mark is known. The factor is what one point of it adds
    to the judge's total.
    """

    name: str
    factor: Fraction
    least: Fraction
    most: Fraction | None


@dataclass(frozen=True, slots=True)
class Scoring:
    """How marks are given and combined. Build one with `Scoring.of`.

    A judge's total of a run is the sum of factor x mark over the criteria. The factors
    follow from what the format states:

    - **A highest mark is stated**: every criterion is marked up to it, and its factor is its
      share of all weights. The total is the weighted mean, on the scale of the marks.
      Marks of 1 to 10, four equal criteria, 8, 7, 6 and 9: 30 / 4 = 7.5. Marks up to 100,
      weights 40, 40 and 20, marks 80, 70 and 90: 32 + 28 + 18 = 78.
    - **None is stated, and the weights make 100** (to half a point): each criterion is
      marked out of its own weight, and the marks are added up. Weights 33.3, 33.4 and 33.3,
      marks 31.2, 30 and 29.7: 90.9 of 100.
    - **None is stated, and the weights make something else**: the weighted mean again;
      how high marks go is then not known. Weights 2 and 1, marks 8 and 5: 21 / 3 = 7.

    Where no weight is stated, or not all, the criteria weigh the same. `assumed` holds a
    sentence for everything that was taken without being stated; a page shows them.
    `tie_breaks` are in the organiser's order; None: nothing is stated about ties.
    """

    criteria: tuple[Marked, ...]
    combine: Combine = Combine.MEAN
    tie_breaks: tuple[TieBreak, ...] | None = None
    panel: int | None = None
    assumed: tuple[str, ...] = ()

    @classmethod
    def of(cls, format: Format) -> "Scoring":
        """The scoring of an effective format: see `events.rules.loading.effective`."""
        judging, assumed = format.judging, list[str]()
        criteria = _criteria(judging, assumed)
        if judging.combine is None:
            assumed.append(
                _("How the judges' marks combine is not stated; their mean is taken here.")
            )
        breaks = None
        if judging.tie_breaks is not None:
            names = tuple(each.name for each in criteria)
            breaks = read_tie_breaks(judging.tie_breaks, names)
        combine = judging.combine or Combine.MEAN
        return cls(criteria, combine, breaks, judging.panel, tuple(assumed))

    @property
    def unread_tie_breaks(self) -> tuple[str, ...]:
        """The tie-breaks that are not understood and so not applied, as they were typed."""
        return tuple(each.words for each in self.tie_breaks or () if each.by is By.UNREAD)

    @property
    def lower_is_better(self) -> bool:
        """Whether a low figure leads, as where placings are added up."""
        return self.combine is Combine.PLACINGS

    @property
    def least(self) -> Fraction:
        """The lowest total of a judge. Points off never go below it."""
        return sum((each.factor * each.least for each in self.criteria), Fraction(0))

    @property
    def most(self) -> Fraction | None:
        """The highest total of a judge; None where no highest mark is known."""
        total = Fraction(0)
        for each in self.criteria:
            if each.most is None:
                return None
            total += each.factor * each.most
        return total

    def total(self, marks: Mapping[str, Decimal]) -> Fraction:
        """A judge's total of a run. Raises KeyError if the mark of a criterion is missing."""
        return sum(
            (each.factor * Fraction(marks[each.name]) for each in self.criteria), Fraction(0)
        )

    def problem(self, criterion: str, mark: Decimal) -> str:
        """What is wrong with a mark, in a sentence; empty if nothing is."""
        for each in self.criteria:
            if each.name != criterion:
                continue
            what = each.name or _("The mark")
            least = shown(each.least)
            if not mark.is_finite():
                return _("{what}: type a number.").format(what=what)
            if each.most is not None and not each.least <= mark <= each.most:
                said = _("{what} goes from {least} to {most}.")
                return said.format(what=what, least=least, most=shown(each.most))
            if mark < each.least:
                return _("{what} starts at {least}.").format(what=what, least=least)
            return ""
        said = _("“{criterion}” is not among the criteria.").format(criterion=criterion)
        return said if criterion else _("Name a criterion.")


def _criteria(judging: Judging, assumed: list[str]) -> tuple[Marked, ...]:
    least = _exact(judging.mark_least) or Fraction(0)
    most = _exact(judging.mark_most)
    if not judging.criteria:
        if judging.criteria is None:
            assumed.append(
                _("What is marked is not stated; one mark for the run is taken here.")
            )
        return (Marked("", Fraction(1), least, most),)
    names = _names(judging.criteria)
    weights = _weights(judging.criteria, assumed)
    if most is None and len(names) > 1 and abs(sum(weights) - WHOLE) <= ABOUT and all(weights):
        assumed.append(
            _(
                "The highest mark is not stated; each criterion is marked out of its weight "
                "here."
            )
        )
        one = Fraction(1)
        pairs = zip(names, weights, strict=True)
        return tuple(Marked(name, one, min(least, weight), weight) for name, weight in pairs)
    whole = sum(weights)
    return tuple(
        Marked(name, weight / whole, least, most)
        for name, weight in zip(names, weights, strict=True)
    )


def _names(criteria: Iterable[Criterion]) -> list[str]:
    """The name of each criterion, told apart where two are the same or have none."""
    names: list[str] = []
    for number, each in enumerate(criteria, start=1):
        name = " ".join((each.name or "").split()) or f"Criterion {number}"
        names.append(f"{name} ({number})" if name in names else name)
    return names


def _weights(criteria: tuple[Criterion, ...], assumed: list[str]) -> list[Fraction]:
    stated = [_exact(each.weight) for each in criteria]
    known = [weight for weight in stated if weight is not None]
    if len(known) == len(stated) and any(known):
        return known
    if len(stated) > 1:
        if not known:
            said = _("The weights are not stated; here every criterion weighs the same.")
        elif len(known) < len(stated):
            said = _("Not all weights are stated; here every criterion weighs the same.")
        else:
            said = _("Every weight is 0; here every criterion weighs the same.")
        assumed.append(said)
    return [Fraction(1)] * len(stated)


def _exact(value: float | None) -> Fraction | None:
    """A number of a format as it was typed: 33.3 is 333/10."""
    return None if value is None else Fraction(repr(value))


def shown(value: Fraction, decimals: int | None = None) -> str:
    """A figure to read: rounded half up, with so many decimals; at most two by default."""
    if decimals is None:
        text = shown(value, 2)
        return text.rstrip("0").rstrip(".")
    scaled = 2 * abs(value) * 10**decimals
    units = (scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    sign = "-" if value < 0 and units else ""
    return f"{sign}{Decimal(units).scaleb(-decimals):.{decimals}f}"


def shown_apart(values: Iterable[Fraction], decimals: int = 2) -> list[str]:
    """Figures to read in one list: with up to six decimals while different ones look alike."""
    listed = list(values)
    for places in range(decimals, 7):
        texts = [shown(value, places) for value in listed]
        if len(set(texts)) == len(set(listed)):
            break
    return texts if listed else []


def named_list(riders: Iterable[Hashable], names: Mapping[Hashable, str]) -> str:
    """Riders as a sentence lists them; who has no name stands by the key."""
    return joined(names.get(rider, str(rider)) for rider in riders)
