"""What riders' side does when something happens in `events`, and what it answers."""

from typing import Any

from django.contrib.auth.models import User
from django.db.models import QuerySet
from django.dispatch import receiver

from events.earlier.riders import EarlierRiders
from events.models import Club, Edition, Event
from events.signals import asked_for_earlier_riders, asked_for_entered, edition_published
from riders import earlier as earlier_year
from riders.entering import locked, promote_waiting
from riders.re_checks import tell_riders


@receiver(asked_for_entered)
def entered_with(club: Club, **_: Any) -> QuerySet[User]:
    """Everybody who is entered in an event of the club."""
    return User.objects.filter(rider__entries__division__event__club=club)


@receiver(asked_for_earlier_riders)
def riders_of_then(
    event: Event, earlier: Event | None, file: bytes | None, **_: Any
) -> EarlierRiders | None:
    """Who rode at an earlier event, for its organiser to invite."""
    return earlier_year.answer(earlier, file, event)


@receiver(edition_published)
def check_again(edition: Edition, **_: Any) -> None:
    """Check declared runs under the new edition, and tell their riders."""
    tell_riders(edition)


@receiver(edition_published)
def promote_under(edition: Edition, **_: Any) -> None:
    """Give out the places that a raised limit makes free."""
    promote_waiting(locked(edition.division))
