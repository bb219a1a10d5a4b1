"""Links in entry mails: whom they let in, where they lead, when they end."""

from datetime import timedelta

import pytest
import time_machine
from django.urls import reverse
from django.utils import timezone

from events.models import Letter
from events.post import end_links, link_for, links_for, read_link
from tests.factories import (
    OfficialFactory,
    RiderFactory,
    UserFactory,
)


@pytest.mark.django_db
class TestLinks:
    def test_a_link_leads_on(self, settings):
        settings.SITE_URL = "https://lake.example"
        user = RiderFactory().user

        link = link_for(user, "/riding/?x=1")

        assert link.startswith("https://lake.example/key/in/")
        assert read_link(link.split("/")[-2]) == (user, "/riding/?x=1")

    @pytest.mark.parametrize(
        "path", ["https://other.example/", "//other.example", "riding/", "/\\other.example"]
    )
    def test_it_leads_nowhere_else(self, path):
        with pytest.raises(ValueError, match="path of this site"):
            link_for(UserFactory(), path)

    def test_it_ends_after_a_month_and_when_the_user_says_so(self):
        user = UserFactory()
        token = link_for(user, "/riding/").split("/")[-2]
        with time_machine.travel(timezone.now() + timedelta(days=29, hours=23)):
            assert read_link(token)
        with time_machine.travel(timezone.now() + timedelta(days=30, minutes=1)):
            assert read_link(token) is None

        end_links(user)

        assert read_link(token) is None
        assert read_link(link_for(user, "/riding/").split("/")[-2])

    @pytest.mark.parametrize("token", ["", "abc", "WzEsInh4IiwiLyJd:1abc:xxxx"])
    def test_a_made_up_one_opens_nothing(self, token):
        assert read_link(token) is None

    def test_whoever_holds_an_office_gets_none(self, settings):
        user = UserFactory()
        token = link_for(user, "/riding/").split("/")[-2]

        OfficialFactory(user=user)

        assert link_for(user, "/riding/") == f"{settings.SITE_URL}/riding/"
        assert read_link(token) is None

    def test_many_cost_as_much_as_one(self, django_assert_num_queries):
        for count in (1, 9):
            users = UserFactory.create_batch(count)
            with django_assert_num_queries(4):
                links = links_for([(user, "/riding/") for user in users])
            assert len(set(links)) == count

    def test_it_starts_with_the_address_that_the_visitor_used(self, client, settings):
        settings.ALLOWED_HOSTS = ["lake.example"]
        rider = RiderFactory()
        client.post(
            reverse("sign-in-link"), {"who": rider.user.email}, headers={"host": "lake.example"}
        )

        assert "http://lake.example/key/once/" in Letter.objects.get().text
