"""Which day it is where a rider rides, for a log that belongs to no contest."""

from datetime import date

from django.utils import timezone

from riders.models import Rider


def today_of(rider: Rider) -> date:
    """The day it is at the lake of the rider's newest entry; without one, where the site is.

    One query.
    """
    entries = rider.entries.select_related("division__event").order_by("-entered_at", "-pk")
    newest = entries.first()
    return timezone.localdate(timezone=newest.division.event.zone if newest else None)
