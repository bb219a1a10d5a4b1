"""Breaking ties: the organiser's tie-breaks in order, on exact values, each one told.

Pure Python. Where a tie-break cannot be applied the tie stays, and nothing named after it is
applied either: it might have been the one that decides.
"""

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import partial
from itertools import pairwise

from events.rules.language import gettext as _
from events.rules.language import mark, pgettext
from runsheets.judging.counted_runs import Scored
from runsheets.judging.scoring import named_list, shown, shown_apart
from runsheets.judging.tie_words import By, TieBreak

Placings = Mapping[Hashable, Mapping[Hashable, Fraction]]

_AHEAD = {
    By.CRITERION: mark("Ahead of {riders} on {criterion} ({figures})."),
    By.BEST_JUDGE: mark("Ahead of {riders} on the best mark of a single judge ({figures})."),
    By.BEST_PLACING: mark("Ahead of {riders} on the best placing by a judge ({figures})."),
    By.MOST_FIRSTS: mark("Ahead of {riders} on first places ({figures})."),
    By.OTHER_RUN: mark("Ahead of {riders} on the next best run ({figures})."),
    By.FEWER_FALLS: mark("Ahead of {riders} on falls ({figures})."),
    By.PREVIOUS_ROUND: mark(
        "Ahead of {riders} on the place in the previous round ({figures})."
    ),
    By.RANKING: mark("Ahead of {riders} on the ranking ({figures})."),
}
# A criterion without a name is the one mark for the run, which the head judge's parts.
_HEAD_JUDGE = mark("Ahead of {riders} on the mark of the head judge ({figures}).")
_ONE_JUDGE = mark("Ahead of {riders} on the mark of judge {judge} ({figures}).")
_RIDE_OFF = mark("A ride-off decides.")


@dataclass(frozen=True, slots=True)
class Level:
    """Riders who share a place after every tie-break that could be applied.

    `reason` says what would part them; `undecided` is False where the place is shared by
    the rules, or only one rider is left.
    """

    riders: tuple[Scored, ...]
    reason: str = ""
    undecided: bool = False


@dataclass(frozen=True, slots=True)
class TieBreaker:
    """What tie-breaks look at beside the marks, and how riders are named.

    `judges` come with the head judge first, `placings` are each judge's. `previous` and
    `ranking` give places, 1 for the best; who is not in them comes after who is. `decided`
    is how a ride-off or the judges settled a tie: 1 for who goes first.
    """

    breaks: tuple[TieBreak, ...] | None
    judges: Sequence[Hashable] = ()
    placings: Placings = field(default_factory=dict)
    names: Mapping[Hashable, str] = field(default_factory=dict)
    previous: Mapping[Hashable, int] = field(default_factory=dict)
    ranking: Mapping[Hashable, int] = field(default_factory=dict)
    decided: Mapping[Hashable, int] = field(default_factory=dict)

    def part(self, group: Sequence[Scored], notes: dict[Hashable, list[str]]) -> list[Level]:
        """Riders with one figure, best first. `notes` takes a sentence for who is ahead."""
        return self._part(list(group), self.breaks or (), notes)

    def _part(
        self,
        group: list[Scored],
        breaks: Sequence[TieBreak],
        notes: dict[Hashable, list[str]],
    ) -> list[Level]:
        if len(group) == 1:
            return [Level(tuple(group))]
        for number, each in enumerate(breaks, start=1):
            if each.by is By.SHARED:
                return [Level(tuple(group), _("The place is shared."))]
            if reason := self._why_not(each, group):
                return self._settled(group, reason, notes)
            parts = _parted(group, partial(self._value, each))
            if len(parts) > 1:
                self._tell(each, parts, notes)
                later = breaks[number:]
                return [level for part in parts for level in self._part(part, later, notes)]
        if self.breaks is None:
            return self._settled(group, _("What decides a tie is not stated."), notes)
        if not self.breaks:
            return [Level(tuple(group), _("Nothing breaks a tie: the place is shared."))]
        reason = _("They are level in every tie-break: the judges decide.")
        return self._settled(group, reason, notes)

    def _why_not(self, each: TieBreak, group: Sequence[Scored]) -> str:
        """Why a tie-break does not part a group by itself; empty if it can be applied."""
        if each.by is By.RIDE_OFF:
            return _(_RIDE_OFF)
        if each.by is By.JUDGES_DECIDE:
            return _("The judges decide.")
        if each.by is By.UNREAD:
            said = _("“{words}” is a tie-break for the judges to apply.")
            return said.format(words=each.words)
        said = ""
        if each.by is By.FEWER_FALLS and any(one.falls is None for one in group):
            said = _("“{words}” cannot be applied: falls are not counted.")
        elif each.by is By.PREVIOUS_ROUND and not self.previous:
            said = _("“{words}” cannot be applied: there is no result of it.")
        elif each.by is By.RANKING and not self.ranking:
            said = _("“{words}” cannot be applied: there is no ranking.")
        elif each.by is By.ONE_JUDGE and each.judge > len(self.judges):
            said = _("“{words}” cannot be applied: there is no such judge.")
        return said.format(words=each.words)

    def _value(self, each: TieBreak, one: Scored) -> Fraction | None:
        """What a tie-break looks at, so that more is better; None comes after all others."""
        match each.by:
            case By.CRITERION:
                return one.criteria[each.criterion]
            case By.BEST_JUDGE:
                return max(one.judges.values())
            case By.ONE_JUDGE:
                return one.judges[self.judges[each.judge - 1]]
            case By.BEST_PLACING:
                return -min(self.placings[one.rider].values())
            case By.MOST_FIRSTS:
                return Fraction(sum(p == 1 for p in self.placings[one.rider].values()))
            case By.OTHER_RUN:
                return one.others[0] if one.others else None
            case By.FEWER_FALLS:
                return Fraction(-(one.falls or 0))
            case _:
                places = self.previous if each.by is By.PREVIOUS_ROUND else self.ranking
                place = places.get(one.rider)
                return None if place is None else Fraction(-place)

    def _settled(
        self, group: list[Scored], reason: str, notes: dict[Hashable, list[str]]
    ) -> list[Level]:
        """A tie that only people can part: as they did, if they did for all of it."""
        if not all(one.rider in self.decided for one in group):
            return [Level(tuple(group), reason, undecided=True)]
        parts = _parted(group, lambda one: Fraction(-self.decided[one.rider]))
        said = _("Ahead of {riders} by decision.")
        if reason == _(_RIDE_OFF):
            said = _("Ahead of {riders} in the ride-off.")
        for part, behind in pairwise(parts):
            sentence = said.format(riders=self._named(behind))
            for one in part:
                notes.setdefault(one.rider, []).append(sentence)
        return [
            Level(tuple(part), _("The place is shared by decision.") if len(part) > 1 else "")
            for part in parts
        ]

    def _tell(
        self, each: TieBreak, parts: Sequence[list[Scored]], notes: dict[Hashable, list[str]]
    ) -> None:
        said = _(_AHEAD.get(each.by) or _HEAD_JUDGE)
        if each.by is By.CRITERION and not each.criterion:
            said = _(_HEAD_JUDGE)
        elif each.by is By.ONE_JUDGE and each.judge > 1:
            said = _(_ONE_JUDGE)
        for part, behind in pairwise(parts):
            better, worse = self._value(each, part[0]), self._value(each, behind[0])
            sentence = said.format(
                riders=self._named(behind),
                criterion=each.criterion,
                judge=each.judge,
                figures=_figures(better, worse),
            )
            for one in part:
                notes.setdefault(one.rider, []).append(sentence)

    def _named(self, group: Sequence[Scored]) -> str:
        return named_list((one.rider for one in group), self.names)


def _parted(
    group: list[Scored], value: Callable[[Scored], Fraction | None]
) -> list[list[Scored]]:
    """The group in parts of the same value, the best first; the order within stays."""
    parts: dict[Fraction | None, list[Scored]] = {}
    for one in group:
        parts.setdefault(value(one), []).append(one)
    known = sorted((each for each in parts if each is not None), reverse=True)
    last = [parts[None]] if None in parts else []
    return [parts[each] for each in known] + last


def _figures(better: Fraction | None, worse: Fraction | None) -> str:
    if better is None or worse is None:
        none = pgettext("figure", "none")
        first, second = none if better is None else shown(abs(better)), none
    else:
        first, second = (
            text.rstrip("0").rstrip(".") for text in shown_apart((abs(better), abs(worse)))
        )
    return _("{better} to {worse}").format(better=first, worse=second)
