"""Long files of entries: as many queries for one new rider as for hundreds, nobody lost."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pytest_django.asserts import assertContains

from events.models import Letter
from riders.entry_files import ROWS_MOST
from riders.models import Entry, Rider
from tests.factories import DivisionFactory, EditionFactory, EntryFactory, OfficialFactory
from tests.riders.entry_desk import ADULT, HEAD, confirm, kinds, send


@pytest.fixture
def division(db, client):
    division = DivisionFactory(name="Open")
    client.force_login(OfficialFactory(club=division.event.club).user)
    return division


def test_queries_of_new_riders_are_flat_too(client, division):
    """Looking stays a page of at most twelve; taking in needs as many for two as for forty."""

    def needed(start, count):
        rows = [
            f"R,F{n},f{n}@example.org,Open,1990-01-01,,,,\n"
            for n in range(start, start + count)
        ]
        with CaptureQueriesContext(connection) as looking:
            page = send(client, division, HEAD + "".join(rows))
        assert kinds(page) == ["made"] * count
        with CaptureQueriesContext(connection) as taking:
            assertContains(confirm(client, division, page), f"{count} made")
        return len(looking), len(taking)

    few, many = needed(0, 2), needed(2, 40)

    assert few[0] == many[0] <= 12
    assert few[1] == many[1] <= 40  # with the page of entries that follows
    assert Entry.objects.count() == Letter.objects.count() == 42


def test_a_file_as_long_as_can_be(client, division):
    """People of the same name get accounts of their own, and nobody is lost."""
    days = [date(1990, 1, 1) + timedelta(days=n) for n in range(ROWS_MOST)]
    rows = [f"Ada,Reed,a{n}@example.org,Open,{day},,,,\n" for n, day in enumerate(days)]

    confirm(client, division, send(client, division, HEAD + "".join(rows)))

    assert Entry.objects.count() == ROWS_MOST
    names = set(Rider.objects.values_list("user__username", flat=True))
    assert len(names) == ROWS_MOST
    assert "ada-reed" in names


def test_one_new_rider_in_two_divisions(client, division):
    """One account; and a division that allows no second one refuses the second row."""
    other = DivisionFactory(event=division.event, name="Junior")
    rows = HEAD + ADULT + ADULT.replace("Open", "Junior")

    confirm(client, division, send(client, division, rows))
    assert Rider.objects.count() == 1
    assert Entry.objects.count() == 2

    EditionFactory(division=other, data={"division": {"several": False}})
    page = send(client, division, rows.replace("zoe@", "zoe2@").replace("Zoë", "Zora"))
    assertContains(page, "may not enter another")
    assert len(page.context["look"].bad) == 1


def test_an_address_of_somebody_who_is_no_rider(client, division):
    user = OfficialFactory(user__email="Zoe@example.org").user

    assertContains(send(client, division, HEAD + ADULT), "Somebody who is no rider")

    user.email = "else@example.org"
    user.save()
    assert kinds(send(client, division, HEAD + ADULT)) == ["made"]


def test_a_refused_row_changes_nothing_that_a_later_row_sees(client, division):
    entry = EntryFactory(division=division, rider__born_on=date(1990, 1, 2))
    other = DivisionFactory(event=division.event, name="Junior")
    EditionFactory(division=other, data={"division": {"sex": "women"}})
    who = f"{entry.rider.given_name},{entry.rider.family_name},{entry.rider.user.email}"
    refused = f"{who},Junior,2.1.2014,,,,\n"  # a minor now, and no woman

    page = send(client, division, HEAD + refused + f"{who},Open,,,,,waived\n")

    look = page.context["look"]
    assert [number for number, _ in look.bad] == [2]
    assert look.steps[0].changes == ["Fee"]


def test_who_was_withdrawn_comes_back(client, division):
    entry = EntryFactory(
        division=division, state=Entry.State.WITHDRAWN, rider__born_on=date(1990, 1, 2)
    )
    who = f"{entry.rider.given_name},{entry.rider.family_name},{entry.rider.user.email}"

    confirm(client, division, send(client, division, HEAD + f"{who},Open,,,,,waived\n"))

    entry.refresh_from_db()
    assert (entry.state, entry.fee, entry.withdrawn_at) == ("riding", "waived", None)
    assert Letter.objects.get().to == entry.rider.user.email
