"""Breaking ties: the organiser's tie-breaks in order, on exact values, each one told.

Pure Python. Where a tie-break cannot be applied the tie stays, and nothing named after it is
applied either: it might have been the one that decides.
"""

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import partial
from itertools import pairwise

from runsheets.judging.counted_runs import Scored
from runsheets.judging.scoring import named_list, shown, shown_apart
from runsheets.judging.tie_words import By, TieBreak

Placings = Mapping[Hashable, Mapping[Hashable, Fraction]]

_LABELS = {
    By.BEST_JUDGE: "the best mark of a single judge",
    By.BEST_PLACING: "the best placing by a judge",
    By.MOST_FIRSTS: "first places",
    By.OTHER_RUN: "the next best run",
    By.FEWER_FALLS: "falls",
    By.PREVIOUS_ROUND: "the place in the previous round",
    By.RANKING: "the ranking",
}


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
                return [Level(tuple(group), "The place is shared.")]
            if reason := self._why_not(each, group):
                return self._settled(group, reason, notes)
            parts = _parted(group, partial(self._value, each))
            if len(parts) > 1:
                self._tell(each, parts, notes)
                later = breaks[number:]
                return [level for part in parts for level in self._part(part, later, notes)]
        if self.breaks is None:
            return self._settled(group, "What decides a tie is not stated.", notes)
        if not self.breaks:
            return [Level(tuple(group), "Nothing breaks a tie: the place is shared.")]
        reason = "They are level in every tie-break: the judges decide."
        return self._settled(group, reason, notes)

    def _why_not(self, each: TieBreak, group: Sequence[Scored]) -> str:
        """Why a tie-break does not part a group by itself; empty if it can be applied."""
        if each.by is By.RIDE_OFF:
            return "A ride-off decides."
        if each.by is By.JUDGES_DECIDE:
            return "The judges decide."
        if each.by is By.UNREAD:
            return f"“{each.words}” is a tie-break for the judges to apply."
        lacking = {
            By.FEWER_FALLS: any(one.falls is None for one in group) and "falls are not counted",
            By.PREVIOUS_ROUND: not self.previous and "there is no result of it",
            By.RANKING: not self.ranking and "there is no ranking",
            By.ONE_JUDGE: each.judge > len(self.judges) and "there is no such judge",
        }.get(each.by)
        return f"“{each.words}” cannot be applied: {lacking}." if lacking else ""

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
        how = "in the ride-off" if reason == "A ride-off decides." else "by decision"
        for part, behind in pairwise(parts):
            for one in part:
                notes.setdefault(one.rider, []).append(f"Ahead of {self._named(behind)} {how}.")
        return [
            Level(tuple(part), "The place is shared by decision." if len(part) > 1 else "")
            for part in parts
        ]

    def _tell(
        self, each: TieBreak, parts: Sequence[list[Scored]], notes: dict[Hashable, list[str]]
    ) -> None:
        label = _LABELS.get(each.by) or each.criterion or "the mark of the head judge"
        if each.by is By.ONE_JUDGE and each.judge > 1:
            label = f"the mark of judge {each.judge}"
        for part, behind in pairwise(parts):
            better, worse = self._value(each, part[0]), self._value(each, behind[0])
            figures = _figures(better, worse)
            for one in part:
                sentence = f"Ahead of {self._named(behind)} on {label} ({figures})."
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
        return f"{'none' if better is None else shown(abs(better))} to none"
    first, second = shown_apart((abs(better), abs(worse)))
    return " to ".join(text.rstrip("0").rstrip(".") for text in (first, second))
