"""Letters are stored first, sent after, tried again, sent once, and read by few."""

import logging
import signal
from datetime import timedelta
from smtplib import SMTPDataError, SMTPRecipientsRefused, SMTPServerDisconnected

import pytest
import time_machine
from django.core import mail
from django.core.management import call_command
from django.db import transaction
from django.urls import reverse
from django.utils import timezone
from django_tasks_db.models import DBTaskResult
from pytest_django.asserts import assertContains, assertNotContains

from events import post_delivery
from events.models import Act, Letter, Official
from events.post import end_links, link_for, links_for, read_link, send
from events.post_delivery import TRIES_MOST, WAITS, deliver_due, forget_old
from tests.factories import (
    DivisionFactory,
    EntryFactory,
    EventFactory,
    OfficialFactory,
    RiderFactory,
    UserFactory,
)

State = Letter.State
KEY_TEXT = "Go on here:\nhttps://lake.example/key/in/abc:def/\n"


@pytest.fixture
def served(settings):
    """A site with a mail server; what it takes lands in `mail.outbox`."""
    settings.POST_IS_SENT = True


@pytest.fixture
def failing(monkeypatch, served):
    """A mail server that answers with the error that a test sets."""

    class Server:
        error: Exception | None = None
        tries = 0

        def open(self):
            return True

        def close(self):
            pass

        def send_messages(self, messages):
            Server.tries += 1
            if Server.error:
                raise Server.error
            return len(messages)

    monkeypatch.setattr(post_delivery, "get_connection", Server)
    return Server


def write(**more) -> Letter:
    values = {"to": "ilka@example.org", "subject": "You are entered", "text": "Hello Ilka"}
    return send(**values | more)


@pytest.mark.django_db
class TestWriting:
    def test_it_is_sent_after_the_commit(self, served, django_capture_on_commit_callbacks):
        with django_capture_on_commit_callbacks(execute=True):
            write()
            assert mail.outbox == []

        (sent,) = mail.outbox
        assert (sent.to, sent.subject) == (["ilka@example.org"], "You are entered")
        assert sent.extra_headers["Auto-Submitted"] == "auto-generated"  # RFC 3834, section 5
        letter = Letter.objects.get()
        assert (letter.state, letter.tries) == (State.SENT, 1)

    def test_what_is_rolled_back_writes_no_letter(self, served):
        with transaction.atomic():
            write()
            transaction.set_rollback(True)

        assert not Letter.objects.exists()

    def test_without_a_mail_server_it_is_kept(self, settings):
        settings.POST_IS_SENT = False
        write()

        deliver_due()

        assert Letter.objects.get().state == State.KEPT
        assert mail.outbox == []

    @pytest.mark.parametrize(
        "address", ["", "  ", "ilka", "a@b@c", "ilka@example.org\nBcc: all@example.org"]
    )
    def test_an_address_that_is_none_is_told_and_stops_nothing(self, served, address):
        letter = write(to=address)

        assert letter.state == State.FAILED
        assert letter.error
        assert deliver_due().sent == 0

    @pytest.mark.parametrize("end", ["\n", "\r\n", "\r", "\x0b", "\x00", "\u2028"])
    def test_a_subject_adds_no_header(self, served, end):
        write(subject=f"You are entered{end}Bcc: all@example.org")

        assert deliver_due().sent == 1

        message = mail.outbox[0].message()
        assert message["Bcc"] is None
        assert "\n" not in message["Subject"]
        assert mail.outbox[0].recipients() == ["ilka@example.org"]

    def test_the_same_event_is_told_once(self, served):
        first, second = write(dedupe="entry-7"), write(dedupe="entry-7", text="Other words")

        assert first == second
        deliver_due()
        deliver_due()
        assert len(mail.outbox) == 1

    def test_it_belongs_to_the_club_of_its_event(self):
        event = EventFactory()

        assert write(event=event).club == event.club


@pytest.fixture
def same_signals():
    """The worker sets what Ctrl+C does; put back afterwards."""
    names = (signal.SIGINT, signal.SIGTERM, signal.SIGQUIT)
    before = [signal.getsignal(name) for name in names]
    yield
    for name, handler in zip(names, before, strict=True):
        signal.signal(name, handler)


@pytest.mark.django_db(transaction=True)
def test_a_worker_is_told_in_the_same_transaction(settings, served, same_signals):
    settings.POST_WORKER = True
    with transaction.atomic():
        write()
        transaction.set_rollback(True)
    assert not DBTaskResult.objects.exists()

    write()
    assert mail.outbox == []
    call_command("db_worker", batch=True, startup_delay=False, reload=False, verbosity=0)

    assert len(mail.outbox) == 1
    assert DBTaskResult.objects.get().status == "SUCCESSFUL"


@pytest.mark.django_db
class TestTryingAgain:
    def test_it_waits_longer_each_time_and_gives_up(self, failing):
        failing.error = SMTPDataError(451, b"later")
        write()
        now = timezone.now()
        assert sum(WAITS, timedelta()) > timedelta(days=1)

        for wait in WAITS:
            deliver_due(now)
            assert Letter.objects.get().next_try_at == now + wait
            deliver_due(now + wait - timedelta(seconds=1))
            now += wait
        deliver_due(now)
        for _ in range(5):
            deliver_due(now + timedelta(days=400))

        letter = Letter.objects.get()
        assert (letter.state, letter.tries, failing.tries) == (
            State.FAILED,
            TRIES_MOST,
            TRIES_MOST,
        )
        assert "tried 7 times" in letter.error
        assert "answer 451" in letter.error

    def test_it_arrives_once_the_server_is_back(self, failing):
        failing.error = SMTPServerDisconnected()
        write()
        assert deliver_due() == post_delivery.Round(0, 0, 1)
        failing.error = None

        assert deliver_due(timezone.now() + WAITS[0]).sent == 1

    def test_a_refused_address_is_not_tried_again(self, failing):
        failing.error = SMTPRecipientsRefused({"ilka@example.org": (550, b"no such ilka")})
        write()

        assert deliver_due().failed == 1

        letter = Letter.objects.get()
        assert letter.state == State.FAILED
        assert "ilka" not in letter.error

    @pytest.mark.parametrize(
        "error", [SMTPServerDisconnected(), TimeoutError(), OSError("away")]
    )
    def test_a_server_that_is_away_is_asked_once_a_round(self, failing, error):
        failing.error = error
        for number in range(5):
            write(to=f"rider{number}@example.org")

        deliver_due()

        assert failing.tries == 1
        assert Letter.objects.filter(state=State.WAITING).count() == 5

    def test_a_program_that_died_holds_a_letter_for_minutes_only(self, served):
        letter = write()
        now = timezone.now()
        assert post_delivery._claim(letter.pk, now)
        assert post_delivery._claim(letter.pk, now) is None

        assert deliver_due(now).sent == 0
        assert deliver_due(now + post_delivery.LEASE).sent == 1

    def test_a_link_that_ran_out_is_not_sent(self, served):
        write(good_for=timedelta(minutes=30))

        deliver_due(timezone.now() + timedelta(minutes=31))

        assert Letter.objects.get().state == State.FAILED
        assert mail.outbox == []

    def test_nothing_of_a_letter_is_logged(self, failing, caplog):
        failing.error = RuntimeError("ilka@example.org /key/in/abc")
        with caplog.at_level(logging.DEBUG):
            write(text=KEY_TEXT)
            deliver_due()

        assert "RuntimeError" in caplog.text
        said = " ".join(
            each.getMessage() for each in caplog.records if each.name != "django.db.backends"
        )
        assert "abc" not in said
        assert "ilka" not in said

    def test_the_command_sends_and_says_what_it_did(self, served, capsys):
        write()
        call_command("send_post")

        assert capsys.readouterr().out.strip() == "1 sent, 0 failed, 0 wait."


@pytest.mark.django_db
class TestForgetting:
    def test_a_link_for_half_an_hour_is_wiped_once_it_is_sent(self, served):
        write(text=KEY_TEXT, good_for=timedelta(minutes=30))
        deliver_due()

        assert "/key/in/abc" in mail.outbox[0].body
        assert not Letter.objects.get().has_key

    def test_links_that_ran_out_are_wiped_and_old_letters_dropped(self):
        letter = write(text=KEY_TEXT)
        forget_old()
        assert Letter.objects.get().has_key

        forget_old(letter.created_at + timedelta(days=30))
        assert not Letter.objects.get().has_key

        forget_old(letter.created_at + timedelta(days=365))
        assert not Letter.objects.exists()


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
            with django_assert_num_queries(9):
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
