"""The days of an event, and what was printed for them."""

from django.conf import settings
from django.db import models
from django.utils import timezone

from events.models import Division, Event


class DayPlan(models.Model):
    """One day on the water: when it starts, its breaks, and how long things take.

    Times of day are the event's own. `breaks` is a list of {"name", "minutes", "at"} with
    `at` as "12:30". `pace` holds what the organiser measured or decided in place of the
    defaults, by the names of `runsheets.timing.timetable.Pace`. `rest_heats` is how many whole
    heats must lie between two heats of one rider.
    """

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="day_plans")
    day = models.DateField()
    starts_at = models.TimeField()
    latest_end = models.TimeField(null=True, blank=True)
    sunrise = models.TimeField(null=True, blank=True)
    sunset = models.TimeField(null=True, blank=True)
    breaks = models.JSONField(default=list, blank=True)
    pace = models.JSONField(default=dict, blank=True)
    heat_gap_min = models.PositiveIntegerField(default=5)
    fuel_every_h = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    fuel_min = models.PositiveIntegerField(default=15)
    rest_heats = models.PositiveIntegerField(default=1)
    published_at = models.DateTimeField(null=True, blank=True)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["day"]
        constraints = [
            models.UniqueConstraint(fields=["event", "day"], name="one_plan_per_day")
        ]

    def __str__(self) -> str:
        return f"{self.event}, {self.day}"


class Printing(models.Model):
    """A paper that was printed: its code, and what it said of each rider.

    `rows` maps each rider's key to the values that stood there, so that a later printing
    can tell which sheets changed and how.
    """

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="printings")
    division = models.ForeignKey(
        Division, on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    round_name = models.CharField(max_length=80, blank=True)
    kind = models.CharField(max_length=40)
    code = models.CharField(max_length=12)
    rows = models.JSONField(default=dict)
    printed_at = models.DateTimeField(default=timezone.now)
    printed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["-printed_at", "-pk"]
        indexes = [models.Index(fields=["event", "code"], name="printing_by_code")]

    def __str__(self) -> str:
        return f"{self.kind} {self.code}"
