"""Passwords: changed, set for the first time, and set anew by who forgot theirs."""

from datetime import timedelta

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains

from events.models import Letter
from tests.events.letters import link_in
from tests.factories import PASSWORD, RiderFactory, UserFactory


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


class TestPasswords:
    NEW = {"new_password1": "reed-harbour-18", "new_password2": "reed-harbour-18"}

    def test_a_weak_one_is_told_where_it_is_typed_first(self, client, rider):
        client.force_login(rider.user)
        weak = {"new_password1": "12345", "new_password2": "12345"}

        page = client.post("/password/", {"old_password": PASSWORD, **weak})

        errors = page.context["form"].errors
        assert "too short" in errors["new_password1"][0]
        assert "new_password2" not in errors

    def test_change(self, client, rider):
        other = Client()
        for each in (client, other):
            each.force_login(rider.user)

        page = client.post("/password/", {"old_password": PASSWORD, **self.NEW}, follow=True)

        assertContains(page, "Your new password holds")
        rider.user.refresh_from_db()
        assert rider.user.check_password("reed-harbour-18")
        assert client.get("/account/").status_code == 200
        assert other.get("/account/").status_code == 302

    @pytest.mark.parametrize(
        ("fields", "said"),
        [
            ({"old_password": "wrong", **NEW}, "old password was entered incorrectly"),
            (
                {"old_password": PASSWORD, "new_password1": "12345", "new_password2": "12345"},
                "too short",
            ),
            (
                {
                    "old_password": PASSWORD,
                    "new_password1": "reed-harbour-18",
                    "new_password2": "x",
                },
                "match",
            ),
            ({}, "This field is required"),
        ],
    )
    def test_mistakes(self, client, rider, fields, said):
        client.force_login(rider.user)

        assertContains(client.post("/password/", fields), said)
        rider.user.refresh_from_db()
        assert rider.user.check_password(PASSWORD)

    def test_a_first_one_for_who_has_none(self, client, rider):
        rider.user.set_unusable_password()
        rider.user.save()
        client.force_login(rider.user)

        assertNotContains(client.get("/password/"), "old_password")
        client.post("/password/", self.NEW)

        rider.user.refresh_from_db()
        assert rider.user.check_password("reed-harbour-18")

    def test_who_just_came_by_a_link_need_not_know_the_old_one(self, client, rider):
        client.post(ask(client))

        assertNotContains(client.get("/password/"), "old_password")
        client.post("/password/", self.NEW)
        assertContains(client.get("/password/"), "old_password")
        with time_machine.travel(timezone.now() + timedelta(minutes=31)):
            assertContains(client.get("/password/"), "old_password")

    def test_forgotten(self, client, rider, served):
        client.post("/password/forgotten/", {"who": "ILKA@example.org"})
        link = link_in(Letter.objects.get())
        page = client.get(link, follow=True)
        assertContains(page, "Choose a new password")

        done = client.post(page.request["PATH_INFO"], self.NEW, follow=True)

        assertContains(done, "Your new password holds")
        assert signed_in(client) == str(rider.user.pk)
        rider.user.refresh_from_db()
        assert rider.user.check_password("reed-harbour-18")
        assertContains(Client().get(link, follow=True), "This link works no more")

    def test_forgotten_link_ends_after_half_an_hour(self, client, rider, served):
        client.post("/password/forgotten/", {"who": "ilka@example.org"})
        link = link_in(Letter.objects.get())
        with time_machine.travel(timezone.now() + timedelta(minutes=31)):
            assertContains(client.get(link, follow=True), "This link works no more")

    def test_without_a_mail_server_another_way_is_told(self, client, db):
        assertContains(
            client.get("/password/forgotten/", follow=True), "This site sends no mail"
        )

    @pytest.mark.parametrize(
        "page", ["sign-in", "sign-in-link", "sign-in-link-sent", "password-forgotten-sent"]
    )
    def test_pages_cost_little(self, client, db, django_assert_max_num_queries, page):
        with django_assert_max_num_queries(1):
            client.get(reverse(page))
