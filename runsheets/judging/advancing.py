"""Who goes on after a round, who rides a last chance, and who is out: each with the reason.

Pure Python: the standings of a round go in, and what becomes of every rider comes out.
"""

from collections.abc import Collection, Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from events.rules.answers_words import number
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from events.rules.words import Ties
from runsheets.judging.scoring import STATE_SENTENCES, RunState
from runsheets.judging.standings import Standing

WHO_DECIDES = {
    Ties.ALL_ADVANCE: mark("Tied for the last place: all who are tied go on."),
    Ties.RIDE_OFF: mark("Tied for the last place: a ride-off decides."),
    Ties.JUDGES_DECIDE: mark("Tied for the last place: the judges decide."),
    None: mark("Tied for the last place: what decides is not stated."),
}
NOT_STATED = mark("How many go on is not stated, so everybody who rode does.")
MOVES_UP = mark("Moves up for a rider who withdrew.")
NO_LAST_CHANCE = mark("Tied for the last place and did not have to ride the last chance.")


class Fate(StrEnum):
    """What becomes of a rider after a round. People still have to part the undecided."""

    ADVANCES = mark("goes on")
    UNDECIDED = mark("still to be decided")
    LAST_CHANCE = mark("rides the last chance")
    OUT = mark("does not go on")

    @property
    def words(self) -> str:
        """The value in the language that is spoken."""
        return _(self.value)


@dataclass(frozen=True, slots=True)
class Cut:
    """What the format says of who goes on; None means not stated.

    `many` go on from each group that is ranked together. `last_chance`: the next round is
    one for those who rode and did not get through.
    """

    many: int | None
    ties: Ties | None = None
    last_chance: bool = False


@dataclass(frozen=True, slots=True)
class Onward:
    """What becomes of one rider, with a sentence that says why.

    `place` is the one in the round, or in both rounds once a last chance is joined to the
    round before it; None for who has none.
    """

    rider: Hashable
    place: int | None
    fate: Fate
    reason: str

    @property
    def moves_up(self) -> bool:
        """Whether a rider who withdrew left the place free."""
        return self.reason == _(MOVES_UP)


@dataclass(frozen=True, slots=True)
class Advancement:
    """Every rider of a round once, by group and place; `free` places wait for the undecided."""

    riders: tuple[Onward, ...]
    free: int = 0

    def those(self, *fates: Fate) -> list[Hashable]:
        """The riders with one of these fates, in order."""
        return [each.rider for each in self.riders if each.fate in fates]

    @property
    def ranking(self) -> dict[Hashable, int]:
        """The place of everybody who has one; groups stand side by side."""
        return {each.rider: each.place for each in self.riders if each.place is not None}


def advancing(
    groups: Iterable[Sequence[Standing]], cut: Cut, gone: Collection[Hashable] = ()
) -> Advancement:
    """What becomes of every rider of a round; the order of the rows does not matter.

    The first `cut.many` of each group go on. Riders level with the last of them all go on
    where the format says so (Swiss Pro Tricks event rules: "all who are tied for the last
    place", in our words); else they wait for a ride-off or the judges, and `free` counts the
    places left for them (IWSF addendum 1996, rule 2.02: a run-off, so that just eight ski
    the final). Only who rode goes on or has a last chance: nobody who did not start, was
    disqualified, or is `gone`, withdrawn since. For one who is gone the next of the group
    moves up (common practice, no source).
    """
    riders: list[Onward] = []
    free = 0
    listed = list(groups)
    of_heat = len(listed) > 1
    for rows in listed:
        ordered = sorted(rows, key=_by_place)
        ridden = [row for row in ordered if row.total is not None]
        here = [row for row in ridden if row.rider not in gone]
        sure, tied = _cut(here, cut.many)
        moved = {row.rider for row in sure} - _through(ridden, cut)
        if cut.many is not None and tied and cut.ties is not Ties.ALL_ADVANCE:
            free += cut.many - len(sure)
        fates = {row.rider: _inside(row.rider in moved, cut, of_heat) for row in sure}
        fates |= {row.rider: _level(cut.ties) for row in tied}
        for row in ordered:
            fate, reason = fates.get(row.rider) or _not_through(row, cut, gone, of_heat)
            riders.append(Onward(row.rider, row.place, fate, reason))
    return Advancement(tuple(riders), free)


def joined(first: Advancement, last_chance: Advancement) -> Advancement:
    """Who goes on into the round after a last chance: who got through at once, and in it.

    Those who got through at once are ranked ahead of those who needed the last chance. Who
    was tied at the first cut and then rode the last chance had lost the tie; as soon as no
    more are left in that tie than places, they are through.
    """
    ahead = first.those(Fate.ADVANCES)
    again = {each.rider for each in last_chance.riders} - set(ahead)
    line = [rider for rider in first.those(Fate.UNDECIDED) if rider not in again]
    is_settled = bool(again) and len(line) <= first.free
    kept = []
    for each in first.riders:
        if each.rider in again or each.fate not in (Fate.ADVANCES, Fate.UNDECIDED):
            continue
        if each.fate is Fate.UNDECIDED and is_settled:
            each = replace(each, fate=Fate.ADVANCES, reason=_(NO_LAST_CHANCE))
        kept.append(each)
    behind = max((each.place for each in kept if each.place is not None), default=0)
    later = [
        replace(each, place=None if each.place is None else behind + each.place)
        for each in last_chance.riders
        if each.rider in again
    ]
    waiting = 0 if is_settled else first.free
    return Advancement((*kept, *later), waiting + last_chance.free)


def _by_place(row: Standing) -> tuple[bool, int]:
    return (row.place is None, row.place or 0)


def _cut(rows: Sequence[Standing], many: int | None) -> tuple[list[Standing], list[Standing]]:
    """Who is surely inside, and who is level at the cut, so that not all of them fit."""
    if many is None or len(rows) <= many:
        return list(rows), []
    if many == 0:
        return [], []
    first_out = rows[many].place
    if rows[many - 1].place != first_out:
        return list(rows[:many]), []
    inside = [row for row in rows[:many] if row.place != first_out]
    return inside, [row for row in rows if row.place == first_out]


def _through(ridden: Sequence[Standing], cut: Cut) -> set[Hashable]:
    """Who would have gone on if nobody had withdrawn."""
    sure, tied = _cut(ridden, cut.many)
    rows = sure + tied if cut.ties is Ties.ALL_ADVANCE else sure
    return {row.rider for row in rows}


def _inside(moves_up: bool, cut: Cut, of_heat: bool) -> tuple[Fate, str]:
    if moves_up:
        return Fate.ADVANCES, _(MOVES_UP)
    if cut.many is None:
        return Fate.ADVANCES, _(NOT_STATED)
    if of_heat:
        said = ngettext("First of the heat.", "Among the first {number} of the heat.", cut.many)
    else:
        said = ngettext("First.", "Among the first {number}.", cut.many)
    return Fate.ADVANCES, said.format(number=number(cut.many))


def _level(ties: Ties | None) -> tuple[Fate, str]:
    fate = Fate.ADVANCES if ties is Ties.ALL_ADVANCE else Fate.UNDECIDED
    return fate, _(WHO_DECIDES[ties])


def _not_through(
    row: Standing, cut: Cut, gone: Collection[Hashable], of_heat: bool
) -> tuple[Fate, str]:
    if row.status is not RunState.RIDDEN:
        return Fate.OUT, _(STATE_SENTENCES[row.status])
    if row.rider in gone:
        return Fate.OUT, _(STATE_SENTENCES[RunState.WITHDRAWN])
    fate = Fate.LAST_CHANCE if cut.last_chance else Fate.OUT
    if not cut.many:
        return fate, _("Nobody goes on at once.") if cut.last_chance else _("Nobody goes on.")
    if of_heat:
        said = ngettext(
            "Not first of the heat.", "Not among the first {number} of the heat.", cut.many
        )
    else:
        said = ngettext("Not first.", "Not among the first {number}.", cut.many)
    return fate, said.format(number=number(cut.many))
