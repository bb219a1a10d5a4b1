"""The rule on repeats: what the same trick is, and what doing it again means."""

from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from operator import attrgetter
from typing import Any

from events.rules.condition import UNSAID, unsaid
from events.rules.findings import Finding, Grade
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.subject import ASK, Spot, Subject, finding_at
from events.rules.trick import Trick
from events.rules.words import Attribute, Per, Repeat

EVERY_ATTRIBUTE = tuple(Attribute)
UNCOUNTED = {
    Repeat.FIRST_COUNTS: mark("Legal, but only the first time counts, even if it was missed."),
    Repeat.BEST_COUNTS: mark("Legal, but only the better of the two counts."),
    Repeat.NOT_COUNTED: mark("Legal, but a repeat is not counted."),
}
# What to say where a trick leaves it open, and what then makes two tricks the same.
SAY = {
    "approach": mark("Say heelside or toeside."),
    "direction": mark("Say frontside or backside."),
}
_SAME_IF = {
    ("approach",): mark("if both are ridden from one edge"),
    ("direction",): mark("if both turn the same way"),
    ("approach", "direction"): mark("if both are ridden from one edge and turn the same way"),
}
_OPEN_CODES = {"approach": "repeat-edge-open", "direction": "repeat-direction-open"}


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
            yield _unstated(spot, first, _("Whether a trick may be repeated is not stated."))
        elif across and per is None:
            yield _unstated(spot, first, _("Whether another pass is a repeat is not stated."))
        elif spot.planned.bonus and spot.bonus and spot.bonus.limits_bind is None:
            open_for = _("Whether that holds for a bonus trick is not stated.")
            yield _unstated(spot, first, open_for)
        elif left_open := _open_in_both(subject, spot, first):
            yield _same_perhaps(spot, first, left_open)
        elif not (across and per is Per.PASS):
            yield from _graded(rule, spot, first)
    yield from _perhaps_repeated(subject)
    yield from _differs_unstated(subject)


def _unstated(spot: Spot, first: Spot, what: str) -> Finding:
    message = f"{_again(spot, first)}. {what}"
    return finding_at(spot, "repeats-unstated", Grade.UNSTATED, message, _(ASK))


def _open_in_both(subject: Subject, spot: Spot, first: Spot) -> list[str]:
    """What must be ridden alike for two tricks of different names to be the same."""
    if spot.planned.entry.key == first.planned.entry.key:
        return []
    return [a for a in unsaid(spot.trick) if a in (subject.format.repeats.differs_by or ())]


def _same_perhaps(spot: Spot, first: Spot, left_open: Sequence[str]) -> Finding:
    message = f"{_again(spot, first)}, {_(_SAME_IF[tuple(left_open)])}."
    hint = " ".join(_(SAY[each]) for each in left_open)
    return finding_at(spot, _OPEN_CODES[left_open[0]], Grade.WARNING, message, hint)


def _perhaps_repeated(subject: Subject) -> Iterator[Finding]:
    """Tricks that are the same if what one of them leaves open is as in the other."""
    settings = subject.format.repeats
    differs_by = settings.differs_by or ()
    asked = tuple(name for name in UNSAID if name in differs_by)
    if settings.rule is None or not asked:
        return
    if not any(name in asked for spot in subject.spots for name in unsaid(spot.trick)):
        return
    others = tuple(a for a in differs_by if a not in asked)
    seen: dict[Any, dict[tuple[str, ...], Spot]] = {}
    for spot in subject.spots:
        if spot.bonus is not None and spot.bonus.limits_bind is not True:
            continue
        scope = spot.pass_no if settings.per is not Per.RUN else 0
        alike = seen.setdefault((identity(spot.trick, others), scope), {})
        how = tuple(getattr(spot.trick, name) for name in asked)
        for earlier, first in alike.items() if how not in alike else ():
            differs = [n for n, a, b in zip(asked, how, earlier, strict=True) if a != b]
            if {*unsaid(spot.trick), *unsaid(first.trick)}.issuperset(differs):
                yield _same_perhaps(spot, first, differs)
                break
        alike.setdefault(how, spot)


def repeated(subject: Subject) -> list[tuple[Spot, Spot]]:
    """Each trick that was planned before, with the place where it stood first.

    With repeats counted per pass, only the tricks of the same pass are looked at. Where it
    is not stated, one of the same pass goes before the others, since that is sure.
    """
    settings = subject.format.repeats
    per_pass, per_run = settings.per is not Per.RUN, settings.per is not Per.PASS
    first: dict[Any, Spot] = {}
    found = []
    for spot in subject.spots:
        if spot.bonus is not None and spot.bonus.limits_bind is False:
            continue
        same = identity(spot.trick, settings.differs_by)
        scopes = [spot.pass_no] * per_pass + [0] * per_run
        before = [first[same, scope] for scope in scopes if (same, scope) in first]
        if before:
            found.append((spot, before[0]))
        for scope in scopes:
            first.setdefault((same, scope), spot)
    return found


def _graded(rule: Repeat, spot: Spot, first: Spot) -> Iterator[Finding]:
    again = _again(spot, first)
    if rule is Repeat.ONCE:
        said, hint = _("A trick may be done once only."), _("Put another trick here.")
        yield finding_at(spot, "repeat", Grade.RULE, f"{again}. {said}", hint)
    elif rule is Repeat.DISCOURAGED:
        said, hint = _("Repeats are discouraged."), _("Try another trick.")
        yield finding_at(spot, "repeat-discouraged", Grade.WARNING, f"{again}. {said}", hint)
    elif rule is Repeat.ONCE_UNLESS_NOT_LANDED:
        if not first.planned.fell:
            said = _("It is a back-up: allowed only if the first was not landed.")
            hint = _("Have another trick ready in case the first is landed.")
            yield finding_at(spot, "repeat-backup", Grade.ADVICE, f"{again}. {said}", hint)
    elif rule in UNCOUNTED:
        message, hint = f"{again}. {_(UNCOUNTED[rule])}", _("Put another trick here.")
        yield finding_at(spot, "repeat-uncounted", Grade.UNCOUNTED, message, hint)


def _again(spot: Spot, first: Spot) -> str:
    if first.pass_no == spot.pass_no:
        return _("The same trick as trick {number}").format(number=first.position)
    said = _("The same trick as trick {number} of pass {pass_no}")
    return said.format(number=first.position, pass_no=first.pass_no)


def _differs_unstated(subject: Subject) -> Iterator[Finding]:
    # Without the list of differences only tricks alike in everything are surely the same.
    if subject.format.repeats.differs_by is not None:
        return
    kinds: dict[Any, set[Any]] = {}
    for spot in subject.spots:
        alike = kinds.setdefault(identity(spot.trick, ()), set())
        alike.add(identity(spot.trick, None))
        if len(alike) > 1:
            message = _(
                "Whether {trick} is another trick than one like it planned before "
                "depends on what makes two tricks different, which is not stated."
            ).format(trick=spot.trick.name)
            yield finding_at(spot, "differs-unstated", Grade.UNSTATED, message, _(ASK))
            return
