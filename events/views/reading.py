"""A format as riders read it: the same on the public page and in the organiser's preview."""

from dataclasses import dataclass, replace
from datetime import datetime

from django.utils.formats import date_format
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from events.models import Division
from events.rules.answers import Answer, answers, exceptions
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.format import Format
from events.rules.loading import effective_or_base
from events.strips import format_strip


@dataclass(frozen=True)
class Reading:
    """What the page shows of a format in one round."""

    rounds: tuple[str, ...]
    round: str | None
    groups: tuple[tuple[str, tuple[Answer, ...]], ...]
    exceptions: tuple[str, ...]
    strip: SafeString
    is_converted: bool


def reading(
    division: Division,
    format: Format,
    asked: str | None = None,
    units: Units = AS_PUBLISHED,
) -> Reading:
    """The format as it holds in the round asked for, or in the first."""
    rounds = tuple(each.name for each in format.rounds or () if each.name)
    chosen = asked if asked in rounds else rounds[0] if rounds else None
    there = _with_the_events_clock(effective_or_base(format, division.name, chosen), division)
    deadline = _in_words(division, there.clock.declare_by)
    found = answers(there, deadline_text=deadline, units=units)
    headings = tuple(dict.fromkeys(answer.group for answer in found))
    groups = tuple((head, tuple(a for a in found if a.group == head)) for head in headings)
    title = _("The course of {name}").format(name=division.name) + (
        f", {chosen}" if chosen else ""
    )
    strip = format_strip(there, title, units=units)
    differing = exceptions(format, units)
    return Reading(rounds, chosen, groups, differing, strip, units != AS_PUBLISHED)


def _with_the_events_clock(format: Format, division: Division) -> Format:
    """The event says when entries close; a division's own clock comes first."""
    if format.clock.entries_close is not None:
        return format
    close = division.event.entries_close.astimezone(division.event.zone)
    return replace(format, clock=replace(format.clock, entries_close=close))


def _in_words(division: Division, own: datetime | None) -> str:
    """The deadline for declaring, in the event's own time."""
    event = division.event
    moment = own or event.declare_by
    if moment.tzinfo is not None:
        moment = moment.astimezone(event.zone)
    return _("{moment} ({time_zone} time)").format(
        moment=date_format(moment, _("l j F Y, H:i")), time_zone=event.time_zone
    )
