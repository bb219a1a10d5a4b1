"""Signing in by links and passwords: once, soon, the right person, and nothing given away."""

from datetime import timedelta

import pytest
import time_machine
from django.core import mail
from django.test import Client
from django.utils import timezone
from pytest_django.asserts import assertContains, assertRedirects

from events.models import Letter
from events.post import link_for
from tests.events.letters import link_in
from tests.factories import PASSWORD, OfficialFactory, RiderFactory, UserFactory


@pytest.fixture
def rider(db):
    return RiderFactory(user=UserFactory(username="ilka@example.org", email="ilka@example.org"))


@pytest.fixture
def served(settings, db):
    settings.POST_IS_SENT = True


def ask(client, who="ilka@example.org", query="") -> str:
    """Ask for a link; returns its path."""
    client.post(f"/sign-in/link/{query}", {"who": who})
    return link_in(Letter.objects.latest("pk"))


def signed_in(client) -> str | None:
    return client.session.get("_auth_user_id")


class TestLinkThatWorksOnce:
    def test_it_signs_in_once(self, client, rider):
        link = ask(client)

        assertContains(client.get(link), "Sign in as ilka@example.org")
        assert signed_in(client) is None
        assertRedirects(client.post(link), "/riding/")
        assert signed_in(client) == str(rider.user.pk)

        other = Client()
        assert other.get(link).status_code == 410
        assertContains(other.post(link), "This link works no more", status_code=410)
        assert signed_in(other) is None

    def test_looking_does_not_use_it_up(self, client, rider):
        """Mail programs look into links before people press them."""
        link = ask(client)
        for _ in range(3):
            Client().get(link)
            Client().head(link)

        client.post(link)

        assert signed_in(client)

    @pytest.mark.parametrize(("minutes", "works"), [(29, True), (31, False)])
    def test_it_ends_after_half_an_hour(self, client, rider, minutes, works):
        link = ask(client)
        with time_machine.travel(timezone.now() + timedelta(minutes=minutes)):
            client.post(link)
            assert bool(signed_in(client)) is works

    def test_it_ends_with_any_other_sign_in_a_new_password_and_a_new_address(
        self, client, rider
    ):
        link = ask(client)
        Client().login(username="ilka@example.org", password=PASSWORD)
        assert client.get(link).status_code == 410

        link = ask(client)
        rider.user.refresh_from_db()
        rider.user.set_password("another-harbour-18")
        rider.user.save()
        assert client.get(link).status_code == 410

        link = ask(client)
        rider.user.email = "else@example.org"
        rider.user.save()
        assert client.get(link).status_code == 410

    def test_a_newer_letter_takes_the_place_of_one_that_was_not_read(self, client, rider):
        ask(client)
        ask(client)

        assert Letter.objects.count() == 1

    def test_a_closed_account_gets_none_and_its_link_ends(self, client, rider):
        link = ask(client)
        rider.user.is_active = False
        rider.user.save()

        assert client.get(link).status_code == 410
        client.post("/sign-in/link/", {"who": "ilka@example.org"})
        assert Letter.objects.count() == 1

    @pytest.mark.parametrize("token", ["x", "AAAAAAAA", "ä"])
    def test_a_made_up_link(self, client, db, token):
        assert client.get(f"/key/once/{token}/").status_code == 410
        assert client.get(f"/key/in/{token}/").status_code == 410
        assert client.get(f"/key/email/{token}/").status_code == 410

    def test_it_goes_on_to_where_the_person_wanted(self, client, rider):
        link = ask(client, query="?next=/riding/log/")

        assertRedirects(client.post(link), "/riding/log/")

    @pytest.mark.parametrize(
        "target", ["https://other.example/", "//other.example", "javascript:alert(1)"]
    )
    def test_it_leads_nowhere_else(self, client, rider, target):
        link = ask(client, query=f"?next={target}")
        assert "other.example" not in link
        query = "&" if "?" in link else "?"

        assertRedirects(client.post(f"{link}{query}next={target}"), "/riding/")


class TestNothingIsGivenAway:
    def test_the_answer_is_the_same_for_everybody(self, client, rider):
        answers = [
            client.post("/sign-in/link/", {"who": who}, follow=True).content
            for who in ("ilka@example.org", "nobody@example.org")
        ]

        assert Letter.objects.count() == 1
        assert len({_without_tokens(each) for each in answers}) == 1

    def test_the_answer_does_not_wait_for_the_mail_server(
        self, client, rider, served, django_capture_on_commit_callbacks, monkeypatch
    ):
        """Else the time it takes would tell; the letter leaves when the answer is closed."""
        seen = []
        monkeypatch.setattr(
            "events.site._put_off",
            lambda response, works: seen.append((len(mail.outbox), len(works))),
        )
        with django_capture_on_commit_callbacks() as callbacks:
            client.post("/sign-in/link/", {"who": "ilka@example.org"})
        assert len(callbacks) == 1
        assert mail.outbox == []

    @pytest.mark.django_db(transaction=True)
    def test_it_leaves_after_the_answer(self, client, settings):
        settings.POST_IS_SENT = True
        RiderFactory(user=UserFactory(username="ilka@example.org", email="ilka@example.org"))

        client.post("/sign-in/link/", {"who": "Ilka@Example.org"})

        assert len(mail.outbox) == 1
        assert "/key/once/" in mail.outbox[0].body
        letter = Letter.objects.get()
        assert letter.state == Letter.State.SENT
        assert "/key/once/" not in letter.text

    def test_a_new_password_as_well(self, client, rider, served):
        answers = [
            client.post("/password/forgotten/", {"who": who}, follow=True).content
            for who in ("ilka@example.org", "nobody@example.org")
        ]

        assert len({_without_tokens(each) for each in answers}) == 1
        assert Letter.objects.get().personal

    def test_too_many_letters_are_refused(self, client, rider):
        for _ in range(6):
            assert client.post("/sign-in/link/", {"who": "ilka@example.org"}).status_code == 302
        assert client.post("/sign-in/link/", {"who": "ilka@example.org"}).status_code == 429

    def test_what_was_typed_stays(self, client, db):
        page = client.post("/sign-in/link/", {"who": ""})

        assertContains(page, "Write the e-mail address of your account.")


def _without_tokens(page: bytes) -> str:
    text = page.decode()
    return "\n".join(line for line in text.splitlines() if "csrf" not in line.lower())


class TestLinkInAnEntryMail:
    @pytest.fixture
    def link(self, rider):
        return link_for(rider.user, "/riding/log/").split("8000")[-1]

    def test_it_signs_in_and_goes_on_again_and_again(self, client, rider, link):
        assertContains(client.get(link), "Sign in as")
        assertRedirects(client.post(link), "/riding/log/")
        assertRedirects(client.get(link), "/riding/log/")  # the same person again
        assert Client().post(link).status_code == 302

    def test_it_says_whose_place_it_takes(self, client, link):
        client.force_login(UserFactory(username="somebody-else"))

        assertContains(client.get(link), "You are signed in as somebody-else now")

    @pytest.mark.parametrize(
        "page", ["/account/e-mail/", "/account/erase/", "/account/my-data.json", "/password/"]
    )
    def test_it_is_no_proof_for_the_account_itself(self, client, rider, link, page):
        client.post(link)

        answer = client.get(page, follow=True)

        assertContains(answer, "You came by the link in an entry mail")
        assert answer.request["PATH_INFO"] == "/sign-in/link/"

        client.post(ask(client, query=f"?next={page}"))
        assert client.get(page).status_code == 200

    def test_it_ends_on_request(self, client, rider, link):
        client.post(link)
        client.post("/account/links/end/")

        assert signed_in(client) is None
        assert Client().get(link).status_code == 410

    def test_it_ends_with_a_new_password(self, client, rider, link):
        client.force_login(rider.user)
        client.post(
            "/password/",
            {
                "old_password": PASSWORD,
                "new_password1": "reed-harbour-18",
                "new_password2": "reed-harbour-18",
            },
        )

        assert Client().get(link).status_code == 410

    def test_not_for_who_holds_an_office(self, client, rider, link):
        OfficialFactory(user=rider.user)

        assert client.post(link).status_code == 410
