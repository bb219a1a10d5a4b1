"""The times of a contest as a calendar that a phone subscribes to: iCalendar, RFC 5545.

Pure Python: plain values in, text out. Times are given in UTC, which every calendar shows in
the zone of whoever looks at it, and which needs no description of the zone's rules.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from icalendar import Calendar, Event, vDuration, vText, vUri

from runsheets.timing.day import with_zone

PRODUCT = "-//Buoyline//Contest times//EN"
USUAL_REFRESH = timedelta(minutes=15)  # short enough for a contest that runs late


class RowStatus(StrEnum):
    """How sure a row is; the words are those of RFC 5545, section 3.8.1.11."""

    TENTATIVE = "TENTATIVE"
    CONFIRMED = "CONFIRMED"
    CANCELLED = "CANCELLED"


@dataclass(frozen=True)
class FeedEvent:
    """The contest that the calendar tells.

    `uid` never changes and is unique in the world, such as a slug and the site's own host
    name. `zone` is the name of the lake's time zone. `refresh` asks a calendar how often to
    look again; many have their own mind.
    """

    uid: str
    name: str
    zone: str
    location: str = ""
    description: str = ""
    url: str = ""
    changed_at: datetime | None = None
    refresh: timedelta = USUAL_REFRESH


@dataclass(frozen=True)
class FeedRow:
    """One entry of the calendar: a heat, a rider's start, a pause, a deadline.

    `uid` stays with the row through every change of its time. `revision` counts its changes
    from 0. `stamped_at` is when it was first put in the calendar and `changed_at` when it
    was last changed; both are given, so that the same rows always make the same bytes.
    """

    uid: str
    start: datetime
    end: datetime
    summary: str
    stamped_at: datetime
    changed_at: datetime
    revision: int = 0
    location: str = ""
    description: str = ""
    url: str = ""
    status: RowStatus = RowStatus.CONFIRMED


def calendar(event: FeedEvent, rows: Iterable[FeedRow]) -> bytes:
    """The calendar in UTF-8, for `text/calendar; charset=utf-8`.

    A row taken out of the contest is told as CANCELLED, because a calendar may keep what it
    once read. Raises ValueError for a moment without a time zone, an end before its start,
    or a `uid` that is empty or occurs twice.
    """
    told = _head(event)
    seen: set[str] = set()
    for row in rows:
        if row.uid in seen:
            raise ValueError(f"{row.uid} is in the calendar twice.")
        seen.add(row.uid)
        told.add_component(_entry(event, row))
    text: bytes = told.to_ical()
    return text


def _head(event: FeedEvent) -> Calendar:
    """The calendar itself. Its name and interval are those of RFC 7986, sections 5.1 and 5.7.

    The names that begin with X- are older ones of the same, which many calendars read
    instead (common practice, no source).
    """
    told = Calendar()
    told.add("VERSION", "2.0")
    told.add("PRODID", vText(PRODUCT))
    told.add("CALSCALE", "GREGORIAN")
    told.add("METHOD", "PUBLISH")
    told.add("UID", vText(_uid(event.uid)))
    told.add("NAME", vText(_line(event.name)))
    told.add("X-WR-CALNAME", vText(_line(event.name)))
    told.add("X-WR-TIMEZONE", vText(event.zone))
    # The standard knows no usual kind of value here, so that it has to be named.
    told.add("REFRESH-INTERVAL", vDuration(event.refresh), parameters={"VALUE": "DURATION"})
    told.add("X-PUBLISHED-TTL", vDuration(event.refresh))
    if event.description:
        told.add("DESCRIPTION", vText(_text(event.description)))
    if address := _address(event.url):
        told.add("URL", vUri(address))
    if event.changed_at is not None:
        told.add("LAST-MODIFIED", with_zone(event.changed_at, "changed_at"))
    return told


def _entry(event: FeedEvent, row: FeedRow) -> Event:
    start, end = _second(row.start, "start"), _second(row.end, "end")
    if end < start:
        raise ValueError(f"{row.summary} ends before it starts.")
    if row.revision < 0:
        raise ValueError(f"{row.summary}: changes are counted from 0.")
    entry = Event.new(
        uid=_uid(row.uid),
        # With a METHOD, DTSTAMP is when this instance of the entry was made: its last change.
        stamp=with_zone(row.changed_at, "changed_at"),
        created=with_zone(row.stamped_at, "stamped_at"),
        last_modified=with_zone(row.changed_at, "changed_at"),
        start=start,
        end=end if end > start else None,  # RFC 5545, section 3.8.2.2: never the same moment
        sequence=row.revision,
        summary=_line(row.summary),
        location=_line(row.location or event.location) or None,
        description=_text(row.description) or None,
        url=_address(row.url),
    )
    entry.add("STATUS", row.status.value)
    entry.add("TRANSP", "OPAQUE" if row.status is RowStatus.CONFIRMED else "TRANSPARENT")
    return entry


def _second(moment: datetime, name: str) -> datetime:
    """The moment in UTC; the standard knows no parts of a second."""
    return with_zone(moment, name).replace(microsecond=0)


def _uid(uid: str) -> str:
    if not uid.strip() or not uid.isprintable():
        raise ValueError("Each entry of a calendar needs a name of its own, on one line.")
    return uid


def _address(url: str) -> str | None:
    if not url.isprintable() or " " in url:
        raise ValueError("An address in a calendar cannot hold spaces or line ends.")
    return url or None


def _line(text: str) -> str:
    return " ".join(_text(text).split())


def _text(text: str) -> str:
    """Text without what a calendar cannot hold: controls other than tab and line end."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(each for each in plain if each in "\t\n" or (each >= " " and each != "\x7f"))
