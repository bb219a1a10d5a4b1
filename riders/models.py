"""Riders and what belongs to them: entries, landing records, planned and declared runs."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from events.made_tricks import MadeTrick
from events.models import ClubTrick, Division, Edition, Event
from events.rules.language import mark
from riders.log_models import LandingDay as LandingDay
from riders.share_models import CoachLink as CoachLink
from riders.share_models import PlanShare as PlanShare
from riders.share_models import PlanVariant as PlanVariant

UNNAMED = mark("Name not shown")


class Rider(models.Model):
    """A person who rides."""

    class Foot(models.TextChoices):
        """The forward foot in the rider's own stance."""

        LEFT = "left", gettext_lazy("Left foot forward")
        RIGHT = "right", gettext_lazy("Right foot forward")

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="rider"
    )
    given_name = models.CharField(max_length=80)
    family_name = models.CharField(max_length=80)

    class Sex(models.TextChoices):
        """As divisions ask for it; empty where the rider has not said."""

        WOMEN = "women", gettext_lazy("Woman")
        MEN = "men", gettext_lazy("Man")

    foot = models.CharField(
        gettext_lazy("stance"), max_length=5, choices=Foot, default=Foot.LEFT
    )
    born_on = models.DateField(gettext_lazy("date of birth"), null=True, blank=True)
    sex = models.CharField(max_length=5, choices=Sex, blank=True)
    club_name = models.CharField(gettext_lazy("club"), max_length=120, blank=True)

    class Meta:
        ordering = ["family_name", "given_name"]

    def __str__(self) -> str:
        return self.name

    @property
    def name(self) -> str:
        """The whole name."""
        return f"{self.given_name} {self.family_name}"


class OwnTrick(MadeTrick):
    """A trick that a rider made by its attributes, because the vocabulary lacks it."""

    rider = models.ForeignKey(Rider, on_delete=models.CASCADE, related_name="own_tricks")
    maker = gettext_lazy("made by the rider")

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["rider", "name"], name="own_trick_once")]


class LandingRecord(models.Model):
    """How often a rider landed a trick: landed of tried, or a chance typed instead."""

    rider = models.ForeignKey(Rider, on_delete=models.CASCADE, related_name="records")
    trick = models.CharField(max_length=120)
    landed = models.PositiveIntegerField(null=True, blank=True)
    tried = models.PositiveIntegerField(null=True, blank=True)
    chance = models.FloatField(null=True, blank=True)
    updated_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["trick"]
        constraints = [
            models.UniqueConstraint(fields=["rider", "trick"], name="record_once_per_trick"),
            models.CheckConstraint(
                condition=models.Q(landed__lte=models.F("tried")) | models.Q(tried=None),
                name="landed_at_most_tried",
            ),
            models.CheckConstraint(
                condition=models.Q(chance=None) | models.Q(chance__gte=0, chance__lte=1),
                name="chance_between_0_and_1",
            ),
        ]

    def __str__(self) -> str:
        return self.trick


class EntryQuerySet(models.QuerySet["Entry"]):
    """Entries, with what a planner asks about them."""

    def with_made_tricks(self) -> "EntryQuerySet":
        """Say in the same query whether the club, or the rider, has made any trick."""
        own = OwnTrick.objects.filter(rider=models.OuterRef("rider"))
        of_club = ClubTrick.objects.filter(club=models.OuterRef("division__event__club"))
        return self.annotate(has_made_tricks=models.Exists(own) | models.Exists(of_club))

    def riding(self) -> "EntryQuerySet":
        """Those who have a place: neither waiting for one nor withdrawn."""
        return self.filter(state=Entry.State.RIDING)


class Entry(models.Model):
    """A rider in a division of an event.

    `rank` is the rider's place in a ranking that the organiser keeps, 1 for the best.
    `wishes` are for the boat crew: speed, rope, weight. `logs_attempts`: what is ridden at
    the contest goes into the rider's landing log. Contacts are for organisers only. The
    name of a rider under age `is_named` on public pages only if the guardian agreed.
    """

    class State(models.TextChoices):
        """Whether the rider has a place."""

        RIDING = "riding", gettext_lazy("Has a place")
        WAITING = "waiting", gettext_lazy("On the waiting list")
        WITHDRAWN = "withdrawn", pgettext_lazy("what an entry is", "Withdrawn")

    class Fee(models.TextChoices):
        """The entry fee; no payment is made here."""

        DUE = "due", pgettext_lazy("an entry fee", "Due")
        PAID = "paid", pgettext_lazy("an entry fee", "Paid")
        WAIVED = "waived", pgettext_lazy("an entry fee", "Waived")

    rider = models.ForeignKey(Rider, on_delete=models.CASCADE, related_name="entries")
    division = models.ForeignKey(Division, on_delete=models.PROTECT, related_name="entries")
    entered_at = models.DateTimeField(default=timezone.now)
    state = models.CharField(max_length=10, choices=State, default=State.RIDING)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    guardian = models.CharField(max_length=120, blank=True)
    guardian_phone = models.CharField(max_length=40, blank=True)
    consented_at = models.DateTimeField(null=True, blank=True)
    emergency_name = models.CharField(max_length=120, blank=True)
    emergency_phone = models.CharField(max_length=40, blank=True)
    acknowledged_at = models.DateTimeField(null=True, blank=True)
    fee = models.CharField(max_length=6, choices=Fee, default=Fee.DUE)
    rank = models.PositiveIntegerField(null=True, blank=True, validators=[MinValueValidator(1)])
    wishes = models.CharField(max_length=200, blank=True)
    logs_attempts = models.BooleanField(default=False)
    is_named = models.BooleanField(gettext_lazy("name on public pages"), default=True)
    checked_in_at = models.DateTimeField(null=True, blank=True)

    objects = EntryQuerySet.as_manager()

    class Meta:
        ordering = ["division", "rider__family_name", "rider__given_name"]
        constraints = [
            models.UniqueConstraint(
                fields=["rider", "division"], name="entry_once_per_division"
            )
        ]

    def __str__(self) -> str:
        return _("{rider} in {division}").format(rider=self.rider, division=self.division)

    @property
    def public_name(self) -> str:
        """The rider as everybody may read it; the bib stands beside it."""
        return self.rider.name if self.is_named else _(UNNAMED)


class Bib(models.Model):
    """The number that a rider wears at an event."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="bibs")
    rider = models.ForeignKey(Rider, on_delete=models.CASCADE, related_name="bibs")
    number = models.PositiveIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(9999)]
    )

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["event", "number"], name="bib_once_per_event"),
            models.UniqueConstraint(fields=["event", "rider"], name="one_bib_per_rider"),
        ]

    def __str__(self) -> str:
        return str(self.number)


class PlannedRun(models.Model):
    """A rider's draft for one round. `rows` keeps what was typed, readable or not.

    `window` tells from which open page it was last kept, where it was kept from one.
    """

    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="plans")
    round_name = models.CharField(max_length=80, blank=True)
    rows = models.JSONField(default=list, blank=True)
    updated_at = models.DateTimeField(auto_now=True)
    window = models.CharField(max_length=16, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["entry", "round_name"], name="plan_once_per_round")
        ]

    def __str__(self) -> str:
        return f"Plan of {self.entry}"


class DeclarationQuerySet(models.QuerySet["Declaration"]):
    """Declared runs; all are kept, the newest of an entry and round is in force."""

    def in_force(self) -> "DeclarationQuerySet":
        """The newest declared run of each entry and round."""
        newer = Declaration.objects.filter(
            entry=models.OuterRef("entry"),
            round_name=models.OuterRef("round_name"),
            number__gt=models.OuterRef("number"),
        )
        return self.filter(~models.Exists(newer))


class Declaration(models.Model):
    """A declared run, frozen with the edition it was checked against. None is deleted."""

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="declarations")
    round_name = models.CharField(max_length=80, blank=True)
    number = models.PositiveIntegerField()
    edition = models.ForeignKey(Edition, on_delete=models.PROTECT, related_name="+")
    notation = models.TextField()
    tricks = models.JSONField()
    check_result = models.JSONField()
    declared_at = models.DateTimeField(default=timezone.now)

    objects = DeclarationQuerySet.as_manager()

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["entry", "round_name", "number"], name="declaration_number_once"
            )
        ]

    def __str__(self) -> str:
        return f"Declared run {self.number} of {self.entry}"
