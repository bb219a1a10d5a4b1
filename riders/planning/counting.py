"""Which landed tricks count: a repeat, a trick too many, or one beyond a limit may not.

Such a trick is ridden all the same: it uses metres, can fall and can end the run. Whether a
landing of it counts may depend on what came before it in the ride:

- a repeat where only the first counts, a trick too many, or one beyond a limit on tricks
  tried counts if those before it were not tried, since the pass had ended by then;
- a repeat that is allowed if the first was not landed, or a trick beyond a limit on tricks
  landed, counts if those before it were not landed;
- of a trick repeated where the better counts, one landing counts, with the higher tier.

All of this is carried through the exact figures. Three things are taken as planned: where a
format does not say whether tried or landed tricks use up a limit, tried ones do; whether a
repeat uses up a limit is told by the planned run; and a finding that leaves open whether a
trick counts leaves it counted.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import Enum
from math import prod
from typing import NamedTuple

from events.rules.findings import Finding
from events.rules.format import Format
from events.rules.riding import Limit
from events.rules.rules_limits import check_limit, repeats_that_matter
from events.rules.rules_passes import tricks_most
from events.rules.rules_repeats import repeated, repeats
from events.rules.run import Run
from events.rules.subject import Spot, Subject
from events.rules.words import Breach, Per, Repeat, UsedBy

MOST_STATES = 128  # ways that the tricks which may not count can stand at one time


class Use(Enum):
    """What uses up the room in a share."""

    TRIED = "tried"
    LANDED = "landed"
    BEST = "the best of those landed"


@dataclass(frozen=True, slots=True)
class Share:
    """Tricks of which at most so many count; `members` are indexes in the whole run.

    `beyond` are those that do not count if everything is ridden and landed.
    """

    use: Use
    most: int
    members: tuple[int, ...]
    beyond: frozenset[int]


class Counted(NamedTuple):
    """What an outcome of a trick leads to: how full each share is after it, whether it
    counts (1 or 0), and the tiers that it adds."""

    full: tuple[int, ...]
    number: int
    tiers: int


_REPEATS = {
    Repeat.FIRST_COUNTS: Use.TRIED,
    Repeat.NOT_COUNTED: Use.TRIED,
    Repeat.BEST_COUNTS: Use.BEST,
    Repeat.ONCE_UNLESS_NOT_LANDED: Use.LANDED,
}
_NOT_COUNTED = {"repeat-uncounted", "repeat-backup"}


def may_leave_out(format: Format) -> bool:
    """Whether a format has anything by which a landed trick may not count."""
    return (
        format.repeats.rule in _REPEATS
        or format.passes.tricks_over is Breach.NOT_COUNTED
        or any(_is_uncounted(limit) for limit in format.limits or ())
    )


def counting(
    run: Run, format: Format, division: str | None = None, round: str | None = None
) -> "Counting | None":
    """How the tricks of a run count; None where every landed trick does."""
    if not may_leave_out(format):
        return None
    subject = Subject(_unmarked(run), format, division, round)
    shares = [share for share in _shares(subject) if share.beyond]
    return Counting(subject.spots, shares) if shares else None


def _unmarked(run: Run) -> Run:
    """The run as planned, without the falls of a what-if run."""
    if not run.has_marks:
        return run
    return Run(tuple(
        replace(each, tricks=tuple(replace(planned, fell=False) for planned in each.tricks),
                bonus=tuple(replace(planned, fell=False) for planned in each.bonus))
        for each in run.passes
    ))  # fmt: skip


def _shares(subject: Subject) -> Iterator[Share]:
    yield from _repeated(subject)
    yield from _too_many(subject)
    limits = [limit for limit in subject.format.limits or () if _is_uncounted(limit)]
    again = repeats_that_matter(subject) if limits else {}
    for limit in limits:
        beyond = _places(check_limit(subject, limit, again))
        if beyond:
            # Whoever would be beyond it if nothing were allowed uses it up.
            nothing = replace(limit, most=0, least=None)
            users = _places(check_limit(subject, nothing, again))
            yield from _limited(subject, limit, users, beyond)


def _is_uncounted(limit: Limit) -> bool:
    return limit.breach is Breach.NOT_COUNTED and limit.most is not None


def _places(found: Iterable[Finding]) -> set[tuple[int, int]]:
    """The tricks that findings are about."""
    return {(f.pass_no or 0, f.position) for f in found if f.position is not None}


def _repeated(subject: Subject) -> Iterator[Share]:
    use = _REPEATS.get(subject.format.repeats.rule) if subject.format.repeats.rule else None
    if use is None:
        return
    again = _places(f for f in repeats(subject) if f.code in _NOT_COUNTED)
    alike: dict[Spot, list[Spot]] = {}
    for spot, first in repeated(subject) if again else ():
        if spot.at in again:
            alike.setdefault(first, [first]).append(spot)
    for spots in alike.values():
        yield _share(subject, use, 1, spots, again)


def _too_many(subject: Subject) -> Iterator[Share]:
    passes = subject.format.passes
    if passes.tricks_over is not Breach.NOT_COUNTED or passes.tricks_most is None:
        return
    beyond = _places(f for f in tricks_most(subject) if f.code == "too-many-tricks")
    if not beyond:
        return
    none = replace(subject.format, passes=replace(passes, tricks_most=0))
    asked = replace(subject, format=none)
    users = _places(f for f in tricks_most(asked) if f.code == "too-many-tricks")
    for number in range(1, len(subject.run.passes) + 1):
        spots = [spot for spot in subject.spots if spot.at in users and spot.pass_no == number]
        yield _share(subject, Use.TRIED, passes.tricks_most, spots, beyond)


def _limited(
    subject: Subject, limit: Limit, users: set[tuple[int, int]], beyond: set[tuple[int, int]]
) -> Iterator[Share]:
    per_pass = limit.per is Per.PASS or limit.pass_no is not None
    alike: dict[object, list[Spot]] = {}
    for spot in subject.spots:
        if spot.at in users:
            look = tuple(getattr(spot.trick, each) for each in limit.differs_by or ())
            alike.setdefault((look, spot.pass_no if per_pass else 0), []).append(spot)
    use = Use.LANDED if limit.used_by is UsedBy.LANDED else Use.TRIED
    for spots in alike.values():
        yield _share(subject, use, limit.most or 0, spots, beyond)


def _share(
    subject: Subject, use: Use, most: int, spots: list[Spot], beyond: set[tuple[int, int]]
) -> Share:
    index = {spot.at: number for number, spot in enumerate(subject.spots)}
    # The first so many count, whatever another share says of them.
    past = frozenset(index[spot.at] for spot in spots[most:] if spot.at in beyond)
    return Share(use, most, tuple(index[spot.at] for spot in spots), past)


class Counting:
    """How the tricks of one run count, trick by trick, as it is ridden.

    How full the shares are is a tuple with a number for each: how many have used it, or the
    best tier landed. Shares with nothing left to decide have none. `uncounted` tricks do
    not count if all is ridden and landed, whatever was landed before them; of `open` ones
    that depends. Where more than `MOST_STATES` could be, `is_least` holds: some tricks are
    then left out that might count.
    """

    def __init__(self, spots: tuple[Spot, ...], shares: list[Share]) -> None:
        self._tiers = [spot.trick.tier for spot in spots]
        self.never: set[int] = set()
        decided = [share for share in shares if not self._settle(share, spots)]
        uncounted, depends = set(self.never), set[int]()
        for share in decided:
            (uncounted if share.use is Use.TRIED else depends).update(share.beyond)
        self.uncounted = len(uncounted)
        self.open = len(depends - uncounted)
        self.shares = tuple(self._affordable(decided, len(spots)))
        self.is_least = len(self.shares) < len(decided)
        self.start = (0,) * len(self.shares)
        self._mine: dict[int, list[int]] = {index: [] for index in self.never}
        for number, share in enumerate(self.shares):
            for index in share.members:
                self._mine.setdefault(index, []).append(number)
        self._known: dict[tuple[int, tuple[int, ...], bool], Counted] = {}

    def _settle(self, share: Share, spots: tuple[Spot, ...]) -> bool:
        """Note the tricks that surely never count; whether no other one is left.

        The tricks of a pass are tried one after the other, so those before a trick in its
        own pass were tried; a bonus trick may come after a pass that was cut short.
        """
        found = set()
        for place, index in enumerate(share.members):
            here = spots[index]
            before = [spots[each] for each in share.members[:place]]
            sure = [s for s in before if s.pass_no == here.pass_no and not s.planned.bonus]
            tried = share.use is Use.TRIED and not here.planned.bonus
            if not share.most or (tried and len(sure) >= share.most):
                found.add(index)
        self.never |= found
        return share.beyond <= found

    def _affordable(self, shares: list[Share], size: int) -> Iterator[Share]:
        """The shares that can be followed exactly; what is beyond the others never counts."""
        ways: list[list[int]] = [[] for _ in range(size)]
        tried = [1] * size
        for share in shares:
            span = range(share.members[0], share.members[-1])
            factor = 1 if share.use is Use.TRIED else 1 + share.most
            if share.use is Use.BEST:
                factor = 1 + len({self._tiers[each] for each in share.members})
            more = share.use is Use.TRIED
            if all(factor * prod(ways[i]) * (tried[i] + more) <= MOST_STATES for i in span):
                for i in span:
                    ways[i].append(factor)
                    tried[i] += more
                yield share
            else:
                self.never |= share.beyond

    def matters(self, index: int) -> bool:
        """Whether a landing of the trick may not count, or uses up a share."""
        return index in self._mine

    def fresh(self, full: tuple[int, ...], first: int) -> tuple[int, ...]:
        """At the start of a pass: a share whose last trick lies behind it is forgotten."""
        pairs = zip(self.shares, full, strict=True)
        return tuple(0 if share.members[-1] < first else used for share, used in pairs)

    def after(self, index: int, full: tuple[int, ...], landed: bool) -> Counted:
        """What a trick that was tried and landed, or not, leads to."""
        key = index, full, landed
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self._after(index, full, landed)
        return known

    def _after(self, index: int, full: tuple[int, ...], landed: bool) -> Counted:
        tier, now = self._tiers[index], list(full)
        counts = landed and index not in self.never
        number, tiers = int(counts), tier if counts else 0
        mine = self._mine[index]
        if any(
            full[each] >= self.shares[each].most
            for each in mine
            if self.shares[each].use is not Use.BEST
        ):
            number = tiers = 0
        for each in mine:
            share = self.shares[each]
            if share.use is Use.BEST:
                if number:
                    number, tiers = int(not full[each]), max(0, tier - full[each])
                    now[each] = max(full[each], tier)
            elif landed or share.use is Use.TRIED:
                now[each] = min(share.most, full[each] + 1)
            if index == share.members[-1]:
                now[each] = 0
        return Counted(tuple(now), number, tiers)
