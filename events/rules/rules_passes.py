"""Rules on passes: how many, how many tricks in each, and in which order."""

from collections.abc import Iterator

from events.rules.answers_words import capital
from events.rules.condition import MAYBE, NO, SURELY
from events.rules.findings import Finding, Grade
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from events.rules.rules_repeats import identity
from events.rules.subject import ASK, Spot, Subject, finding_at, grade_of, spelled
from events.rules.trick import Stance, Takeoff
from events.rules.words import OutOfOrder

WORTH = {
    OutOfOrder.NOT_COUNTED: mark("A trick ridden out of this order is not counted."),
    OutOfOrder.MARKED_DOWN: mark("A trick ridden out of this order is marked down."),
    OutOfOrder.JUDGES_DECIDE: mark("The judges decide on a trick ridden out of this order."),
}


def pass_count(subject: Subject) -> Iterator[Finding]:
    """A run has the number of passes that the format says."""
    planned, stated = len(subject.run.passes), subject.format.passes.count
    if stated is None:
        message = _("How many passes there are is not stated.")
        yield Finding("passes-unstated", Grade.UNSTATED, message, _(ASK))
        return
    for pass_no in range(stated + 1, planned + 1):
        message = ngettext(
            "Pass {pass_no} is one too many: a run has {number} pass.",
            "Pass {pass_no} is one too many: a run has {number} passes.",
            stated,
        ).format(pass_no=pass_no, number=spelled(stated))
        yield Finding("pass-count", Grade.RULE, message, _("Take this pass out."), pass_no)
    if planned < stated:
        message = f"{_passes_planned(planned)}; {_passes_of_a_run(stated)}."
        yield Finding("pass-missing", Grade.WARNING, message, _("Plan the other passes too."))


def _passes_planned(number: int) -> str:
    said = ngettext("{number} pass planned", "{number} passes planned", number)
    return capital(said.format(number=spelled(number)))


def _passes_of_a_run(number: int) -> str:
    said = ngettext("a run has {number} pass", "a run has {number} passes", number)
    return said.format(number=spelled(number))


def empty_passes(subject: Subject) -> Iterator[Finding]:
    """A run holds at least one trick, and every pass of it should."""
    if not subject.spots:
        message = _("No trick is planned yet.")
        yield Finding("run-empty", Grade.RULE, message, _("Add a trick."))
        return
    for number, each in enumerate(subject.run.passes, start=1):
        if not each.attempts and not subject.format.passes.tricks_least:
            message = _("Pass {number} has no trick.").format(number=number)
            yield Finding("pass-empty", Grade.WARNING, message, _("Add a trick."), number)


def tricks_most(subject: Subject) -> Iterator[Finding]:
    """A pass has at most the stated number of tricks."""
    passes = subject.format.passes
    if passes.any_number:
        return
    if passes.tricks_most is None:
        if subject.spots:
            message = _("How many tricks a pass may have is not stated.")
            yield Finding("tricks-unstated", Grade.UNSTATED, message, _(ASK))
        return
    sure: dict[int, int] = {}
    possible: dict[int, int] = {}
    for spot in subject.spots:
        how, pass_no = _is_a_trick(subject, spot), spot.pass_no
        sure[pass_no] = sure.get(pass_no, 0) + (how == SURELY)
        possible[pass_no] = possible.get(pass_no, 0) + (how != NO)
        if how == SURELY and sure[pass_no] > passes.tricks_most:
            yield _too_many(subject, spot, sure[pass_no], passes.tricks_most)
        elif how != NO and possible[pass_no] > passes.tricks_most:
            most = capital(_at_most(passes.tricks_most))
            message = f"{most}; {_as_one_of_them(spot)}"
            yield finding_at(spot, "tricks-open", Grade.UNSTATED, message, _(ASK))


def _too_many(subject: Subject, spot: Spot, number: int, most: int) -> Finding:
    grade = grade_of(subject.format.passes.tricks_over)
    effect = (
        _("Trick {number} of this pass does not count")
        if grade is Grade.UNCOUNTED
        else _("Trick {number} of this pass is one too many")
    )
    message = f"{effect.format(number=number)}: {_at_most(most)}."
    return finding_at(spot, "too-many-tricks", grade, message, _("Take one trick out."))


def _at_most(number: int) -> str:
    if not number:
        return _("a pass has no tricks")
    said = ngettext(
        "a pass has at most {number} trick", "a pass has at most {number} tricks", number
    )
    return said.format(number=spelled(number))


def tricks_least(subject: Subject) -> Iterator[Finding]:
    """A pass has at least the stated number of tricks."""
    least = subject.format.passes.tricks_least
    if not least:
        return
    for number in range(1, len(subject.run.passes) + 1):
        spots = [spot for spot in subject.spots if spot.pass_no == number]
        sure = [spot for spot in spots if _is_a_trick(subject, spot) == SURELY]
        maybe = [spot for spot in spots if _is_a_trick(subject, spot) == MAYBE]
        planned = len(sure) + len(maybe)
        if planned < least:
            yield _too_few(number, planned, least)
        elif len(sure) < least:
            asked = _("At least {least} asked").format(least=least)
            message = f"{asked}; {_as_one_of_the_tricks(maybe[0])}"
            yield Finding("tricks-open", Grade.UNSTATED, message, _(ASK), number)


def _too_few(pass_no: int, planned: int, least: int) -> Finding:
    said = ngettext(
        "{number} trick planned, at least {least} asked.",
        "{number} tricks planned, at least {least} asked.",
        planned,
    ).format(number=spelled(planned), least=least)
    lacking = least - planned
    hint = ngettext("Add {number} trick.", "Add {number} tricks.", lacking)
    hint = hint.format(number=spelled(lacking))
    return Finding("too-few-tricks", Grade.RULE, capital(said), hint, pass_no)


def different_tricks(subject: Subject) -> Iterator[Finding]:
    """A run has at least the stated number of different tricks."""
    least = subject.format.passes.different_least
    if not least:
        return
    differs_by = subject.format.repeats.differs_by
    sure = {identity(s.trick, differs_by or ()) for s in _tricks(subject, SURELY)}
    possible = {identity(s.trick, differs_by) for s in _tricks(subject, MAYBE)}
    if len(possible) < least:
        said = ngettext(
            "{number} different trick, at least {least} asked.",
            "{number} different tricks, at least {least} asked.",
            len(possible),
        ).format(number=spelled(len(possible)), least=least)
        hint = _("Replace a repeated trick by another one.")
        yield Finding("too-few-different", Grade.RULE, capital(said), hint)
    elif len(sure) < least:
        reason = _("what makes two tricks different is not stated.")
        counts = {identity(s.trick, differs_by) for s in _tricks(subject, SURELY)}
        if differs_by is not None or len(counts) < least:
            bonus = next(s for s in subject.spots if _is_a_trick(subject, s) == MAYBE)
            reason = _as_one_of_them(bonus)
        asked = ngettext(
            "At least {least} different trick asked",
            "At least {least} different tricks asked",
            least,
        ).format(least=least)
        yield Finding("different-open", Grade.UNSTATED, f"{asked}; {reason}", _(ASK))


def declared_order(subject: Subject) -> Iterator[Finding]:
    """Where the declared order is binding, riders are told what that means."""
    order = subject.format.declared_order
    if not order.binding or not subject.spots:
        return
    if order.out_of_order is None:
        message = _(
            "The declared order is binding; what a trick out of order is worth is not stated."
        )
        yield Finding("order-unstated", Grade.UNSTATED, message, _(ASK))
    else:
        hint = _("Declare the order that you will ride.")
        yield Finding("order-binding", Grade.ADVICE, _(WORTH[order.out_of_order]), hint)


def fixed_stance(subject: Subject) -> Iterator[Finding]:
    """A trick whose name fixes switch cannot be planned in the rider's own stance."""
    for spot in subject.spots:
        if spot.trick.switch_only and spot.trick.stance is Stance.REGULAR:
            message = _("{trick} starts switch by its name.").format(trick=spot.trick.name)
            hint = _("Leave the stance out, or name the trick for your own stance.")
            yield finding_at(spot, "stance-fixed", Grade.WARNING, message, hint)


def double_up_inside_pass(subject: Subject) -> Iterator[Finding]:
    """A double-up is ridden after a pass, never among its tricks."""
    for spot in subject.spots:
        if spot.trick.takeoff is Takeoff.DOUBLE_UP and not spot.planned.bonus:
            message = _("A double-up is ridden after the tricks of a pass, not among them.")
            hint = _("Move it to the bonus place at the end of the pass.")
            yield finding_at(spot, "double-up-inside-pass", Grade.RULE, message, hint)


def _is_a_trick(subject: Subject, spot: Spot) -> int:
    """Whether it is one of the tricks of its pass: surely, perhaps, or not."""
    if not spot.planned.bonus:
        return SURELY
    if spot.bonus is None:
        return MAYBE if subject.format.double_ups is None else NO
    counts = spot.bonus.counts_as_trick
    return MAYBE if counts is None else SURELY if counts else NO


def _tricks(subject: Subject, least: int) -> list[Spot]:
    """Everything that is a trick of its pass, at least so surely."""
    return [spot for spot in subject.spots if _is_a_trick(subject, spot) >= least]


def _as_one_of_them(spot: Spot) -> str:
    said = _("whether the {bonus} counts as one of them is not stated.")
    return said.format(bonus=spot.planned.bonus)


def _as_one_of_the_tricks(spot: Spot) -> str:
    said = _("whether the {bonus} counts as one of the tricks is not stated.")
    return said.format(bonus=spot.planned.bonus)
