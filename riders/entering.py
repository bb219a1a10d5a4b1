"""Entries: entering, the waiting list, withdrawing. All or nothing, and checked again here.

Whoever changes who has a place holds the division's row: two people never get the last one.
"""

from collections.abc import Iterable
from datetime import datetime

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.models import Division
from events.services import record
from riders.eligibility import About, to_promote
from riders.entry_conditions import (
    Details,
    check_details,
    check_window,
    eligibility_of,
    entries_window,
    fill,
    may_ride,
    place_for,
    state_said,
)
from riders.entry_letters import write_letters
from riders.models import Entry, Rider
from riders.services import say_when
from riders.signals import asked_if_order_is_public

TOO_LATE = gettext_lazy(
    "Entries closed on {when}, so you cannot withdraw here any more: tell "
    "the table, so that the running order is right."
)
ORDER_IS_OUT = gettext_lazy(
    "The running order is published: tell the table that you will not ride."
)


def locked(division: Division) -> Division:
    """The division as it is now, held until the transaction ends."""
    found = Division.objects.select_for_update(of=("self",)).select_related("event__club")
    return found.prefetch_related("editions").get(pk=division.pk)


@transaction.atomic
def enter(
    *,
    rider: Rider,
    division: Division,
    details: Details,
    by: User | None = None,
    at: datetime | None = None,
) -> Entry:
    """Enter a rider, with a place or on the waiting list; who is entered already stays so.

    `by` is the official who enters somebody by hand, which is possible before and after
    entries are taken. Raises ValidationError, by field, where the rider may not enter.
    """
    at = at or timezone.now()
    division = locked(division)
    entry = division.entries.filter(rider=rider).first() or Entry(rider=rider)
    if entry.pk and entry.state != Entry.State.WITHDRAWN:
        return entry
    if by is None:
        check_window(division, at)
    check_details(rider, division, details, entered_in(rider, division))
    entry.rider, entry.division = rider, division
    entry.state = place_for(division, *_counts(division))
    fill(entry, details, at)
    rider.full_clean()
    rider.save(update_fields=["born_on", "sex"])
    entry.full_clean()
    entry.save()
    place = waiting_place(entry)
    if by is not None:
        what = _("Entered {rider} in {division} by hand: {state}.").format(
            rider=rider.name, division=division.name, state=state_said(place)
        )
        record(club=division.event.club, event=division.event, by=by, what=what)
    write_letters("entered", [(entry, place)])
    return entry


def entered_in(rider: Rider, division: Division) -> list[Division]:
    """The divisions of the same event in which a rider is entered."""
    entries = rider.entries.exclude(state=Entry.State.WITHDRAWN)
    entries = entries.filter(division__event=division.event).select_related("division")
    return [each.division for each in entries.prefetch_related("division__editions")]


def _counts(division: Division) -> tuple[int, int]:
    states = list(division.entries.values_list("state", flat=True))
    return states.count(Entry.State.RIDING), states.count(Entry.State.WAITING)


def waiting_place(entry: Entry) -> int | None:
    """The place on the waiting list, 1 for the next one to ride; None for who does not wait."""
    if entry.state != Entry.State.WAITING:
        return None
    earlier = Entry.objects.filter(division=entry.division_id, state=Entry.State.WAITING)
    ids = earlier.order_by("entered_at", "pk").values_list("pk", flat=True)
    return list(ids).index(entry.pk) + 1


def promote_waiting(division: Division) -> list[Entry]:
    """Give free places to those who wait, the first first. The division must be `locked`."""
    count = to_promote(eligibility_of(division), *_counts(division))
    waiting = division.entries.filter(state=Entry.State.WAITING).select_related("rider__user")
    return give_places(division, waiting.order_by("entered_at", "pk")[:count])


def give_places(division: Division, entries: Iterable[Entry]) -> list[Entry]:
    """Give places to some who wait, and write to them. The division must be `locked`."""
    given = list(entries)
    for entry in given:
        entry.division = division
        entry.state = Entry.State.RIDING
        entry.save(update_fields=["state"])
    write_letters("promoted", [(entry, None) for entry in given])
    return given


@transaction.atomic
def withdraw(
    *, entry: Entry, by: User | None = None, at: datetime | None = None
) -> list[Entry]:
    """Withdraw an entry; returns who got the place. Declared runs stay.

    Without `by`, an official, it is the rider who withdraws: until entries close or the
    running order is published. Raises ValidationError afterwards.
    """
    at = at or timezone.now()
    division = locked(entry.division)
    entry.refresh_from_db(fields=["state"])
    if entry.state == Entry.State.WITHDRAWN:
        return []
    if by is None and (reason := why_not_withdraw(division, at)):
        raise ValidationError(reason)
    entry.state, entry.withdrawn_at = Entry.State.WITHDRAWN, at
    entry.save(update_fields=["state", "withdrawn_at"])
    if by is not None:
        what = _("Withdrew {rider} from {division}.").format(
            rider=entry.rider.name, division=division.name
        )
        record(club=division.event.club, event=division.event, by=by, what=what)
    return promote_waiting(division)


@transaction.atomic
def move_entry(*, entry: Entry, division: Division, by: User) -> list[Entry]:
    """Put an entry into another division of the event; returns who got the free place.

    The rider enters there as one who comes last. Raises ValidationError where the rules of
    the division do not let the rider in, it is full, or a run was declared already.
    """
    held = {each.pk: locked(each) for each in sorted((entry.division, division), key=_number)}
    old, new = held[entry.division_id], held[division.pk]
    if entry.state == Entry.State.WITHDRAWN:
        raise ValidationError(_("This entry is withdrawn. Enter the rider by hand instead."))
    if entry.declarations.exists():
        raise ValidationError(
            _(
                "A run is declared under the old division's rules. Withdraw the rider "
                "there and enter them here by hand."
            )
        )
    if new.entries.filter(rider=entry.rider).exists():
        raise ValidationError(
            _("{rider} is in {division} already, or withdrew there.").format(
                rider=entry.rider, division=new.name
            )
        )
    answer = may_ride(entry.rider, new, Details(), entered_in(entry.rider, new))
    says = [each.say for each in answer.barriers if each.about is not About.SEVERAL]
    if says:
        raise ValidationError(says)
    entry.division, entry.state, entry.rank = new, place_for(new, *_counts(new)), None
    entry.checked_in_at = None
    entry.save(update_fields=["division", "state", "rank", "checked_in_at"])
    place = state_said(waiting_place(entry))
    what = _("Moved {rider} from {division} to {other_division}: {state}.").format(
        rider=entry.rider.name, division=old.name, other_division=new.name, state=place
    )
    record(club=new.event.club, event=new.event, by=by, what=what)
    return promote_waiting(old)


def _number(division: Division) -> int:
    """In which order divisions are locked, so that two people never wait for each other."""
    return division.pk


def why_not_withdraw(division: Division, at: datetime | None = None) -> str:
    """Why riders can withdraw no longer by themselves; empty while they can."""
    closes = entries_window(division).closes
    if (at or timezone.now()) > closes:
        return TOO_LATE.format(when=say_when(closes, division.event))
    answers = asked_if_order_is_public.send(sender=Division, division=division)
    return str(ORDER_IS_OUT) if any(answer for _receiver, answer in answers) else ""
