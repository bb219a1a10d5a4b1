"""What an organiser wants carried over: the choice that is sealed, shown, and confirmed."""

from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from django.core import signing

from events.models import Club, Event

SALT = "events.earlier"
KEPT_FOR = 24 * 60 * 60  # s: a preview can be confirmed for a day
DAYS = ("first_day", "last_day")
MOMENTS = ("entries_close", "declare_by")
OTHERS = ("name", "venue_id", "time_zone", "adult_age")


@dataclass(frozen=True)
class FormatFile:
    """A format that was kept: which division it is for, and its text."""

    file: str
    division: str
    text: str


@dataclass(frozen=True)
class Wish:
    """The new event, and where it comes from: an event of the club, or files.

    `earlier_day` is the first day of the earlier event; None where nobody said.
    """

    event: dict[str, Any]
    earlier: int | None = None
    earlier_day: str | None = None
    files: tuple[FormatFile, ...] = ()

    @property
    def first_day_before(self) -> date | None:
        """The first day of the earlier event."""
        return date.fromisoformat(self.earlier_day) if self.earlier_day else None


def event_as_data(event: Event) -> dict[str, Any]:
    """What makes an event, as plain values."""
    dates = {name: getattr(event, name).isoformat() for name in (*DAYS, *MOMENTS)}
    return dates | {name: getattr(event, name) for name in OTHERS}


def event_of(data: dict[str, Any], club: Club) -> Event:
    """The event, not stored."""
    values = {name: data[name] for name in OTHERS}
    values |= {name: date.fromisoformat(data[name]) for name in DAYS}
    values |= {name: datetime.fromisoformat(data[name]) for name in MOMENTS}
    return Event(club=club, **values)


def sealed(wish: Wish, digest: str, club: Club) -> str:
    """The wish and what was shown of it as a signed text, for the form that confirms it."""
    return signing.dumps([asdict(wish), digest], salt=f"{SALT}.{club.pk}", compress=True)


def unsealed(text: str, club: Club) -> tuple[Wish, str]:
    """What was sealed for this club; raises django's BadSignature otherwise."""
    data, digest = signing.loads(text, salt=f"{SALT}.{club.pk}", max_age=KEPT_FOR)
    files = tuple(FormatFile(**each) for each in data.pop("files"))
    return Wish(files=files, **data), digest
