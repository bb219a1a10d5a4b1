"""Who rides when: running orders, their heats and the places in them."""

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext as _

from events.models import Division
from riders.models import Entry
from runsheets.day_models import DayPlan as DayPlan
from runsheets.day_models import Printing as Printing
from runsheets.pack_models import AskedPack as AskedPack
from runsheets.result_models import Judge as Judge
from runsheets.result_models import Mark as Mark
from runsheets.result_models import Protest as Protest
from runsheets.result_models import RiddenTrick as RiddenTrick
from runsheets.result_models import Ride as Ride
from runsheets.result_models import RoundResult as RoundResult
from runsheets.result_models import TieDecision as TieDecision


class RunningOrder(models.Model):
    """The order of riding of one division in one round, and how it was found.

    Once published it is on the public page, and changes disturb it as little as they can.
    """

    division = models.ForeignKey(Division, on_delete=models.CASCADE, related_name="orders")
    round_name = models.CharField(max_length=80, blank=True)
    method = models.CharField(max_length=60)
    seed = models.CharField(max_length=60, blank=True)
    made_at = models.DateTimeField(default=timezone.now)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    published_at = models.DateTimeField(null=True, blank=True)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["division", "round_name"], name="one_order_per_division_and_round"
            )
        ]

    def __str__(self) -> str:
        return f"Running order of {self.division}"


class Heat(models.Model):
    """A group of riders of one round who ride one after the other, and when.

    `day` and `place` put it into the order of that day; both empty: not planned yet.
    `begun_at` and `ended_at` are the real times, entered as it happens.
    """

    order = models.ForeignKey(RunningOrder, on_delete=models.CASCADE, related_name="heats")
    number = models.PositiveIntegerField()
    day = models.DateField(null=True, blank=True)
    place = models.PositiveIntegerField(null=True, blank=True)
    not_before = models.DateTimeField(null=True, blank=True)
    begun_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["order", "number"], name="heat_number_once")
        ]

    def __str__(self) -> str:
        return _("Heat {number}").format(number=self.number)


class Slot(models.Model):
    """One rider's place in a running order, from 1 over the whole round.

    A scratched rider keeps the place, so that nobody else's number moves.
    """

    order = models.ForeignKey(RunningOrder, on_delete=models.CASCADE, related_name="slots")
    heat = models.ForeignKey(Heat, on_delete=models.CASCADE, related_name="slots")
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="slots")
    position = models.PositiveIntegerField()
    scratched_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["order", "entry"], name="entry_once_per_order")
        ]

    def __str__(self) -> str:
        return f"{self.position}. {self.entry}"
