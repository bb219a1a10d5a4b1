"""Entries at the table, and check-in at the dock."""

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from django.utils.dateformat import format as date_format
from pytest_django.asserts import assertContains, assertNotContains

from events.models import Act, Official
from riders.entering import waiting_place
from riders.models import Entry
from tests.factories import EditionFactory, EntryFactory, OfficialFactory


@pytest.fixture
def entry(db):
    return EntryFactory(guardian="Gerda Reed", emergency_phone="555-0142")


def sign_in(client, entry, role):
    official = OfficialFactory(club=entry.division.event.club, role=role)
    client.force_login(official.user)


def act(client, entry, **data):
    return client.post(f"/table/entries/{entry.pk}/act/", data, follow=True)


def press(client, entry, present):
    return client.post(f"/dock/entries/{entry.pk}/", {"present": present}, follow=True)


class TestTable:
    @pytest.fixture(autouse=True)
    def _table(self, client, entry):
        sign_in(client, entry, Official.Role.TABLE)

    def test_fee(self, client, entry):
        page = act(client, entry, act="paid")

        assertContains(page, "0 due, 1 paid, 0 waived")
        assert "as paid" in Act.objects.get().what
        act(client, entry, act="paid")
        assert Act.objects.count() == 1

    def test_withdrawing_asks_first_and_moves_the_list_up(self, client, entry):
        stated = {"entries_most": 1, "beyond": "waiting list"}
        EditionFactory(division=entry.division, data={"division": stated})
        waiting = EntryFactory(division=entry.division, state=Entry.State.WAITING)

        assertContains(act(client, entry, act="withdraw"), "Tick “sure”")
        page = act(client, entry, act="withdraw", sure="on")

        assertContains(page, f"From the waiting list: {waiting.rider.name}.")
        waiting.refresh_from_db()
        assert waiting.state == Entry.State.RIDING

    def test_the_place_on_the_waiting_list(self, client, entry):
        """Counted as `waiting_place` does, whatever is shown: by moment, then by entry."""
        at = timezone.now()
        waits = [
            EntryFactory(
                division=entry.division, state=Entry.State.WAITING,
                entered_at=at - timedelta(minutes=minutes),
            )
            for minutes in (5, 9, 5)
        ]  # fmt: skip
        EntryFactory(state=Entry.State.WAITING, entered_at=at - timedelta(days=1))
        address = f"/table/{entry.division.event.slug}/entries/"

        for find in ("", waits[2].rider.family_name):
            page = client.get(address, {"find": find})
            for shown in page.context["entries"]:
                if shown.state == Entry.State.WAITING:
                    assert shown.waiting_place == waiting_place(shown)
        assert [waiting_place(each) for each in waits] == [2, 1, 3]
        assertContains(page, "On the waiting list, place&nbsp;3")
        assertNotContains(page, "Has a place, place")

    def test_nonsense_changes_nothing(self, client, entry):
        assertContains(act(client, entry, act="burn"), "nothing changed")
        assert not Act.objects.exists()

    @pytest.mark.parametrize(
        "query", ["fee=paid", "find=nobody", "state=waiting", "division=999"]
    )
    def test_narrowed(self, client, entry, query):
        address = f"/table/{entry.division.event.slug}/entries/"

        assertContains(
            client.get(f"{address}?find={entry.rider.family_name}"), entry.rider.name
        )
        assertContains(client.get(f"{address}?{query}"), "No entry matches.")

    def test_contacts_are_not_for_the_table(self, client, entry):
        page = client.get(f"/table/{entry.division.event.slug}/entries/")

        assertNotContains(page, "555-0142")


class TestDock:
    def test_twice_is_once_and_undo(self, client, entry):
        sign_in(client, entry, Official.Role.DOCK)
        assertContains(press(client, entry, "yes"), "1 of 1 checked in")
        entry.refresh_from_db()
        first = entry.checked_in_at

        press(client, entry, "yes")

        entry.refresh_from_db()
        assert entry.checked_in_at == first
        assert Act.objects.count() == 1
        assertContains(press(client, entry, "no"), "0 of 1 checked in")

    def test_who_came_on_an_earlier_day_stands_with_the_day(self, client, entry):
        sign_in(client, entry, Official.Role.DOCK)
        zone = entry.division.event.zone
        today = timezone.now().astimezone(zone).replace(hour=9, minute=12)
        address = f"/dock/{entry.division.event.slug}/"
        for came, said in ((today, "Here since 09:12"), (today - timedelta(days=1), "")):
            Entry.objects.filter(pk=entry.pk).update(checked_in_at=came)
            said = said or f"Here since {date_format(came, 'j F')}, 09:12"
            assertContains(client.get(address), said)

    def test_without_a_place(self, client, entry):
        sign_in(client, entry, Official.Role.DOCK)
        Entry.objects.update(state=Entry.State.WITHDRAWN)

        assertContains(press(client, entry, "yes"), "Send them to the table.")
        entry.refresh_from_db()
        assert entry.checked_in_at is None

    def test_minors_without_contacts(self, client, entry):
        sign_in(client, entry, Official.Role.DOCK)
        entry.rider.born_on = date(entry.division.event.first_day.year - 10, 1, 1)
        entry.rider.save()

        page = client.get(f"/dock/{entry.division.event.slug}/")

        assertContains(page, "Under age: is the guardian here?")
        assertNotContains(page, "Gerda Reed")
        assertNotContains(page, "555-0142")

    def test_who_may(self, client, entry):
        sign_in(client, entry, Official.Role.DOCK)
        assert act(client, entry, act="paid").status_code == 403
        assert client.get(f"/table/{entry.division.event.slug}/entries/").status_code == 403
        client.force_login(entry.rider.user)
        assert client.get(f"/dock/{entry.division.event.slug}/").status_code == 403
        assert press(client, entry, "yes").status_code == 403

    def test_queries_are_flat(self, client, entry, django_assert_max_num_queries):
        sign_in(client, entry, Official.Role.DOCK)
        EntryFactory.create_batch(25, division=entry.division)

        with django_assert_max_num_queries(8):
            client.get(f"/dock/{entry.division.event.slug}/")


def test_many_entries_come_in_pages(client, division, table) -> None:
    for _ in range(62):
        EntryFactory(division=division)
    address = reverse("table-entries", args=[division.event.slug])

    first, second = client.get(address), client.get(address, {"page": "2"})

    assert "1 to 60 of 65" in first.text
    assert "61 to 65 of 65" in second.text
    assert client.get(address, {"page": "seven"}).status_code == 200
