"""The best order of the tricks of a run.

All orders of all passes together are far too many to try (25 million for two passes of
seven), but passes only know of each other through the falls counted so far. So every order
of every pass is reduced to what it gains and hands on for each count of falls (see
`riders.planning.handover`), and passes are joined from the last to the first. For each pass
only those joined orders are kept that no other one matches at every count of falls: since a
probability is never negative, one that is matched everywhere can never be part of a better
run. What is left holds an order that nothing beats, so the result is exact. Figures are
compared to eleven digits.
"""

from collections.abc import Iterator, Sequence
from math import factorial, prod
from typing import NamedTuple

from events.rules.answers_words import capital
from events.rules.language import gettext as _
from events.rules.run import Run
from riders.planning.counting import may_leave_out
from riders.planning.course import Course
from riders.planning.exchange import Orders, arranged, exchange, given_orders, rounded
from riders.planning.falls import Progress
from riders.planning.ground import Goal, Ground, Method, Suggestion, said
from riders.planning.handover import Handover, PassOrders
from riders.planning.survival import needs
from riders.planning.unknowns import BONUS_OPEN, BONUS_PASS, CHANCE_MISSING, TOO_LONG

MOST_EXACT = 7  # tricks in a pass; more of them have too many orders to try all
MOST_JOINED = 2_000_000


def best_order(
    run: Run, ground: Ground, *, goal: Goal = Goal.EXPECTED_LANDED, across_passes: bool = False
) -> Suggestion:
    """The legal order that serves the goal best; of equal ones the one with the fewest
    set-up metres, then the one that moves the fewest tricks.

    Tricks stay in their pass, bonus tricks in their place. The method is EXACT where no
    order of the tricks within their passes is better; with more than 7 tricks in a pass,
    where the order decides whether a repeat uses up a limit, or where landed tricks may not
    count, it may be EXCHANGE. With `across_passes` tricks may also change places with those
    of another pass: EXCHANGE.
    """
    figures = ground.survive(run)
    before = goal.of(figures)
    if before is None:
        return Suggestion(run, Method.EXACT, goal, None, None, _untold(run, ground, goal))
    course = Course(run, ground, goal)
    found, method = _exact(run, course), Method.EXACT
    leaves_out = _may_leave_out(run, ground, goal)
    if found is None or across_passes or leaves_out:
        started = given_orders(run) if found is None else found
        found = exchange(run, course, started, across_passes, leaves_out)
        method = Method.EXCHANGE
    better = arranged(run, course, found)
    after = goal.of(ground.survive(better))
    assert after is not None  # the same tricks under the same format
    sentence = _sentence(run, better, goal, before, after)
    if better == run and not ground.is_legal(run):
        sentence = _("This run breaks a rule in every order that was tried. Mend that first.")
    return Suggestion(better, method, goal, before, after, sentence)


def _may_leave_out(run: Run, ground: Ground, goal: Goal) -> bool:
    """Whether the order may decide which landed tricks count for the goal."""
    counts = goal in (Goal.EXPECTED_LANDED, Goal.EXPECTED_TIERS)
    return counts and len(run) > 1 and may_leave_out(ground.format)


def _untold(run: Run, ground: Ground, goal: Goal) -> str:
    if not len(run):
        return _("No trick is planned yet. Add one.")
    for finding in needs(run, ground.format, ground.route(run)):
        if finding.code in (CHANCE_MISSING, TOO_LONG) or (
            goal is not Goal.CLEAN and finding.code != BONUS_PASS
        ):
            return f"{finding.message} {finding.hint}"
    if goal is Goal.CLEAN:
        return _(BONUS_OPEN)
    return _("No bonus trick that the format offers is planned.")


def _sentence(run: Run, better: Run, goal: Goal, before: float, after: float) -> str:
    if better == run:
        return _("This order is already as good as any that was tried.")
    moved = [
        _("pass {number}: {tricks}").format(
            number=number, tricks=", ".join(said(planned) for planned in new.tricks)
        )
        for number, (old, new) in enumerate(zip(run.passes, better.passes, strict=True), 1)
        if old != new
    ]
    does = _("Ride {passes}.").format(passes="; ".join(moved))
    return f"{does} {capital(goal.said(before, after))}."


class _Joined(NamedTuple):
    """Orders of a pass and all after it. `values` are for each way to enter the pass."""

    values: tuple[float, ...]
    setup_m: float
    moved: int
    orders: Orders


def _exact(run: Run, course: Course) -> Orders | None:
    """The best orders of all; None where that is too much to try, or breaks a rule."""
    given = given_orders(run)
    looks = course.looks()
    if any(_arrangements(order, looks) > factorial(MOST_EXACT) for order in given):
        return None
    entries: list[Progress] = [course.entry]
    by_pass: list[tuple[list[Progress], list[Handover]]] = []
    for at, order in enumerate(given):
        found = list(PassOrders(course, at, entries, order).all(looks))
        by_pass.append((entries, found))
        exits = [out for each in found for out in each.exits]
        entries = list(dict.fromkeys(way for out in exits for way in out))
    end = course.product if course.goal is Goal.CLEAN else 0.0
    joined = [_Joined(tuple(end for _ in entries), 0.0, 0, ())]
    for (starts, found), order in zip(reversed(by_pass), reversed(given), strict=True):
        if len(found) * len(joined) > MOST_JOINED:
            return None
        joined = _front(_join(found, entries, joined, order, looks))
        entries = starts
    best = min(joined, key=lambda each: (-each.values[0], each.setup_m, each.moved)).orders
    orders = tuple(
        _least_change(order, each, looks) for order, each in zip(given, best, strict=True)
    )
    return orders if course.ground.is_legal(arranged(run, course, orders)) else None


def _arrangements(order: Sequence[int], looks: Sequence[object]) -> int:
    """How many orders look different."""
    kinds = [looks[at] for at in order]
    return factorial(len(kinds)) // prod(factorial(kinds.count(kind)) for kind in set(kinds))


def _join(
    found: Sequence[Handover],
    entries: Sequence[Progress],
    later: Sequence[_Joined],
    given: Sequence[int],
    looks: Sequence[object],
) -> Iterator[_Joined]:
    """Every order of a pass before every kept order of the passes after it."""
    place = {entry: at for at, entry in enumerate(entries)}
    for each in found:
        pairs = zip(given, each.order, strict=True)
        moved = sum(looks[old] != looks[new] for old, new in pairs)
        ways = [
            (gain, [(place[way], weight) for way, weight in out.items()])
            for gain, out in zip(each.gains, each.exits, strict=True)
        ]
        for rest in later:
            values = tuple(
                rounded(gain + sum(weight * rest.values[at] for at, weight in out))
                for gain, out in ways
            )
            setup_m = round(each.setup_m + rest.setup_m, 6)
            yield _Joined(values, setup_m, moved + rest.moved, (each.order, *rest.orders))


def _front(joined: Iterator[_Joined]) -> list[_Joined]:
    """Those that no other one matches in every value, and then in set-up and change."""
    best: dict[tuple[float, ...], _Joined] = {}
    for each in joined:
        rival = best.get(each.values)
        if rival is None or (each.setup_m, each.moved) < (rival.setup_m, rival.moved):
            best[each.values] = each
    kept: list[_Joined] = []
    ranked = sorted(best.values(), key=lambda each: (-sum(each.values), *_costs(each)))
    for each in ranked:
        if not any(_matches(other, each) for other in kept):
            kept.append(each)
    return kept


def _costs(joined: _Joined) -> tuple[float, int]:
    return joined.setup_m, joined.moved


def _matches(one: _Joined, other: _Joined) -> bool:
    return _costs(one) <= _costs(other) and all(
        mine >= its for mine, its in zip(one.values, other.values, strict=True)
    )


def _least_change(
    given: Sequence[int], found: Sequence[int], looks: Sequence[object]
) -> tuple[int, ...]:
    """The same order to look at, with every trick left in place that can be."""
    kept = [old if looks[old] == looks[new] else None
            for old, new in zip(given, found, strict=True)]  # fmt: skip
    spare: dict[object, list[int]] = {}
    for old in reversed(given):
        if old not in kept:
            spare.setdefault(looks[old], []).append(old)
    return tuple(
        spare[looks[new]].pop() if old is None else old
        for old, new in zip(kept, found, strict=True)
    )
