"""Who may say yes to an invitation, and how it ends."""

import re
from datetime import timedelta

import time_machine
from django.contrib.auth.models import User
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains

from events.invitations import GOOD_FOR, invite
from events.models import Act, Invitation, Official
from events.sign_in import BY_MAIL
from tests.events.invitation_desk import (
    ADDRESS,
    event,
    link,
    organiser,
    people,
    somebody,
    visitor,
)
from tests.factories import (
    PASSWORD,
    EventFactory,
    OfficialFactory,
    UserFactory,
)

__all__ = ["event", "link", "organiser", "people"]  # fixtures


class TestSayingYes:
    def test_somebody_with_an_account(self, event, organiser, link):
        user = somebody()
        client = visitor(user)
        page = client.get(link, follow=True)
        assertContains(page, f"Will you sit at the table of {event}?")

        answer = client.post("/invitation/", follow=True)

        assert answer.redirect_chain[-1][0] == "/table/"
        office = user.offices.get()
        assert (office.role, office.event, office.club) == ("table", event, event.club)
        assert not Invitation.objects.exists()
        act = event.acts.first()
        assert (act.user, act.what) == (user, f"Took the role Table for {event}, as invited.")
        assert client.get(f"/table/{event.slug}/").status_code == 200
        assert client.get(people(event)).status_code == 403

    def test_once_only(self, event, organiser, link):
        client = visitor(somebody())
        client.get(link)
        client.post("/invitation/")

        assert client.get(link).status_code == 410
        assert client.post("/invitation/").status_code == 410
        assert Official.objects.filter(role="table").count() == 1

    def test_somebody_without_an_account_makes_one(self, event, organiser, link):
        """The address is filled in, and the way leads back to the invitation."""
        client = visitor()
        page = client.get(link, follow=True).text
        (join,) = re.findall(r'href="(/join/[^"]+)"', page)
        assert link.split("/")[3] not in page  # the secret goes no further
        form = client.get(join)
        assertContains(form, f'value="{ADDRESS}"')
        data = {
            "given_name": "Tilda", "family_name": "Moss", "foot": "left", "email": ADDRESS,
            "password": PASSWORD,
        }  # fmt: skip
        answer = client.post(join, data)

        assert (answer.status_code, answer.url) == (302, "/invitation/")
        client.post("/invitation/")
        assert User.objects.get(username=ADDRESS).offices.get().event == event

    def test_somebody_who_signs_in_first(self, event, organiser, link):
        user = UserFactory(username=ADDRESS, email=ADDRESS)
        client = visitor()
        page = client.get(link, follow=True).text
        (sign_in,) = re.findall(r'href="(/sign-in/\?next[^"]+)"', page)
        answer = client.post(sign_in, {"username": ADDRESS, "password": PASSWORD})
        assert answer.url == "/invitation/"

        client.post("/invitation/")

        assert user.offices.get().role == "table"

    def test_not_by_who_it_was_passed_on_to(self, event, organiser, link):
        """The link alone is not enough: the account has to have the invited address."""
        other = somebody("else@example.org")
        client = visitor(other)

        page = client.get(link, follow=True)
        assertContains(page, "This invitation was sent to tilda@example.org")
        assertNotContains(page, "Yes, I take the role")
        client.post("/invitation/")

        assert not other.offices.exists()
        assert Invitation.objects.exists()

    def test_not_by_the_address_alone(self, event, organiser, link):
        """An account of the address is not enough: signing up proves no address."""
        user = somebody()
        client = visitor(user)

        assert client.get("/invitation/").status_code == 410
        assert client.post("/invitation/").status_code == 410
        assert not user.offices.exists()

    def test_not_signed_in_takes_nothing(self, event, organiser, link):
        client = visitor()
        client.get(link)

        answer = client.post("/invitation/")

        assert answer.status_code == 302
        assert answer.url.startswith("/sign-in/")
        assert Invitation.objects.exists()

    def test_not_by_who_came_by_the_link_in_an_entry_mail(self, event, organiser, link):
        """That link is passed on too easily for a role."""
        user = somebody()
        client = visitor(user)
        session = client.session
        session[BY_MAIL] = True
        session.save()
        client.get(link)

        answer = client.post("/invitation/")

        assert answer.url.startswith("/sign-in/link/")
        assert not user.offices.exists()

    def test_not_after_two_weeks(self, event, organiser, link):
        user = somebody()
        early, late = visitor(user), visitor(user)
        early.get(link)
        with time_machine.travel(timezone.now() + GOOD_FOR + timedelta(minutes=1)):
            late.force_login(user)
            assert late.get(link).status_code == 410
        Invitation.objects.update(good_until=timezone.now())
        assert early.post("/invitation/").status_code == 410
        assert not user.offices.exists()

    def test_not_once_it_was_taken_back_while_it_was_read(self, event, organiser, link):
        client = visitor(somebody())
        client.get(link)
        Invitation.objects.all().delete()

        assert client.post("/invitation/").status_code == 410
        assert not Official.objects.filter(role="table").exists()

    def test_who_got_the_role_meanwhile_keeps_one(self, event, organiser, link):
        user = somebody()
        OfficialFactory(club=event.club, event=event, user=user, role="table")
        client = visitor(user)
        client.get(link)
        client.post("/invitation/")

        assert user.offices.count() == 1
        assert not Invitation.objects.exists()

    def test_guessing_links_ends(self, event, settings):
        settings.RATE_LIMITS = True
        client = visitor()
        answers = [client.get(f"/key/role/none{n}/").status_code for n in range(62)]
        assert answers[-1] == 429


def test_erasing_takes_invitations_of_the_address_along(client, db):
    """No table names the person any more."""
    event = EventFactory()
    by = OfficialFactory(club=event.club).user
    user = somebody()
    invite(club=event.club, event=None, role="dock", email=ADDRESS, by=by)
    client.force_login(user)

    client.post("/account/erase/", {"word": "erase"})

    assert not Invitation.objects.exists()
    assert not Act.objects.filter(what__contains=ADDRESS).exists()
