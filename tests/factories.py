"""Plain records for tests, all invented."""

from datetime import UTC, date, datetime, timedelta

import factory
from django.contrib.auth.models import User
from django.utils import timezone

from events.models import Club, Division, Edition, Event, Official, Venue
from riders.models import Entry, Rider

PASSWORD = "quiet-harbour-17"


class UserFactory(factory.django.DjangoModelFactory):
    """Somebody with an account; the password is PASSWORD."""

    class Meta:
        model = User
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"person{n}")
    email = factory.LazyAttribute(lambda user: f"{user.username}@example.org")
    password = factory.django.Password(PASSWORD)


class ClubFactory(factory.django.DjangoModelFactory):
    """A club."""

    class Meta:
        model = Club

    name = factory.Sequence(lambda n: f"Reedlake Riders {n}")
    slug = factory.Sequence(lambda n: f"reedlake-{n}")


class VenueFactory(factory.django.DjangoModelFactory):
    """A lake with a course of 400 m."""

    class Meta:
        model = Venue

    club = factory.SubFactory(ClubFactory)
    name = factory.Sequence(lambda n: f"Long Reed {n}")
    course_m = 400
    direction = "North to south"
    start_dock = "The blue dock"


class EventFactory(factory.django.DjangoModelFactory):
    """A public event in a month, of one day, with entries open."""

    class Meta:
        model = Event

    club = factory.SubFactory(ClubFactory)
    venue = factory.SubFactory(VenueFactory, club=factory.SelfAttribute("..club"))
    name = factory.Sequence(lambda n: f"Reed Cup {n}")
    slug = factory.Sequence(lambda n: f"reed-cup-{n}")
    first_day = factory.LazyFunction(lambda: timezone.localdate() + timedelta(days=30))
    last_day = factory.SelfAttribute("first_day")
    time_zone = "Europe/Zurich"
    entries_close = factory.LazyAttribute(lambda event: _noon(event.first_day, 7))
    declare_by = factory.LazyAttribute(lambda event: _noon(event.first_day, 1))
    is_public = True


class DivisionFactory(factory.django.DjangoModelFactory):
    """A division without rules."""

    class Meta:
        model = Division

    event = factory.SubFactory(EventFactory)
    name = factory.Sequence(lambda n: f"Open {n}")
    slug = factory.Sequence(lambda n: f"open-{n}")
    place = factory.Sequence(lambda n: n)
    draft = factory.LazyFunction(dict)


class EditionFactory(factory.django.DjangoModelFactory):
    """The first edition of a division's rules."""

    class Meta:
        model = Edition

    division = factory.SubFactory(DivisionFactory)
    number = 1
    data = factory.LazyFunction(lambda: {"passes": {"count": 2, "length_m": 400}})
    published_by = factory.SubFactory(UserFactory)


class OfficialFactory(factory.django.DjangoModelFactory):
    """An organiser of a club."""

    class Meta:
        model = Official

    club = factory.SubFactory(ClubFactory)
    user = factory.SubFactory(UserFactory)
    role = Official.Role.ORGANISER


class RiderFactory(factory.django.DjangoModelFactory):
    """A rider with the left foot forward."""

    class Meta:
        model = Rider

    user = factory.SubFactory(UserFactory)
    given_name = "Ilka"
    family_name = factory.Sequence(lambda n: f"Moorfield{n}")


class EntryFactory(factory.django.DjangoModelFactory):
    """A rider in a division."""

    class Meta:
        model = Entry

    rider = factory.SubFactory(RiderFactory)
    division = factory.SubFactory(DivisionFactory)


def _noon(day: date, days_before: int) -> datetime:
    """Noon some days before a day, in UTC."""
    return datetime(day.year, day.month, day.day, 12, tzinfo=UTC) - timedelta(days=days_before)
