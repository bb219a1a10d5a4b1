"""The demo's entries: who has a place or waits for one, what is paid, who is at the dock."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from events.models import Division
from riders.entering import enter
from riders.entry_conditions import Details
from riders.models import Entry, Rider
from runsheets.demo.plot import Days
from runsheets.desk_services import check_in, set_fee

BETWEEN = timedelta(minutes=9)


def enter_all(
    said: Sequence[dict[str, Any]],
    division: Division,
    riders: Mapping[str, Rider],
    details: Mapping[str, Details],
    at: datetime,
) -> list[tuple[dict[str, Any], Entry]]:
    """Enter everybody of a division, one after the other; beyond its limit they wait."""
    entries = []
    for number, each in enumerate(said):
        name, when = each["rider"], at + number * BETWEEN
        entry = enter(rider=riders[name], division=division, details=details[name], at=when)
        entries.append((each, entry))
    return entries


def keep_desk(entries: Sequence[tuple[dict[str, Any], Entry]], by: Any, days: Days) -> None:
    """Note fees and check in at the dock what the story says of each entry."""
    for said, entry in entries:
        if "fee" in said:
            set_fee(entry=entry, fee=Entry.Fee(said["fee"]), by=by)
        if "checked_in" in said:
            check_in(entry=entry, present=True, by=by)
            came = days.moment(said["checked_in"])
            Entry.objects.filter(pk=entry.pk).update(checked_in_at=came)
