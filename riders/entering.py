"""Entries: entering, the waiting list, withdrawing. All or nothing, and checked again here.

Whoever changes who has a place holds the division's row: two people never get the last one.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from events.models import Division, Event
from events.post import link_for, send
from events.rules.staging import Eligibility
from events.services import record
from riders.eligibility import (
    About,
    Answer,
    Applicant,
    Elsewhere,
    Entries,
    Place,
    Window,
    age_on,
    entries_of_format,
    may_enter,
    next_place,
    to_promote,
)
from riders.models import Entry, Rider
from riders.services import say_when
from riders.signals import asked_if_order_is_public

CLOSED = "Entries closed on {when}. Ask the organiser whether a late entry is possible."
EARLY = "Entries open on {when}. Come back then."
FULL = "Every place of {division} is taken and there is no waiting list. Ask the organiser."
TOO_LATE = (
    "Entries closed on {when}, so you cannot withdraw here any more: tell the table, so that "
    "the running order is right."
)
ORDER_IS_OUT = "The running order is published: tell the table that you will not ride."
GUARDIAN = {
    "guardian": "The rider is under {age} on the first day: write the guardian's full name.",
    "guardian_phone": "Write a phone number at which the guardian can be reached.",
    "consented": "The guardian must consent: ask them, then tick this.",
}


@dataclass(frozen=True, slots=True)
class Details:
    """What is said with an entry. An empty date of birth or sex leaves the known one."""

    born_on: date | None = None
    sex: str = ""
    guardian: str = ""
    guardian_phone: str = ""
    consented: bool = False
    emergency_name: str = ""
    emergency_phone: str = ""
    acknowledged: bool = False
    wishes: str = ""
    logs_attempts: bool = False


def eligibility_of(division: Division) -> Eligibility:
    """Who may enter, by the rules in force; nothing is stated before they are published."""
    return division.edition.effective().division if division.edition else Eligibility()


def entries_window(division: Division) -> Entries:
    """From when until when the division takes entries, in the time of the lake."""
    event = division.event
    if division.edition is None:
        return Entries(None, event.entries_close)
    clock = division.edition.effective().clock
    return entries_of_format(clock, event.entries_close, event.zone)


def is_minor(born_on: date, event: Event) -> bool:
    """Whether somebody is under the event's age on its first day."""
    return age_on(born_on, event.first_day) < event.adult_age


def may_ride(rider: Rider, division: Division, details: Details) -> Answer:
    """Look at the rules of the division, and at those of the rider's other divisions."""
    others = rider.entries.exclude(state=Entry.State.WITHDRAWN).exclude(division=division)
    others = others.filter(division__event=division.event).select_related("division")
    elsewhere = tuple(
        Elsewhere(each.division.name, eligibility_of(each.division).several)
        for each in others.prefetch_related("division__editions")
    )
    applicant = Applicant(details.born_on or rider.born_on, details.sex or rider.sex, elsewhere)
    return may_enter(eligibility_of(division), applicant, division.event.first_day)


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
        _check_window(division, at)
    _check_details(rider, division, details)
    entry.rider, entry.division = rider, division
    entry.state = _place(division)
    entry.entered_at, entry.withdrawn_at, entry.checked_in_at = at, None, None
    _fill(entry, details, at)
    entry.full_clean()
    entry.save()
    if by is not None:
        what = f"Entered {rider.name} in {division.name} by hand: {_state_said(entry)}."
        record(club=division.event.club, event=division.event, by=by, what=what)
    _write_letter(entry, "entered", f"You are entered: {division.event.name}")
    return entry


def _check_window(division: Division, at: datetime) -> None:
    window = entries_window(division)
    stands = window.at(at)
    if stands is Window.EARLY and window.opens:
        raise ValidationError(EARLY.format(when=say_when(window.opens, division.event)))
    if stands is Window.CLOSED:
        raise ValidationError(CLOSED.format(when=say_when(window.closes, division.event)))


def _check_details(rider: Rider, division: Division, details: Details) -> None:
    wrong: dict[str, list[str]] = {}
    for barrier in may_ride(rider, division, details).barriers:
        field = "__all__" if barrier.about is About.SEVERAL else barrier.about.value
        wrong.setdefault(field, []).append(barrier.say)
    born_on = details.born_on or rider.born_on
    if born_on is not None and is_minor(born_on, division.event):
        for field, say in GUARDIAN.items():
            if not getattr(details, field):
                wrong.setdefault(field, []).append(say.format(age=division.event.adult_age))
    if wrong:
        raise ValidationError(wrong)


def _place(division: Division) -> Entry.State:
    place = next_place(eligibility_of(division), *_counts(division))
    if place is Place.REFUSED:
        raise ValidationError(FULL.format(division=division.name))
    return Entry.State.RIDING if place is Place.GIVEN else Entry.State.WAITING


def _counts(division: Division) -> tuple[int, int]:
    states = list(division.entries.values_list("state", flat=True))
    return states.count(Entry.State.RIDING), states.count(Entry.State.WAITING)


def _fill(entry: Entry, details: Details, at: datetime) -> None:
    rider = entry.rider
    rider.born_on = details.born_on or rider.born_on
    rider.sex = details.sex or rider.sex
    rider.full_clean()
    rider.save(update_fields=["born_on", "sex"])
    for name in ("guardian", "guardian_phone", "emergency_name", "emergency_phone", "wishes"):
        setattr(entry, name, getattr(details, name))
    entry.logs_attempts = details.logs_attempts
    entry.consented_at = at if details.consented else None
    entry.acknowledged_at = at if details.acknowledged else None


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
        _write_letter(entry, "promoted", f"You have a place: {division.event.name}")
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
        what = f"Withdrew {entry.rider.name} from {division.name}."
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
        raise ValidationError("This entry is withdrawn. Enter the rider by hand instead.")
    if entry.declarations.exists():
        raise ValidationError(
            "A run is declared under the old division's rules. Withdraw the rider there and "
            "enter them here by hand."
        )
    if new.entries.filter(rider=entry.rider).exists():
        raise ValidationError(f"{entry.rider} is in {new.name} already, or withdrew there.")
    others = may_ride(entry.rider, new, Details())
    says = [each.say for each in others.barriers if each.about is not About.SEVERAL]
    if says:
        raise ValidationError(says)
    entry.division, entry.state, entry.rank = new, _place(new), None
    entry.checked_in_at = None
    entry.save(update_fields=["division", "state", "rank", "checked_in_at"])
    what = f"Moved {entry.rider.name} from {old.name} to {new.name}: {_state_said(entry)}."
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
    return ORDER_IS_OUT if any(answer for _, answer in answers) else ""


def _state_said(entry: Entry) -> str:
    place = waiting_place(entry)
    return "has a place" if place is None else f"number {place} on the waiting list"


def _write_letter(entry: Entry, kind: str, subject: str) -> None:
    division, user = entry.division, entry.rider.user
    has_place = entry.state == Entry.State.RIDING
    path = reverse("plan", args=[entry.pk]) if division.edition else reverse("riding-home")
    context: dict[str, Any] = {
        "entry": entry,
        "rider": entry.rider,
        "division": division,
        "event": division.event,
        "state": _state_said(entry),
        "has_place": has_place,
        "kind": kind,
        "deadline": say_when(division.deadline(), division.event),
        "closes": say_when(entries_window(division).closes, division.event),
        "link": link_for(user, path),
    }
    if not has_place:
        subject = f"You are on the waiting list: {division.event.name}"
    send(
        to=user.email,
        subject=subject,
        text=render_to_string("riders/mail/entry.txt", context),
        event=division.event,
        about="Entry",
        dedupe=f"{kind}-{entry.pk}-{entry.entered_at.isoformat()}",
        person=user,
    )
