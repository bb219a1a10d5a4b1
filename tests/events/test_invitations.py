"""Inviting somebody by e-mail: the page of people, the letter, and the link."""

from datetime import timedelta

import pytest
import time_machine
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains

from events.invitations import GOOD_FOR, KEPT_FOR, find, invite
from events.models import Act, Invitation, Letter, Official
from tests.events.invitation_desk import (
    ADDRESS,
    asked,
    event,
    link,
    link_of,
    organiser,
    people,
    visitor,
)
from tests.factories import (
    EventFactory,
    OfficialFactory,
    UserFactory,
)

__all__ = ["event", "link", "organiser", "people"]  # fixtures


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
