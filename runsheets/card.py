"""What stands on a rider's own dock card, as plain rows; drawing it is another matter.

Pure Python. A dock card is for the rider's pocket: the run in large type with what a rider
forgets on the water. Landing records and chances are not on it: a card gets lost.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from events.rules.answers import reminders
from events.rules.answers_bonus import bonus_name
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.riding import DoubleUp, PickupCutoff
from events.rules.units import plain
from events.rules.words import CutoffEffect, WhichFall
from riders.pictures.words import STANCES, number, set_up, shorthand, start_of
from riders.planning.route import PassRoute, Route, State, Step

NOT_DECLARED = mark("Not declared")
INSTEAD = mark("After a fall you may ride one trick that follows “or” instead.")
EMPTY = mark("No trick is planned yet.")
KEPT = (mark("Falls"), mark("Double-up"))  # what a rider needs to know between two passes
CUTOFF = mark("Cutoff")

BackUps = Mapping[tuple[int, int], str]
"""What to ride instead, by pass and position; both count from 1."""


@dataclass(frozen=True)
class CardHead:
    """Whose card it is. `status` says which declared run it shows, or that it is not one;
    `edition_no` which rules hold, and `deadline` until when a run can be declared."""

    rider: str
    event: str
    division: str
    round: str
    status: str
    edition_no: int
    deadline: str
    bib: str = ""
    stance: str = ""

    @property
    def which(self) -> str:
        """Which run it is, under which rules, and the rider's stance."""
        parts = (self.status, _("Edition {number}").format(number=self.edition_no), self.stance)
        return "  ·  ".join(filter(None, parts))

    @property
    def contest(self) -> str:
        """Event, division and round in one line."""
        return ", ".join(filter(None, (self.event, self.division, self.round)))


@dataclass(frozen=True)
class CardLine:
    """One trick. `label` is its number, or the name of a bonus trick; `moves` come before
    it; `back_up` is what to ride instead."""

    label: str
    text: str
    moves: str = ""
    back_up: str = ""
    fits: bool = True
    is_bonus: bool = False


@dataclass(frozen=True)
class CardPass:
    """One pass: how it starts, then its lines."""

    heading: str
    start: str
    lines: tuple[CardLine, ...]


@dataclass(frozen=True)
class DockCard:
    """Everything on a card; `reminders` are pairs of label and sentence."""

    head: CardHead
    passes: tuple[CardPass, ...]
    reminders: tuple[tuple[str, str], ...]
    note: str = ""

    @property
    def longest(self) -> int:
        """The number of lines of the longest pass."""
        return max((len(each.lines) for each in self.passes), default=0)


def card_rows(
    route: Route,
    rules: Format,
    head: CardHead,
    *,
    back_ups: BackUps | None = None,
    notes: Sequence[str] = (),
) -> DockCard:
    """The rows of a planned or declared run on its route, under the effective format.

    Passes without a trick are left out. `notes` are sentences printed under the head.
    """
    passes = tuple(
        _card_pass(route, each, back_ups or {}) for each in route.passes if each.steps
    )
    kept = set(map(_, KEPT))
    said = [(label, text) for label, text in reminders(rules) if label in kept]
    said += [(_(CUTOFF), text) for text in _cutoffs(rules)]
    if any(line.back_up for each in passes for line in each.lines):
        said.append((_("Back-up"), _(INSTEAD)))
    if head.deadline:
        said.append((_("Declare by"), head.deadline))
    empty = () if passes else (_(EMPTY),)
    return DockCard(head, passes, tuple(said), " ".join((*notes, *empty)))


def _card_pass(route: Route, each: PassRoute, back_ups: BackUps) -> CardPass:
    start = start_of(route, each.pass_no)
    lines = tuple(
        _card_line(step, back_ups.get((each.pass_no, step.position), "")) for step in each.steps
    )
    heading = _("Pass {number}").format(number=each.pass_no)
    return CardPass(heading, _state(start) if start else "", lines)


def _state(state: State) -> str:
    """A side and a stance: "starboard, own stance"."""
    return f"{state.side.words}, {_(STANCES[state.stance])}"


def _card_line(step: Step, back_up: str) -> CardLine:
    bonus = step.planned.bonus
    label = bonus[:1].upper() + bonus[1:] if bonus else number(step)
    text = shorthand(step.planned)
    return CardLine(label, text, set_up(step), back_up, step.fits, bool(bonus))


def _cutoffs(rules: Format) -> Iterator[str]:
    """The markers in as few words as tell them; else in the words of the rules."""
    in_full = [text for label, text in reminders(rules) if label == _(CUTOFF)]
    shorter = [
        *(_lost(rules, bonus) for bonus in rules.double_ups or ()),
        *(_no_pick_up(rules, cutoff) for cutoff in rules.pickup_cutoffs or ()),
    ]
    # The reminders have one sentence for each of these, in this order, and one more where
    # there are none.
    for at, text in enumerate(in_full):
        yield (shorter[at] if at < len(shorter) else "") or text


def _lost(rules: Format, bonus: DoubleUp) -> str:
    where = _where(rules, bonus.after_pass, bonus.cutoff_m, bonus.cutoff_fraction)
    said = _("A fall past {place} loses the {bonus}.")
    return said.format(place=where, bonus=bonus_name(bonus)) if where else ""


def _no_pick_up(rules: Format, cutoff: PickupCutoff) -> str:
    where = _where(rules, cutoff.pass_no, cutoff.at_m, cutoff.at_fraction)
    if not where or cutoff.effect is None:
        return ""
    is_first = cutoff.fall is WhichFall.FIRST
    if cutoff.effect is CutoffEffect.ENDS_RUN:
        said = _("A fall past {place}: no pick-up, your run ends.")
        if is_first:
            said = _("Your first fall, if past {place}: no pick-up, your run ends.")
    else:
        said = _("A fall past {place}: no pick-up, the pass ends.")
        if is_first:
            said = _("Your first fall, if past {place}: no pick-up, the pass ends.")
    return said.format(place=where)


def _where(
    rules: Format, pass_no: int | None, metres: float | None, fraction: float | None
) -> str:
    """A marker in metres; empty where they cannot be told, or differ between passes."""
    of_each = pass_no is None and len(rules.passes.length_m or ()) > 1 and metres is None
    at = None if of_each else rules.marker(pass_no or 1, metres, fraction)
    if at is None:
        return ""
    shown = plain(round(at, 1))
    if pass_no is None:
        return _("{metres} m in a pass").format(metres=shown)
    return _("{metres} m in pass {number}").format(metres=shown, number=pass_no)
