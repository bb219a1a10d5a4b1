"""Rules on bonus tricks: whether a double-up, or another extra, is on offer."""

from collections.abc import Iterator

from events.rules.findings import Finding, Grade
from events.rules.format import named
from events.rules.riding import DoubleUp
from events.rules.subject import Spot, Subject, counted, finding_at
from events.rules.words import BonusCondition


def bonus_offered(subject: Subject) -> Iterator[Finding]:
    """A bonus trick is planned only where the format offers it."""
    for spot in subject.spots:
        if not spot.planned.bonus:
            continue
        name = spot.planned.bonus
        if subject.format.double_ups is None:
            message = f"Whether there is a {name} is not stated."
            yield finding_at(
                spot, "double-up-unstated", Grade.UNSTATED, message, "Ask the organiser."
            )
        elif spot.bonus is None:
            message = f"There is no {name} after pass {spot.pass_no}."
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
    return f"It comes after pass {' and '.join(numbers)}." if numbers else "Take it out."


def _in_round_and_division(subject: Subject, spot: Spot, bonus: DoubleUp) -> Iterator[Finding]:
    pairs = (
        ("round", subject.round, bonus.rounds),
        ("division", subject.division, bonus.divisions),
    )
    for word, here, stated in pairs:
        if not stated:
            continue
        only = " and ".join(stated)
        if here is None:
            message = f"There is a {bonus.name} only in this {word}: {only}."
            hint = f"Plan another run for any other {word}."
            yield finding_at(spot, f"double-up-{word}-open", Grade.WARNING, message, hint)
        elif not named(here, stated):
            message = f"There is no {bonus.name} here: only in this {word}: {only}."
            yield finding_at(spot, "double-up-not-offered", Grade.RULE, message, "Take it out.")


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
            message = f"The {spot.planned.bonus} is one trick; this is a second one."
            yield finding_at(
                spot, "double-up-twice", Grade.RULE, message, "Keep one of the two."
            )
            return
        if _excludes(spot, other) or _excludes(other, spot):
            message = f"{spot.planned.bonus} and {other.planned.bonus} may not both be ridden."
            message = message[0].upper() + message[1:]
            yield finding_at(
                spot, "double-up-excluded", Grade.RULE, message, "Keep one of the two."
            )
            return


def _excludes(spot: Spot, other: Spot) -> bool:
    excluded = spot.bonus.excludes if spot.bonus is not None else None
    return named(other.planned.bonus, excluded or ())


def bonus_condition(subject: Subject) -> Iterator[Finding]:
    """Riders are told on what a planned bonus trick depends."""
    for spot in subject.spots:
        if spot.bonus is None:
            continue
        needs = _needs(subject, spot.bonus, spot.pass_no)
        if needs:
            message = f"The {spot.bonus.name} is offered only {' and '.join(needs)}."
            hint = "Have a plan for the end of the run without it."
            yield finding_at(spot, "double-up-conditional", Grade.ADVICE, message, hint)


def _needs(subject: Subject, bonus: DoubleUp, pass_no: int) -> list[str]:
    needs = []
    if bonus.condition is BonusCondition.NO_FALL_IN_PASS:
        needs.append(f"without a fall in pass {pass_no}")
    elif bonus.condition is BonusCondition.FEWER_FALLS and bonus.falls_fewer_than:
        needs.append(f"with at most {counted(bonus.falls_fewer_than - 1, 'fall')} in the run")
    marker = subject.format.marker(pass_no, bonus.cutoff_m, bonus.cutoff_fraction)
    if marker is not None:
        place = subject.units.metres(marker, 10, beside=True)
        needs.append(f"with no fall past {place} of pass {pass_no}")
    return needs


def bonus_asked(subject: Subject) -> Iterator[Finding]:
    """A bonus trick that is not optional belongs in the run."""
    for bonus in subject.format.double_ups or ():
        if bonus.optional is not False or bonus.after_pass is None:
            continue
        if not _is_here(subject, bonus):
            continue
        after = subject.run.passes[bonus.after_pass - 1 : bonus.after_pass]
        if after and not any(named(p.bonus, (bonus.name or "",)) for p in after[0].bonus):
            message = f"The {bonus.name} after pass {bonus.after_pass} is part of the run."
            hint = f"Plan a trick for the {bonus.name}."
            yield Finding("double-up-missing", Grade.WARNING, message, hint, bonus.after_pass)


def _is_here(subject: Subject, bonus: DoubleUp) -> bool:
    in_round = not bonus.rounds or subject.round is None or named(subject.round, bonus.rounds)
    here = not bonus.divisions or subject.division is None
    return in_round and (here or named(subject.division, bonus.divisions or ()))
