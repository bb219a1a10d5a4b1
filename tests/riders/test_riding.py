"""Joining, entering, and a rider's own pages."""

from datetime import timedelta

import pytest
import time_machine
from django.contrib.auth.models import User
from pytest_django.asserts import assertContains, assertNotContains

from riders.models import Entry, OwnTrick, Rider
from tests.factories import DivisionFactory, EditionFactory, EntryFactory, UserFactory

ENTER = {
    "born_on": "1990-04-02",
    "emergency_name": "Ada Reed",
    "emergency_phone": "555-0101",
    "acknowledged": "on",
}
PERSON = {
    "given_name": "Zoë", "family_name": "Łąkowska", "foot": "right", "club_name": "",
    "email": "Zoe@example.org", "password": "quiet-harbour-17",
}  # fmt: skip


class TestJoin:
    def test_success(self, db, client):
        answer = client.post("/join/", PERSON)

        assert answer.url == "/riding/"
        assert Rider.objects.get().name == "Zoë Łąkowska"
        assertContains(client.get("/riding/"), "Zoë Łąkowska")

    @pytest.mark.parametrize(
        ("change", "sentence"),
        [
            ({"email": "nothing"}, "valid email"),
            ({"password": "12345"}, "too short"),
            ({"given_name": ""}, "required"),
            ({"foot": "both"}, "not one of the available choices"),
        ],
    )
    def test_mistakes(self, db, client, change, sentence):
        page = client.post("/join/", {**PERSON, **change})

        assertContains(page, sentence)
        assertContains(page, "Łąkowska")
        assert not User.objects.exists()

    def test_a_known_address(self, db, client):
        UserFactory(username="zoe@example.org")

        assertContains(client.post("/join/", PERSON), "There is an account with this e-mail")

    def test_goes_on_to_where_the_rider_came_from(self, db, client):
        division = DivisionFactory()

        answer = client.post("/join/", {**PERSON, "next": f"/riding/enter/{division.pk}/"})

        assert answer.url == f"/riding/enter/{division.pk}/"

    def test_never_goes_to_another_site(self, db, client):
        assert client.post("/join/?next=https://example.org/", PERSON).url == "/riding/"

    def test_a_signed_in_person_says_who_they_are_first(self, db, client):
        client.force_login(UserFactory())
        division = DivisionFactory()

        answer = client.get(f"/riding/enter/{division.pk}/")

        assert answer.url.startswith("/riding/me/?next=")
        data = {key: PERSON[key] for key in ("given_name", "family_name", "foot", "club_name")}
        assert client.post(answer.url, data).url == f"/riding/enter/{division.pk}/"


class TestEnter:
    def test_success(self, desk):
        division = DivisionFactory(event=desk.division.event)

        answer = desk.client.post(f"/riding/enter/{division.pk}/", ENTER)

        entry = Entry.objects.get(division=division)
        assert entry.rider == desk.entry.rider
        assert answer.url == f"/riding/entries/{entry.pk}/plan/"

    def test_twice_is_one_entry(self, desk):
        for _ in range(2):
            desk.client.post(f"/riding/enter/{desk.division.pk}/", ENTER)

        assert Entry.objects.filter(division=desk.division).count() == 1

    def test_cautions_must_be_read(self, desk):
        division = DivisionFactory(event=desk.division.event)
        page = desk.client.post(f"/riding/enter/{division.pk}/", {"guardian": "Ada Reed"})

        assertContains(page, "Read the cautions and tick this to enter.")
        assertContains(page, 'value="Ada Reed"')

    def test_after_entries_closed(self, desk):
        division = DivisionFactory(event=desk.division.event)
        with time_machine.travel(division.event.entries_close + timedelta(seconds=1), tick=False):
            desk.client.force_login(desk.entry.rider.user)
            page = desk.client.post(f"/riding/enter/{division.pk}/", ENTER)

        assertContains(page, "Entries closed on")
        assert not Entry.objects.filter(division=division).exists()

    def test_a_hidden_event_is_not_found(self, desk):
        division = DivisionFactory(event__is_public=False)

        assert desk.client.get(f"/riding/enter/{division.pk}/").status_code == 404


class TestOwnTricks:
    FORM = {
        "name": "Reed spin", "family": "spin", "approach": "heelside", "takeoff": "wake to wake",
        "rotation": "360", "direction": "backside", "tier": "6",
    }  # fmt: skip

    def test_success_and_planned(self, desk):
        desk.client.post("/riding/tricks/", self.FORM)

        assert OwnTrick.objects.get().trick.rotation == 360
        page = desk.post("Reed spin; switch reed spin indy", "")
        assertNotContains(page, "not understood")

    @pytest.mark.parametrize(
        ("change", "sentence"),
        [
            ({"name": "HS backroll"}, "The vocabulary has a trick called HS backroll already."),
            ({"name": "one, two"}, "Leave out the signs"),
            ({"name": "switch"}, "could not be read"),
            ({"rotation": "200"}, "steps of 180 degrees"),
            ({"direction": "none"}, "A turn of 360 degrees has a direction."),
            ({"rotation": "0"}, "Without a turn there is no direction"),
            ({"tier": "11"}, "less than or equal to 10"),
            ({"name": "x" * 61}, "at most 60 characters"),
        ],
    )
    def test_mistakes(self, desk, change, sentence):
        page = desk.client.post("/riding/tricks/", {**self.FORM, **change})

        assertContains(page, sentence)
        assert not OwnTrick.objects.exists()

    def test_a_name_of_ones_own_twice(self, desk):
        desk.client.post("/riding/tricks/", self.FORM)

        assertContains(desk.client.post("/riding/tricks/", self.FORM), "There is a trick called Reed spin")

    def test_limits_look_at_its_attributes(self, desk):
        desk.client.post("/riding/tricks/", {**self.FORM, "name": "Reed flip", "invert": "on"})

        page = desk.post("HS backroll; Tantrum; Reed flip", "")

        assertContains(page, "No more than two inverts")

    def test_remove(self, desk):
        desk.client.post("/riding/tricks/", self.FORM)
        trick = OwnTrick.objects.get()

        desk.client.post(f"/riding/tricks/{trick.pk}/remove/")

        assert not OwnTrick.objects.exists()

    def test_somebody_elses_cannot_be_removed(self, desk):
        other = EntryFactory().rider
        trick = OwnTrick.objects.create(rider=other, name="x y", family="spin", approach="either")

        assert desk.client.post(f"/riding/tricks/{trick.pk}/remove/").status_code == 404


class TestHome:
    def test_queries_are_flat(self, desk, django_assert_max_num_queries):
        def count() -> int:
            with django_assert_max_num_queries(50) as asked:
                assert desk.client.get("/riding/").status_code == 200
            return len(asked)

        few = count()
        for _ in range(6):
            EntryFactory(rider=desk.entry.rider, division=EditionFactory().division)

        assert count() == few

    def test_what_is_open(self, desk):
        page = desk.client.get("/riding/")

        assertContains(page, "Not declared yet")
        assertContains(page, f"/riding/entries/{desk.entry.pk}/plan/")
