"""One plan open in two windows: what either holds is kept, and the second is told."""

from threading import Barrier, Thread

import pytest
from django.db import connection
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains

from events.rules.loading import as_data, load_format
from events.rules.run import Run
from riders.models import Entry, PlannedRun, PlanVariant
from riders.rows import PassRows, Row, Sheet
from riders.services import Window, keep_plan
from tests.factories import EditionFactory, EntryFactory
from tests.riders.conftest import RULES, fields


@pytest.fixture
def entry(db, client) -> Entry:
    edition = EditionFactory(data=as_data(load_format(RULES)))
    entry = EntryFactory(division=edition.division)
    client.force_login(entry.rider.user)
    return entry


def plan(entry) -> str:
    return f"/riding/entries/{entry.pk}/plan/"


def opened(client, entry) -> dict[str, str]:
    """What a window says of itself."""
    window = client.get(plan(entry)).context["planner"].window
    return {"window": window.key, "opened": window.opened.isoformat()}


def send(client, entry, window, first, action="save", **headers):
    return client.post(plan(entry), fields(first, action=action) | window, **headers)


def kept(entry) -> str:
    return str(PlannedRun.objects.get(entry=entry).rows)


def test_the_second_window_is_told_and_the_other_plan_kept(client, entry) -> None:
    one, two = opened(client, entry), opened(client, entry)
    send(client, entry, one, "HS backroll")

    answer = send(client, entry, two, "TS FS 180")

    assertContains(answer, "This plan was changed in another window")
    assert "TS FS 180" in kept(entry)
    variant = PlanVariant.objects.get()
    assert variant.name == "before going on in another window"
    assert "HS backroll" in str(variant.rows)
    assertContains(answer, variant.name)


def test_at_every_change_too(client, entry) -> None:
    one, two = opened(client, entry), opened(client, entry)
    send(client, entry, one, "HS backroll")

    answer = send(client, entry, two, "TS FS 180", "", headers={"HX-Request": "true"})
    again = send(client, entry, two, "TS FS 180; HS 180", "", headers={"HX-Request": "true"})

    assertContains(answer, "This plan was changed in another window")
    assertNotContains(again, "in another window")
    assert PlanVariant.objects.count() == 1


def test_one_window_after_the_other_is_no_quarrel(client, entry) -> None:
    send(client, entry, opened(client, entry), "HS backroll")
    answer = send(client, entry, opened(client, entry), "TS FS 180")

    assertNotContains(answer, "in another window")
    assert not PlanVariant.objects.exists()


@pytest.mark.parametrize(
    "window",
    [
        {},
        {"window": "<x>", "opened": "yesterday"},
        {"window": "a" * 99, "opened": "2026-01-01"},
    ],
)
def test_a_window_that_cannot_be_read(client, entry, window) -> None:
    send(client, entry, opened(client, entry), "HS backroll")

    assertNotContains(send(client, entry, window, "TS FS 180"), "in another window")
    assert "TS FS 180" in kept(entry)


@pytest.mark.django_db(transaction=True)
def test_at_the_same_moment_one_of_two_is_told() -> None:
    edition = EditionFactory(data=as_data(load_format(RULES)))
    entry = EntryFactory(division=edition.division)
    sheet = Sheet(side="port", passes=[PassRows([Row(trick="HS backroll")], [])])
    keep_plan(entry=entry, round_name="", sheet=sheet, run=Run(()))
    now, start, told = timezone.now(), Barrier(2), {}

    def keep(key: str) -> None:
        mine = Sheet(side="port", passes=[PassRows([Row(trick=key)], [])])
        start.wait()
        try:
            window = Window(key, now)
            told[key] = keep_plan(
                entry=entry, round_name="", sheet=mine, run=Run(()), window=window
            )
        finally:
            connection.close()

    threads = [Thread(target=keep, args=[key]) for key in ("one", "two")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert sorted(told.values()) == [False, True]
    (first,) = [key for key, done in told.items() if done]
    assert first in kept(entry)
