"""Invitations: a role that is offered to whoever reads the letters of an address."""

from django.conf import settings
from django.db import models
from django.utils import timezone

from events.post_models import Letter


class Invitation(models.Model):
    """A role offered by letter. The row goes when it is accepted or taken back.

    Only a digest of the link is kept. Without `event` the role is for the whole club.
    """

    club = models.ForeignKey(
        "events.Club", on_delete=models.CASCADE, related_name="invitations"
    )
    event = models.ForeignKey(
        "events.Event", on_delete=models.CASCADE, null=True, blank=True,
        related_name="invitations",
    )  # fmt: skip
    role = models.CharField(max_length=20)
    email = models.EmailField()
    token_hash = models.CharField(max_length=64, unique=True)
    invited_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    invited_at = models.DateTimeField(default=timezone.now)
    good_until = models.DateTimeField()
    letter = models.ForeignKey(
        Letter, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["email", "pk"]

    def __str__(self) -> str:
        return f"{self.email} for {self.place}"

    @property
    def place(self) -> object:
        """The event or the club that the role is for."""
        return self.event or self.club

    @property
    def is_over(self) -> bool:
        """Whether its time has run out."""
        return self.good_until <= timezone.now()
