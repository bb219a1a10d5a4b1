"""What the table does while a heat is ridden. Every act goes into the audit trail.

Two people may keep the same ride at once. Each field is therefore saved with what stood in
it when it was read: a field nobody touched is left alone, and one that somebody else has
changed meanwhile is not overwritten, but handed back as a clash.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Max
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.models import Event
from events.services import record
from riders.models import Entry
from runsheets.models import (
    DayPlan,
    Heat,
    Judge,
    Mark,
    RiddenTrick,
    Ride,
    RoundResult,
    RunningOrder,
)
from runsheets.ride_sheet import Cell, Kind, cells_of

LOCKED = gettext_lazy(
    "The result of this round is official, so its rides and marks are "
    "locked. Take the result back first if something must be corrected."
)
JUDGE_HAS_MARKED = gettext_lazy("{name} has marked runs already and stays on the panel.")
OUTCOMES = {
    RiddenTrick.Outcome.LANDED: RiddenTrick.Outcome.CHANGED,
    RiddenTrick.Outcome.FALLEN: RiddenTrick.Outcome.CHANGED_FALLEN,
}


class RideRefused(Exception):
    """It cannot be done; the text says why."""


@dataclass(frozen=True)
class Typed:
    """One field as it was sent: what stood there when it was read, and what is wanted."""

    read: str
    read_version: int
    value: str


@dataclass(frozen=True)
class Clash:
    """A field that somebody else changed meanwhile: theirs stands, the typed one waits."""

    cell: Cell
    typed: str


@transaction.atomic
def set_judges(*, event: Event, names: Sequence[str], read: str, by: Any) -> None:
    """Name the panel, number 1 first; an empty name leaves its number free.

    `read` is `panel_text` of what was on the screen. Raises RideRefused where it no longer
    holds, and for a judge who has marked and would go.
    """
    Event.objects.select_for_update().get(pk=event.pk)
    judges = {judge.number: judge for judge in event.judges.all()}
    wanted = {n: name.strip() for n, name in enumerate(names, start=1) if name.strip()}
    if {n: judge.name for n, judge in judges.items()} == wanted:
        return
    if panel_text(judges.values()) != read:
        raise RideRefused(
            _(
                "Somebody else changed the panel in the meantime. What you typed is "
                "still here; open the page anew to see theirs."
            )
        )
    for number, judge in judges.items():
        if number not in wanted:
            if judge.marks.exists():
                raise RideRefused(JUDGE_HAS_MARKED.format(name=judge.name))
            judge.delete()
    for number, name in wanted.items():
        Judge.objects.update_or_create(event=event, number=number, defaults={"name": name})
    said = ", ".join(f"{n} {name}" for n, name in wanted.items())
    record(
        club=event.club,
        event=event,
        by=by,
        what=_("Panel of judges: {names}.").format(names=said or _("nobody")),
    )


def panel_text(judges: Iterable[Judge]) -> str:
    """A short text that changes whenever the panel does."""
    return "|".join(f"{judge.number} {judge.name}" for judge in judges)


@transaction.atomic
def begin_heat(*, heat: Heat, by: Any) -> None:
    """The heat begins now. Pressed twice, the first time stands."""
    fresh = Heat.objects.select_for_update().get(pk=heat.pk)
    if fresh.begun_at is None:
        _set_times(fresh, timezone.now(), None, by)


@transaction.atomic
def end_heat(*, heat: Heat, by: Any) -> None:
    """The heat ends now. Pressed twice, the first time stands."""
    fresh = Heat.objects.select_for_update().get(pk=heat.pk)
    if fresh.begun_at is None:
        raise RideRefused(_("This heat has not begun yet."))
    if fresh.ended_at is None:
        _set_times(fresh, fresh.begun_at, timezone.now(), by)


@transaction.atomic
def correct_heat(
    *, heat: Heat, begun: datetime | None, ended: datetime | None, by: Any
) -> None:
    """Write the real times of a heat by hand; None: it has not begun, or not ended."""
    fresh = Heat.objects.select_for_update().get(pk=heat.pk)
    if ended and (begun is None or ended < begun):
        raise RideRefused(_("A heat ends after it begins; check both times."))
    if (fresh.begun_at, fresh.ended_at) != (begun, ended):
        _set_times(fresh, begun, ended, by)


def _set_times(heat: Heat, begun: datetime | None, ended: datetime | None, by: Any) -> None:
    heat.begun_at, heat.ended_at = begun, ended
    heat.save(update_fields=["begun_at", "ended_at"])
    division = heat.order.division
    plans = DayPlan.objects.filter(event=division.event, day=heat.day)
    plans.update(changed_at=timezone.now())  # for calendars that ask
    zone = division.event.zone
    clocks = [
        f"{each.astimezone(zone):%H:%M}" if each else _("not yet") for each in (begun, ended)
    ]
    said = _("{heat} of {division}: begun {begun}, ended {ended}.").format(
        heat=heat, division=division, begun=clocks[0], ended=clocks[1]
    )
    record(club=division.event.club, event=division.event, by=by, what=said)


@transaction.atomic
def save_ride(
    *, order: RunningOrder, entry: Entry, number: int, typed: Mapping[str, Typed], by: Any
) -> list[Clash]:
    """Save the fields that were changed, by their keys; returns those that clash.

    Sent twice, it has one effect. Raises RideRefused once the result is official.
    """
    _open_order(order)
    ride, _made = Ride.objects.get_or_create(order=order, entry=entry, number=number)
    now = {cell.key: cell for cell in cells_of(ride)}
    clashes, done = [], []
    for key, sent in typed.items():
        cell = now.get(key) or Cell.empty(key)
        if sent.value in (sent.read, cell.value):
            continue
        if (cell.value, cell.version) != (sent.read, sent.read_version) and not (
            cell.kind is Kind.RIDE and cell.value == sent.read
        ):
            clashes.append(Clash(cell, sent.value))
            continue
        _write(ride, cell, sent.value, by)
        done.append(f"{cell.name} {cell.said(sent.value)}")
    if done:
        ride.version += 1
        ride.changed_at, ride.changed_by = timezone.now(), by
        ride.save()
        _record(
            order,
            by,
            _("{entry}, run {number}: {changes}.").format(
                entry=entry, number=number, changes="; ".join(done)
            ),
        )
    return clashes


@transaction.atomic
def give_re_ride(*, ride: Ride, reason: str, by: Any) -> Ride:
    """A run to be ridden again, in place of this one. Pressed twice, there is one."""
    _open_order(ride.order)
    if found := Ride.objects.filter(repeats=ride).first():
        return found
    if not reason.strip():
        raise RideRefused(_("Say why the run is ridden again."))
    rides = Ride.objects.filter(order=ride.order, entry=ride.entry)
    last = rides.aggregate(last=Max("number"))["last"] or 0
    # Numbers up to the format's count belong to the rider's own runs.
    stated = ride.order.division.edition
    rounds = stated.effective(ride.order.round_name or None).rounds or () if stated else ()
    own = next((r.best_of for r in rounds if (r.name or "") == ride.order.round_name), None)
    made = Ride.objects.create(
        order=ride.order,
        entry=ride.entry,
        number=max(last, own or 1) + 1,
        repeats=ride,
        reason=reason.strip()[:200],
    )
    _record(
        ride.order,
        by,
        _("Re-ride for {entry}, run {number}: {reason}.").format(
            entry=ride.entry, number=ride.number, reason=reason.strip()
        ),
    )
    return made


def _open_order(order: RunningOrder) -> None:
    RunningOrder.objects.select_for_update().get(pk=order.pk)
    if RoundResult.objects.filter(order=order).exclude(official_at=None).exists():
        raise RideRefused(LOCKED)


def _write(ride: Ride, cell: Cell, value: str, by: Any) -> None:
    if cell.kind is Kind.TRICK:
        _write_trick(ride, cell, value, by)
    elif cell.kind is Kind.MARK:
        _write_mark(ride, cell, value, by)
    elif cell.field == "state":
        ride.state = Ride.State(value)
        if ride.state == Ride.State.UNDER_WAY:
            ride.begun_at = ride.begun_at or timezone.now()
        elif ride.state == Ride.State.DONE:
            ride.ended_at = ride.ended_at or timezone.now()
    elif cell.field == "points_off":
        ride.points_off = Decimal(value or 0)
    else:
        setattr(ride, cell.field, value[:200])


def _write_trick(ride: Ride, cell: Cell, value: str, by: Any) -> None:
    outcome, _, rest = value.partition("|")
    actual, _, planned = rest.partition("|")
    if actual:
        outcome = OUTCOMES.get(RiddenTrick.Outcome(outcome), RiddenTrick.Outcome(outcome))
    at = {"pass_no": cell.pass_no, "bonus": cell.bonus, "place": cell.place}
    values = {
        **({"planned": planned} if value else {}),  # one that was emptied keeps its plan
        "outcome": outcome,
        "actual": actual,
        "version": cell.version + 1,
        "changed_at": timezone.now(),
        "changed_by": by,
    }
    RiddenTrick.objects.update_or_create(ride=ride, **at, defaults=values)


def _write_mark(ride: Ride, cell: Cell, value: str, by: Any) -> None:
    mark = Mark.objects.filter(ride=ride, judge_id=cell.judge, criterion=cell.criterion)
    if not value:
        mark.delete()
        return
    values = {
        "value": Decimal(value),
        "version": cell.version + 1,
        "changed_at": timezone.now(),
        "changed_by": by,
    }
    Mark.objects.update_or_create(
        ride=ride, judge_id=cell.judge, criterion=cell.criterion, defaults=values
    )


def _record(order: RunningOrder, by: Any, what: str) -> None:
    event = order.division.event
    text = what if len(what) <= 300 else f"{what[:297]}..."
    record(club=event.club, event=event, by=by, what=text)
