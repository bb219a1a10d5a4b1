"""The rule on limits: what is banned, limited, or asked for."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from events.rules.condition import MAYBE, NO, SURELY
from events.rules.findings import Finding, Grade
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.limit_sentences import in_short, one_too_many, too_few
from events.rules.riding import Limit
from events.rules.rules_repeats import SAY, repeated
from events.rules.subject import ASK, Spot, Subject, finding_at, grade_of
from events.rules.trick import Family, Trick
from events.rules.words import Breach, Per, Repeat, UsedBy

SCOPE = mark("whether that is per pass or per run is not stated.")

# Passes and positions of repeats, and whether those use a limit (NO, MAYBE).
Repeated = dict[tuple[int, int], int]


def limits(subject: Subject) -> Iterator[Finding]:
    """Every limit holds, in each pass or in the run as it says."""
    if subject.format.limits is None:
        if subject.spots:
            message = _("Whether any trick is banned or limited is not stated.")
            yield Finding("limits-unstated", Grade.UNSTATED, message, _(ASK))
        return
    again = repeats_that_matter(subject)
    for limit in subject.format.limits:
        yield from check_limit(subject, limit, again)


def repeats_that_matter(subject: Subject) -> Repeated:
    """The planned repeats, where they may leave a limit alone."""
    settings = subject.format.repeats
    count_all = settings.rule in (Repeat.FREE, Repeat.ONCE, Repeat.DISCOURAGED)
    if settings.uses_limit or (settings.uses_limit is None and count_all):
        return {}
    again = {}
    for spot, first in repeated(subject):
        scope_is_open = settings.per is None and first.pass_no != spot.pass_no
        again[spot.at] = MAYBE if settings.uses_limit is None or scope_is_open else NO
    return again


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
        yield from _least(subject, limit, pass_no, within)


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
            how = min(how, _as_bonus(spot), _as_fallen(limit, spot), again.get(spot.at, SURELY))
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
    when, inverted_spins = limit.when, limit.inverted_spins is not False
    if when is None:
        return [(spot, SURELY) for spot in spots]
    if when.asks_spins or when.asks_unsaid:
        meant = [(spot, _meant(limit, spot.trick)) for spot in spots]
        return [(spot, how) for spot, how in meant if how]
    matches = when.matches
    return [
        (spot, SURELY)
        for spot in spots
        if matches(spot.trick) and (inverted_spins or not _is_inverted_spin(spot.trick))
    ]


def _is_inverted_spin(trick: Trick) -> bool:
    return trick.invert and trick.rotation >= 180


def _meant(limit: Limit, trick: Trick) -> int:
    """Whether the limit speaks of the trick, with inverted spins as the organiser says."""
    when = limit.when
    if when is None:
        return SURELY
    inverted_spin = _is_inverted_spin(trick)
    if inverted_spin and limit.inverted_spins is False:
        return NO
    how = when.meets(trick)
    if how == SURELY or not (inverted_spin and when.asks_spins):
        return how
    as_spin = trick.changed(family=Family.SPIN)
    # A condition that no upright spin meets asks for inverted ones by itself.
    asks_inverts = when.meets(as_spin) and not when.meets(as_spin.changed(invert=False))
    least_doubt = SURELY if limit.inverted_spins or asks_inverts else MAYBE
    return max(how, min(when.meets(as_spin), least_doubt))


def _as_bonus(spot: Spot) -> int:
    if not spot.planned.bonus:
        return SURELY
    bind = spot.bonus.limits_bind if spot.bonus is not None else None
    return MAYBE if bind is None else SURELY if bind else NO


def _as_fallen(limit: Limit, spot: Spot) -> int:
    if not spot.planned.fell or limit.used_by is UsedBy.TRIED:
        return SURELY
    return NO if limit.used_by is UsedBy.LANDED else MAYBE


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
            yield _open(limit, pass_no, in_short(limit), _(SCOPE))
            return
    for number, spot in enumerate(too_many, start=limit.most + 1):
        yield _beyond(limit, spot, number)
    if not too_many and len(use.sure) + len(use.maybe) > limit.most:
        yield _open(limit, pass_no, in_short(limit), *_reason(limit, use.maybe[0]))


def _beyond(limit: Limit, spot: Spot, number: int) -> Finding:
    grade = grade_of(limit.breach)
    if limit.used_by is UsedBy.LANDED and grade is Grade.RULE and not spot.planned.fell:
        grade = Grade.WARNING
    message = one_too_many(limit, spot.trick.name, number)
    hint = _("Put another trick here, or take it out.")
    return finding_at(spot, "limit-most", grade, message, hint, limit.say or "")


def _least(subject: Subject, limit: Limit, pass_no: int | None, use: _Use) -> Iterator[Finding]:
    if not limit.least:
        return
    name = in_short(limit, _("At least {number}").format(number=limit.least))
    sure, possible = _number(limit, use.sure), _number(limit, use.sure + use.maybe)
    if possible < limit.least:
        yield _short_of(limit, pass_no, possible)
    elif sure < limit.least:
        yield _open(limit, pass_no, name, *_reason(limit, use.maybe[0]))
    elif pass_no is None and limit.per is None:
        numbers = range(1, len(subject.run.passes) + 1)
        fewest = min(_number(limit, _of_pass(use, number).sure) for number in numbers)
        if fewest < limit.least:
            yield _open(limit, pass_no, name, _(SCOPE))


def _short_of(limit: Limit, pass_no: int | None, possible: int) -> Finding:
    message = too_few(limit, pass_no, possible)
    hint = _("Add one, or see whether another division suits you better.")
    # What is missing cannot be left out of the count.
    not_counted = limit.breach is Breach.NOT_COUNTED
    grade = Grade.WARNING if not_counted else grade_of(limit.breach)
    return Finding("limit-least", grade, message, hint, pass_no, None, limit.say or "")


def _reason(limit: Limit, spot: Spot) -> tuple[str, str]:
    """Why it is open whether a trick uses a limit, and what to do about it."""
    reason, hint = _open_reason(limit, spot)
    return reason.format(trick=spot.trick.name), hint


def _open_reason(limit: Limit, spot: Spot) -> tuple[str, str]:
    when, ask = limit.when, _(ASK)
    if _as_bonus(spot) == MAYBE:
        return _("whether it holds for {trick} as a bonus trick is not stated."), ask
    if _as_fallen(limit, spot) == MAYBE:
        return _("whether a trick that was not landed, {trick}, uses it is not stated."), ask
    if when is not None and _meant(limit, spot.trick) == MAYBE:
        leaves_open = when.left_open_by(spot.trick)
        if "approach" in leaves_open:
            return _("it depends on the edge of {trick}."), _(SAY["approach"])
        if "direction" in leaves_open:
            return _("it depends on which way {trick} turns."), _(SAY["direction"])
        return _("whether an inverted spin such as {trick} uses it is not stated."), ask
    return _("whether the repeat of {trick} uses it again is not stated."), ask


def _open(
    limit: Limit, pass_no: int | None, name: str, reason: str, hint: str | None = None
) -> Finding:
    message, hint = f"{name}: {reason}", _(ASK) if hint is None else hint
    return Finding("limit-open", Grade.UNSTATED, message, hint, pass_no, None, limit.say or "")
