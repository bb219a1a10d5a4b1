"""The changes to try for each finding about tricks and their order, the mildest first.

What keeps every trick comes before what replaces one by another of the record, and that
before what takes one out. Whether a change really helps is for `riders.planning.mends`.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from events.rules.language import gettext as _
from events.rules.notation import DOUBLE_UP
from events.rules.run import PlannedTrick, Run
from events.rules.trick import Takeoff
from riders.planning.advice import RELIABLE
from riders.planning.changes import moved, swapped
from riders.planning.ground import (
    bare,
    in_place_of,
    replacements,
    said,
    with_pass,
    with_trick_at,
)
from riders.planning.mend_case import Case, Mend, Ways, unused


def _orders(case: Case) -> list[Mend]:
    """Every move and swap within the pass, the one with the fewest set-up metres first."""
    number, size = case.pass_no, len(case.tricks)
    swaps, moves = [], []
    for at, planned in enumerate(case.tricks, start=1):
        for to in range(at + 1, size + 1):
            does = _("Swap {trick} and {other_trick} in pass {number}.").format(
                trick=said(planned), other_trick=said(case.tricks[to - 1]), number=number
            )
            swaps.append(Mend(does, swapped(case.run, (number, at), (number, to))))
        for to in range(1, size + 1):
            if abs(to - at) > 1:  # next door is a swap
                changed = moved(case.run, (number, at), (number, to))
                moves.append(Mend(_moved_to(case, planned, to), changed))
    found = [*swaps, *moves]  # of equal ones a swap, which changes less
    return sorted(found, key=lambda each: round(case.ground.setup_m(each.run), 6))


def _moved_to(case: Case, planned: PlannedTrick, to: int) -> str:
    if to < len(case.tricks):
        return _("Move {trick} to place {place} of pass {number}.").format(
            trick=said(planned), place=to, number=case.pass_no
        )
    return _move_to_end(planned, case.pass_no)


def _move_to_end(planned: PlannedTrick, pass_no: int) -> str:
    return _("Move {trick} to the end of pass {number}.").format(
        trick=said(planned), number=pass_no
    )


def _saving(case: Case, ways: Iterable[Mend]) -> Iterator[Mend]:
    """Those that need fewer set-up metres than the run as it is."""
    now, units = case.ground.setup_m(case.run), case.ground.units
    saving = [(case.ground.setup_m(each.run), each) for each in ways]
    found = [(metres, each) for metres, each in saving if metres < now - 1e-6]
    for metres, each in sorted(found, key=lambda pair: round(pair[0], 6)):
        saves = _("It saves {metres}.").format(metres=units.apart(now - metres)[0])
        yield Mend(f"{each.sentence} {saves}", each.run)


def _set_up(case: Case) -> Iterator[Mend]:
    """Another order, or the same trick from another edge or in the other stance, if the
    record knows how often that is landed; else a swap with another pass."""
    other = [
        Mend(
            _("Ride {other_trick} instead of {trick}.").format(
                other_trick=said(each), trick=said(case.planned)
            ),
            _with(case, each),
        )
        for each in replacements(case.planned, case.record)
        if each.entry.key == case.planned.entry.key
        and _but_edge_and_stance(each) == _but_edge_and_stance(case.planned)
    ]
    yield from _saving(case, [*_orders(case), *other])
    yield from _saving(case, _across(case))


def _across(case: Case) -> Iterator[Mend]:
    """The trick swapped with one of another pass."""
    if not case.is_on_course:
        return
    for number, each in enumerate(case.run.passes, start=1):
        if number == case.pass_no:
            continue
        for at, other in enumerate(each.tricks, start=1):
            does = _("Swap {trick} and {other_trick} of pass {number}.").format(
                trick=said(case.planned), other_trick=said(other), number=number
            )
            yield Mend(does, swapped(case.run, case.here, (number, at)))


def _but_edge_and_stance(planned: PlannedTrick) -> PlannedTrick:
    return replace(bare(planned), stance=None, approach=None)


def _with(case: Case, *tricks: PlannedTrick) -> Run:
    return with_trick_at(case.run, *case.here, *tricks)


def _drop(case: Case) -> Iterator[Mend]:
    does = _("Take {trick} out of pass {number}.").format(
        trick=said(case.planned), number=case.pass_no
    )
    yield Mend(does, _with(case))


def _elsewhere(case: Case) -> Iterator[Mend]:
    """At the end of another pass, the emptiest first."""
    numbered = [(len(each.tricks), number) for number, each in enumerate(case.run.passes, 1)]
    for size, number in sorted(numbered):
        if number != case.pass_no and case.is_on_course:
            does = _move_to_end(case.planned, number)
            yield Mend(does, moved(case.run, case.here, (number, size + 1)))


def _replace(case: Case) -> Iterator[Mend]:
    """By a trick of the record that the run does not have: alike in difficulty, then sure."""
    tier = case.planned.trick.tier
    others = unused(case.run, replacements(case.planned, case.record))
    others.sort(key=lambda each: (abs(each.trick.tier - tier), -(each.likelihood or 0.0)))
    for each in others:
        does = _("Replace {trick} by {other_trick} in pass {number}.").format(
            trick=said(case.planned), other_trick=said(each), number=case.pass_no
        )
        yield Mend(does, _with(case, each))


def _room(case: Case) -> Iterator[Mend]:
    """A shorter way through the pass, another pass, or one trick less."""
    yield from _saving(case, _orders(case))
    if case.finding.position is None:  # the whole pass is too long: its last trick goes
        last = replace(case.finding, position=len(case.tricks))
        case = replace(case, finding=last)
    yield from _elsewhere(case)
    yield from _drop(case)


def _too_many(case: Case) -> Iterator[Mend]:
    yield from _elsewhere(case)
    yield from _drop(case)


def _first_trick(case: Case) -> Iterator[Mend]:
    """The surest trick of the pass first, or one of the record."""
    sure = sorted(
        range(2, len(case.tricks) + 1),
        key=lambda at: -(case.tricks[at - 1].likelihood or 0.0),
    )
    for at in sure:
        does = _("Start with {other_trick}, and ride {trick} later.").format(
            other_trick=said(case.tricks[at - 1]), trick=said(case.planned)
        )
        yield Mend(does, swapped(case.run, case.here, (case.pass_no, at)))
    for found in _across(case):
        first = found.run.passes[case.pass_no - 1].tricks[case.here[1] - 1]
        if (first.likelihood or 0.0) >= RELIABLE:
            yield found
    for found in _replace(case):
        first = found.run.passes[case.pass_no - 1].attempts[case.here[1] - 1]
        if (first.likelihood or 0.0) >= RELIABLE:
            yield found


def _later(case: Case) -> Iterator[Mend]:
    """Every other place of the pass, the last first."""
    for to in range(len(case.tricks), 0, -1):
        if to != case.here[1]:
            does = _moved_to(case, case.planned, to)
            yield Mend(does, moved(case.run, case.here, (case.pass_no, to)))


def _another(case: Case) -> Iterator[Mend]:
    yield from _replace(case)
    yield from _drop(case)


def _limited(case: Case) -> Iterator[Mend]:
    yield from _replace(case)
    yield from _elsewhere(case)
    yield from _drop(case)


def _bonus_elsewhere(case: Case) -> Iterator[Mend]:
    """After a pass that has the bonus trick, else not at all."""
    name = case.planned.bonus or DOUBLE_UP
    bonus = replace(case.planned, bonus=name)
    without = _with(case)
    for number, each in enumerate(without.passes, start=1):
        does = _("Move {trick} to the {bonus} after pass {number}.").format(
            trick=said(case.planned), bonus=name, number=number
        )
        yield Mend(does, with_pass(without, number, replace(each, bonus=(*each.bonus, bonus))))
    yield from _drop(case)


def _bonus_missing(case: Case) -> Iterator[Mend]:
    """A double-up trick of the record for the bonus trick that belongs in the run."""
    each = case.run.passes[case.pass_no - 1]
    others = unused(case.run, case.record)
    for stated in case.ground.format.bonus_after(case.pass_no):
        for known in others:
            if known.trick.takeoff is Takeoff.DOUBLE_UP and known.likelihood is not None:
                bonus = replace(known, bonus=stated.name or DOUBLE_UP, fell=False)
                does = _("Plan {trick} for the {bonus} after pass {number}.").format(
                    trick=said(known), bonus=stated.name, number=case.pass_no
                )
                changed = replace(each, bonus=(*each.bonus, bonus))
                yield Mend(does, with_pass(case.run, case.pass_no, changed))


def _stance(case: Case) -> Iterator[Mend]:
    changed = replace(case.planned, stance=None)
    does = _("Ride {trick} as its name says.").format(trick=said(changed))
    yield Mend(does, _with(case, changed))


def _chance(case: Case) -> Iterator[Mend]:
    """The chance that the record knows."""
    for each in case.record:
        if each.likelihood is not None and bare(each) == bare(case.planned):
            percent = f"{100 * each.likelihood:.0f} %"
            does = _("Take the chance of {trick} from your record: {percent}.").format(
                trick=said(each), percent=percent
            )
            yield Mend(does, _with(case, in_place_of(case.planned, each)))


TRICK_WAYS: dict[str, Ways] = {
    "turn-needed": _set_up,
    "crossing-needed": _set_up,
    "big-air-after-wake-to-wake": _orders,
    "does-not-fit": _room,
    "pass-too-long": _room,
    "first-trick-unreliable": _first_trick,
    "hardest-trick-early": _later,
    "hardest-trick-mid-pass": _later,
    "hardest-past-cutoff": _later,
    "too-many-tricks": _too_many,
    "repeat": _another,
    "repeat-discouraged": _another,
    "repeat-uncounted": _another,
    "limit-most": _limited,
    "double-up-not-offered": _bonus_elsewhere,
    "double-up-inside-pass": _bonus_elsewhere,
    "double-up-twice": _drop,
    "double-up-excluded": _drop,
    "double-up-missing": _bonus_missing,
    "stance-fixed": _stance,
    "chance-missing": _chance,
}
