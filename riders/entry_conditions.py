"""The conditions of an entry: the division's rules, its times, the guardian of a minor.

Nothing is written here, and what is known is passed in, so that one entry and a whole file
are judged by the same lines.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from events.lake_days import latest_day
from events.models import Division, Event
from events.rules.language import mark
from events.rules.staging import Eligibility
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
)
from riders.models import Entry, Rider
from riders.services import say_when

CLOSED = mark("Entries closed on {when}. Ask the organiser whether a late entry is possible.")
EARLY = mark("Entries open on {when}. Come back then.")
FULL = mark(
    "Every place of {division} is taken and there is no waiting list. Ask the organiser."
)
OLDEST = 120  # years
GUARDIAN = {
    "guardian": mark(
        "The rider is under {age} on the first day: write the guardian's full name."
    ),
    "guardian_phone": mark("Write a phone number at which the guardian can be reached."),
    "consented": mark("The guardian must consent: ask them, then tick this."),
}


@dataclass(frozen=True, slots=True)
class Details:
    """What is said with an entry. An empty date of birth or sex leaves the known one.

    `is_named` is what a guardian answers; it is asked of nobody else.
    """

    born_on: date | None = None
    sex: str = ""
    guardian: str = ""
    guardian_phone: str = ""
    consented: bool = False
    is_named: bool = False
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


def check_birth(born_on: date) -> None:
    """Raise ValidationError where nobody alive can be born on that day."""
    today = latest_day()
    if born_on >= today or today.year - born_on.year > OLDEST:
        raise ValidationError(_("This cannot be the date of birth: look at the year."))


def may_ride(
    rider: Rider, division: Division, details: Details, others: Iterable[Division]
) -> Answer:
    """Look at the rules of the division, and at those of the rider's other divisions."""
    elsewhere = tuple(
        Elsewhere(each.name, eligibility_of(each).several)
        for each in others
        if each.pk != division.pk
    )
    applicant = Applicant(details.born_on or rider.born_on, details.sex or rider.sex, elsewhere)
    return may_enter(eligibility_of(division), applicant, division.event.first_day)


def check_window(division: Division, at: datetime) -> None:
    """Raise ValidationError unless the division takes entries at that moment."""
    window = entries_window(division)
    stands = window.at(at)
    if stands is Window.EARLY and window.opens:
        raise ValidationError(_(EARLY).format(when=say_when(window.opens, division.event)))
    if stands is Window.CLOSED:
        raise ValidationError(_(CLOSED).format(when=say_when(window.closes, division.event)))


def check_details(
    rider: Rider, division: Division, details: Details, others: Iterable[Division]
) -> None:
    """Raise ValidationError, by field, where the rider may not enter like this.

    `others` are the divisions of the event in which the rider is entered.
    """
    wrong: dict[str, list[str]] = {}
    for barrier in may_ride(rider, division, details, others).barriers:
        field = "__all__" if barrier.about is About.SEVERAL else barrier.about.value
        wrong.setdefault(field, []).append(barrier.say)
    born_on = details.born_on or rider.born_on
    if born_on is not None and is_minor(born_on, division.event):
        for field, say in GUARDIAN.items():
            if not getattr(details, field):
                wrong.setdefault(field, []).append(_(say).format(age=division.event.adult_age))
    if wrong:
        raise ValidationError(wrong)


def place_for(division: Division, riding: int, waiting: int) -> Entry.State:
    """What the next entry gets when so many ride and wait; ValidationError where nothing."""
    place = next_place(eligibility_of(division), riding, waiting)
    if place is Place.REFUSED:
        raise ValidationError(_(FULL).format(division=division.name))
    return Entry.State.RIDING if place is Place.GIVEN else Entry.State.WAITING


def fill(entry: Entry, details: Details, at: datetime) -> None:
    """Write what is said with an entry into it and its rider; the caller checks and saves."""
    rider = entry.rider
    rider.born_on = details.born_on or rider.born_on
    rider.sex = details.sex or rider.sex
    entry.entered_at, entry.withdrawn_at, entry.checked_in_at = at, None, None
    for name in ("guardian", "guardian_phone", "emergency_name", "emergency_phone", "wishes"):
        setattr(entry, name, getattr(details, name))
    entry.logs_attempts = details.logs_attempts
    under_age = rider.born_on is not None and is_minor(rider.born_on, entry.division.event)
    entry.is_named = details.is_named or not under_age
    entry.consented_at = at if details.consented else None
    entry.acknowledged_at = at if details.acknowledged else None


def state_said(place: int | None) -> str:
    """Whether an entry has a place, in words; `place` is its number on the waiting list."""
    if place is None:
        return _("has a place")
    return _("number {place} on the waiting list").format(place=place)
