"""What officials do with entries: fees, withdrawing, checking in at the dock."""

from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from events.models import Division
from events.rules.words import Beyond
from events.services import record
from riders.eligibility import free_places
from riders.entering import give_places, locked, move_entry
from riders.entry_conditions import eligibility_of
from riders.models import Entry
from runsheets.models import Slot
from runsheets.starting.draw import lottery


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
    said = (
        _("Checked in {rider} in {division}.")
        if present
        else _("Took back the check-in of {rider} in {division}.")
    )
    _record(entry, by, said.format(rider=entry.rider.name, division=entry.division.name))
    return True


@transaction.atomic
def set_fee(*, entry: Entry, fee: Entry.Fee, by: User) -> bool:
    """Note a fee as due, paid or waived; returns whether that changed anything."""
    if not Entry.objects.filter(pk=entry.pk).exclude(fee=fee).update(fee=fee):
        return False
    said = _("Noted the fee of {rider} in {division} as {fee}.").format(
        rider=entry.rider.name, division=entry.division.name, fee=str(fee.label).lower()
    )
    _record(entry, by, said)
    return True


def move(*, entry: Entry, division: Division, by: User) -> list[Entry]:
    """Move an entry into another division; returns who got the free place.

    Raises ValidationError as `riders.entering.move_entry` does, and for a rider who has a
    place in a running order.
    """
    if Slot.objects.filter(entry=entry).exists():
        raise ValidationError(
            _("{rider} is in a running order of {division}: take them out of it first.").format(
                rider=entry.rider, division=entry.division.name
            )
        )
    return move_entry(entry=entry, division=division, by=by)


@transaction.atomic
def change_entry(*, entry: Entry, said: dict[str, Any], by: User) -> bool:
    """Change rank, wishes or contacts; returns whether that changed anything.

    The audit trail names what changed, and never a contact itself.
    """
    changed = [name for name, value in said.items() if getattr(entry, name) != value]
    if not changed:
        return False
    for name in changed:
        setattr(entry, name, said[name])
    entry.full_clean()
    entry.save(update_fields=changed)
    named = ", ".join(name.replace("_", " ") for name in changed)
    _record(
        entry,
        by,
        _("Changed {fields} of {rider} in {division}.").format(
            fields=named, rider=entry.rider.name, division=entry.division.name
        ),
    )
    return True


def lots_to_draw(division: Division) -> int:
    """How many places are free for those who wait to be drawn; 0 where nothing is drawn."""
    rules = eligibility_of(division)
    states = list(division.entries.values_list("state", flat=True))
    free = free_places(rules, states.count(Entry.State.RIDING))
    if rules.beyond is not Beyond.BY_LOT or free is None:
        return 0
    return min(free, states.count(Entry.State.WAITING))


@transaction.atomic
def draw_places(*, division: Division, seed: str, by: User) -> list[Entry]:
    """Give the free places to those who wait, by lot: see `runsheets.starting.draw.lottery`.

    Raises ValueError without a seed, or where there is nothing to draw.
    """
    division = locked(division)
    places = lots_to_draw(division)
    if not places:
        raise ValueError("There is no place to draw, or nobody waits for one.")
    waiting = {
        entry.pk: entry
        for entry in division.entries.filter(state=Entry.State.WAITING).select_related(
            "rider__user"
        )
    }
    drawn = lottery(sorted(waiting), seed, places)
    given = give_places(division, [waiting[pk] for pk in drawn])
    names = ", ".join(
        _("{rider} (entry {number})").format(rider=entry.rider.name, number=entry.pk)
        for entry in given
    )
    what = _("Drew {places} of {waiting} for {division}, draw word {seed}: {names}.").format(
        places=places, waiting=len(waiting), division=division.name, seed=seed, names=names
    )
    record(club=division.event.club, event=division.event, by=by, what=what)
    return given


def _record(entry: Entry, by: User, what: str) -> None:
    event = entry.division.event
    record(club=event.club, event=event, by=by, what=what)
