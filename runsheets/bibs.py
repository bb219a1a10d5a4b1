"""What the table does with bibs. Every act goes into the audit trail."""

from collections import Counter
from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from events.models import Event
from events.services import record
from riders.models import Bib, Entry
from runsheets.lineup import bibs_of, by_name


class BibTaken(ValueError):
    """A number that the form took for free is another rider's; the text says which."""


@transaction.atomic
def save_bibs(*, event: Event, numbers: Mapping[int, int | None], by: Any) -> int:
    """Give riders (by their number) new bibs; None takes one away. Returns how many changed.

    All at once, so that two riders can swap. Raises BibTaken.
    """
    Event.objects.select_for_update().get(pk=event.pk)
    held = bibs_of(event)
    changed = {pk: new for pk, new in numbers.items() if held.get(pk) != new}
    if not changed:
        return 0
    given = Counter({**held, **numbers}.values())
    if twice := sorted(number for number, n in given.items() if number and n > 1):
        raise BibTaken(
            _(
                "Bib {number} is another rider's: one who withdrew, or who was given it "
                "a moment ago. Nothing is saved yet: choose another number, then save "
                "again."
            ).format(number=twice[0])
        )
    Bib.objects.filter(event=event, rider__in=changed).delete()
    new = [Bib(event=event, rider_id=pk, number=n) for pk, n in changed.items() if n]
    for bib in new:
        bib.full_clean(validate_unique=False, validate_constraints=False)
    Bib.objects.bulk_create(new)
    what = ngettext(
        "Changed the bibs of {number} rider.",
        "Changed the bibs of {number} riders.",
        len(changed),
    ).format(number=len(changed))
    record(club=event.club, event=event, by=by, what=what)
    return len(changed)


@transaction.atomic
def fill_bibs(*, event: Event, by: Any) -> int:
    """Give everybody without a bib the lowest free number, by division and name."""
    Event.objects.select_for_update().get(pk=event.pk)
    held = bibs_of(event)
    taken = set(held.values())
    given: dict[int, int | None] = {}
    number = 1
    for rider in riders_of(event):
        if rider.pk in held:
            continue
        while number in taken:
            number += 1
        given[rider.pk] = number
        taken.add(number)
    return save_bibs(event=event, numbers=given, by=by)


def riders_of(event: Event) -> list[Any]:
    """The riders of an event, each once: by division, then alphabetically."""
    entries = Entry.objects.filter(division__event=event).riding()
    entries = entries.select_related("rider", "division")
    placed = sorted(by_name(entries), key=lambda entry: entry.division.place)
    return list({entry.rider_id: entry.rider for entry in placed}.values())
