"""A club with a contest of last year, and the pages that start this year's from it."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from events.models import Act, Club, Division, Event, Letter
from riders.models import Entry, Rider
from tests.events.markup import text_of
from tests.factories import (
    DivisionFactory,
    EditionFactory,
    EventFactory,
    OfficialFactory,
    VenueFactory,
)

YEAR = timezone.localdate().year
BEFORE = date(YEAR - 1, 7, 4)
AFTER = BEFORE + timedelta(days=52 * 14)  # two years on, the same day of the week
NAME = f"Reed Cup {AFTER.year}"
RULES: dict[str, Any] = {
    "passes": {"count": 2, "length_m": 400},
    "division": {"age_on": "own date", "age_date": f"{YEAR - 1}-06-30"},
    "clock": {"declare_by": f"{YEAR - 1}-07-03T20:00:00"},
    "limits": [{"say": "At most two inverts", "most": 2, "when": {"invert": True}}],
}


def last_year() -> Event:
    """An event with a published division, one that has only a draft, and a fee."""
    club: Club = OfficialFactory().club
    event: Event = EventFactory(
        club=club, venue=VenueFactory(club=club), name=f"Reed Cup {YEAR - 1}",
        first_day=BEFORE, last_day=BEFORE + timedelta(days=1), time_zone="Europe/Zurich",
        entries_close=datetime(YEAR - 1, 6, 20, 16, tzinfo=UTC),
        declare_by=datetime(YEAR - 1, 7, 3, 18, tzinfo=UTC), adult_age=16,
    )  # fmt: skip
    advanced = DivisionFactory(event=event, name="Advanced", slug="advanced", place=1,
                               fee="40 francs", draft=RULES)  # fmt: skip
    EditionFactory(division=advanced, data=RULES)
    DivisionFactory(event=event, name="First time", slug="first-time", place=2,
                    draft={"passes": {"count": 1}})  # fmt: skip
    return event


def organiser_of(event: Event) -> User:
    """The organiser of the event's club."""
    found: User = event.club.officials.get().user
    return found


def organised(client: Client) -> Event:
    """The contest of last year, with its organiser signed in."""
    event = last_year()
    client.force_login(organiser_of(event))
    return event


def choose(client: Client, event: Event, *, first_day: date = AFTER, name: str = "") -> Any:
    """Ask for the preview of an event that is started from an earlier one."""
    data = {"event-earlier": event.pk, "event-first_day": first_day.isoformat(),
            "event-name": name, "look-event": "1"}  # fmt: skip
    return client.post(reverse("event-from-earlier", args=[event.club.slug]), data)


def confirm(client: Client, club: Club, sealed: str) -> Any:
    """Press the button of the preview."""
    address = reverse("event-from-earlier-confirm", args=[club.slug])
    return client.post(address, {"wish": sealed})


def counts() -> list[int]:
    """How many there are of everything that starting anew could make."""
    return [model.objects.count() for model in (Event, Division, Act, Letter, Entry, Rider)]


def shown(client: Client, event: Event, **more: Any) -> tuple[Any, str]:
    """The preview, and what it says."""
    answer = choose(client, event, **more)
    assert answer.status_code == 200
    return answer, text_of(answer.content.decode())
