"""The account page: name, address, devices."""

from datetime import timedelta

import pytest
import time_machine
from django.test import Client
from django.utils import timezone
from pytest_django.asserts import assertContains, assertRedirects

from events.models import Letter
from events.post import link_for
from riders.models import (
    Rider,
)
from tests.events.letters import link_in
from tests.factories import PASSWORD, OfficialFactory, RiderFactory, UserFactory


@pytest.fixture
def rider(db) -> Rider:
    user = UserFactory(username="ilka@example.org", email="ilka@example.org", first_name="Ilka")
    return RiderFactory(
        user=user, given_name="Ilka", family_name="Reedwater", club_name="Reed Club"
    )


@pytest.fixture
def served(settings):
    settings.POST_IS_SENT = True


@pytest.fixture
def mine(client, rider) -> Client:
    client.force_login(rider.user)
    return client


class TestPage:
    def test_what_it_shows(self, mine, django_assert_num_queries):
        with django_assert_num_queries(4):
            page = mine.get("/account/")

        for words in (
            "Ilka Reedwater",
            "ilka@example.org",
            "Change my password",
            "Download my data",
        ):
            assertContains(page, words)

    def test_an_official_without_a_rider(self, client, db):
        client.force_login(OfficialFactory().user)

        assertContains(client.get("/account/"), "Say how you ride")
        assert client.get("/account/my-data.json").status_code == 200

    @pytest.mark.parametrize("page", ["", "e-mail/", "erase/", "my-data.json"])
    def test_only_for_who_is_signed_in(self, client, db, page):
        assertRedirects(client.get(f"/account/{page}"), f"/sign-in/?next=/account/{page}")

    def test_sign_out_everywhere(self, mine, rider):
        other, stranger = Client(), Client()
        other.force_login(rider.user)
        stranger.force_login(UserFactory())
        link = link_for(rider.user, "/riding/").split("8000")[-1]

        mine.post("/account/sign-out-everywhere/")

        assert mine.get("/account/").status_code == 302
        assert other.get("/account/").status_code == 302
        assert stranger.get("/account/").status_code == 200
        assert Client().get(link).status_code == 410

    def test_a_button_is_needed(self, mine):
        assert mine.get("/account/sign-out-everywhere/").status_code == 405
        assert mine.get("/account/links/end/").status_code == 405


class TestAddress:
    def test_the_new_one_holds_once_it_has_answered(self, mine, rider, served):
        mine.post("/account/e-mail/", {"email": "New@Example.org"})
        rider.user.refresh_from_db()
        assert rider.user.email == "ilka@example.org"
        letter = Letter.objects.get()
        assert (letter.to, letter.personal) == ("new@example.org", True)
        link = link_in(letter)
        assertContains(Client().get(link), "Is new@example.org yours?")

        Client().post(link)

        rider.user.refresh_from_db()
        assert (rider.user.email, rider.user.username) == ("new@example.org", "new@example.org")
        assert Client().login(username="new@example.org", password=PASSWORD)
        assert Letter.objects.latest("pk").to == "ilka@example.org"  # the old one is told
        assert Client().post(link).status_code == 410

    def test_a_user_name_of_ones_own_stays(self, client, db, served):
        user = UserFactory(username="table-one")
        client.force_login(user)
        client.post("/account/e-mail/", {"email": "new@example.org"})
        client.post(link_in(Letter.objects.get()))

        user.refresh_from_db()
        assert (user.username, user.email) == ("table-one", "new@example.org")

    def test_an_address_of_somebody_else_gives_nothing_away(self, mine, rider, served):
        UserFactory(username="taken@example.org", email="taken@example.org")

        page = mine.post("/account/e-mail/", {"email": "taken@example.org"}, follow=True)

        assertContains(page, "Look for a letter at taken@example.org")
        assert "has an account already" in Letter.objects.get().text
        assert "/key/" not in Letter.objects.get().text

    def test_an_address_that_was_taken_meanwhile(self, mine, rider, served):
        mine.post("/account/e-mail/", {"email": "new@example.org"})
        UserFactory(username="new@example.org", email="new@example.org")

        assert mine.post(link_in(Letter.objects.get())).status_code == 410
        rider.user.refresh_from_db()
        assert rider.user.email == "ilka@example.org"

    def test_the_link_ends_after_a_day(self, mine, rider, served):
        mine.post("/account/e-mail/", {"email": "new@example.org"})
        with time_machine.travel(timezone.now() + timedelta(days=1, minutes=1)):
            assert mine.post(link_in(Letter.objects.get())).status_code == 410

    def test_without_a_mail_server_it_holds_at_once(self, mine, rider):
        UserFactory(username="taken@example.org", email="taken@example.org")

        page = mine.post("/account/e-mail/", {"email": "taken@example.org"})
        assertContains(page, "There is an account with this e-mail already")
        assertContains(page, 'value="taken@example.org"')
        mine.post("/account/e-mail/", {"email": "new@example.org"})

        rider.user.refresh_from_db()
        assert rider.user.email == "new@example.org"

    @pytest.mark.parametrize(
        ("typed", "said"),
        [
            ("", "This field is required"),
            ("ilka", "valid email"),
            ("ILKA@example.org", "your address already"),
        ],
    )
    def test_mistakes(self, mine, typed, said):
        page = mine.post("/account/e-mail/", {"email": typed})

        assertContains(page, said)
        assertContains(page, typed)
