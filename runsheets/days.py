"""What the table does with the days of an event. Every act goes into the audit trail.

Plans are changed with the event locked, and refused where what was on the screen no longer
holds, so that two people at once lose nothing.
"""

import hashlib
from collections.abc import Mapping, Sequence
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from events.models import Event
from events.rules import dates
from events.services import record
from runsheets.models import DayPlan, Heat
from runsheets.schedule import (
    Day,
    EventHeat,
    Schedule,
    fuel_of,
    pauses_of,
    rest_order,
    schedule_of,
    turns,
)
from runsheets.starting.rest import with_rest
from runsheets.timing.timetable import fill_days

NO_DAYS = gettext_lazy("Plan a day first: when it starts and when it must end.")
ALL_PLANNED = gettext_lazy("Every heat is on a day already.")
REAL_TIMES = gettext_lazy("A heat that has begun stays where it is.")
PROMISED = gettext_lazy(
    "Somebody else changed the start of this heat in the meantime; theirs stands: {theirs}. "
    "You wanted: {yours}. Put it in again if it is right."
)
LAST_MINUTE = time(23, 59)


class StalePlan(Exception):
    """The plan of the days is no longer the one that was on the screen."""


class PlanRefused(Exception):
    """It cannot be done; the text says why."""


class Shift(StrEnum):
    """What can be done with one heat of a day."""

    EARLIER = "earlier"
    LATER = "later"
    OFF = "off"
    ON = "on"


MOVED = {
    Shift.EARLIER: gettext_lazy("Moved {heat}: earlier."),
    Shift.LATER: gettext_lazy("Moved {heat}: later."),
    Shift.OFF: gettext_lazy("Moved {heat}: off its day."),
    Shift.ON: gettext_lazy("Moved {heat}: to {day}."),
}


def plan_version(schedule: Schedule) -> str:
    """A short text that changes whenever a heat is moved or begins."""
    held = [(e.heat.pk, e.heat.day, e.heat.place, e.heat.begun_at) for e in schedule.heats]
    return hashlib.sha256(repr(sorted(held, key=str)).encode()).hexdigest()[:16]


@transaction.atomic
def save_day(*, plan: DayPlan, by: Any) -> DayPlan:
    """Keep a day's plan, new or changed."""
    is_new = plan.pk is None
    plan.full_clean()
    plan.save()
    said = _("Planned {day}.") if is_new else _("Changed the plan of {day}.")
    _record(plan.event, by, said.format(day=dates.day(plan.day)))
    return plan


@transaction.atomic
def remove_day(*, plan: DayPlan, by: Any) -> None:
    """Take a day's plan away; its heats are on no day then. Refused once one has begun."""
    if _heats(plan.event).filter(day=plan.day).exclude(begun_at=None).exists():
        raise PlanRefused(_("Riding has begun on this day, so its plan stays."))
    _heats(plan.event).filter(day=plan.day).update(day=None, place=None)
    said, event = _("Took away the plan of {day}."), plan.event
    plan.delete()
    _record(event, by, said.format(day=dates.day(plan.day)))


@transaction.atomic
def publish_day(*, plan: DayPlan, public: bool, by: Any) -> DayPlan:
    """Show the times of a day to everybody, or take them back."""
    plan.published_at = timezone.now() if public else None
    plan.save(update_fields=["published_at", "changed_at"])
    _record(
        plan.event,
        by,
        (
            _("Published the times of {day}.") if public else _("Took back the times of {day}.")
        ).format(day=dates.day(plan.day)),
    )
    return plan


@transaction.atomic
def shift_heat(
    *, event: Event, heat_id: int, shift: Shift, day: date | None, version: str, by: Any
) -> None:
    """Move a heat in its day, off it, or on another day at the end.

    Raises StalePlan, and PlanRefused for a heat that has begun.
    """
    schedule = _locked(event, version)
    moved = next((each for each in schedule.heats if each.heat.pk == heat_id), None)
    if moved is None:
        raise StalePlan
    if moved.heat.begun_at:
        raise PlanRefused(REAL_TIMES)
    if shift is Shift.ON:
        if day is None or schedule.day(day) is None:
            raise StalePlan
        _append(schedule.day(day), moved)
    elif shift is Shift.OFF:
        Heat.objects.filter(pk=heat_id).update(day=None, place=None)
        _touch(event, moved.heat.day)
    else:
        _swap(schedule, moved, -1 if shift is Shift.EARLIER else 1)
    where = dates.day(day) if day is not None else ""
    _record(event, by, str(MOVED[shift]).format(heat=moved.name, day=where))


@transaction.atomic
def keep_start(
    *, event: Event, heat_id: int, clock: time | None, by: Any, was: str | None = None
) -> None:
    """Promise that a heat starts no earlier than a time of its day, or take that back.

    `was` is the promise that was on the screen, such as 13:30, empty for none; None asks no
    question. Raises PlanRefused where another one was given meanwhile, StalePlan where the
    heat is on no day any more.
    """
    found = _heats(event).select_for_update(of=["self"])
    heat = found.filter(pk=heat_id).exclude(day=None).first()
    if heat is None:
        raise StalePlan
    _check_promise(heat, event, clock, was)
    heat.not_before = (
        datetime.combine(heat.day, clock, tzinfo=event.zone) if clock is not None else None
    )
    heat.save(update_fields=["not_before"])
    _touch(event, heat.day)
    said = (
        _("Heat {number} of {division} starts as the plan says.")
        if clock is None
        else _("Heat {number} of {division} starts not before {clock}.").replace(
            "{clock}", f"{clock:%H:%M}"
        )
    )
    _record(event, by, said.format(number=heat.number, division=heat.order.division))


def _check_promise(heat: Heat, event: Event, clock: time | None, was: str | None) -> None:
    """Refuse to replace a promise that was not on the screen, unless by the same."""
    held = heat.not_before and heat.not_before.astimezone(event.zone)
    now, typed = (f"{each:%H:%M}" if each else "" for each in (held, clock))
    if was is None or now in (was, typed):
        return
    raise PlanRefused(PROMISED.format(theirs=_promise(now), yours=_promise(typed)))


def _promise(clock: str) -> str:
    return _("not before {clock}").format(clock=clock) if clock else _("as planned")


@transaction.atomic
def fill(*, event: Event, version: str, by: Any) -> str:
    """Put every heat that is on no day at the end of the first day with room.

    Returns a sentence on those that found none. Raises PlanRefused where there is nothing
    to put, or no day.
    """
    schedule = _locked(event, version)
    if not schedule.days:
        raise PlanRefused(NO_DAYS)
    if not schedule.unplanned:
        raise PlanRefused(ALL_PLANNED)
    left = list(schedule.unplanned)
    for day in schedule.days:
        left = _fill_day(day, left)
    placed = len(schedule.unplanned) - len(left)
    _record(event, by, _("Put {number} heats on days.").format(number=placed))
    if not left:
        return ""
    return ngettext(
        "{number} heat finds no room: add a day, start earlier, end later, or make heats "
        "smaller.",
        "{number} heats find no room: add a day, start earlier, end later, or make heats "
        "smaller.",
        len(left),
    ).format(number=len(left))


@transaction.atomic
def give_rest(*, plan: DayPlan, version: str, by: Any) -> int:
    """Part the heats of riders who ride twice; returns how many clashes remain."""
    schedule = _locked(plan.event, version)
    day = schedule.day(plan.day)
    if day is None:
        raise StalePlan
    begun = [each.heat.pk for each in day.heats if each.heat.begun_at]
    order, left = with_rest(
        rest_order(day.heats), plan.rest_heats, fixed=begun, before=turns(day.heats)
    )
    _store(plan.event, plan.day, [each.key for each in order])
    _record(
        plan.event,
        by,
        _("Parted the heats of riders who ride twice on {day}.").format(
            day=dates.day(plan.day)
        ),
    )
    return len(left)


def _locked(event: Event, version: str) -> Schedule:
    Event.objects.select_for_update().get(pk=event.pk)
    schedule = schedule_of(event)
    if plan_version(schedule) != version:
        raise StalePlan
    return schedule


def _heats(event: Event) -> Any:
    return Heat.objects.filter(order__division__event=event).select_related("order__division")


def _fill_day(day: Day, heats: Sequence[EventHeat]) -> list[EventHeat]:
    """Put as many heats as fit at the end of a day; returns the others."""
    figures = day.plan.pace
    start = day.at(day.plan.starts_at)
    end = day.at(day.plan.latest_end or day.plan.sunset or LAST_MINUTE)
    own = [each.planned(figures) for each in day.heats]
    found = fill_days(
        own + [each.planned(figures) for each in heats],
        [(start, max(start, end) + timedelta(seconds=59))],
        pauses_of(day.plan),
        heat_gap_s=day.plan.heat_gap_min * 60,
        fuel=fuel_of(day.plan),
    )
    room = max(len(found.days[0].heats) - len(own), 0)
    _store(day.plan.event, day.plan.day, [each.heat.pk for each in [*day.heats, *heats[:room]]])
    return list(heats[room:])


def _append(day: Day, heat: EventHeat) -> None:
    keys = [each.heat.pk for each in day.heats if each.heat.pk != heat.heat.pk]
    _store(day.plan.event, day.plan.day, [*keys, heat.heat.pk])


def _swap(schedule: Schedule, heat: EventHeat, by: int) -> None:
    day = next((each for each in schedule.days if heat in each.heats), None)
    if day is None:
        raise StalePlan
    keys = [each.heat.pk for each in day.heats]
    at = keys.index(heat.heat.pk)
    to = at + by
    if not 0 <= to < len(keys):
        return
    if day.heats[to].heat.begun_at:
        raise PlanRefused(REAL_TIMES)
    keys[at], keys[to] = keys[to], keys[at]
    _store(day.plan.event, day.plan.day, keys)


def _store(event: Event, day: date, keys: Sequence[Any]) -> None:
    """Put heats on a day in this order."""
    places: Mapping[Any, int] = {pk: n for n, pk in enumerate(keys, start=1)}
    heats = list(Heat.objects.filter(pk__in=places))
    for heat in heats:
        if heat.day != day:
            heat.not_before = None  # a promise for another day
        heat.day, heat.place = day, places[heat.pk]
    Heat.objects.bulk_update(heats, ["day", "place", "not_before"])
    _touch(event, day)


def _touch(event: Event, day: date | None) -> None:
    """Note that the times of a day moved, for calendars that ask."""
    DayPlan.objects.filter(event=event, day=day).update(changed_at=timezone.now())


def _record(event: Event, by: Any, what: str) -> None:
    record(club=event.club, event=event, by=by, what=what)
