"""Letters are stored first, sent after, tried again, sent once, and forgotten."""

import logging
import signal
from datetime import timedelta
from smtplib import SMTPDataError, SMTPRecipientsRefused, SMTPServerDisconnected

import pytest
import time_machine
from django.core import mail
from django.core.management import call_command
from django.db import transaction
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from events import post_delivery
from events.models import Letter
from events.post_delivery import TRIES_MOST, WAITS, deliver_due, forget_old
from tests.events.letters import KEY_TEXT, State, write
from tests.factories import (
    EventFactory,
)


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
    work_off()

    assert len(mail.outbox) == 1
    assert DBTaskResult.objects.get().status == "SUCCESSFUL"


@pytest.mark.django_db(transaction=True)
def test_a_worker_comes_back_to_what_failed(settings, failing, same_signals):
    """One task for all of it, not before the next try, until it is sent."""
    settings.POST_WORKER = True
    failing.error = SMTPServerDisconnected()
    for number in range(3):
        write(to=f"rider{number}@example.org")

    work_off()

    (task,) = DBTaskResult.objects.filter(status="READY")
    wait = task.run_after - timezone.now()
    assert timedelta(seconds=50) < wait <= WAITS[0]
    assert failing.tries == 3

    failing.error = None
    with time_machine.travel(timezone.now() + WAITS[0] + timedelta(seconds=1)):
        work_off()

    assert set(Letter.objects.values_list("state", flat=True)) == {State.SENT}
    assert not DBTaskResult.objects.filter(status="READY").exists()


def work_off() -> None:
    """Let a worker do what is to be done now."""
    call_command("db_worker", batch=True, startup_delay=False, reload=False, verbosity=0)


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
