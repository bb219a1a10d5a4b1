"""Who rides when: the running order of a division in a round."""

from django.conf import settings
from django.db import models
from django.utils import timezone

from events.models import Division
from riders.models import Entry


class RunningOrder(models.Model):
    """The order of riding of one division in one round, and how it was found."""

    division = models.ForeignKey(Division, on_delete=models.CASCADE, related_name="orders")
    round_name = models.CharField(max_length=80, blank=True)
    method = models.CharField(max_length=60)
    seed = models.CharField(max_length=60, blank=True)
    made_at = models.DateTimeField(default=timezone.now)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["division", "round_name"], name="one_order_per_division_and_round"
            )
        ]

    def __str__(self) -> str:
        return f"Running order of {self.division}"


class Slot(models.Model):
    """One rider's place in a running order, from 1."""

    order = models.ForeignKey(RunningOrder, on_delete=models.CASCADE, related_name="slots")
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="slots")
    position = models.PositiveIntegerField()

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["order", "entry"], name="entry_once_per_order")
        ]

    def __str__(self) -> str:
        return f"{self.position}. {self.entry}"
