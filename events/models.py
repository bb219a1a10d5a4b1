"""What organisers publish: clubs, venues, events, divisions and their numbered editions."""

import json
from datetime import datetime
from functools import cached_property, lru_cache
from zoneinfo import ZoneInfo, available_timezones

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.invitation_models import Invitation as Invitation
from events.language_models import LanguageChoice as LanguageChoice
from events.limit_models import Tally as Tally
from events.made_tricks import MadeTrick
from events.post_models import Letter as Letter
from events.post_models import LinkStamp as LinkStamp
from events.rules.format import Format
from events.rules.loading import effective_or_base, try_format
from events.units_models import UnitsChoice as UnitsChoice


class Club(models.Model):
    """Who organises."""

    name = models.CharField(max_length=120, unique=True)
    slug = models.SlugField(max_length=60, unique=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class ClubTrick(MadeTrick):
    """A trick that a club added to the vocabulary for the riders of its events."""

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="tricks")
    maker = gettext_lazy("added by the club")

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["club", "name"], name="club_trick_once")]


class Venue(models.Model):
    """A lake with its course."""

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="venues")
    name = models.CharField(max_length=120)
    course_m = models.PositiveIntegerField(
        gettext_lazy("course length"),
        validators=[MinValueValidator(50), MaxValueValidator(5000)],
        help_text=gettext_lazy("From the start marker to the end marker."),
    )
    direction = models.CharField(
        max_length=120,
        blank=True,
        help_text=gettext_lazy("Which way the first pass goes, such as north to south."),
    )
    start_dock = models.CharField(
        max_length=120,
        blank=True,
        help_text=gettext_lazy("Where riders start from and what it is known by."),
    )
    notes = models.TextField(
        blank=True,
        help_text=gettext_lazy(
            "Hazards, shallow water, where the boat turns, where people stand."
        ),
    )

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["club", "name"], name="venue_name_once_per_club")
        ]

    def __str__(self) -> str:
        return self.name


class EventQuerySet(models.QuerySet["Event"]):
    """Events, by what can be seen of them."""

    def public(self) -> "EventQuerySet":
        """Events that their organisers have opened to everybody."""
        return self.filter(is_public=True)

    def tabled_by(self, user: object) -> "EventQuerySet":
        """Events whose table the user may sit at: organisers and table officials."""
        return self.held_by(user, Official.Role.ORGANISER, Official.Role.TABLE)

    def held_by(self, user: object, *roles: str) -> "EventQuerySet":
        """Events for which the user holds one of the roles, by the club's or by their own."""
        offices = Official.objects.filter(user=user, role__in=roles)
        whole = models.Q(club__in=offices.filter(event=None).values("club"))
        return self.filter(whole | models.Q(pk__in=offices.exclude(event=None).values("event")))


def check_time_zone(name: str) -> None:
    """Refuse a time zone that is not in the tz database."""
    if name not in available_timezones():
        raise ValidationError(
            _("{name} is not a time zone; write one such as Europe/Zurich.").format(name=name)
        )


class Event(models.Model):
    """One contest on one or more days at one venue."""

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="events")
    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="events")
    name = models.CharField(max_length=120)
    slug = models.SlugField(max_length=80, unique=True)
    first_day = models.DateField()
    last_day = models.DateField()
    time_zone = models.CharField(max_length=60, default="UTC", validators=[check_time_zone])
    entries_close = models.DateTimeField(help_text=gettext_lazy("Until when riders can enter."))
    declare_by = models.DateTimeField(
        help_text=gettext_lazy(
            "Until when runs can be declared, unless a division says otherwise."
        )
    )
    adult_age = models.PositiveIntegerField(
        gettext_lazy("of age from"),
        default=18,
        validators=[MaxValueValidator(30)],
        help_text=gettext_lazy(
            "Younger riders need a guardian's name and consent: local law decides."
        ),
    )
    is_public = models.BooleanField(gettext_lazy("public"), default=False)

    objects = EventQuerySet.as_manager()

    class Meta:
        ordering = ["first_day", "name"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(last_day__gte=models.F("first_day")),
                name="event_ends_after_it_begins",
            )
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("event", args=[self.slug])

    @property
    def zone(self) -> ZoneInfo:
        """The time zone of the lake."""
        return ZoneInfo(self.time_zone)

    def entries_are_open(self, at: datetime | None = None) -> bool:
        """Whether riders can enter now."""
        return (at or timezone.now()) <= self.entries_close


class Division(models.Model):
    """A class of riders with its own format: a draft, and editions once published."""

    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="divisions")
    name = models.CharField(max_length=80)
    slug = models.SlugField(max_length=80)
    place = models.PositiveIntegerField(default=0)
    fee = models.CharField(
        gettext_lazy("entry fee"),
        max_length=60,
        blank=True,
        help_text=gettext_lazy(
            "In words, such as 40 francs. It is noted here as paid, never collected."
        ),
    )
    draft = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["place", "name"]
        constraints = [
            models.UniqueConstraint(fields=["event", "slug"], name="division_once_per_event")
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("division", args=[self.event.slug, self.slug])

    @property
    def draft_format(self) -> Format:
        """What can be read of the draft; what cannot be read is left open."""
        return try_format(self.draft)[0]

    @cached_property
    def edition(self) -> "Edition | None":
        """The edition in force; None before the first is published."""
        return max(self.editions.all(), key=lambda each: each.number, default=None)

    def deadline(self, round_name: str | None = None) -> datetime:
        """Until when a run can be declared, in the event's time zone."""
        own = None
        if self.edition is not None:
            own = self.edition.effective(round_name).clock.declare_by
        if own is None:
            return self.event.declare_by.astimezone(self.event.zone)
        return own if own.tzinfo else own.replace(tzinfo=self.event.zone)


class Edition(models.Model):
    """One published version of a division's rules. It never changes."""

    division = models.ForeignKey(Division, on_delete=models.PROTECT, related_name="editions")
    number = models.PositiveIntegerField()
    data = models.JSONField()
    changes = models.JSONField(default=list, blank=True)
    published_at = models.DateTimeField(default=timezone.now)
    published_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["division", "number"], name="edition_number_once")
        ]

    def __str__(self) -> str:
        return _("Edition {number}").format(number=self.number)

    def save(self, *args: object, **kwargs: object) -> None:
        if self.pk and not self._state.adding:
            raise ValidationError(_("A published edition never changes; publish a new one."))
        super().save(*args, **kwargs)  # type: ignore[arg-type]

    @cached_property
    def format(self) -> Format:
        """The format as published, with its exceptions."""
        return _read(json.dumps(self.data))

    def effective(self, round_name: str | None = None) -> Format:
        """What holds in the division in that round."""
        return _held(json.dumps(self.data), self.division.name, round_name)

    @property
    def round_names(self) -> list[str]:
        """The rounds in order; empty where they are not stated."""
        return [each.name for each in self.format.rounds or () if each.name]


# Editions never change, and each is read many times while riders plan: what was read once is
# kept, by the text itself and not by a key that another database might use again.
@lru_cache(maxsize=256)
def _read(text: str) -> Format:
    # An edition stays readable when later rules for writing formats would refuse it.
    return try_format(json.loads(text))[0]


@lru_cache(maxsize=1024)
def _held(text: str, division: str, round_name: str | None) -> Format:
    return effective_or_base(_read(text), division, round_name)


class Official(models.Model):
    """What a person may do for a club: for all its events, or for one `event` only."""

    class Role(models.TextChoices):
        """An organiser may do everything; the table sees declared runs and prints them."""

        ORGANISER = "organiser", gettext_lazy("Organiser")
        TABLE = "table", gettext_lazy("Table")
        DOCK = "dock", gettext_lazy("Dock")

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="officials")
    event = models.ForeignKey(
        Event, on_delete=models.CASCADE, null=True, blank=True, related_name="officials"
    )
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="offices"
    )
    role = models.CharField(max_length=20, choices=Role)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["club", "user", "role"],
                condition=models.Q(event=None),
                name="role_once_per_club",
            ),
            models.UniqueConstraint(
                fields=["event", "user", "role"],
                condition=models.Q(event__isnull=False),
                name="role_once_per_event",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.user}: {self.role} of {self.place}"

    def clean(self) -> None:
        """Refuse an event of another club."""
        if self.event is not None and self.event.club_id != self.club_id:
            raise ValidationError(_("This event is another club's."))

    @property
    def place(self) -> Club | Event:
        """What the role is for."""
        return self.event or self.club


class Act(models.Model):
    """The audit trail: what an official did, and when."""

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="acts")
    event = models.ForeignKey(
        Event, on_delete=models.SET_NULL, null=True, blank=True, related_name="acts"
    )
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    at = models.DateTimeField(default=timezone.now)
    what = models.CharField(max_length=300)

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return self.what
