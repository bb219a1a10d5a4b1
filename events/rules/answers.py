"""A format as questions and answers: sentences made from its values, for every reader.

The only free text in them is what the organiser typed: names, and the words of a limit,
which are quoted as the organiser's.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from events.rules.answers_boat import ballast, boat, rope, speed
from events.rules.answers_bonus import (
    bonus_name,
    bonuses,
    condition_sentence,
    cutoff_sentence,
    offer_sentence,
    pickup_sentence,
    pickups,
)
from events.rules.answers_contest import eligibility, rounds
from events.rules.answers_desk import clock, judging, name, notes, route
from events.rules.answers_falls import fall_places, falls, falls_sentence
from events.rules.answers_riding import passes
from events.rules.answers_tricks import declared_order, limits, repeats
from events.rules.answers_words import Point, Topic, joined, quoted
from events.rules.condition_words import limit_sentence
from events.rules.dates import moment
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.format import Format, Override
from events.rules.language import gettext as _
from events.rules.language import ngettext
from events.rules.loading import FormatError, effective


@dataclass(frozen=True, slots=True)
class Answer:
    """A rider's question and its answer.

    `stated` is False where the format says nothing about it; where it says a part, some
    of the sentences say what is not stated. `group` is the heading it belongs under.
    """

    code: str
    question: str
    sentences: tuple[str, ...]
    stated: bool
    group: str


def answers(
    format: Format,
    *,
    deadline: datetime | None = None,
    deadline_text: str = "",
    units: Units = AS_PUBLISHED,
) -> tuple[Answer, ...]:
    """The questions that riders ask, each with its sentences.

    `deadline` is the event's own for declaring, used where the format has none;
    `deadline_text` is the same in words and goes before it, for one with a time zone.
    `units` are those that the reader likes; what was published stands beside them.
    """
    in_words = deadline_text or (moment(deadline) if deadline is not None else "")
    return tuple(
        Answer(topic.code, topic.question, topic.sentences, topic.stated, topic.group)
        for topic in topics(format, in_words, units)
    )


# (either, old, new): the points of a change; None where there is none.
Change = tuple[Point, Point | None, Point | None]


def topics(
    format: Format, deadline: str = "", units: Units = AS_PUBLISHED
) -> tuple[Topic, ...]:
    """The answers in their parts, in the order of the questions."""
    return (
        passes(format, units),
        falls(format, units),
        fall_places(format),
        bonuses(format, units),
        pickups(format, units),
        repeats(format),
        limits(format),
        declared_order(format),
        boat(format),
        speed(format, units),
        rope(format, units),
        ballast(format, units),
        rounds(format),
        eligibility(format),
        judging(format),
        clock(format, deadline),
        notes(format),
        route(format, units),
        name(format),
    )


def reminders(format: Format) -> tuple[tuple[str, str], ...]:
    """Short (label, sentence) pairs for paper: falls, double-up, cutoffs, repeats, limits."""
    first_repeat = repeats(format).points[0].text
    return (
        (_("Falls"), falls_sentence(format.falls)),
        *((_("Double-up"), text) for text in _bonus_reminders(format)),
        *((_("Cutoff"), text) for text in _cutoff_reminders(format)),
        (_("Repeats"), first_repeat),
        *((_("Limits"), text) for text in _limit_reminders(format)),
    )


def _bonus_reminders(format: Format) -> Iterator[str]:
    if not format.double_ups:
        yield bonuses(format).sentences[0]
    for bonus in format.double_ups or ():
        parts = (offer_sentence(bonus), condition_sentence(bonus))
        yield " ".join(part for part in parts if part)


def _cutoff_reminders(format: Format) -> Iterator[str]:
    for bonus in format.double_ups or ():
        yield cutoff_sentence(format, bonus) or (
            _(
                "Whether a fall past some marker loses the {name} is not stated: "
                "ask the organiser."
            ).format(name=bonus_name(bonus))
        )
    if not format.pickup_cutoffs:
        yield pickups(format).sentences[0]
    for cutoff in format.pickup_cutoffs or ():
        yield pickup_sentence(format, cutoff)


def _limit_reminders(format: Format) -> Iterator[str]:
    if not format.limits:
        yield limits(format).sentences[0]
    for limit in format.limits or ():
        yield limit_sentence(limit)


def exceptions(format: Format, units: Units = AS_PUBLISHED) -> tuple[str, ...]:
    """One sentence for each override: where it holds, and what it says instead."""
    return tuple(exception(format, override, units) for override in format.overrides)


def exception(format: Format, override: Override, units: Units = AS_PUBLISHED) -> str:
    """Where an override holds and what it changes, in the sentences of the answers."""
    where = override_place(override)
    base = replace(format, overrides=())
    try:
        there = effective(replace(format, overrides=(override,)), *_one_of_each(override))
    except FormatError:
        return _(
            "{where}: some values differ, but they cannot be read; ask the organiser."
        ).format(where=where)
    changes = [
        _instead(old, new)
        for before, after in zip(
            topics(base, units=units), topics(there, units=units), strict=True
        )
        for _either, old, new in changed_points(before, after)
    ]
    if not changes:
        return _("{where}: nothing that you read here differs.").format(where=where)
    return f"{where}: {'; '.join(changes)}."


def _one_of_each(override: Override) -> tuple[str | None, ...]:
    groups = (override.divisions, override.rounds, override.boats)
    return tuple(names[0] if names else None for names in groups)


def override_place(override: Override) -> str:
    """Where an override holds: 'In the round "Final" and the division "Open"'."""
    places = []
    if names := override.rounds:
        said = ngettext("the round {names}", "the rounds {names}", len(names))
        places.append(said.format(names=joined(map(quoted, names))))
    if names := override.divisions:
        said = ngettext("the division {names}", "the divisions {names}", len(names))
        places.append(said.format(names=joined(map(quoted, names))))
    if names := override.boats:
        said = ngettext("the boat {names}", "the boats {names}", len(names))
        places.append(said.format(names=joined(map(quoted, names))))
    return _("In {places}").format(places=joined(places)) if places else _("Everywhere")


def changed_points(old: Topic, new: Topic) -> list[Change]:
    """(either, old, new) of the points whose text differs; None where there is none.

    Where a stated point differs, those that only say "not stated" follow from it and are
    left out.
    """
    before = {point.code: point for point in old.points}
    after = {point.code: point for point in new.points}
    found = []
    for code in dict.fromkeys((*before, *after)):
        was, now = before.get(code), after.get(code)
        either = now or was
        if either is not None and (was is None or now is None or was.text != now.text):
            found.append((either, was, now))
    said = [each for each in found if any(point and point.stated for point in each[1:])]
    on_both_sides = set(map(_entry, before)) & set(map(_entry, after))
    return _merged(said or found, on_both_sides)


def _entry(code: str) -> str:
    """The entry of a list that a point belongs to; empty for other points."""
    return code.rpartition(": ")[0]


def _merged(changes: list[Change], kept: set[str]) -> list[Change]:
    """The changes, with one for each whole entry that is new or gone."""
    merged: dict[str, Change] = {}
    for point, was, now in changes:
        entry = _entry(point.code)
        if not entry or entry in kept or entry not in merged:
            is_whole = entry and entry not in kept
            merged[entry if is_whole else f"{entry}: {point.code}"] = (point, was, now)
            continue
        first = merged[entry][0]
        whole = replace(first, text=f"{first.text} {point.text}")
        merged[entry] = (whole, None, whole) if was is None else (whole, whole, None)
    return list(merged.values())


def _instead(old: Point | None, new: Point | None) -> str:
    if new is None:
        return (
            _("{clause} does not hold").format(clause=_clause(old)) if old is not None else ""
        )
    if old is None:
        return _("{clause} holds too").format(clause=_clause(new))
    return _("{now} instead of {before}").format(now=_clause(new), before=_clause(old))


def _clause(point: Point) -> str:
    return quoted(point.text.removesuffix("."))
