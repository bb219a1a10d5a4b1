"""Days in words, in the language that is spoken now; pure.

Not strftime: its names follow the locale of the server.
"""

from datetime import date, datetime

from events.rules.language import gettext as _
from events.rules.language import mark, mark_in, pgettext

_DAYS = (
    mark("Monday"), mark("Tuesday"), mark("Wednesday"), mark("Thursday"), mark("Friday"),
    mark("Saturday"), mark("Sunday"),
)  # fmt: skip
_MONTHS = (
    mark_in("month", "January"), mark_in("month", "February"), mark_in("month", "March"),
    mark_in("month", "April"), mark_in("month", "May"), mark_in("month", "June"),
    mark_in("month", "July"), mark_in("month", "August"), mark_in("month", "September"),
    mark_in("month", "October"), mark_in("month", "November"), mark_in("month", "December"),
)  # fmt: skip
_SHORT = (
    mark_in("short month", "Jan"), mark_in("short month", "Feb"), mark_in("short month", "Mar"),
    mark_in("short month", "Apr"), mark_in("short month", "May"), mark_in("short month", "Jun"),
    mark_in("short month", "Jul"), mark_in("short month", "Aug"), mark_in("short month", "Sep"),
    mark_in("short month", "Oct"), mark_in("short month", "Nov"), mark_in("short month", "Dec"),
)  # fmt: skip


def month(when: date) -> str:
    """The month: "June"."""
    return pgettext("month", _MONTHS[when.month - 1])


def day(when: date) -> str:
    """A day: "12 June 2027"."""
    return _said(when, month(when))


def short_day(when: date) -> str:
    """A day where there is little room: "12 Jun 2027"."""
    return _said(when, pgettext("short month", _SHORT[when.month - 1]))


def _said(when: date, name: str) -> str:
    return _("{day} {month} {year}").format(day=when.day, month=name, year=when.year)


def weekday(when: date) -> str:
    """A day with its name: "Saturday 12 June 2027"."""
    return _("{weekday} {day} {month} {year}").format(
        weekday=_(_DAYS[when.weekday()]), day=when.day, month=month(when), year=when.year
    )


def moment(when: datetime) -> str:
    """A day with its name, and a time: "Saturday 12 June 2027, 18:00"."""
    return f"{weekday(when.date())}, {when:%H:%M}"
