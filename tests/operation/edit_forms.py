"""Every form that changes a record, opened in two windows: what is typed in each.

A new edit form gets a row in FORMS.
"""

from dataclasses import dataclass
from datetime import time
from typing import Any

from django.test import Client
from django.urls import reverse

from events.models import Division, Event, Venue
from riders.log_models import LandingDay
from riders.models import Entry
from runsheets.models import DayPlan
from tests.factories import (
    DivisionFactory,
    EntryFactory,
    EventFactory,
    OfficialFactory,
    RiderFactory,
    VenueFactory,
)

BREAK = [{"name": "Lunch", "at": "12:00", "minutes": 45}]


def organiser_of(club) -> Any:
    return OfficialFactory(club=club).user


def an_event() -> tuple[Any, str, Event]:
    event = EventFactory(name="Reed Cup")
    VenueFactory(club=event.club, name="Upper Reed", pk=event.venue_id + 1)
    return organiser_of(event.club), reverse("event-edit", args=[event.slug]), event


def a_division() -> tuple[Any, str, Division]:
    division = DivisionFactory(name="Open")
    user = organiser_of(division.event.club)
    return user, reverse("division-edit", args=[division.pk]), division


def a_venue() -> tuple[Any, str, Venue]:
    venue = VenueFactory(notes="")
    return organiser_of(venue.club), reverse("venue-edit", args=[venue.pk]), venue


def a_rider() -> tuple[Any, str, Any]:
    rider = RiderFactory(club_name="Reedlake")
    return rider.user, reverse("rider-edit"), rider


def a_line() -> tuple[Any, str, LandingDay]:
    rider = RiderFactory()
    line = LandingDay.objects.create(
        rider=rider, trick="HS backroll", day="2026-05-02", landed=2, tried=3
    )
    return rider.user, reverse("log-edit", args=[line.pk]), line


def a_day() -> tuple[Any, str, DayPlan]:
    event = EventFactory()
    plan = DayPlan.objects.create(
        event=event, day=event.first_day, starts_at=time(9), breaks=BREAK, pace={"start_s": 50}
    )
    address = reverse("table-day", args=[event.slug, plan.pk])
    return organiser_of(event.club), address, plan


def an_entry() -> tuple[Any, str, Entry]:
    entry = EntryFactory(wishes="Slow", guardian="Runa Moorfield")
    user = organiser_of(entry.division.event.club)
    return user, reverse("table-entry", args=[entry.pk]), entry


@dataclass(frozen=True)
class Edited:
    """A field of a form, what each of two people types there, and how theirs is told."""

    make: Any
    field: str
    theirs: str
    mine: str
    told: str = ""

    @property
    def id(self) -> str:
        return f"{self.make.__name__}-{self.field}"


FORMS = [
    Edited(an_event, "name", "Reed Trophy", "Reed Days"),
    Edited(an_event, "adult_age", "16", "21"),
    Edited(an_event, "entries_close", "2026-02-01T18:30", "2026-02-03T12:00",
           "1 February 2026, 18:30"),
    Edited(a_division, "name", "Open men", "Open women"),
    Edited(a_division, "fee", "40 francs", "50 francs"),
    Edited(a_venue, "course_m", "420", "380"),
    Edited(a_venue, "notes", "A reef at the north end", "Swimmers at the south end"),
    Edited(a_rider, "club_name", "", "Upper Reed", "Somebody else emptied this meanwhile"),
    Edited(a_rider, "foot", "right", "right"),
    Edited(a_line, "landed", "3", "1"),
    Edited(a_line, "note", "choppy", "full ballast"),
    Edited(a_day, "starts_at", "08:30", "10:15"),
    Edited(a_day, "break1_minutes", "60", "30"),
    Edited(a_day, "start_s", "55.5", "65.5"),
    Edited(an_entry, "wishes", "Fast", "Low tower"),
    Edited(an_entry, "guardian", "Odo Moorfield", "Ina Moorfield"),
]  # fmt: skip
QUARRELS = [each for each in FORMS if each.theirs != each.mine]


def shown(page) -> dict[str, str]:
    """What a browser would send of a page as it is shown."""
    sent = {}
    for bound in page.context["form"]:
        value = bound.field.widget.format_value(bound.value())
        value = value[0] if isinstance(value, list) and value else value
        if value not in (None, "", []) and value is not False:
            sent[bound.html_name] = "on" if value is True else str(value)
    return sent


def opened(edited: Edited) -> tuple[Client, str, Any, dict[str, str]]:
    """Two windows of the same page: the client, the address, the record, what it shows."""
    user, address, record = edited.make()
    client = Client()
    client.force_login(user)
    return client, address, record, shown(client.get(address))


def stored(record) -> dict[str, Any]:
    """Every column of the record as it stands."""
    return type(record).objects.values().get(pk=record.pk)
