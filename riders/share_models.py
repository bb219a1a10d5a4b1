"""Shared plans, who keeps them, and named variants of a plan.

Of a share's link only a hash is stored: who reads the database cannot open a shared plan.
"""

from datetime import datetime

from django.db import models
from django.db.models import Q
from django.utils import timezone


class PlanShareQuerySet(models.QuerySet["PlanShare"]):
    """Shares, by whether they still open a plan."""

    def live(self, at: datetime | None = None) -> "PlanShareQuerySet":
        """Neither ended by the rider nor expired."""
        at = at or timezone.now()
        return self.filter(Q(expires_at=None) | Q(expires_at__gt=at), ended_at=None)


class PlanShare(models.Model):
    """A rider's leave to read the plan of one entry in one round, by a link.

    `token_hash` is empty while no link is in force. A share that has ended stays so.
    """

    entry = models.ForeignKey("riders.Entry", on_delete=models.CASCADE, related_name="shares")
    round_name = models.CharField(max_length=80, blank=True)
    token_hash = models.CharField(max_length=64, unique=True, null=True, blank=True)
    made_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    objects = PlanShareQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["entry", "round_name"],
                condition=Q(ended_at=None),
                name="one_share_per_plan",
            )
        ]

    def __str__(self) -> str:
        return f"Shared plan of {self.entry}"

    def is_live(self, at: datetime | None = None) -> bool:
        """Whether the plan can be read by those it is shared with."""
        at = at or timezone.now()
        return self.ended_at is None and (self.expires_at is None or self.expires_at > at)


class CoachLink(models.Model):
    """A person keeps a shared plan in their coach's table."""

    share = models.ForeignKey(PlanShare, on_delete=models.CASCADE, related_name="keepers")
    coach = models.ForeignKey(
        "riders.Rider", on_delete=models.CASCADE, related_name="kept_plans"
    )
    kept_at = models.DateTimeField(default=timezone.now)
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["kept_at"]
        constraints = [
            models.UniqueConstraint(fields=["share", "coach"], name="kept_once_per_coach")
        ]

    def __str__(self) -> str:
        return f"{self.coach} keeps: {self.share}"

    @property
    def is_live(self) -> bool:
        """Whether the plan is still shared with this person."""
        return self.taken_back_at is None and self.share.is_live()


class PlanVariant(models.Model):
    """Another plan for the same entry and round, kept under a name. `rows` as typed."""

    entry = models.ForeignKey("riders.Entry", on_delete=models.CASCADE, related_name="variants")
    round_name = models.CharField(max_length=80, blank=True)
    name = models.CharField(max_length=80)
    rows = models.JSONField(default=dict, blank=True)
    kept_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["entry", "round_name", "name"], name="variant_name_once_per_plan"
            )
        ]

    def __str__(self) -> str:
        return self.name
