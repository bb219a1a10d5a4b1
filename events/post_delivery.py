"""Sending what waits: each letter is claimed, tried, and tried again later if that failed.

Letters arrive at least once: only if this program dies between handing a letter over and
noting it is that letter sent a second time.
"""

import logging
from dataclasses import dataclass
from datetime import datetime, timedelta
from smtplib import (
    SMTPAuthenticationError,
    SMTPConnectError,
    SMTPException,
    SMTPHeloError,
    SMTPNotSupportedError,
    SMTPRecipientsRefused,
    SMTPResponseException,
    SMTPSenderRefused,
    SMTPServerDisconnected,
)

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext_lazy

from events.post_models import Letter

log = logging.getLogger(__name__)

# How long to wait after each try that failed; after the last wait comes the last try.
WAITS = tuple(timedelta(minutes=minutes) for minutes in (1, 5, 30, 120, 480, 1440))
TRIES_MOST = len(WAITS) + 1
LEASE = timedelta(minutes=5)  # how long one try may take before another program may try
ROUND_MOST = 200
KEYS_LAST = timedelta(days=30)
LETTERS_LAST = timedelta(days=365)

# Plain words for what went wrong. None repeats what the server said: that can hold addresses.
NO_ANSWER = gettext_lazy("The mail server did not answer. It is tried again.")
NOT_SIGNED_IN = gettext_lazy(
    "The mail server refuses this site's name or password: look at EMAIL_URL."
)
BAD_SENDER = gettext_lazy("The mail server refuses the sender: look at DEFAULT_FROM_EMAIL.")
REFUSED = gettext_lazy(
    "The mail server does not take letters to this address: look for a mistake in it."
)
NOT_TAKEN = gettext_lazy("The mail server did not take the letter (answer {code}).")
NOT_WRITTEN = gettext_lazy("The letter cannot be written as mail: look at the address.")
RUN_OUT = gettext_lazy("The link in it ran out before the letter could be sent.")
UNKNOWN = gettext_lazy("Sending failed for a reason that the site's log names.")
GAVE_UP = gettext_lazy("It was tried {tries} times. {last}")


@dataclass(frozen=True)
class Trouble:
    """Why a letter was not sent; `final` if no other try helps, `general` if all would fail."""

    words: str
    final: bool = False
    general: bool = False


@dataclass(frozen=True)
class Round:
    """What one round of sending did; `left` still wait."""

    sent: int = 0
    failed: int = 0
    left: int = 0


def deliver_due(at: datetime | None = None) -> Round:
    """Send every letter whose time has come. Raises nothing that a mail server can cause.

    A round ends early when the mail server is away, so that it costs one time-out at most.
    """
    if not settings.POST_IS_SENT:
        return Round()
    now = at or timezone.now()
    _give_up_late(now)
    connection = get_connection()
    sent = failed = 0
    try:
        for pk in Letter.objects.due(now).values_list("pk", flat=True)[:ROUND_MOST]:
            letter = _claim(pk, now)
            if letter is None:
                continue
            trouble = _try(letter, connection)
            _note(letter, trouble, now)
            sent += trouble is None
            failed += letter.state == Letter.State.FAILED
            if trouble is not None and trouble.general:
                break
    finally:
        _close(connection)
    left = Letter.objects.filter(state=Letter.State.WAITING).count()
    return Round(sent, failed, left)


def _claim(pk: int, now: datetime) -> Letter | None:
    """Take a letter for one try; None if another program was quicker."""
    taken = Letter.objects.due(now).filter(pk=pk)
    if not taken.order_by().update(tries=F("tries") + 1, next_try_at=now + LEASE):
        return None
    return Letter.objects.get(pk=pk)


def _give_up_late(now: datetime) -> None:
    """Fail what may not be sent any more: links that ran out, programs that died each time."""
    due = Letter.objects.due(now).order_by()
    due.filter(good_until__lte=now).update(state=Letter.State.FAILED, error=RUN_OUT)
    gave_up = GAVE_UP.format(tries=TRIES_MOST, last=UNKNOWN)
    due.filter(tries__gte=TRIES_MOST).update(state=Letter.State.FAILED, error=gave_up)


def _try(letter: Letter, connection: BaseEmailBackend) -> Trouble | None:
    mail = EmailMessage(
        subject=letter.subject,
        body=letter.text,
        to=[letter.to],
        connection=connection,
        headers={"Auto-Submitted": "auto-generated"},
    )
    try:
        connection.open()
        mail.send()
    except Exception as error:
        # Only the kind of error is logged: the letter can hold a link that signs somebody in.
        log.warning("Letter %s was not sent: %s", letter.pk, type(error).__name__)
        return trouble_of(error)
    return None


def trouble_of(error: Exception) -> Trouble:
    """What an error of the mail server means, in plain words."""
    if isinstance(error, SMTPAuthenticationError | SMTPNotSupportedError):
        return Trouble(NOT_SIGNED_IN, general=True)
    if isinstance(error, SMTPSenderRefused):
        return Trouble(BAD_SENDER, general=True)
    if isinstance(error, SMTPRecipientsRefused):
        codes = [code for code, _ in error.recipients.values()]
        final = bool(codes) and all(code >= 500 for code in codes)
        return Trouble(REFUSED, final=final)
    if isinstance(error, SMTPConnectError | SMTPHeloError | SMTPServerDisconnected):
        return Trouble(NO_ANSWER, general=True)
    if isinstance(error, SMTPResponseException):
        words = NOT_TAKEN.format(code=error.smtp_code)
        return Trouble(words, final=error.smtp_code >= 500)
    if isinstance(error, OSError) and not isinstance(error, SMTPException):
        return Trouble(NO_ANSWER, general=True)
    if isinstance(error, ValueError):
        return Trouble(NOT_WRITTEN, final=True)
    return Trouble(UNKNOWN)


def _note(letter: Letter, trouble: Trouble | None, now: datetime) -> None:
    """Write down what came of a try."""
    if trouble is None:
        letter.state, letter.error, letter.sent_at = Letter.State.SENT, "", now
        if letter.good_until:
            letter.text = letter.text_without_key
    elif trouble.final:
        letter.state, letter.error = Letter.State.FAILED, trouble.words
    elif letter.tries >= TRIES_MOST:
        letter.state = Letter.State.FAILED
        letter.error = GAVE_UP.format(tries=letter.tries, last=trouble.words)
    else:
        letter.error, letter.next_try_at = trouble.words, now + WAITS[letter.tries - 1]
    letter.save(update_fields=["state", "error", "sent_at", "text", "next_try_at"])


def _close(connection: BaseEmailBackend) -> None:
    try:
        connection.close()
    except (OSError, SMTPException) as error:
        log.warning("The mail server was not left properly: %s", type(error).__name__)


def forget_old(at: datetime | None = None) -> int:
    """Wipe links that have run out from old letters and drop letters of a year ago."""
    now = at or timezone.now()
    old = Letter.objects.filter(created_at__lte=now - KEYS_LAST, text__contains="/key/")
    for letter in old.iterator():
        Letter.objects.filter(pk=letter.pk).update(text=letter.text_without_key)
    over = Letter.objects.filter(good_until__lte=now, text__contains="/key/")
    for letter in over.exclude(state=Letter.State.WAITING).iterator():
        Letter.objects.filter(pk=letter.pk).update(text=letter.text_without_key)
    return Letter.objects.filter(created_at__lte=now - LETTERS_LAST).delete()[0]
