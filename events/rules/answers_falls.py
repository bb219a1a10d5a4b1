"""What riders read about falls: how many, what the next one does, and where they count."""

from collections.abc import Iterator

from events.rules.answers_riding import RUN
from events.rules.answers_words import (
    Point,
    Topic,
    capital,
    in_seconds,
    joined,
    missing,
    number,
    ordinal,
)
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from events.rules.riding import Falls
from events.rules.words import Counts, NextFall, Per, RunIn

_NEXT_FALL = {
    NextFall.ENDS_RUN: mark("{allowed}: the {ordinal} ends your run."),
    NextFall.ENDS_PASS: mark("{allowed}: the {ordinal} ends that pass."),
    NextFall.NOTHING_LATER_COUNTS: mark(
        "{allowed}: the {ordinal} means that nothing later counts."
    ),
}
_AFTER_THE_LAST = {
    NextFall.ENDS_RUN: mark(
        "The fall after the last one allowed ends your run; how many are allowed is not "
        "stated: ask the organiser."
    ),
    NextFall.ENDS_PASS: mark(
        "The fall after the last one allowed ends that pass; how many are allowed is not "
        "stated: ask the organiser."
    ),
    NextFall.NOTHING_LATER_COUNTS: mark(
        "The fall after the last one allowed means that nothing later counts; how many are "
        "allowed is not stated: ask the organiser."
    ),
}
_RUN_IN = {
    RunIn.COUNTS: mark("A fall in the run-in counts."),
    RunIn.FREE: mark("A fall in the run-in is free."),
    RunIn.FIRST_FREE: mark("The first fall in the run-in is free; a second one there counts."),
}
_WATER = mark("at most {number} may be on the water")
_OBSTACLE = mark("at most {number} may be on an obstacle")
# (attribute, label, that it counts, that it is free, whether it does)
_PLACES = (
    (
        "turn",
        mark("Fall in the turn"),
        mark("A fall in the turn between two passes counts."),
        mark("A fall in the turn between two passes is free."),
        mark("whether a fall in the turn between two passes counts"),
    ),
    (
        "after_end",
        mark("Fall after the end"),
        mark("A fall past the last marker counts."),
        mark("A fall past the last marker is free."),
        mark("whether a fall past the last marker counts"),
    ),
    (
        "course",
        mark("Fall on the course"),
        mark("A fall on the course, between the markers, counts."),
        mark("A fall on the course, between the markers, is free."),
        "",  # that a fall on the course counts is what falls are about
    ),
)


def falls(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """How many falls, counted over what, and what the next one does."""
    stated = format.falls
    return Topic(
        "falls",
        _("How many falls, and what does the next one do?"),
        _(RUN),
        tuple(_falls(stated, units)),
        _(
            "How many falls are allowed, and what the next one does, is not "
            "stated: ask the organiser."
        ),
    )


def falls_sentence(stated: Falls) -> str:
    """Falls both ways: "One fall allowed: the second ends your run."."""
    if stated.allowed is None:
        if stated.next_fall is None:
            return _(
                "How many falls are allowed, and what the next one does, is not "
                "stated: ask the organiser."
            )
        return _(_AFTER_THE_LAST[stated.next_fall])
    per_pass = stated.counted_per is Per.PASS
    allowed, next_one = _allowed(stated.allowed, per_pass), ordinal(stated.allowed + 1)
    if stated.next_fall is None:
        said = _("{allowed}; what the {ordinal} does is not stated: ask the organiser.")
    elif per_pass and stated.next_fall is NextFall.ENDS_RUN:
        said = _("{allowed}: the {ordinal} in a pass ends your run.")
    else:
        said = _(_NEXT_FALL[stated.next_fall])
    return said.format(allowed=allowed, ordinal=next_one)


def _allowed(falls: int, per_pass: bool) -> str:
    if not falls:
        return _("No fall allowed in any pass") if per_pass else _("No fall allowed")
    said = (
        ngettext(
            "{number} fall allowed in each pass", "{number} falls allowed in each pass", falls
        )
        if per_pass
        else ngettext("{number} fall allowed", "{number} falls allowed", falls)
    )
    return said.format(number=capital(number(falls)))


def _falls(stated: Falls, units: Units) -> Iterator[Point]:
    known = stated.allowed is not None or stated.next_fall is not None
    yield Point("allowed", _("Falls"), falls_sentence(stated), known)
    if stated.counted_per is not None:
        text = (
            _("Falls are counted over the whole run.")
            if stated.counted_per is Per.RUN
            else _("Falls are counted afresh in each pass.")
        )
        yield Point("per", _("Falls counted per"), text)
    elif stated.allowed != 0 or stated.next_fall is not NextFall.ENDS_RUN:
        what = _("whether falls add up over the run or start afresh in each pass")
        yield missing("per", _("Falls counted per"), what)
    shares = [
        *_share(stated.water_allowed, _("none may be on the water"), _WATER),
        *_share(stated.obstacle_allowed, _("none may be on an obstacle"), _OBSTACLE),
    ]
    if shares:
        text = _("Of the falls allowed, {shares}.").format(shares=joined(shares))
        yield Point("kinds", _("Falls on water and obstacles"), text)
    if stated.restart_m is not None:
        text = _("A fall uses up {length} of the course.").format(
            length=units.published_metres(stated.restart_m)
        )
        yield Point("restart-m", _("Course lost by a fall"), text)
    if stated.restart_s is not None:
        text = _("A fall uses up {time} of the pass.").format(time=in_seconds(stated.restart_s))
        yield Point("restart-s", _("Time lost by a fall"), text)
    if stated.restart_m is None and stated.restart_s is None:
        what = _("how much of the course a fall uses up")
        yield missing("restart", _("Course lost by a fall"), what)


def _share(most: int | None, none: str, said: str) -> Iterator[str]:
    if most is not None:
        yield _(said).format(number=number(most)) if most else none


def fall_places(format: Format) -> Topic:
    """Which places count: run-in, turn, after the end, and the course."""
    stated = format.falls
    points = [
        missing("run_in", _("Fall in the run-in"), _("whether a fall in the run-in counts"))
        if stated.run_in is None
        else Point("run_in", _("Fall in the run-in"), _(_RUN_IN[stated.run_in]))
    ]
    for name, label, counts, is_free, whether in _PLACES:
        value: Counts | None = getattr(stated, name)
        if value is not None:
            text = counts if value is Counts.COUNTS else is_free
            points.append(Point(name, _(label), _(text)))
        elif whether:
            points.append(missing(name, _(label), _(whether)))
    return Topic(
        "run-in",
        _("Does a fall in the run-in count?"),
        _(RUN),
        tuple(points),
        _(
            "Whether a fall in the run-in, in the turn or past the last marker "
            "counts is not stated: ask the organiser."
        ),
    )
