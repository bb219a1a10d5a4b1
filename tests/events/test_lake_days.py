"""Which day it is: at the lake, whatever the clock of the site (UTC here) says.

The offsets are the tz database's (public domain, in Python's zoneinfo): in July Los Angeles is
at UTC-7 and Auckland at UTC+12; Kiritimati is at UTC+14 all year, the first to begin a day.
"""

from datetime import UTC, date, datetime

import pytest
import time_machine
from django.urls import reverse
from pytest_django.asserts import assertContains

from events.lake_days import is_over, latest_day, season, today_at
from events.models import Official
from tests.factories import EventFactory, OfficialFactory

pytestmark = pytest.mark.django_db
SUNDAY = date(2026, 7, 19)
WEST, SOUTH = "America/Los_Angeles", "Pacific/Auckland"


def contest(zone, name="Lake Cup"):
    """A contest of one day, on a Sunday, at a lake in the zone."""
    return EventFactory(name=name, first_day=SUNDAY, last_day=SUNDAY, time_zone=zone)


def clock(day, hour, minute=0):
    """The clock of the site, in UTC."""
    return time_machine.travel(datetime(2026, 7, day, hour, minute, tzinfo=UTC), tick=False)


@pytest.mark.parametrize(
    ("zone", "day", "hour", "today", "over"),
    [
        (WEST, 20, 6, 19, False),  # 23:00 of the last day
        (WEST, 20, 7, 20, True),  # midnight
        (WEST, 19, 6, 18, False),  # 23:00 of the day before
        (SOUTH, 19, 11, 19, False),  # 23:00 of the last day
        (SOUTH, 19, 12, 20, True),  # midnight, and noon of the same Sunday in UTC
        ("UTC", 19, 23, 19, False),
        ("UTC", 20, 0, 20, True),
    ],
)
def test_a_contest_is_over_when_its_last_day_is_over_at_the_lake(zone, day, hour, today, over):
    event = contest(zone)

    with clock(day, hour):
        assert today_at(event) == date(2026, 7, today)
        assert is_over(event) is over


def test_the_latest_day_is_that_of_the_first_place_to_begin_it():
    with clock(18, 9, 59):
        assert latest_day() == date(2026, 7, 18)
    with clock(18, 10):
        assert latest_day() == SUNDAY


def test_two_lakes_at_one_moment():
    """The same Sunday is over at one lake and on at another."""
    west, south = contest(WEST, "West"), contest(SOUTH, "South")
    earlier = EventFactory(first_day=date(2026, 5, 2), last_day=date(2026, 5, 3))

    with clock(19, 20):
        assert season([south, west, earlier]) == ([west], [south, earlier])


def test_the_table_finds_the_next_contest_first(client):
    """Whatever order they were made in; the past one that ended last comes first of those."""
    by = OfficialFactory(role=Official.Role.TABLE)
    months = {"Third": 9, "First": 7, "Second": 8, "Old": 1, "Later": 2}
    for name, month in months.items():
        day = date(2026, month, 19)
        EventFactory(club=by.club, name=name, first_day=day, last_day=day)
    client.force_login(by.user)

    with clock(1, 12):
        shown = client.get(reverse("table-home")).context

    assert [each.name for each in shown["coming"]] == ["First", "Second", "Third"]
    assert [each.name for each in shown["past"]] == ["Later", "Old"]


@pytest.mark.parametrize("role", [Official.Role.DOCK, Official.Role.TABLE])
def test_officials_find_their_contest_until_its_evening_ends(client, role):
    """At ten past eleven in the evening at the lake, the site's own next day."""
    event = contest(WEST)
    client.force_login(OfficialFactory(club=event.club, role=role).user)
    home = reverse("dock-home" if role == Official.Role.DOCK else "table-home")

    with clock(20, 6, 10):
        assert [each.name for each in client.get(home).context["coming"]] == ["Lake Cup"]
    with clock(20, 7, 10):
        page = client.get(home)
        assert page.context["coming"] == []
        assertContains(page, "Lake Cup")


def test_everybody_finds_it_among_what_comes_up(client):
    contest(SOUTH)

    with clock(19, 11):
        assert [each.name for each in client.get("/").context["coming"]] == ["Lake Cup"]
    with clock(19, 12):
        assert [each.name for each in client.get("/").context["past"]] == ["Lake Cup"]
