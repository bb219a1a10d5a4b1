"""Whom everybody may read by name: a rider under age only where the guardian agreed."""

from dataclasses import replace
from datetime import date
from importlib import import_module
from io import BytesIO

import pytest
from django.apps import apps
from django.urls import reverse
from pypdf import PdfReader
from pytest_django.asserts import assertContains, assertNotContains

from riders.entering import enter
from riders.entry_conditions import Details
from riders.models import UNNAMED, Entry
from runsheets.orders import order_version, publish_order
from runsheets.result_acts import post_result
from tests.factories import (
    DivisionFactory,
    EntryFactory,
    OfficialFactory,
    RiderFactory,
    UserFactory,
)
from tests.runsheets.day_desk import filled, order_all, two_divisions
from tests.runsheets.result_desk import heat_of_five, ride_all

pytestmark = pytest.mark.django_db
CHILD = Details(
    born_on=date(2016, 5, 1), guardian="Ada Reed", guardian_phone="555-0100", consented=True
)
HIDDEN = "Adlersee"


def hide(entries) -> None:
    assert entries.filter(rider__family_name=HIDDEN).update(is_named=False)


@pytest.mark.parametrize(
    ("details", "named"),
    [
        (CHILD, False),
        (replace(CHILD, is_named=True), True),
        (Details(born_on=date(1990, 5, 1)), True),
        (Details(), True),
    ],
)
def test_the_guardian_decides(details, named) -> None:
    entry = enter(
        rider=RiderFactory(), division=DivisionFactory(), details=details, by=UserFactory()
    )

    assert entry.is_named is named
    assert entry.public_name == (entry.rider.name if named else UNNAMED)


def test_the_entry_form_asks(client) -> None:
    rider, division = RiderFactory(), DivisionFactory(event__is_public=True)
    client.force_login(rider.user)
    at = reverse("enter", args=[division.pk])
    assertContains(client.get(at), "name is shown on public pages")

    typed = {
        "born_on": "2016-05-01", "guardian": "Ada Reed", "guardian_phone": "555-0100",
        "consented": "on", "emergency_name": "Ada", "emergency_phone": "1", "acknowledged": "on",
    }  # fmt: skip
    client.post(at, typed)

    assert Entry.objects.get().is_named is False


def test_orders_times_and_calendar(client) -> None:
    event, by = two_divisions(), UserFactory()
    order_all(event, by)
    filled(event, by)
    entries = Entry.objects.filter(division__event=event)
    pages = [
        reverse(name, args=[event.slug]) for name in ("running-order", "times", "times-feed")
    ]
    for page in pages:
        assertContains(client.get(page), HIDDEN)

    hide(entries)

    for page in pages:
        answer = client.get(page)
        assertNotContains(answer, HIDDEN)
        assertContains(answer, UNNAMED)
        assertContains(answer, "Brandquist")
    rider = entries.filter(is_named=False).first().rider
    client.force_login(rider.user)
    assertContains(client.get(pages[1]), f"{rider.name} (you)")


def test_results_and_their_files(client) -> None:
    by = UserFactory()
    division = heat_of_five(by)
    order = ride_all(division, by)
    publish_order(order=order, public=True, version=order_version(order), by=by)
    post_result(order=order, by=by)
    hide(Entry.objects.filter(division=division))
    args = [division.event.slug, division.slug]

    page = client.get(reverse("result", args=args))
    assertNotContains(page, HIDDEN)
    assertContains(page, UNNAMED)
    for ending in ("csv", "pdf"):
        answer = client.get(reverse("result-file", args=[*args, ending]))
        data = b"".join(answer.streaming_content)
        text = data.decode("utf-8-sig") if ending == "csv" else words(data)
        assert UNNAMED in text
        assert HIDDEN not in text
        assert "Brandquist" in text

    official = OfficialFactory(club=division.event.club)
    client.force_login(official.user)
    table = reverse("table-result", args=[division.pk]) + "?round=Qualifying"
    assertContains(client.get(table), HIDDEN)


def words(pdf: bytes) -> str:
    return " ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)


def test_an_organiser_changes_it(client) -> None:
    entry = EntryFactory(is_named=False)
    client.force_login(OfficialFactory(club=entry.division.event.club).user)
    at = reverse("table-entry", args=[entry.pk])
    assertContains(client.get(at), "name is shown on public pages")

    client.post(at, {"rank": "", "wishes": "", "is_named": "on"})

    entry.refresh_from_db()
    assert entry.is_named


def test_entries_from_before_are_not_named_unasked() -> None:
    child = EntryFactory(rider__born_on=date(2016, 5, 1))
    grown, unknown = EntryFactory(rider__born_on=date(1990, 5, 1)), EntryFactory()
    step = import_module("riders.migrations.0005_name_on_public_pages")

    step.not_named_unasked(apps, None)

    for entry, named in ((child, False), (grown, True), (unknown, True)):
        entry.refresh_from_db()
        assert entry.is_named is named
