"""Rules on bonus tricks: whether a double-up, or another extra, is on offer."""

from collections.abc import Iterator

from events.rules.answers_words import capital, joined
from events.rules.findings import Finding, Grade
from events.rules.format import named
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from events.rules.riding import DoubleUp
from events.rules.subject import ASK, Spot, Subject, finding_at, spelled
from events.rules.words import BonusCondition

# Where a bonus trick is offered in some rounds or divisions only: what to say where it is not
# known which one this is, what to do about it, and what to say in another one.
_ONLY_IN = {
    "round": (
        mark("There is a {bonus} only in this round: {only}."),
        mark("Plan another run for any other round."),
        mark("There is no {bonus} here: only in this round: {only}."),
    ),
    "division": (
        mark("There is a {bonus} only in this division: {only}."),
        mark("Plan another run for any other division."),
        mark("There is no {bonus} here: only in this division: {only}."),
    ),
}


def bonus_offered(subject: Subject) -> Iterator[Finding]:
    """A bonus trick is planned only where the format offers it."""
    for spot in subject.spots:
        if not spot.planned.bonus:
            continue
        name = spot.planned.bonus
        if subject.format.double_ups is None:
            message = _("Whether there is a {bonus} is not stated.").format(bonus=name)
            yield finding_at(spot, "double-up-unstated", Grade.UNSTATED, message, _(ASK))
        elif spot.bonus is None:
            message = _("There is no {bonus} after pass {pass_no}.")
            message = message.format(bonus=name, pass_no=spot.pass_no)
            hint = _where_else(subject, name)
            yield finding_at(spot, "double-up-not-offered", Grade.RULE, message, hint)
        else:
            yield from _in_round_and_division(subject, spot, spot.bonus)


def _where_else(subject: Subject, name: str) -> str:
    numbers = [
        str(bonus.after_pass)
        for bonus in subject.format.double_ups or ()
        if bonus.after_pass is not None and bonus.name and named(name, (bonus.name,))
    ]
    if not numbers:
        return _("Take it out.")
    return ngettext(
        "It comes after pass {passes}.", "It comes after pass {passes}.", len(numbers)
    ).format(passes=joined(numbers))


def _in_round_and_division(subject: Subject, spot: Spot, bonus: DoubleUp) -> Iterator[Finding]:
    pairs = (
        ("round", subject.round, bonus.rounds),
        ("division", subject.division, bonus.divisions),
    )
    for kind, here, stated in pairs:
        if not stated:
            continue
        only_in, hint, not_here = map(_, _ONLY_IN[kind])
        said = {"bonus": bonus.name, "only": joined(stated)}
        if here is None:
            message = only_in.format(**said)
            yield finding_at(spot, f"double-up-{kind}-open", Grade.WARNING, message, hint)
        elif not named(here, stated):
            message, hint = not_here.format(**said), _("Take it out.")
            yield finding_at(spot, "double-up-not-offered", Grade.RULE, message, hint)


def bonus_once(subject: Subject) -> Iterator[Finding]:
    """Each bonus trick is ridden once, and not with one that it excludes."""
    by_pass: dict[int, list[Spot]] = {}
    for spot in subject.spots:
        if spot.planned.bonus:
            by_pass.setdefault(spot.pass_no, []).append(spot)
    for spots in by_pass.values():
        for number, spot in enumerate(spots):
            yield from _against_earlier(spot, spots[:number])


def _against_earlier(spot: Spot, earlier: list[Spot]) -> Iterator[Finding]:
    for other in earlier:
        if named(other.planned.bonus, (spot.planned.bonus,)):
            message = _("The {bonus} is one trick; this is a second one.")
            message, hint = message.format(bonus=spot.planned.bonus), _("Keep one of the two.")
            yield finding_at(spot, "double-up-twice", Grade.RULE, message, hint)
            return
        if _excludes(spot, other) or _excludes(other, spot):
            said = _("{bonus} and {other} may not both be ridden.")
            said = said.format(bonus=spot.planned.bonus, other=other.planned.bonus)
            message, hint = capital(said), _("Keep one of the two.")
            yield finding_at(spot, "double-up-excluded", Grade.RULE, message, hint)
            return


def _excludes(spot: Spot, other: Spot) -> bool:
    excluded = spot.bonus.excludes if spot.bonus is not None else None
    return named(other.planned.bonus, excluded or ())


def bonus_condition(subject: Subject) -> Iterator[Finding]:
    """Riders are told on what a planned bonus trick depends."""
    for spot in subject.spots:
        if spot.bonus is None:
            continue
        message = _condition(subject, spot.bonus, spot.pass_no)
        if message:
            hint = _("Have a plan for the end of the run without it.")
            yield finding_at(spot, "double-up-conditional", Grade.ADVICE, message, hint)


def _condition(subject: Subject, bonus: DoubleUp, pass_no: int) -> str:
    """On what the bonus trick depends; empty where on nothing."""
    marker = subject.format.marker(pass_no, bonus.cutoff_m, bonus.cutoff_fraction)
    said = {"bonus": bonus.name, "pass_no": pass_no}
    if marker is not None:
        said["place"] = subject.units.metres(marker, 10, beside=True)
    if bonus.condition is BonusCondition.NO_FALL_IN_PASS:
        sentence = _no_fall_in_pass(marker is not None)
    elif bonus.condition is BonusCondition.FEWER_FALLS and bonus.falls_fewer_than:
        falls = bonus.falls_fewer_than - 1
        said["number"] = spelled(falls)
        sentence = _few_falls(marker is not None, falls)
    else:
        past = _("The {bonus} is offered only with no fall past {place} of pass {pass_no}.")
        sentence = past if marker is not None else ""
    return sentence.format(**said)


def _no_fall_in_pass(has_marker: bool) -> str:
    if not has_marker:
        return _("The {bonus} is offered only without a fall in pass {pass_no}.")
    return _(
        "The {bonus} is offered only without a fall in pass {pass_no} and with no fall past "
        "{place} of pass {pass_no}."
    )


def _few_falls(has_marker: bool, most: int) -> str:
    if not most:
        return _no_fall_in_run(has_marker)
    if not has_marker:
        return ngettext(
            "The {bonus} is offered only with at most {number} fall in the run.",
            "The {bonus} is offered only with at most {number} falls in the run.",
            most,
        )
    return ngettext(
        "The {bonus} is offered only with at most {number} fall in the run and with no fall "
        "past {place} of pass {pass_no}.",
        "The {bonus} is offered only with at most {number} falls in the run and with no fall "
        "past {place} of pass {pass_no}.",
        most,
    )


def _no_fall_in_run(has_marker: bool) -> str:
    if not has_marker:
        return _("The {bonus} is offered only without a fall in the run.")
    return _(
        "The {bonus} is offered only without a fall in the run and with no fall past {place} "
        "of pass {pass_no}."
    )


def bonus_asked(subject: Subject) -> Iterator[Finding]:
    """A bonus trick that is not optional belongs in the run."""
    for bonus in subject.format.double_ups or ():
        if bonus.optional is not False or bonus.after_pass is None:
            continue
        if not _is_here(subject, bonus):
            continue
        after = subject.run.passes[bonus.after_pass - 1 : bonus.after_pass]
        if after and not any(named(p.bonus, (bonus.name or "",)) for p in after[0].bonus):
            message = _("The {bonus} after pass {pass_no} is part of the run.")
            message = message.format(bonus=bonus.name, pass_no=bonus.after_pass)
            hint = _("Plan a trick for the {bonus}.").format(bonus=bonus.name)
            yield Finding("double-up-missing", Grade.WARNING, message, hint, bonus.after_pass)


def _is_here(subject: Subject, bonus: DoubleUp) -> bool:
    in_round = not bonus.rounds or subject.round is None or named(subject.round, bonus.rounds)
    here = not bonus.divisions or subject.division is None
    return in_round and (here or named(subject.division, bonus.divisions or ()))
