"""The day of the landing log: a rider writes down today where they ride.

Offsets by the tz database, as in tests/events/test_lake_days.py.
"""

from datetime import UTC, date, datetime

import pytest
import time_machine
from django.urls import reverse
from django.utils import timezone
from pytest_django.asserts import assertContains

from riders.log_day import today_of
from riders.log_models import LandingDay
from riders.models import Bib, Entry
from tests.factories import EntryFactory, EventFactory, RiderFactory

pytestmark = pytest.mark.django_db
SATURDAY, SUNDAY, MONDAY = date(2026, 7, 18), date(2026, 7, 19), date(2026, 7, 20)
# 23:10 of a Sunday in Los Angeles, 18:10 of the Monday in Auckland.
MOMENT = datetime(2026, 7, 20, 6, 10, tzinfo=UTC)


def rides_at(rider, zone, entered_at=datetime(2026, 5, 1, tzinfo=UTC)):
    """The rider enters a contest of that Sunday at a lake in the zone."""
    event = EventFactory(first_day=SUNDAY, last_day=SUNDAY, time_zone=zone)
    return EntryFactory(rider=rider, entered_at=entered_at, division__event=event)


@pytest.fixture
def rider(client):
    """A signed-in rider at a lake in Los Angeles, late on a Sunday evening."""
    rider = RiderFactory()
    rides_at(rider, "America/Los_Angeles")
    with time_machine.travel(MOMENT, tick=False):
        client.force_login(rider.user)
        yield rider


def test_today_is_at_the_lake_of_the_newest_entry(rider):
    assert today_of(rider) == SUNDAY

    rides_at(rider, "Pacific/Auckland", datetime(2026, 6, 1, tzinfo=UTC))

    assert today_of(rider) == MONDAY


@pytest.mark.parametrize(("zone", "day"), [("UTC", MONDAY), ("Pacific/Honolulu", SUNDAY)])
def test_without_an_entry_it_is_where_the_site_is(zone, day):
    with time_machine.travel(MOMENT, tick=False), timezone.override(zone):
        assert today_of(RiderFactory()) == day


def test_taps_late_in_the_evening_count_for_that_day(rider, client):
    client.post(reverse("log-set"), {"trick": "Indy", "tap": "landed"})

    assert LandingDay.objects.get().day == SUNDAY
    assertContains(client.get(reverse("log-set")), "Today, 19 July 2026")
    assert client.get(reverse("log-add")).context["form"].initial["day"] == SUNDAY


@pytest.mark.parametrize(
    ("hour", "day", "taken"),
    [(9, MONDAY, False), (10, MONDAY, True), (9, SUNDAY, True), (9, SATURDAY, True)],
)
def test_a_day_that_has_begun_somewhere_is_taken(client, hour, day, taken):
    """On the Sunday at ten in UTC the Monday begins at the first place on Earth (UTC+14)."""
    rider = RiderFactory()
    with time_machine.travel(datetime(2026, 7, 19, hour, tzinfo=UTC), tick=False):
        client.force_login(rider.user)
        page = client.post(
            reverse("log-add"),
            {"trick": "Indy", "day": day, "landed": 1, "tried": 2, "setting": "practice"},
        )

    assert LandingDay.objects.filter(day=day).exists() is taken
    if not taken:
        assertContains(page, "This day has not come yet")


def test_who_erases_their_data_on_the_last_evening_leaves_a_contest_that_is_on(rider, client):
    """The day has begun, so the bib stays; it is not over, so the entry is withdrawn."""
    entry = rider.entries.get()
    Bib.objects.create(event=entry.division.event, rider=rider, number=7)

    client.post("/account/erase/", {"word": "erase"})

    assert rider.entries.get().state == Entry.State.WITHDRAWN
    assert Bib.objects.get().number == 7
