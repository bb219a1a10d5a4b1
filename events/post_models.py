"""Letters that the site writes, and the stamp that makes a person's links valid.

Letters are kept before they are sent, so that none is lost when a mail server is away.
"""

import re

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.crypto import get_random_string
from django.utils.translation import gettext_lazy

from events.rules.language import mark

# Every address that lets somebody in begins with /key/, so that it can be found and hidden.
KEY = re.compile(r"https?://\S+?/key/\S+")
HIDDEN = mark("[link, hidden: it signs the person in]")
STAMP_LENGTH = 22


def new_stamp() -> str:
    """A stamp that nobody can guess."""
    return get_random_string(STAMP_LENGTH)


class LetterQuerySet(models.QuerySet["Letter"]):
    """Letters, by who may read them and what is to be done with them."""

    def of_club(self, club: object) -> "LetterQuerySet":
        """Letters about the club and its events."""
        return self.filter(club=club)

    def due(self, at: object) -> "LetterQuerySet":
        """Letters that wait and whose time has come, the oldest first."""
        waiting = self.filter(state=Letter.State.WAITING)
        return waiting.filter(Q(next_try_at=None) | Q(next_try_at__lte=at)).order_by("pk")


class Letter(models.Model):
    """One letter to one person.

    `about` says in a few words what it is about. `dedupe` names what happened: the same thing
    is told once. `person` is whose account a link in it opens. `personal` letters are read by
    nobody but that person, whatever becomes of them. After `good_until` it is not sent any
    more, because the link in it has run out. `error` holds plain words, never an address.
    """

    class State(models.TextChoices):
        """What has become of the letter."""

        WAITING = "waiting", gettext_lazy("Waiting")
        SENT = "sent", gettext_lazy("Sent")
        FAILED = "failed", gettext_lazy("Failed")
        KEPT = "kept", gettext_lazy("Kept here")
        HANDED = "handed", gettext_lazy("Passed on by hand")

    to = models.CharField(max_length=254, blank=True)
    subject = models.CharField(max_length=200)
    text = models.TextField()
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    about = models.CharField(max_length=200, blank=True)
    dedupe = models.CharField(max_length=200, unique=True, null=True, blank=True)
    club = models.ForeignKey(
        "events.Club", on_delete=models.CASCADE, null=True, blank=True, related_name="letters"
    )
    event = models.ForeignKey(
        "events.Event", on_delete=models.SET_NULL, null=True, blank=True, related_name="letters"
    )
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="letters",
    )
    personal = models.BooleanField(default=False)
    good_until = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    error = models.CharField(max_length=300, blank=True)
    created_at = models.DateTimeField(default=timezone.now)
    next_try_at = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)

    objects = LetterQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        indexes = [
            models.Index(fields=["state", "next_try_at"], name="letter_due"),
            models.Index(fields=["club", "state"], name="letter_of_club"),
        ]

    def __str__(self) -> str:
        return self.subject

    @property
    def has_key(self) -> bool:
        """Whether the text holds a link that signs somebody in."""
        return KEY.search(self.text) is not None

    @property
    def text_without_key(self) -> str:
        """The text for somebody else's eyes."""
        return KEY.sub(HIDDEN, self.text)


class LinkStamp(models.Model):
    """What the links in a person's entry mails are bound to: a new stamp ends them all."""

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="link_stamp"
    )
    stamp = models.CharField(max_length=STAMP_LENGTH, default=new_stamp)

    def __str__(self) -> str:
        return f"Links of {self.user}"
