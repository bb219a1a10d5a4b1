"""Rules on passes: how many, how many tricks in each, and in which order."""

from collections.abc import Iterator

from events.rules.condition import MAYBE, NO, SURELY
from events.rules.findings import Finding, Grade
from events.rules.rules_repeats import identity
from events.rules.subject import Spot, Subject, counted, finding_at, grade_of
from events.rules.trick import Stance, Takeoff
from events.rules.words import OutOfOrder


def pass_count(subject: Subject) -> Iterator[Finding]:
    """A run has the number of passes that the format says."""
    planned, stated = len(subject.run.passes), subject.format.passes.count
    if stated is None:
        message = "How many passes there are is not stated."
        yield Finding("passes-unstated", Grade.UNSTATED, message, "Ask the organiser.")
        return
    for pass_no in range(stated + 1, planned + 1):
        message = (
            f"Pass {pass_no} is one too many: a run has {counted(stated, 'pass', 'passes')}."
        )
        yield Finding("pass-count", Grade.RULE, message, "Take this pass out.", pass_no)
    if planned < stated:
        message = (
            f"{counted(planned, 'pass', 'passes').capitalize()} planned; "
            f"a run has {counted(stated, 'pass', 'passes')}."
        )
        yield Finding("pass-missing", Grade.WARNING, message, "Plan the other passes too.")


def empty_passes(subject: Subject) -> Iterator[Finding]:
    """A run holds at least one trick, and every pass of it should."""
    if not subject.spots:
        yield Finding("run-empty", Grade.RULE, "No trick is planned yet.", "Add a trick.")
        return
    for number, each in enumerate(subject.run.passes, start=1):
        if not each.attempts and not subject.format.passes.tricks_least:
            message = f"Pass {number} has no trick."
            yield Finding("pass-empty", Grade.WARNING, message, "Add a trick.", number)


def tricks_most(subject: Subject) -> Iterator[Finding]:
    """A pass has at most the stated number of tricks."""
    passes = subject.format.passes
    if passes.any_number:
        return
    if passes.tricks_most is None:
        if subject.spots:
            message = "How many tricks a pass may have is not stated."
            yield Finding("tricks-unstated", Grade.UNSTATED, message, "Ask the organiser.")
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
            most = counted(passes.tricks_most, "trick")
            message = f"A pass has at most {most}; {_bonus_open(spot, 'one of them')}"
            yield finding_at(spot, "tricks-open", Grade.UNSTATED, message, "Ask the organiser.")


def _too_many(subject: Subject, spot: Spot, number: int, most: int) -> Finding:
    grade = grade_of(subject.format.passes.tricks_over)
    effect = "does not count" if grade is Grade.UNCOUNTED else "is one too many"
    allowed = f"a pass has at most {counted(most, 'trick')}" if most else "a pass has no tricks"
    message = f"Trick {number} of this pass {effect}: {allowed}."
    return finding_at(spot, "too-many-tricks", grade, message, "Take one trick out.")


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
            message = (
                f"{counted(planned, 'trick').capitalize()} planned, at least {least} asked."
            )
            hint = f"Add {counted(least - planned, 'trick')}."
            yield Finding("too-few-tricks", Grade.RULE, message, hint, number)
        elif len(sure) < least:
            message = f"At least {least} asked; {_bonus_open(maybe[0], 'one of the tricks')}"
            hint = "Ask the organiser."
            yield Finding("tricks-open", Grade.UNSTATED, message, hint, number)


def different_tricks(subject: Subject) -> Iterator[Finding]:
    """A run has at least the stated number of different tricks."""
    least = subject.format.passes.different_least
    if not least:
        return
    differs_by = subject.format.repeats.differs_by
    sure = {identity(s.trick, differs_by or ()) for s in _tricks(subject, SURELY)}
    possible = {identity(s.trick, differs_by) for s in _tricks(subject, MAYBE)}
    if len(possible) < least:
        message = (
            f"{counted(len(possible), 'different trick').capitalize()}, at least {least} asked."
        )
        hint = "Replace a repeated trick by another one."
        yield Finding("too-few-different", Grade.RULE, message, hint)
    elif len(sure) < least:
        reason = "what makes two tricks different is not stated."
        counts = {identity(s.trick, differs_by) for s in _tricks(subject, SURELY)}
        if differs_by is not None or len(counts) < least:
            bonus = next(s for s in subject.spots if _is_a_trick(subject, s) == MAYBE)
            reason = _bonus_open(bonus, "one of them")
        message = f"At least {least} different tricks asked; {reason}"
        yield Finding("different-open", Grade.UNSTATED, message, "Ask the organiser.")


def declared_order(subject: Subject) -> Iterator[Finding]:
    """Where the declared order is binding, riders are told what that means."""
    order = subject.format.declared_order
    if not order.binding or not subject.spots:
        return
    worth = {
        OutOfOrder.NOT_COUNTED: "A trick ridden out of this order is not counted.",
        OutOfOrder.MARKED_DOWN: "A trick ridden out of this order is marked down.",
        OutOfOrder.JUDGES_DECIDE: "The judges decide on a trick ridden out of this order.",
    }
    if order.out_of_order is None:
        message = (
            "The declared order is binding; what a trick out of order is worth is not stated."
        )
        yield Finding("order-unstated", Grade.UNSTATED, message, "Ask the organiser.")
    else:
        hint = "Declare the order that you will ride."
        yield Finding("order-binding", Grade.ADVICE, worth[order.out_of_order], hint)


def fixed_stance(subject: Subject) -> Iterator[Finding]:
    """A trick whose name fixes switch cannot be planned in the rider's own stance."""
    for spot in subject.spots:
        if spot.trick.switch_only and spot.trick.stance is Stance.REGULAR:
            message = f"{spot.trick.name} starts switch by its name."
            hint = "Leave the stance out, or name the trick for your own stance."
            yield finding_at(spot, "stance-fixed", Grade.WARNING, message, hint)


def double_up_inside_pass(subject: Subject) -> Iterator[Finding]:
    """A double-up is ridden after a pass, never among its tricks."""
    for spot in subject.spots:
        if spot.trick.takeoff is Takeoff.DOUBLE_UP and not spot.planned.bonus:
            message = "A double-up is ridden after the tricks of a pass, not among them."
            hint = "Move it to the bonus place at the end of the pass."
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


def _bonus_open(spot: Spot, what: str) -> str:
    return f"whether the {spot.planned.bonus} counts as {what} is not stated."
