"""Tricks that a club adds to the vocabulary for the riders of its events."""

import pytest
from django.test import Client
from pytest_django.asserts import assertContains, assertNotContains

from events.made_tricks import vocabulary_with
from events.models import Act, Club, ClubTrick
from riders.models import OwnTrick
from riders.services import vocabulary_of
from tests.factories import ClubFactory, OfficialFactory, RiderFactory

FORM = {
    "name": "Reed flip", "family": "tantrum", "approach": "toeside", "takeoff": "wake to wake",
    "rotation": "0", "direction": "none", "invert": "on", "tier": "6",
}  # fmt: skip


@pytest.fixture
def club(db, client: Client) -> Club:
    """A club whose organiser is signed in."""
    official = OfficialFactory()
    client.force_login(official.user)
    return official.club


def address(club: Club) -> str:
    return f"/organise/clubs/{club.slug}/tricks/"


class TestAdd:
    def test_success(self, club, client):
        client.post(address(club), FORM)

        page = client.get(address(club))
        assertContains(page, "Reed flip")
        assertContains(page, "tantrum, toeside, wake to wake, invert")
        assert Act.objects.filter(what="Added the trick Reed flip.").exists()

    @pytest.mark.parametrize(
        ("change", "sentence"),
        [
            ({"name": "Tantrum"}, "The vocabulary has a trick called Tantrum already."),
            ({"name": "a | b"}, "Leave out the signs"),
            ({"rotation": "90"}, "steps of 180 degrees"),
            ({"family": "jump"}, "not one of the available choices"),
        ],
    )
    def test_mistakes(self, club, client, change, sentence):
        page = client.post(address(club), {**FORM, **change})

        assertContains(page, sentence)
        assert not ClubTrick.objects.exists()

    def test_twice(self, club, client):
        client.post(address(club), FORM)

        assertContains(client.post(address(club), FORM), "There is a trick called Reed flip")

    def test_another_clubs_organiser(self, club, client):
        assert client.post(address(ClubFactory()), FORM).status_code == 403


class TestUse:
    def test_riders_of_the_club_can_plan_it(self, club, client):
        client.post(address(club), FORM)
        rider = RiderFactory()

        assert vocabulary_of(rider, club).find("reed flip").invert
        assert vocabulary_of(rider).find("reed flip") is None

    def test_the_clubs_trick_wins_over_a_riders_own(self, club, client):
        client.post(address(club), FORM)
        rider = RiderFactory()
        OwnTrick.objects.create(rider=rider, name="reed flip", family="spin", approach="either")

        assert vocabulary_of(rider, club).find("reed flip").invert
        assert not vocabulary_of(rider).find("reed flip").invert

    def test_one_bad_name_leaves_the_others(self, club):
        ClubTrick.objects.create(club=club, name="Tantrum", family="spin", approach="either")
        ClubTrick.objects.create(club=club, name="Reed hop", family="ollie", approach="either")

        joined = vocabulary_with(club.tricks.all())

        assert joined.find("Tantrum").family == "tantrum"
        assert joined.find("Reed hop").family == "ollie"

    def test_listed_on_request(self, club, client):
        client.post(address(club), FORM)
        client.get(address(club))  # shows the message that names it

        assertNotContains(client.get("/tricks/"), "Reed flip")
        assertContains(client.get(f"/tricks/?club={club.slug}"), "Reed flip")
        assertContains(client.get("/tricks/"), "Clubs have added tricks of their own")

    def test_remove(self, club, client):
        client.post(address(club), FORM)
        trick = ClubTrick.objects.get()

        client.post(f"{address(club)}{trick.pk}/remove/")

        assert not ClubTrick.objects.exists()
