"""The rule on limits: what is banned, limited, or asked for."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from events.rules.findings import Finding, Grade
from events.rules.riding import Limit
from events.rules.rules_repeats import repeated
from events.rules.subject import Spot, Subject, counted, finding_at, grade_of, ordinal
from events.rules.trick import Edge, Family
from events.rules.words import Per, Repeat, UsedBy

# What a trick does to a limit: leaves it alone, may use it, or surely uses it.
NO, MAYBE, SURELY = 0, 1, 2

# Passes and positions of repeats.
Repeated = frozenset[tuple[int, int]]


def limits(subject: Subject) -> Iterator[Finding]:
    """Every limit holds, in each pass or in the run as it says."""
    if subject.format.limits is None:
        if subject.spots:
            message = "Whether any trick is banned or limited is not stated."
            yield Finding("limits-unstated", Grade.UNSTATED, message, "Ask the organiser.")
        return
    again = repeats_that_matter(subject)
    for limit in subject.format.limits:
        yield from check_limit(subject, limit, again)


def repeats_that_matter(subject: Subject) -> Repeated:
    """The planned repeats, where they may leave a limit alone."""
    settings = subject.format.repeats
    if settings.rule in (Repeat.FREE, Repeat.ONCE, Repeat.DISCOURAGED) or settings.uses_limit:
        return frozenset()
    return frozenset(spot.at for spot, _ in repeated(subject))


@dataclass(slots=True)
class _Use:
    """The tricks that surely use a limit, and those that may."""

    sure: list[Spot]
    maybe: list[Spot]


def check_limit(subject: Subject, limit: Limit, again: Repeated) -> Iterator[Finding]:
    """One limit alone; `again` are the repeats that matter."""
    spots = subject.spots
    if limit.pass_no is not None:
        spots = tuple(spot for spot in spots if spot.pass_no == limit.pass_no)
    use = _use(subject, limit, spots, again)
    if not limit.least and (limit.most is None or len(use.sure) + len(use.maybe) <= limit.most):
        return  # kept by the whole run, and so by every part of it
    per_pass = limit.per is Per.PASS or limit.pass_no is not None
    numbers = range(1, len(subject.run.passes) + 1)
    if limit.pass_no is not None:
        numbers = range(limit.pass_no, limit.pass_no + 1)
    scopes = (
        [(number, _of_pass(use, number)) for number in numbers] if per_pass else [(None, use)]
    )
    for pass_no, within in scopes:
        if limit.most is not None:
            for alike in _alike(limit, within):
                yield from _most(subject, limit, pass_no, alike)
        yield from _least(limit, pass_no, within)


def has_room(subject: Subject, limit: Limit, again: Repeated) -> bool:
    """Whether one more trick, whatever it is, surely keeps to a limit."""
    use = _use(subject, limit, subject.spots, again)
    most = limit.most
    return not limit.least and (most is None or len(use.sure) + len(use.maybe) < most)


def _look(limit: Limit, spot: Spot) -> tuple[Any, ...]:
    """What tells a trick from another one for a limit that counts the same ones."""
    return tuple(getattr(spot.trick, attribute) for attribute in limit.differs_by or ())


def _alike(limit: Limit, use: _Use) -> Iterator[_Use]:
    """The tricks that a limit counts together; all, where nothing tells them apart."""
    if limit.differs_by is None:
        yield use
        return
    for look in dict.fromkeys(_look(limit, spot) for spot in (*use.sure, *use.maybe)):
        yield _Use(
            [spot for spot in use.sure if _look(limit, spot) == look],
            [spot for spot in use.maybe if _look(limit, spot) == look],
        )


def _number(limit: Limit, spots: list[Spot]) -> int:
    """How many tricks, or how many different ones, where the limit says what differs."""
    if limit.differs_by is None:
        return len(spots)
    return len({_look(limit, spot) for spot in spots})


def _use(subject: Subject, limit: Limit, spots: Sequence[Spot], again: Repeated) -> _Use:
    use = _Use([], [])
    for spot, how in _meaning(limit, spots):
        planned = spot.planned
        if planned.bonus or planned.fell or (again and spot.at in again):
            how = min(
                how, _as_bonus(spot), _as_fallen(limit, spot), _as_repeat(subject, spot, again)
            )
        if how == SURELY:
            use.sure.append(spot)
        elif how == MAYBE:
            use.maybe.append(spot)
    return use


def speaks_of(limit: Limit, spot: Spot) -> bool:
    """Whether a limit may look at a trick in a place: if not, the trick changes nothing."""
    return limit.pass_no in (None, spot.pass_no) and bool(_meaning(limit, (spot,)))


def _meaning(limit: Limit, spots: Sequence[Spot]) -> Iterable[tuple[Spot, int]]:
    """The tricks that the limit speaks of, surely or perhaps."""
    when = limit.when
    if when is None and limit.inverted_spins is None:
        return [(spot, SURELY) for spot in spots]
    spins = bool(when and when.family and Family.SPIN in when.family)
    if when is None or limit.inverted_spins is not None or spins or when.approach:
        meant = [(spot, _meant(limit, spot)) for spot in spots]
        return [(spot, how) for spot, how in meant if how]
    matches = when.matches
    return [(spot, SURELY) for spot in spots if matches(spot.trick)]


def _meant(limit: Limit, spot: Spot) -> int:
    """Whether the limit speaks of the trick, with inverted spins as the organiser says."""
    when, trick = limit.when, spot.trick
    if when is None:
        return SURELY
    inverted_spin = trick.invert and trick.rotation >= 180
    if inverted_spin and limit.inverted_spins is False:
        return NO
    if when.matches(trick):
        open_edge = (
            trick.approach is Edge.EITHER and when.approach and Edge.EITHER not in when.approach
        )
        return MAYBE if open_edge else SURELY
    asks_spins = when.family is not None and Family.SPIN in when.family and not when.invert
    if inverted_spin and asks_spins and when.matches_whatever_family(trick):
        return SURELY if limit.inverted_spins else MAYBE
    return NO


def _as_bonus(spot: Spot) -> int:
    if not spot.planned.bonus:
        return SURELY
    bind = spot.bonus.limits_bind if spot.bonus is not None else None
    return MAYBE if bind is None else SURELY if bind else NO


def _as_fallen(limit: Limit, spot: Spot) -> int:
    if not spot.planned.fell or limit.used_by is UsedBy.TRIED:
        return SURELY
    return NO if limit.used_by is UsedBy.LANDED else MAYBE


def _as_repeat(subject: Subject, spot: Spot, again: Repeated) -> int:
    if spot.at not in again:
        return SURELY
    return MAYBE if subject.format.repeats.uses_limit is None else NO


def _of_pass(use: _Use, number: int) -> _Use:
    return _Use(
        [spot for spot in use.sure if spot.pass_no == number],
        [spot for spot in use.maybe if spot.pass_no == number],
    )


def _most(subject: Subject, limit: Limit, pass_no: int | None, use: _Use) -> Iterator[Finding]:
    if limit.most is None:
        return
    too_many = use.sure[limit.most :]
    if too_many and pass_no is None and limit.per is None and len(subject.run.passes) > 1:
        in_one_pass = max(
            len(_of_pass(use, number).sure) for number in range(1, len(subject.run.passes) + 1)
        )
        if in_one_pass <= limit.most:
            message = f"{_named(limit)}: whether that is per pass or per run is not stated."
            yield _open(limit, pass_no, message)
            return
    for number, spot in enumerate(too_many, start=limit.most + 1):
        yield _beyond(limit, spot, number)
    if not too_many and len(use.sure) + len(use.maybe) > limit.most:
        yield _open(limit, pass_no, f"{_named(limit)}: {_reason(limit, use.maybe)}")


def _beyond(limit: Limit, spot: Spot, number: int) -> Finding:
    grade = grade_of(limit.breach)
    if limit.used_by is UsedBy.LANDED and grade is Grade.RULE and not spot.planned.fell:
        grade = Grade.WARNING
    if limit.most == 0:
        found = f"{spot.trick.name} is not allowed"
    else:
        such = "such trick" if limit.differs_by is None else "such trick that is the same"
        most = counted(limit.most or 0, "such trick")
        found = f"{spot.trick.name} is the {ordinal(number)} {such}; at most {most}"
    if limit.used_by is UsedBy.LANDED:
        found += " landed"
    effect = f" Not kept: {limit.breach}." if limit.breach is not None else ""
    said = f" “{limit.say}”" if limit.say else ""
    hint = "Put another trick here, or take it out."
    message = f"{found}.{said}{effect}"
    return finding_at(spot, "limit-most", grade, message, hint, limit.say or "")


def _least(limit: Limit, pass_no: int | None, use: _Use) -> Iterator[Finding]:
    if not limit.least:
        return
    sure, possible = _number(limit, use.sure), _number(limit, use.sure + use.maybe)
    if possible < limit.least:
        where = f"pass {pass_no}" if pass_no is not None else "the run"
        such = "such trick" if limit.differs_by is None else "different such trick"
        said = f" “{limit.say}”" if limit.say else ""
        message = (
            f"{counted(possible, such).capitalize()} in {where}, "
            f"at least {limit.least} asked.{said}"
        )
        hint = "Add one, or see whether another division suits you better."
        grade = grade_of(limit.breach)
        yield Finding("limit-least", grade, message, hint, pass_no, None, limit.say or "")
    elif sure < limit.least:
        yield _open(limit, pass_no, f"{_named(limit)}: {_reason(limit, use.maybe)}")


def _named(limit: Limit) -> str:
    if limit.say:
        return f"“{limit.say}”"
    return (
        f"Limit of at most {limit.most}"
        if limit.most is not None
        else f"At least {limit.least}"
    )


def _reason(limit: Limit, maybe: list[Spot]) -> str:
    spot = maybe[0]
    name = spot.trick.name
    if spot.planned.bonus:
        return f"whether it holds for {name} as a bonus trick is not stated."
    if spot.trick.invert and spot.trick.rotation >= 180 and limit.inverted_spins is None:
        return f"whether an inverted spin such as {name} uses it is not stated."
    if spot.planned.fell:
        return f"whether a trick that was not landed, {name}, uses it is not stated."
    if spot.trick.approach is Edge.EITHER:
        return f"it depends on the edge of {name}: say heelside or toeside."
    return f"whether the repeat of {name} uses it again is not stated."


def _open(limit: Limit, pass_no: int | None, message: str) -> Finding:
    hint = "Ask the organiser."
    return Finding("limit-open", Grade.UNSTATED, message, hint, pass_no, None, limit.say or "")
