"""The rule on repeats: what the same trick is, and what doing it again means."""

from collections.abc import Callable, Iterator
from functools import lru_cache
from operator import attrgetter
from typing import Any

from events.rules.findings import Finding, Grade
from events.rules.subject import Spot, Subject, finding_at
from events.rules.trick import Edge, Trick
from events.rules.words import Attribute, Per, Repeat

EVERY_ATTRIBUTE = tuple(Attribute)
UNCOUNTED = {
    Repeat.FIRST_COUNTS: "only the first time counts, even if it was missed",
    Repeat.BEST_COUNTS: "only the better of the two counts",
    Repeat.NOT_COUNTED: "a repeat is not counted",
}


def identity(trick: Trick, differs_by: tuple[Attribute, ...] | None) -> tuple[Any, ...]:
    """What makes a trick the same as another: its kind and the attributes that tell apart.

    Where it is not stated what tells tricks apart, every attribute does.
    """
    return _telling(differs_by)(trick)


@lru_cache(maxsize=256)
def _telling(differs_by: tuple[Attribute, ...] | None) -> Callable[[Trick], tuple[Any, ...]]:
    attributes = EVERY_ATTRIBUTE if differs_by is None else differs_by
    return attrgetter("family", "form", "invert", *attributes)


def repeats(subject: Subject) -> Iterator[Finding]:
    """Doing a trick again means what the format says."""
    rule, per = subject.format.repeats.rule, subject.format.repeats.per
    if rule is Repeat.FREE:
        return
    for spot, first in repeated(subject):
        across = first.pass_no != spot.pass_no
        if rule is None:
            message = f"{_again(spot, first)} Whether a trick may be repeated is not stated."
            yield finding_at(
                spot, "repeats-unstated", Grade.UNSTATED, message, "Ask the organiser."
            )
        elif across and per is None:
            message = f"{_again(spot, first)} Whether another pass is a repeat is not stated."
            yield finding_at(
                spot, "repeats-unstated", Grade.UNSTATED, message, "Ask the organiser."
            )
        elif spot.planned.bonus and spot.bonus and spot.bonus.limits_bind is None:
            message = (
                f"{_again(spot, first)} Whether that holds for a bonus trick is not stated."
            )
            yield finding_at(
                spot, "repeats-unstated", Grade.UNSTATED, message, "Ask the organiser."
            )
        elif _edge_is_open(subject, spot, first):
            yield _edge_open(spot, first)
        elif not (across and per is Per.PASS):
            yield from _graded(rule, spot, first)
    yield from _one_edge_open(subject)
    yield from _differs_unstated(subject)


def _edge_is_open(subject: Subject, spot: Spot, first: Spot) -> bool:
    """Whether two tricks of different names are the same only if ridden from one edge."""
    by_edge = Attribute.APPROACH in (subject.format.repeats.differs_by or ())
    either = spot.trick.approach is Edge.EITHER
    return by_edge and either and spot.planned.entry.key != first.planned.entry.key


def _edge_open(spot: Spot, first: Spot) -> Finding:
    message = f"{_again(spot, first)[:-1]}, if both are ridden from one edge."
    hint = "Say heelside or toeside."
    return finding_at(spot, "repeat-edge-open", Grade.WARNING, message, hint)


def _one_edge_open(subject: Subject) -> Iterator[Finding]:
    """Tricks that are the same if the one with an open edge is ridden from the other's."""
    settings = subject.format.repeats
    if settings.rule is None or Attribute.APPROACH not in (settings.differs_by or ()):
        return
    if Edge.EITHER not in [spot.trick.approach for spot in subject.spots]:
        return
    others = tuple(a for a in settings.differs_by or () if a is not Attribute.APPROACH)
    seen: dict[Any, Spot] = {}
    for spot in subject.spots:
        if spot.bonus is not None and spot.bonus.limits_bind is not True:
            continue
        scope = spot.pass_no if settings.per is not Per.RUN else 0
        first = seen.setdefault((identity(spot.trick, others), scope), spot)
        edges = {spot.trick.approach, first.trick.approach}
        if Edge.EITHER in edges and len(edges) > 1:
            yield _edge_open(spot, first)


def repeated(subject: Subject) -> list[tuple[Spot, Spot]]:
    """Each trick that was planned before, with the place where it stood first.

    With repeats counted per pass, only the tricks of the same pass are looked at.
    """
    settings = subject.format.repeats
    per_pass = settings.per is Per.PASS
    first: dict[Any, Spot] = {}
    found = []
    for spot in subject.spots:
        if spot.bonus is not None and spot.bonus.limits_bind is False:
            continue
        key = (identity(spot.trick, settings.differs_by), spot.pass_no if per_pass else 0)
        if key in first:
            found.append((spot, first[key]))
        else:
            first[key] = spot
    return found


def _graded(rule: Repeat, spot: Spot, first: Spot) -> Iterator[Finding]:
    again = _again(spot, first)
    if rule is Repeat.ONCE:
        message = f"{again} A trick may be done once only."
        yield finding_at(spot, "repeat", Grade.RULE, message, "Put another trick here.")
    elif rule is Repeat.DISCOURAGED:
        message = f"{again} Repeats are discouraged."
        yield finding_at(
            spot, "repeat-discouraged", Grade.WARNING, message, "Try another trick."
        )
    elif rule is Repeat.ONCE_UNLESS_NOT_LANDED:
        if not first.planned.fell:
            message = f"{again} It is a back-up: allowed only if the first was not landed."
            hint = "Have another trick ready in case the first is landed."
            yield finding_at(spot, "repeat-backup", Grade.ADVICE, message, hint)
    elif rule in UNCOUNTED:
        message = f"{again} Legal, but {UNCOUNTED[rule]}."
        yield finding_at(
            spot, "repeat-uncounted", Grade.UNCOUNTED, message, "Put another trick here."
        )


def _again(spot: Spot, first: Spot) -> str:
    where = f"trick {first.position}"
    if first.pass_no != spot.pass_no:
        where += f" of pass {first.pass_no}"
    return f"The same trick as {where}."


def _differs_unstated(subject: Subject) -> Iterator[Finding]:
    # Without the list of differences only tricks alike in everything are surely the same.
    if subject.format.repeats.differs_by is not None:
        return
    kinds: dict[Any, set[Any]] = {}
    for spot in subject.spots:
        alike = kinds.setdefault(identity(spot.trick, ()), set())
        alike.add(identity(spot.trick, None))
        if len(alike) > 1:
            message = (
                f"Whether {spot.trick.name} is another trick than one like it planned before "
                "depends on what makes two tricks different, which is not stated."
            )
            yield finding_at(
                spot, "differs-unstated", Grade.UNSTATED, message, "Ask the organiser."
            )
            return
