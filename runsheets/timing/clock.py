"""Times of day and lengths of time in words. Pure."""

from datetime import datetime

from events.rules.dates import month
from events.rules.language import gettext as _
from events.rules.language import ngettext
from runsheets.timing.day import apart


def clock(moment: datetime, beside: datetime) -> str:
    """The time of day at the lake, with the date if it is another day than `beside`."""
    there = moment.astimezone(beside.tzinfo)
    time = f"{there:%H:%M}"
    if there.date() == beside.date():
        return time
    said = _("{time} on {day} {month}")
    return said.format(time=time, day=there.day, month=month(there))


def duration(earlier: datetime, later: datetime) -> str:
    """The time between two clock times as they are shown, seconds cut off."""
    start, end = (each.replace(second=0, microsecond=0) for each in (earlier, later))
    minutes = round(apart(start, end).total_seconds() / 60)
    return hours_and_minutes(minutes) if minutes >= 1 else _("less than a minute")


def hours_and_minutes(minutes: int) -> str:
    """A length of time: "1 hour", "2 hours 5 minutes"."""
    hours, rest = divmod(minutes, 60)
    said = []
    if hours:
        said.append(ngettext("{number} hour", "{number} hours", hours).format(number=hours))
    if rest:
        said.append(ngettext("{number} minute", "{number} minutes", rest).format(number=rest))
    return " ".join(said)
