"""What happened on the water: rides, tricks, marks, and the results that come of them."""

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy

from events.models import Event
from riders.models import Entry


class Judge(models.Model):
    """A person who marks runs at an event; number 1 is the head judge."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="judges")
    number = models.PositiveIntegerField(validators=[MinValueValidator(1)])
    name = models.CharField(max_length=120)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["event", "number"], name="judge_number_once")
        ]

    def __str__(self) -> str:
        return self.name


class Ride(models.Model):
    """One run as it was ridden. `number` counts a rider's runs in the round from 1.

    A re-ride is a ride of its own that stands in place of the one it repeats. `version`
    goes up with every change, so that two people at the table see each other's.
    """

    class State(models.TextChoices):
        """How far the run is."""

        WAITING = "waiting", gettext_lazy("Not ridden yet")
        UNDER_WAY = "under way", gettext_lazy("On the water")
        DONE = "done", gettext_lazy("Ridden")
        NOT_STARTED = "not started", gettext_lazy("Did not start")
        DISQUALIFIED = "disqualified", gettext_lazy("Disqualified")

    order = models.ForeignKey(
        "runsheets.RunningOrder", on_delete=models.PROTECT, related_name="rides"
    )
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="rides")
    number = models.PositiveIntegerField(default=1)
    repeats = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="re_ride"
    )
    reason = models.CharField(max_length=200, blank=True)
    state = models.CharField(max_length=20, choices=State, default=State.WAITING)
    points_off = models.DecimalField(
        max_digits=7, decimal_places=2, default=0, validators=[MinValueValidator(0)]
    )
    points_reason = models.CharField(max_length=200, blank=True)
    begun_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=0)
    changed_at = models.DateTimeField(null=True, blank=True)
    changed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )

    class Meta:
        ordering = ["order", "entry", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["order", "entry", "number"], name="ride_number_once"
            )
        ]

    def __str__(self) -> str:
        return f"Run {self.number} of {self.entry}"


class RiddenTrick(models.Model):
    """What became of one trick. `planned` is empty for one that was not declared.

    `bonus` names the extra that it was, such as "double-up"; empty inside a pass. `actual`
    is what was ridden instead, where that differs.
    """

    class Outcome(models.TextChoices):
        """What the table saw."""

        LANDED = "landed", gettext_lazy("Landed")
        FALLEN = "fallen", gettext_lazy("Fell")
        CHANGED = "changed", gettext_lazy("Another trick, landed")
        CHANGED_FALLEN = "changed, fallen", gettext_lazy("Another trick, fell")
        NOT_REACHED = "not reached", gettext_lazy("Not ridden")

    ride = models.ForeignKey(Ride, on_delete=models.CASCADE, related_name="tricks")
    pass_no = models.PositiveIntegerField()
    place = models.PositiveIntegerField()
    bonus = models.CharField(max_length=80, blank=True)
    planned = models.CharField(max_length=160, blank=True)
    outcome = models.CharField(max_length=20, choices=Outcome, blank=True)
    actual = models.CharField(max_length=160, blank=True)
    version = models.PositiveIntegerField(default=0)
    changed_at = models.DateTimeField(default=timezone.now)
    changed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["pass_no", "bonus", "place"]
        constraints = [
            models.UniqueConstraint(
                fields=["ride", "pass_no", "bonus", "place"], name="ridden_trick_once"
            )
        ]

    def __str__(self) -> str:
        return self.actual or self.planned


class Mark(models.Model):
    """One judge's mark of one criterion for a run; no criterion: one mark for the run."""

    ride = models.ForeignKey(Ride, on_delete=models.CASCADE, related_name="marks")
    judge = models.ForeignKey(Judge, on_delete=models.PROTECT, related_name="marks")
    criterion = models.CharField(max_length=120, blank=True)
    value = models.DecimalField(max_digits=7, decimal_places=2)
    version = models.PositiveIntegerField(default=1)
    changed_at = models.DateTimeField(default=timezone.now)
    changed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["judge__number", "criterion"]
        constraints = [
            models.UniqueConstraint(
                fields=["ride", "judge", "criterion"], name="mark_once_per_judge"
            )
        ]

    def __str__(self) -> str:
        return f"{self.value}"


class RoundResult(models.Model):
    """That the result of a round is posted: provisional until it is made official.

    `shows_tricks`: everybody also sees what was ridden.
    """

    order = models.OneToOneField(
        "runsheets.RunningOrder", on_delete=models.PROTECT, related_name="result"
    )
    posted_at = models.DateTimeField(default=timezone.now)
    official_at = models.DateTimeField(null=True, blank=True)
    shows_tricks = models.BooleanField(default=False)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"Result of {self.order}"


class TieDecision(models.Model):
    """Where a ride-off or the judges put a rider of a tie: 1 for who is ahead.

    Riders with the same number share their place by decision. `how` is the sentence that
    goes with it, the same for every rider of the tie.
    """

    order = models.ForeignKey(
        "runsheets.RunningOrder", on_delete=models.CASCADE, related_name="tie_decisions"
    )
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="tie_decisions")
    ahead = models.PositiveIntegerField(validators=[MinValueValidator(1)])
    how = models.CharField(max_length=150)
    decided_at = models.DateTimeField(default=timezone.now)
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["ahead"]
        constraints = [
            models.UniqueConstraint(fields=["order", "entry"], name="tie_decided_once")
        ]

    def __str__(self) -> str:
        return f"{self.ahead}. {self.entry}"


class Protest(models.Model):
    """A protest against a posted result, and what was ruled on it."""

    order = models.ForeignKey(
        "runsheets.RunningOrder", on_delete=models.PROTECT, related_name="protests"
    )
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="protests")
    about = models.CharField(max_length=500)
    made_at = models.DateTimeField(default=timezone.now)
    ruling = models.CharField(max_length=500, blank=True)
    ruled_at = models.DateTimeField(null=True, blank=True)
    noted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["made_at"]

    def __str__(self) -> str:
        return self.about
