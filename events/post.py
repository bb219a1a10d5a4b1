"""Letters to people: written down first, sent afterwards, never lost.

    send(to=rider.user.email, subject="You are entered", text=text, event=event,
         about="Entry", dedupe=f"entry-{entry.pk}")

A letter is stored in the caller's transaction: it exists if what it tells of exists. With a
mail server it is sent after the commit; without one it is kept for organisers to pass on.
"""

import re
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.core import signing
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction
from django.db.models import Min
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django_tasks import TaskResultStatus, task
from django_tasks_db.models import DBTaskResult

from events.models import Club, Event, Letter, LinkStamp, Official
from events.post_delivery import WAITS, deliver_due
from events.post_models import HIDDEN, new_stamp
from events.site import absolute, after_answer

LINK_DAYS = 30
SALT = "events.post.link"
MAILED = re.compile(r"https?://\S+?/key/in/(?P<token>[^\s/]+)/")
NO_ADDRESS = gettext_lazy(
    "There is no e-mail address to send this to: tell the person another way."
)
BAD_ADDRESS = gettext_lazy("This is not an e-mail address: ask the person for theirs.")


def send(
    *,
    to: str,
    subject: str,
    text: str,
    event: Event | None = None,
    club: Club | None = None,
    about: str = "",
    dedupe: str = "",
    person: User | None = None,
    personal: bool = False,
    good_for: timedelta | None = None,
) -> Letter:
    """Write a letter to one person and have it sent; returns it as it was stored.

    The letter belongs to the event, or else the club, whose organisers can read it; `about`
    says in a few words what it is about. A `dedupe` that was used before returns the letter
    that was written then. `person` is whose account a link in it opens. `personal` letters
    are shown to nobody. With `good_for` it is not sent later than that, and what opens the
    account is wiped once it is sent. An address that is missing or wrong is no error: the
    letter is stored as failed, with the reason.
    """
    letter = draft(
        to=to, subject=subject, text=text, event=event, club=club, about=about, dedupe=dedupe,
        person=person, personal=personal, good_for=good_for,
    )  # fmt: skip
    send_all([letter])
    if letter.dedupe:
        return Letter.objects.get(dedupe=letter.dedupe)
    return letter


def draft(
    *,
    to: str,
    subject: str,
    text: str,
    event: Event | None = None,
    club: Club | None = None,
    good_for: timedelta | None = None,
    dedupe: str = "",
    **more: Any,
) -> Letter:
    """A letter that is not stored yet; `send_all` stores many with one statement."""
    address = to.strip()
    problem = _problem(address)
    state = Letter.State.WAITING if settings.POST_IS_SENT else Letter.State.KEPT
    return Letter(
        to=address[:254],
        subject=_one_line(subject)[:200],
        text=text.replace("\x00", "").strip() + "\n",
        event=event,
        club=event.club if event else club,
        dedupe=dedupe or None,
        good_until=timezone.now() + good_for if good_for else None,
        state=Letter.State.FAILED if problem else state,
        error=problem,
        **more,
    )


def send_all(letters: Sequence[Letter]) -> None:
    """Store letters and have them sent; those whose `dedupe` was used before are left out."""
    Letter.objects.bulk_create(
        letters, ignore_conflicts=any(letter.dedupe for letter in letters)
    )
    if any(letter.state == Letter.State.WAITING for letter in letters):
        hurry()


def hurry() -> None:
    """Have what waits sent after the commit: by the worker, or after this request."""
    if settings.POST_WORKER:
        send_waiting.enqueue()  # a row of its own, in the same transaction
    else:
        transaction.on_commit(_send_after_answer, robust=True)


def _send_after_answer() -> None:
    after_answer(deliver_due)


@task()
def send_waiting() -> int:
    """Send what waits; the number of letters sent. For the worker.

    What has to be tried again is come back to, by one task for all of it.
    """
    done = deliver_due()
    if done.left:
        _come_back(at_once=done.sent > 0)
    return done.sent


def _come_back(at_once: bool) -> None:
    """See to it that the worker sends what is left, soon or when it is next to be tried."""
    waiting = Letter.objects.filter(state=Letter.State.WAITING)
    due = waiting.aggregate(soonest=Min("next_try_at"))["soonest"]
    now = timezone.now()
    when = max(due or now, now if at_once else now + WAITS[0])
    planned = DBTaskResult.objects.filter(task_path=send_waiting.module_path)
    sooner = planned.filter(status=TaskResultStatus.READY, run_after__lte=when)
    if not sooner.exists() and not planned.ready().exists():
        send_waiting.using(run_after=when).enqueue()


def _problem(address: str) -> str:
    if not address:
        return NO_ADDRESS
    try:
        validate_email(address)
    except ValidationError:
        return BAD_ADDRESS
    return ""


def _one_line(text: str) -> str:
    """A subject without line ends and control characters, so that it adds no header."""
    plain = " ".join(text.split())
    return "".join(sign for sign in plain if sign.isprintable())


# ---- Links that sign in ------------------------------------------------------------------


def link_for(user: User, path: str) -> str:
    """The whole address that signs the user in and leads on to `path`, for 30 days.

    For people without an office only: who holds a role in a club gets the plain address and
    signs in as usual. Ends when the user ends all links. `path` is a path of this site;
    ValueError for anything else.
    """
    return links_for([(user, path)])[0]


def links_for(wanted: Sequence[tuple[User, str]]) -> list[str]:
    """As `link_for`, for many people with the same few queries."""
    for _user, path in wanted:
        if not path.startswith("/") or path.startswith("//") or "\\" in path:
            raise ValueError("A link leads on to a path of this site.")
    users = {user.pk: user for user, _path in wanted}
    powerful = with_office(users.values())
    stamps = _stamps(pk for pk in users if pk not in powerful)
    return [
        absolute(path if user.pk in powerful else _key_path(user.pk, stamps[user.pk], path))
        for user, path in wanted
    ]


def _key_path(pk: int, stamp: str, path: str) -> str:
    return reverse("key-in", args=[signing.dumps([pk, stamp, path], salt=SALT)])


def _stamps(pks: Iterable[int]) -> dict[int, str]:
    wanted = list(pks)
    found = dict(LinkStamp.objects.filter(user__in=wanted).values_list("user_id", "stamp"))
    missing = [LinkStamp(user_id=pk) for pk in wanted if pk not in found]
    if not missing:
        return found
    LinkStamp.objects.bulk_create(missing, ignore_conflicts=True)
    return dict(LinkStamp.objects.filter(user__in=wanted).values_list("user_id", "stamp"))


def with_office(users: Iterable[User]) -> set[int]:
    """Those of the users, by number, who may do something for a club or the whole site."""
    known = list(users)
    officials = Official.objects.filter(user__in=[user.pk for user in known])
    above = {user.pk for user in known if user.is_staff or user.is_superuser}
    return above | set(officials.values_list("user_id", flat=True))


def read_link(token: str) -> tuple[User, str] | None:
    """Whom a link signs in, and where it leads; None if it has ended or was never ours."""
    try:
        pk, stamp, path = signing.loads(token, salt=SALT, max_age=timedelta(days=LINK_DAYS))
    except signing.BadSignature:
        return None
    found = LinkStamp.objects.filter(user=pk, stamp=stamp, user__is_active=True)
    kept = found.select_related("user").first()
    if kept is None or with_office([kept.user]):
        return None
    return kept.user, path


def end_links(user: User) -> None:
    """End every link that was mailed to the user."""
    LinkStamp.objects.update_or_create(user=user, defaults={"stamp": new_stamp()})


# ---- What organisers do with letters -----------------------------------------------------


def address_now(letter: Letter) -> str:
    """Where a letter goes if it is sent again: the person's address may have been mended."""
    if letter.personal or letter.person is None or not letter.person.email:
        return letter.to
    return letter.person.email


@transaction.atomic
def send_again(letter: Letter, at: datetime | None = None) -> None:
    """Have a letter sent once more, to the address that holds now, with links that work.

    Raises ValidationError with a sentence if that would help nobody.
    """
    letter.to = address_now(letter)
    problem = _problem(letter.to)
    if problem:
        raise ValidationError(problem)
    run_out = letter.good_until and letter.good_until <= (at or timezone.now())
    if run_out or HIDDEN in letter.text:
        raise ValidationError(_("The link in this letter has run out: a new one is needed."))
    letter.text = _with_new_links(letter)
    letter.state, letter.tries, letter.error = Letter.State.WAITING, 0, ""
    letter.next_try_at = None
    letter.save(update_fields=["to", "text", "state", "tries", "error", "next_try_at"])
    hurry()


def _with_new_links(letter: Letter) -> str:
    """The text with the person's links made anew: those of before may have been ended."""
    person = letter.person
    if person is None:
        return letter.text

    def anew(found: re.Match[str]) -> str:
        try:
            pk, _, path = signing.loads(found["token"], salt=SALT)
        except signing.BadSignature:
            return found[0]
        return link_for(person, path) if pk == person.pk else found[0]

    return MAILED.sub(anew, letter.text)
