"""The landing log: what a rider landed of what they tried, line by line."""

from django.db import models
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

TRICK_LONGEST = 120
NOTE_LONGEST = 200


class LandingDay(models.Model):
    """One line of the log: one trick on one day, in one setting.

    Only its rider sees it. `trick` is the trick alone in trade shorthand, as landing records
    are kept by. Two equal lines are two sets of the same day and both count.
    """

    class Setting(models.TextChoices):
        """Where it was tried; a contest is harder than a quiet morning."""

        PRACTICE = "practice", gettext_lazy("practice")
        FULL_RUN = "full-run practice", gettext_lazy("full-run practice")
        CONTEST = "contest", gettext_lazy("contest")

    rider = models.ForeignKey(
        "riders.Rider", on_delete=models.CASCADE, related_name="landing_days"
    )
    trick = models.CharField(max_length=TRICK_LONGEST)
    day = models.DateField()
    landed = models.PositiveIntegerField()
    tried = models.PositiveIntegerField()
    setting = models.CharField(max_length=20, choices=Setting, default=Setting.PRACTICE)
    note = models.CharField(
        gettext_lazy("wake and ballast"), max_length=NOTE_LONGEST, blank=True
    )

    class Meta:
        ordering = ["-day", "-pk"]
        indexes = [models.Index(fields=["rider", "trick", "day"], name="landing_day_lookup")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(landed__lte=models.F("tried")),
                name="day_landed_at_most_tried",
            ),
            models.CheckConstraint(
                condition=models.Q(tried__gte=1), name="day_tried_at_least_once"
            ),
        ]

    def __str__(self) -> str:
        return _("{trick}, {landed} of {tried} on {day}").format(
            trick=self.trick,
            landed=self.landed,
            tried=self.tried,
            day=date_format(self.day, _("j F Y")),
        )


class LastTap(models.Model):
    """The last tap of a rider in the quick log, so that it can be taken back once."""

    rider = models.OneToOneField(
        "riders.Rider", on_delete=models.CASCADE, related_name="last_tap"
    )
    line = models.ForeignKey(LandingDay, on_delete=models.CASCADE, related_name="+")
    landed = models.BooleanField()

    def __str__(self) -> str:
        return f"{self.line.trick}, {'landed' if self.landed else 'fell'}"
