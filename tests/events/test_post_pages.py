"""Who reads which letters, and what can be done with them."""

from datetime import timedelta

import pytest
from django.core import mail
from django.urls import reverse
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains

from events.models import Act, Letter, Official
from events.post import end_links, link_for, read_link
from events.post_delivery import deliver_due
from tests.events.letters import KEY_TEXT, State, write
from tests.factories import (
    DivisionFactory,
    EntryFactory,
    EventFactory,
    OfficialFactory,
    RiderFactory,
)


@pytest.fixture
def served(settings):
    """A site with a mail server; what it takes lands in `mail.outbox`."""
    settings.POST_IS_SENT = True


@pytest.fixture
def event(db):
    return EventFactory()


@pytest.fixture
def address(event, client) -> str:
    """The letters of the event's club, for a signed-in organiser."""
    client.force_login(OfficialFactory(club=event.club).user)
    return reverse("post", args=[event.club.slug])


def letter_page(letter, club) -> str:
    return reverse("letter", args=[club.slug, letter.pk])


class TestReading:
    def test_an_organiser_sees_the_letters_of_the_own_club(self, client, event, address):
        write(event=event, subject="About the reeds")
        other = write(event=EventFactory(), subject="About another lake")

        page = client.get(address)

        assertContains(page, "About the reeds")
        assertNotContains(page, "About another lake")
        assert client.get(letter_page(other, event.club)).status_code == 404

    @pytest.mark.parametrize("role", [Official.Role.TABLE, Official.Role.DOCK, None])
    def test_nobody_else_does(self, client, event, role):
        letter = write(event=event)
        official = OfficialFactory(
            role=role or "organiser", **({"club": event.club} if role else {})
        )
        client.force_login(official.user)

        assert client.get(reverse("post", args=[event.club.slug])).status_code == 403
        assert client.get(letter_page(letter, event.club)).status_code == 403
        again = reverse("letter-again", args=[event.club.slug, letter.pk])
        assert client.post(again).status_code == 403

    def test_filters(self, client, event, address):
        write(event=event, subject="Kept here")
        write(event=event, subject="Without address", to="")
        other = EventFactory(club=event.club)
        write(event=other, subject="Of the other event")

        assertNotContains(client.get(f"{address}?state=failed"), ">Kept here</a>")
        assertContains(client.get(f"{address}?state=failed"), "Without address")
        page = client.get(f"{address}?event={other.slug}&state=kept")
        assertContains(page, "1 letter.")
        assertContains(page, "Of the other event")
        assert client.get(f"{address}?state=nonsense&page=x").status_code == 200

    def test_as_many_questions_for_one_as_for_many(
        self, client, event, address, django_assert_num_queries
    ):
        for count in (1, 60):
            for number in range(count):
                write(event=event, subject=f"Number {number}")
            with django_assert_num_queries(8):
                client.get(address)

    def test_a_failure_is_told_with_its_reason(self, client, event, address):
        write(event=event, to="")

        page = client.get(address)

        assertContains(page, "1 letter could not be sent")
        assertContains(page, "There is no e-mail address")

    def test_send_again(
        self, client, event, address, served, django_capture_on_commit_callbacks
    ):
        letter = write(event=event)
        Letter.objects.update(state=State.FAILED, tries=7, error="away")

        with django_capture_on_commit_callbacks(execute=True):
            client.post(
                reverse("letter-again", args=[event.club.slug, letter.pk]), {"again": "yes"}
            )

        letter.refresh_from_db()
        assert (letter.state, letter.tries, letter.error) == (State.SENT, 1, "")
        assert Act.objects.filter(what__contains="sent again").exists()

    def test_send_again_goes_to_the_address_of_today_with_a_link_that_works(
        self, client, event, address, served, django_capture_on_commit_callbacks
    ):
        rider = EntryFactory(division=DivisionFactory(event=event)).rider
        link = link_for(rider.user, "/riding/log/")
        letter = write(event=event, to="", text=f"Go on: {link}\n", person=rider.user)
        rider.user.email = "mended@example.org"
        rider.user.save()
        end_links(rider.user)
        assertContains(
            client.get(letter_page(letter, event.club)), "Send again to mended@example.org"
        )

        with django_capture_on_commit_callbacks(execute=True):
            client.post(
                reverse("letter-again", args=[event.club.slug, letter.pk]), {"again": "yes"}
            )

        (sent,) = mail.outbox
        assert sent.to == ["mended@example.org"]
        token = sent.body.split("/key/in/")[1].split("/")[0]
        assert read_link(token) == (rider.user, "/riding/log/")

    def test_a_link_that_was_wiped_is_not_sent_again(self, client, event, address, served):
        letter = write(event=event, text=KEY_TEXT, good_for=timedelta(minutes=30))
        deliver_due()

        again = reverse("letter-again", args=[event.club.slug, letter.pk])

        assertContains(client.post(again, {"again": "yes"}, follow=True), "has run out")
        assert len(mail.outbox) == 1

    def test_passed_on_by_hand(self, client, event, address):
        letter = write(event=event)
        again = reverse("letter-again", args=[event.club.slug, letter.pk])

        page = client.post(again, {"by-hand": "yes"}, follow=True)

        assertContains(page, "Passed on by hand")
        assert Act.objects.filter(what__contains="by hand").exists()

    def test_there_is_nothing_to_send_with(self, client, event, address):
        letter = write(event=event)
        again = reverse("letter-again", args=[event.club.slug, letter.pk])

        assertContains(client.post(again, {"again": "yes"}, follow=True), "no mail server")
        letter.refresh_from_db()
        assert letter.state == State.KEPT


class TestLinksInLetters:
    """A link lets whoever has it act for the rider."""

    @pytest.fixture
    def rider(self, event):
        return EntryFactory(division=DivisionFactory(event=event)).rider

    @pytest.fixture
    def entered(self, event, rider):
        link = link_for(rider.user, "/riding/")
        return write(event=event, text=f"Go on: {link}\n", person=rider.user)

    def test_it_is_hidden_until_it_is_asked_for_and_that_is_recorded(
        self, client, event, address, entered
    ):
        page = letter_page(entered, event.club)

        assertNotContains(client.get(page), "/key/")
        assert not Act.objects.filter(what__contains="Looked at").exists()
        assertContains(client.post(page), "/key/in/")
        act = Act.objects.get(what__contains="Looked at the link")
        assert (act.event, act.club) == (event, event.club)

    def test_with_a_mail_server_it_stays_hidden(self, client, event, address, entered, served):
        page = letter_page(entered, event.club)

        assertNotContains(client.get(page), "/key/")
        assertNotContains(client.post(page), "/key/")

    def test_a_letter_to_sign_in_of_an_entered_rider(self, client, event, address, rider):
        letter = write(text=KEY_TEXT, person=rider.user, subject="Sign in")
        stranger = write(text=KEY_TEXT, person=RiderFactory().user, subject="A stranger")
        own = write(text=KEY_TEXT, person=rider.user, personal=True, subject="A new password")

        page = client.get(address)

        assertContains(page, "Sign in")
        assertNotContains(page, "A stranger")
        assertNotContains(page, "A new password")
        assertContains(client.post(letter_page(letter, event.club)), "/key/in/abc")
        for each in (stranger, own):
            assert client.post(letter_page(each, event.club)).status_code == 404

    def test_not_with_a_mail_server(self, client, event, address, rider, served):
        letter = write(text=KEY_TEXT, person=rider.user, subject="The way in")

        assertNotContains(client.get(address), "The way in")
        assert client.post(letter_page(letter, event.club)).status_code == 404

    def test_not_of_somebody_with_an_office(self, client, event, address, rider, entered):
        """Else an organiser of one club could act for an organiser of another."""
        letter = write(text=KEY_TEXT, person=rider.user)
        OfficialFactory(user=rider.user)

        assert client.post(letter_page(letter, event.club)).status_code == 404
        assertNotContains(client.post(letter_page(entered, event.club)), "/key/")

    def test_one_that_has_run_out_is_not_shown(self, client, event, address, rider):
        letter = write(text=KEY_TEXT, person=rider.user, good_for=timedelta(minutes=30))
        Letter.objects.update(good_until=timezone.now())

        assertNotContains(client.post(letter_page(letter, event.club)), "/key/")
