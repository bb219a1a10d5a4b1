"""One entry at the table, late entries by hand, and places drawn by lot."""

import hashlib
from datetime import date

import pytest
from django.urls import reverse

from events.models import Act, Official
from events.post_models import Letter
from riders.models import Entry, Rider
from runsheets.desk_services import draw_places
from tests.factories import (
    DivisionFactory,
    EditionFactory,
    EntryFactory,
    OfficialFactory,
    RiderFactory,
)
from tests.runsheets.table_desk import declare_for

pytestmark = pytest.mark.django_db

TYPED = {
    "given_name": "Ilse", "family_name": "Wiesentaler", "foot": "left", "club_name": "",
    "born_on": "1999-04-02", "emergency_name": "Odo Kahn", "emergency_phone": "+43 1 555 01",
    "acknowledged": "on",
}  # fmt: skip


@pytest.fixture
def organiser(division, client):
    official = OfficialFactory(club=division.event.club)
    client.force_login(official.user)
    return official.user


def address(entry) -> str:
    return reverse("table-entry", args=[entry.pk])


class TestOneEntry:
    def test_an_organiser_changes_rank_and_contacts(self, client, division, organiser) -> None:
        entry = division.entries.first()

        answer = client.post(
            address(entry),
            {"rank": "3", "wishes": "A shorter rope", "emergency_name": "Odo Kahn",
             "emergency_phone": "555 01", "guardian": "", "guardian_phone": ""},
            follow=True,
        )  # fmt: skip

        entry.refresh_from_db()
        assert "The entry is saved." in answer.text
        assert (entry.rank, entry.wishes, entry.emergency_name) == (
            3,
            "A shorter rope",
            "Odo Kahn",
        )
        said = Act.objects.latest("pk").what
        assert "Changed rank, wishes, emergency name, emergency phone" in said
        assert "Odo Kahn" not in said

    def test_the_table_sees_and_changes_no_contacts(self, client, division, table) -> None:
        entry = division.entries.first()
        Entry.objects.filter(pk=entry.pk).update(emergency_name="Odo Kahn")

        assert "Odo Kahn" not in client.get(address(entry)).text
        client.post(address(entry), {"rank": "", "wishes": "", "emergency_name": "Nobody"})

        entry.refresh_from_db()
        assert entry.emergency_name == "Odo Kahn"

    @pytest.mark.parametrize("rank", ["first", "0", "-1", "1.5"])
    def test_a_rank_that_is_none(self, client, division, table, rank) -> None:
        entry = division.entries.first()

        answer = client.post(address(entry), {"rank": rank, "wishes": "Slow start"})

        assert "from 1 on" in answer.text or "greater than or equal to 1" in answer.text
        assert 'value="Slow start"' in answer.text
        entry.refresh_from_db()
        assert entry.wishes == ""

    def test_nothing_changed_is_not_recorded(self, client, division, table) -> None:
        entry = division.entries.first()
        before = Act.objects.count()

        client.post(address(entry), {"rank": "", "wishes": ""})

        assert Act.objects.count() == before


class TestAnotherDivision:
    def move(self, client, entry, division):
        data = {"move": "yes", "division": str(division.pk)}
        return client.post(address(entry), data, follow=True)

    def test_the_first_who_waits_gets_the_place(self, client, division, organiser) -> None:
        other = DivisionFactory(event=division.event, name="Seniors")
        entry = division.entries.first()
        rules = {
            **division.edition.data,
            "division": {"entries_most": 3, "beyond": "waiting list"},
        }
        EditionFactory(division=division, number=2, data=rules)
        waiting = EntryFactory(division=division, state=Entry.State.WAITING)

        answer = self.move(client, entry, other)

        entry.refresh_from_db()
        waiting.refresh_from_db()
        assert entry.division == other
        assert waiting.state == Entry.State.RIDING
        assert f"From the waiting list: {waiting.rider.name}" in answer.text

    def test_who_declared_stays(self, client, division, organiser) -> None:
        other = DivisionFactory(event=division.event, name="Seniors")
        entry = division.entries.first()
        declare_for(entry)

        answer = self.move(client, entry, other)

        entry.refresh_from_db()
        assert entry.division == division
        assert "A run is declared under the old division" in answer.text

    def test_the_rules_of_the_other_hold(self, client, division, organiser) -> None:
        other = DivisionFactory(event=division.event, name="Juniors")
        EditionFactory(
            division=other, data={"division": {"age_most": 14, "age_on": "first day"}}
        )
        entry = division.entries.first()
        Rider.objects.filter(pk=entry.rider_id).update(born_on=date(1990, 1, 1))

        self.move(client, entry, other)

        entry.refresh_from_db()
        assert entry.division == division

    def test_a_division_of_another_event(self, client, division, organiser) -> None:
        DivisionFactory(event=division.event, name="Seniors")
        entry = division.entries.first()

        self.move(client, entry, DivisionFactory())

        entry.refresh_from_db()
        assert entry.division == division


class TestByHand:
    def page(self, division, email) -> str:
        base = reverse("table-entry-new", args=[division.event.slug])
        return f"{base}?division={division.pk}&email={email}"

    def test_a_rider_without_an_account(self, client, division, table) -> None:
        answer = client.post(self.page(division, "ilse@example.org"), TYPED, follow=True)

        entry = Entry.objects.get(rider__family_name="Wiesentaler")
        assert "is entered in" in answer.text
        assert entry.rider.user.email == "ilse@example.org"
        assert not entry.rider.user.has_usable_password()
        assert Letter.objects.filter(to="ilse@example.org").exists()
        assert "by hand" in Act.objects.latest("pk").what

    def test_a_rider_who_has_one(self, client, division, table) -> None:
        rider = RiderFactory(family_name="Schilfer")
        shown = client.get(self.page(division, rider.user.email.upper())).text
        assert rider.name in shown
        assert 'name="given_name"' not in shown

        client.post(self.page(division, rider.user.email), TYPED)

        assert Entry.objects.get(rider=rider).division == division
        assert not Rider.objects.filter(family_name="Wiesentaler").exists()

    def test_a_child_needs_a_guardian_and_nothing_is_made(
        self, client, division, table
    ) -> None:
        young = {**TYPED, "born_on": "2018-04-02"}

        answer = client.post(self.page(division, "kid@example.org"), young)

        assert "guardian" in " ".join(answer.context["form"].errors["guardian"]).lower()
        assert 'value="Wiesentaler"' in answer.text
        assert not Rider.objects.filter(family_name="Wiesentaler").exists()

    def test_slips_of_the_first_step(self, client, division, table) -> None:
        base = reverse("table-entry-new", args=[division.event.slug])

        answer = client.get(f"{base}?division={division.pk}&email=nobody")

        assert answer.context["chooser"].errors["email"]
        assert 'value="nobody"' in answer.text
        assert answer.context["form"] is None


class TestLots:
    """Hong Kong nationals 2017: five first-come places, the rest by lot (published rules)."""

    @pytest.fixture
    def full(self, division):
        rules = {
            **division.edition.data,
            "division": {"entries_most": 8, "first_come": 5, "beyond": "drawn by lot"},
        }
        EditionFactory(division=division, number=2, data=rules)
        for _ in range(2):
            EntryFactory(division=division)
        for _ in range(6):
            EntryFactory(division=division, state=Entry.State.WAITING)
        return division

    def test_anybody_can_repeat_it(self, full, organiser) -> None:
        waiting = [e.pk for e in full.entries.filter(state=Entry.State.WAITING)]

        given = draw_places(division=full, seed="heron reed", by=organiser)

        def lot(number: int) -> str:
            return hashlib.sha256(f"heron reed:{number}".encode()).hexdigest()

        assert [each.pk for each in given] == sorted(waiting, key=lot)[:3]
        assert full.entries.filter(state=Entry.State.RIDING).count() == 8
        assert "draw word heron reed" in Act.objects.latest("pk").what

    def test_the_page(self, client, full, organiser) -> None:
        page = reverse("table-lots", args=[full.pk])
        assert "3 free places among 6 who wait" in " ".join(client.get(page).text.split())
        assert "Write a draw word." in client.post(page, {"word": " "}).text

        answer = client.post(page, {"word": "heron reed"}, follow=True)

        assert "Drawn with the word “heron reed”" in answer.text
        assert "nothing to draw" in client.get(page).text

    def test_not_twice(self, full, organiser) -> None:
        draw_places(division=full, seed="heron reed", by=organiser)

        with pytest.raises(ValueError, match="no place to draw"):
            draw_places(division=full, seed="another", by=organiser)

    def test_only_organisers(self, client, full, table) -> None:
        assert client.get(reverse("table-lots", args=[full.pk])).status_code == 403


class TestDockHome:
    def test_a_dock_official_finds_the_event(self, client, division) -> None:
        official = OfficialFactory(club=division.event.club, role=Official.Role.DOCK)
        client.force_login(official.user)

        text = client.get(reverse("dock-home")).text

        assert reverse("check-in", args=[division.event.slug]) in text

    def test_nobody_else_has_one(self, client, division) -> None:
        client.force_login(RiderFactory().user)

        assert "You help at no dock" in client.get(reverse("dock-home")).text


class TestPublicCounts:
    def test_free_places_and_no_names(self, client, division) -> None:
        rules = {
            **division.edition.data,
            "division": {"entries_most": 5, "beyond": "waiting list"},
        }
        EditionFactory(division=division, number=2, data=rules)
        EntryFactory(division=division, state=Entry.State.WAITING)

        text = " ".join(client.get(division.get_absolute_url()).text.split())

        assert "3 riders entered, 1 on the waiting list; 2 places free." in text
        assert division.entries.first().rider.family_name not in text
        event = " ".join(client.get(division.event.get_absolute_url()).text.split())
        assert (
            f"{division.name}: 3 riders, 1 on the waiting list".replace("&", "&amp;") in event
        )
