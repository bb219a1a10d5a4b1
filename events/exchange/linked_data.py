"""An event as data in its own page, in the words of schema.org, for search engines.

Source of the terms: schema.org, the types SportsEvent, Place and SportsOrganization.
"""

from collections.abc import Iterable
from typing import Any

from events.models import Division, Event
from events.site import absolute

SCHEMA = "https://schema.org"


def event_data(event: Event, divisions: Iterable[Division]) -> dict[str, Any]:
    """The event, with its divisions as parts of it; days have no time of day."""
    days = {"startDate": event.first_day.isoformat(), "endDate": event.last_day.isoformat()}
    place = {"@type": "Place", "name": event.venue.name}
    same = {
        **days,
        "sport": "Wakeboarding",
        "eventStatus": f"{SCHEMA}/EventScheduled",
        "eventAttendanceMode": f"{SCHEMA}/OfflineEventAttendanceMode",
        "location": place,
    }
    return {
        "@context": SCHEMA,
        "@type": "SportsEvent",
        "@id": absolute(event.get_absolute_url()),
        "url": absolute(event.get_absolute_url()),
        "name": event.name,
        **same,
        "organizer": {"@type": "SportsOrganization", "name": event.club.name},
        "subEvent": [
            {
                "@type": "SportsEvent",
                "url": absolute(f"{event.get_absolute_url()}{division.slug}/"),
                "name": f"{event.name}, {division.name}",
                **same,
            }
            for division in divisions
        ],
    }
