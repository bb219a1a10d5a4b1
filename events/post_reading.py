"""Which letters the organisers of a club may read, and how much of each.

A club's organisers read the letters of its events. Where a mail server sends letters, links
that sign somebody in are hidden from them. Where none does, organisers pass letters on by
hand, and only then they can look at such a link: of riders of their events without an office
anywhere, after pressing a button, and with a line in the audit trail for each look.
"""

from urllib.parse import quote

from django.conf import settings
from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from events.models import Club, Invitation, Letter
from events.post import with_office
from events.post_models import LetterQuerySet
from events.services import record
from events.signals import asked_for_entered

MAIL_LINK_MOST = 1800  # longer addresses are cut off by some mail programs


def letters_for(club: Club) -> LetterQuerySet:
    """The letters that the club's organisers may read, the newest first."""
    open_letters = Letter.objects.filter(personal=False)
    if settings.POST_IS_SENT:
        return open_letters.filter(club=club)
    return open_letters.filter(Q(club=club) | Q(club=None, person__in=_helped(club)))


def _helped(club: Club) -> QuerySet[User]:
    """Riders of the club's events whom its organisers may help to sign in."""
    plain = User.objects.filter(is_staff=False, is_superuser=False, offices=None)
    wanted = Q(pk__in=())
    for _receiver, users in asked_for_entered.send(sender=Club, club=club):
        wanted |= Q(pk__in=users.values("pk"))
    return plain.filter(wanted)


def may_show_key(letter: Letter) -> bool:
    """Whether organisers may look at the link in a letter, to pass it on by hand."""
    if settings.POST_IS_SENT or not letter.has_key:
        return False
    if letter.good_until is not None and letter.good_until <= timezone.now():
        return False
    if letter.person is None:
        return Invitation.objects.filter(letter=letter).exists()  # it opens no account
    return not with_office([letter.person])


def reveal(*, letter: Letter, club: Club, by: User) -> str:
    """The whole text with its link; the audit trail says who looked."""
    said = (
        _("Looked at the link in the letter “{subject}”, which signs {to} in.")
        if letter.person
        else _("Looked at the link in the letter “{subject}”, which invites {to}.")
    )
    what = said.format(subject=letter.subject, to=letter.to)
    record(club=club, event=letter.event, by=by, what=what)
    return letter.text


@transaction.atomic
def hand_on(*, letter: Letter, club: Club, by: User) -> None:
    """Note that a letter was passed on by hand."""
    Letter.objects.filter(pk=letter.pk).update(
        state=Letter.State.HANDED, error="", sent_at=timezone.now()
    )
    what = _("Passed the letter “{subject}” on to {reader} by hand.").format(
        subject=letter.subject, reader=letter.to or _("its reader")
    )
    record(club=club, event=letter.event, by=by, what=what)


def mail_link(letter: Letter, text: str) -> str:
    """An address that opens the letter in one's own mail program; empty if it is too long."""
    if not letter.to:
        return ""
    body = quote(text.replace("\n", "\r\n"))
    link = f"mailto:{quote(letter.to, safe='@')}?subject={quote(letter.subject)}&body={body}"
    return link if len(link) <= MAIL_LINK_MOST else ""
