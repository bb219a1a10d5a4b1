"""What officials do with entries: fees, withdrawing, checking in at the dock."""

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from events.services import record
from riders.models import Entry


@transaction.atomic
def check_in(*, entry: Entry, present: bool, by: User) -> bool:
    """Say that a rider is at the dock, or take it back; returns whether that changed anything.

    Pressing twice, or two people at once, changes it once: only who has a place and is not
    there yet is checked in.
    """
    now = timezone.now() if present else None
    entries = Entry.objects.filter(pk=entry.pk, checked_in_at__isnull=present)
    if present:
        entries = entries.riding()
    if not entries.update(checked_in_at=now):
        return False
    verb = "Checked in" if present else "Took back the check-in of"
    _record(entry, by, f"{verb} {entry.rider.name} in {entry.division.name}.")
    return True


@transaction.atomic
def set_fee(*, entry: Entry, fee: Entry.Fee, by: User) -> bool:
    """Note a fee as due, paid or waived; returns whether that changed anything."""
    if not Entry.objects.filter(pk=entry.pk).exclude(fee=fee).update(fee=fee):
        return False
    who = f"{entry.rider.name} in {entry.division.name}"
    _record(entry, by, f"Noted the fee of {who} as {fee.label.lower()}.")
    return True


def _record(entry: Entry, by: User, what: str) -> None:
    event = entry.division.event
    record(club=event.club, event=event, by=by, what=what)
