"""The invented club of the tutorials, as far as others have brought it when one begins."""

from dataclasses import replace
from datetime import UTC, date, datetime

from django.contrib.auth.models import User

from events.models import Division, Event, Official, Venue
from events.rules.notation import read_run
from events.services import (
    add_official,
    create_club,
    publish_edition,
    save_division,
    save_draft,
    save_event,
    save_venue,
    set_public,
)
from events.starts import starting_format
from riders.entering import enter
from riders.entry_conditions import Details
from riders.models import Rider
from riders.services import declare
from tests.factories import RiderFactory, UserFactory

PUBLISHED = datetime(2027, 5, 4, 9, tzinfo=UTC)
RUNS = {
    ("Ansel", "Quarrier"): "HS backroll, TS 180 | HS FS 180, Tantrum",
    ("Brida", "Holloway-Fenn"): "TS backroll, HS backroll | TS FS 180",
    ("Casimir", "Dunlough"): "Tantrum, TS FS 180 | HS backroll",
    ("Jorun", "Castell"): "HS backroll, TS backroll | HS FS 180",
    ("Oda", "Renfeld"): "HS FS 180, TS FS 180 | HS backroll",
    ("Wim", "Askeland"): "",
}


def published() -> Division:
    """The division with its rules, open to everybody: what the organiser's tutorial ends with."""
    organiser = UserFactory(
        username="nele@example.org", first_name="Nele", last_name="Brandacker"
    )
    club = create_club(name="Siltmere Boat Riders", by=organiser)
    venue = Venue(
        club=club, name="Siltmere, north arm", course_m=420,
        direction="East to west, then back", start_dock="The green dock below the boathouse",
    )  # fmt: skip
    save_venue(venue=venue, by=organiser)
    day = date(2027, 6, 12)
    event = Event(
        club=club, venue=venue, name="Siltmere Open", first_day=day, last_day=day,
        time_zone="Europe/Vienna", entries_close=datetime(2027, 6, 5, 18, tzinfo=UTC),
        declare_by=datetime(2027, 6, 11, 18, tzinfo=UTC),
    )  # fmt: skip
    save_event(event=event, by=organiser)
    division = Division(event=event, name="Intermediate", slug="intermediate")
    save_division(division=division, by=organiser)
    example = starting_format("example:club-day-intermediate", division)
    format = replace(example, falls=replace(example.falls, allowed=2))
    save_draft(division=division, format=format, by=organiser)
    publish_edition(division=division, by=organiser)
    set_public(event=event, public=True, by=organiser)
    return division


def entered() -> User:
    """Six riders, of whom five have declared, and somebody who sits at the table."""
    division = published()
    organiser = division.event.club.officials.get().user
    table = UserFactory(username="table@example.org", first_name="Karel", last_name="Voss")
    add_official(club=division.event.club, user=table, role=Official.Role.TABLE, by=organiser)
    for (given, family), line in RUNS.items():
        rider = RiderFactory(given_name=given, family_name=family)
        _enter(rider, division, line)
    return table


def _enter(rider: Rider, division: Division, line: str) -> None:
    details = Details(
        born_on=date(2000, 2, 3), emergency_name="Mirle Castell",
        emergency_phone="+43 000 555 01 23", acknowledged=True,
    )  # fmt: skip
    before = datetime(2027, 6, 1, 9, tzinfo=UTC)
    entry = enter(rider=rider, division=division, details=details, at=before)
    if line:
        declare(
            entry=entry, round_name="", run=read_run(line), side="starboard", seen_edition=1,
            at=before,
        )  # fmt: skip
