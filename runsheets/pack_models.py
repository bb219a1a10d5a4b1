"""Packs of papers that are made beside the site, because they take seconds."""

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy

from events.models import Event


class AskedPack(models.Model):
    """A pack that somebody of the table asked for, and its PDF once it is made.

    What was chosen is kept as the print page asks it: `rounds` are pairs of a division's
    number and a round, `kinds` the papers. `said` is one sentence where there is no PDF.
    """

    class State(models.TextChoices):
        """How far it is."""

        WAITING = "waiting", gettext_lazy("Waiting")
        MAKING = "making", gettext_lazy("Being made")
        READY = "ready", gettext_lazy("Ready")
        NOTHING = "nothing", gettext_lazy("Nothing to print")
        FAILED = "failed", gettext_lazy("Could not be made")

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="asked_packs")
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="asked_packs"
    )
    asked_at = models.DateTimeField(default=timezone.now)
    rounds = models.JSONField(default=list)
    heat = models.PositiveIntegerField(null=True, blank=True)
    kinds = models.JSONField(default=list)
    per_judge = models.BooleanField(default=True)
    only_changed = models.BooleanField(default=False)
    size = models.CharField(max_length=10)
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    begun_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    papers = models.PositiveIntegerField(default=0)
    document = models.BinaryField(null=True, blank=True)
    said = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-asked_at", "-pk"]

    def __str__(self) -> str:
        return f"Papers of {self.event}, asked for {self.asked_at}"

    @property
    def is_under_way(self) -> bool:
        """Whether it is still to be made."""
        return self.state in (self.State.WAITING, self.State.MAKING)
