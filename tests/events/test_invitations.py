"""Inviting somebody by e-mail: the letter, the link, who may say yes, and how it ends."""

import re
from datetime import timedelta

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains

from events.invitations import GOOD_FOR, KEPT_FOR, find, invite
from events.models import Act, Event, Invitation, Letter, Official
from events.sign_in import BY_MAIL
from tests.factories import (
    PASSWORD,
    EventFactory,
    OfficialFactory,
    RiderFactory,
    UserFactory,
)

ADDRESS = "tilda@example.org"


@pytest.fixture(params=[True, False], ids=["with a mail server", "without"])
def event(request, db, settings) -> Event:
    settings.POST_IS_SENT = request.param
    return EventFactory()


@pytest.fixture
def organiser(client: Client, event: Event) -> User:
    user: User = OfficialFactory(club=event.club, user__first_name="Mirke").user
    client.force_login(user)
    return user


def people(event: Event) -> str:
    return f"/organise/clubs/{event.club.slug}/people/"


def asked(here: Event, **more: object) -> dict[str, object]:
    return {"username": ADDRESS, "role": "table", "event": here.pk, **more}


def link_of(letter: Letter) -> str:
    found = re.search(r"/key/role/\w+/", letter.text)
    assert found
    return found[0]


@pytest.fixture
def link(client, event, organiser) -> str:
    """The link in the letter that was written for the address."""
    client.post(people(event), asked(event))
    return link_of(Letter.objects.get(to=ADDRESS))


def somebody(email: str = ADDRESS) -> User:
    user: User = RiderFactory(user__username=email, user__email=email).user
    return user


def visitor(user: User | None = None) -> Client:
    client = Client()
    if user:
        client.force_login(user)
    return client


class TestInviting:
    def test_an_address_gets_a_letter_and_no_role_yet(self, client, event, organiser):
        answer = client.post(people(event), asked(event, username="Tilda@Example.org"))

        assert answer.status_code == 302
        held = event.club.invitations.get()
        assert (held.email, held.role, held.event) == (ADDRESS, "table", event)
        assert held.letter is not None
        assert "Mirke asks you" in held.letter.text
        assert "Table" in held.letter.text
        assert held.letter.event == event
        assert event.club.officials.count() == 1
        assert event.acts.first().what == f"Invited {ADDRESS} to the role Table for {event}."

    def test_an_account_is_not_told_from_none(self, client, event, organiser):
        """Whoever organises a club cannot find out who has an account here."""
        UserFactory(username=ADDRESS, email=ADDRESS)
        one = client.post(people(event), asked(event), follow=True).text
        two = client.post(people(event), asked(event, username="none@example.org"), follow=True)

        said = "is invited, and has the role once the letter is answered."
        assert f"{ADDRESS} {said}" in one
        assertContains(two, f"none@example.org {said}")
        assert not Official.objects.filter(role="table").exists()

    def test_a_user_name_gets_the_role_at_once_for_the_event_alone(
        self, client, event, organiser
    ):
        user = UserFactory(username="bram")

        client.post(people(event), asked(event, username="bram"))

        assert user.offices.get().event == event
        assert not Invitation.objects.exists()
        said = event.acts.first().what
        assert said == f"Gave bram the role Table for {event}."

    def test_events_of_other_clubs_cannot_be_chosen(self, client, event, organiser):
        answer = client.post(people(event), asked(event, event=EventFactory().pk))

        assertContains(answer, "Select a valid choice")
        assertContains(answer, f'value="{ADDRESS}"')
        assert not Invitation.objects.exists()

    @pytest.mark.parametrize("typed", ["tilda@", "@example.org", "a b@example.org"])
    def test_what_is_no_address_is_refused(self, client, event, organiser, typed):
        assertContains(client.post(people(event), asked(event, username=typed)), "valid email")
        assert not Letter.objects.exists()

    def test_who_has_the_role_already_is_not_invited(self, client, event, organiser):
        OfficialFactory(
            club=event.club, event=event, user__email="Tilda@example.org", role="table"
        )
        answer = client.post(people(event), asked(event))

        assertContains(answer, "This person has the role already.")
        assert not Letter.objects.exists()

    def test_a_second_invitation_ends_the_first(self, client, event, organiser, link):
        client.post(people(event), asked(event))

        held = Invitation.objects.get()
        assert find(link.split("/")[3]) is None
        assert held.letter is not None
        assert find(link_of(held.letter).split("/")[3]) == held
        assert Letter.objects.filter(to=ADDRESS).count() == 1  # the first was not read yet

    def test_the_same_address_may_get_several_roles(self, client, event, organiser, link):
        client.post(people(event), asked(event, event=""))
        client.post(people(event), asked(event, role="dock"))

        assert Invitation.objects.count() == 3

    def test_no_flood_of_letters(self, client, event, organiser, settings):
        settings.RATE_LIMITS = True
        answers = [
            client.post(people(event), asked(event, username=f"p{n}@example.org")).status_code
            for n in range(32)
        ]
        assert answers.count(302) == 30
        assert answers[-1] == 429

    def test_addresses_do_not_stay_for_ever(self, client, event, organiser, link):
        later = timezone.now() + GOOD_FOR + KEPT_FOR + timedelta(days=1)
        with time_machine.travel(later, tick=False):
            invite(
                club=event.club, event=None, role="dock", email="b@example.org", by=organiser
            )

        assert [each.email for each in Invitation.objects.all()] == ["b@example.org"]


class TestThePage:
    def test_what_waits_is_shown_with_its_letter(self, client, event, organiser, link):
        letter = Letter.objects.get(to=ADDRESS)

        answer = client.get(people(event))

        assertContains(answer, ADDRESS)
        assertContains(answer, f"/organise/clubs/{event.club.slug}/post/{letter.pk}/")
        assertContains(answer, letter.get_state_display())
        assertNotContains(answer, link)

    def test_what_has_run_out_is_said(self, client, event, organiser, link):
        Invitation.objects.update(good_until=timezone.now() - timedelta(minutes=1))

        assertContains(client.get(people(event)), "<strong>run out</strong>")

    def test_as_many_queries_for_many(
        self, client, event, organiser, link, django_assert_max_num_queries
    ):
        for n in range(10):
            OfficialFactory(club=event.club, event=EventFactory(club=event.club), role="dock")
            invite(
                club=event.club, event=event, role="dock", email=f"p{n}@example.org",
                by=organiser,
            )  # fmt: skip
        with django_assert_max_num_queries(8):
            client.get(people(event))

    def test_taken_back(self, client, event, organiser, link):
        held = Invitation.objects.get()
        client.post(f"{people(event)}invited/{held.pk}/end/")

        assert not Invitation.objects.exists()
        assert not Letter.objects.filter(to=ADDRESS).exists()  # nobody had read it
        assert visitor().get(link).status_code == 410
        said = event.acts.first().what
        assert said == f"Took back the invitation of {ADDRESS}: Table for {event}."

    def test_invited_again(self, client, event, organiser, link):
        held = Invitation.objects.get()
        Invitation.objects.update(good_until=timezone.now() - timedelta(days=1))
        client.post(f"{people(event)}invited/{held.pk}/again/")

        anew = Invitation.objects.get()
        assert not anew.is_over
        assert visitor().get(link).status_code == 410

    def test_another_clubs_organiser_cannot_touch_it(self, event, organiser, link):
        held = Invitation.objects.get()
        other = OfficialFactory()
        client = visitor(other.user)
        for act in ("again", "end"):
            ours = f"{people(event)}invited/{held.pk}/{act}/"
            theirs = f"/organise/clubs/{other.club.slug}/people/invited/{held.pk}/{act}/"
            assert client.post(ours).status_code == 403
            assert client.post(theirs).status_code == 404
        assert Invitation.objects.get() == held


class TestTheLetter:
    def test_the_link_is_hidden_from_organisers_who_have_a_mail_server(
        self, client, event, organiser, link, settings
    ):
        letter = Letter.objects.get(to=ADDRESS)
        address = f"/organise/clubs/{event.club.slug}/post/{letter.pk}/"

        assertNotContains(client.get(address), link)
        shown = client.post(address)

        if settings.POST_IS_SENT:
            assertNotContains(shown, link)
        else:
            assertContains(shown, link)
            assert f"which invites {ADDRESS}." in Act.objects.first().what

    def test_no_digest_is_a_link(self, event, organiser, link):
        assert Invitation.objects.get().token_hash not in link
        assert (
            visitor().get(f"/key/role/{Invitation.objects.get().token_hash}/").status_code
            == 410
        )


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
