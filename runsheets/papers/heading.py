"""What every paper says of itself: whose it is, when it was printed, and its code. Pure."""

from dataclasses import dataclass
from datetime import datetime

from events.rules.dates import month
from events.rules.language import gettext as _


@dataclass(frozen=True)
class SheetHeading:
    """Whose paper it is. `printed_at` carries its zone; `code` tells printings apart.

    `edition_no` is 0 where no rules are in force. `replaces` names the printing that this
    one takes the place of. `starts` is the planned start of the heat; as it may move, it is
    no part of what the code is made from.
    """

    event: str
    division: str
    round: str
    edition_no: int
    printed_at: datetime
    venue: str = ""
    code: str = ""
    title: str = "Run sheets"
    heat: str = ""
    replaces: str = ""
    starts: str = ""

    def __post_init__(self) -> None:
        if self.printed_at.utcoffset() is None:
            raise ValueError("The time of printing needs a time zone.")

    @property
    def printed(self) -> str:
        """The time of printing in words, with its zone: "6 June 2026, 08:05 CEST (+02:00)"."""
        at = self.printed_at
        offset = at.isoformat()[-6:]
        name = at.tzname() or ""
        zone = f"{name} ({offset})" if name.isalpha() and name != "UTC" else f"UTC{offset}"
        return f"{when_printed(at, None)} {'UTC' if name == 'UTC' else zone}"

    @property
    def place(self) -> str:
        """Division, round and heat in one line."""
        return "  ·  ".join(text for text in (self.division, self.round, self.heat) if text)


def when_planned(at: datetime | None) -> str:
    """A planned start in words: "6 June, 10:00"; empty where none is planned."""
    if at is None:
        return ""
    said = _("{day} {month}, {time}")
    return said.format(day=at.day, month=month(at), time=f"{at:%H:%M}")


def when_printed(at: datetime, now: datetime | None) -> str:
    """A moment in words: "6 June 2026, 08:05", or "08:05" if `now` is on the same day."""
    if now is not None and now.astimezone(at.tzinfo).date() == at.date():
        return f"{at:%H:%M}"
    said = _("{day} {month} {year}, {time}")
    return said.format(day=at.day, month=month(at), year=at.year, time=f"{at:%H:%M}")
