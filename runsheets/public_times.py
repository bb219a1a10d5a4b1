"""What everybody may see of an event day: published times and published running orders.

The times of a day are public once the day is published, the names in a heat once its running
order is. Declared runs never are.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from events.languages import made_on_paper
from events.models import Division, Event
from runsheets.lineup import HeatLine, Seat, bibs_of, heat_lines, rounds_of
from runsheets.models import DayPlan, RunningOrder
from runsheets.schedule import Day, EventHeat, Schedule, schedule_of
from runsheets.timing.feed import FeedEvent, FeedRow, calendar
from runsheets.timing.timetable import HeatState, HeatTime, PauseTime, RiderTime, wait_words

OVERDUE = timedelta(minutes=10)


@dataclass(frozen=True)
class PublicStart:
    """One rider of a heat and about when the rider starts."""

    seat: Seat
    time: RiderTime | None
    wait: str
    is_own: bool


@dataclass(frozen=True)
class PublicHeat:
    """A heat with its time; without riders while its order is not published."""

    heat: EventHeat
    time: HeatTime
    wait: str
    starts: list[PublicStart]

    @property
    def has_order(self) -> bool:
        """Whether everybody may see who rides in it."""
        return self.heat.heat.order.published_at is not None

    @property
    def is_running(self) -> bool:
        """Whether the heat is on the water."""
        return self.time.state is HeatState.RUNNING

    @property
    def is_ridden(self) -> bool:
        """Whether the heat is over."""
        return self.time.state is HeatState.RIDDEN


@dataclass(frozen=True)
class PublicDay:
    """A day whose times are published, row by row."""

    plan: DayPlan
    rows: list[PublicHeat | PauseTime]
    ends_at: datetime
    late_by: timedelta

    @property
    def own(self) -> list[tuple[PublicHeat, PublicStart]]:
        """The starts of whoever looks at the page."""
        heats = [row for row in self.rows if isinstance(row, PublicHeat)]
        return [(heat, each) for heat in heats for each in heat.starts if each.is_own]


def public_days(event: Event, now: datetime, own: Collection[int] = ()) -> list[PublicDay]:
    """The published days with their times as they now look; `own` are riders to point out.

    The same few queries for any number of riders.
    """
    schedule = schedule_of(event, now)
    return [
        _public_day(day, now, own)
        for day in schedule.days
        if day.plan.published_at is not None and day.heats
    ]


def _public_day(day: Day, now: datetime, own: Collection[int]) -> PublicDay:
    rows: list[PublicHeat | PauseTime] = []
    for row in day.times.rows:
        if isinstance(row, PauseTime):
            rows.append(row)
        else:
            rows.append(_public_heat(day.by_key[row.key], row, day.now and now, own))
    late_by = day.times.ends_at - day.times.planned_end
    return PublicDay(day.plan, rows, day.times.ends_at, late_by)


def _public_heat(
    heat: EventHeat, time: HeatTime, now: datetime | None, own: Collection[int]
) -> PublicHeat:
    starts = []
    if heat.heat.order.published_at is not None:
        by_entry = {each.key: each for each in time.riders}
        for seat in heat.line.seats:
            start = by_entry.get(seat.entry.pk)
            wait = _wait(now, start.start) if start and not start.is_done else ""
            starts.append(PublicStart(seat, start, wait, seat.entry.rider_id in own))
    wait = _wait(now, time.start) if time.state is HeatState.PLANNED else ""
    return PublicHeat(heat, time, wait, starts)


def _wait(now: datetime | None, start: datetime) -> str:
    """How long to wait; nothing where the time is over and nobody noted a start."""
    if now is None or start + OVERDUE < now:
        return ""
    return wait_words(now, start)


@dataclass(frozen=True)
class PublicOrder:
    """A published running order with its heats."""

    order: RunningOrder
    division: Division
    heats: list[HeatLine]


def public_orders(event: Event) -> list[PublicOrder]:
    """The published running orders, by division and round: a fixed number of queries."""
    divisions = {each.pk: each for each in event.divisions.prefetch_related("editions")}
    found = RunningOrder.objects.filter(division__in=divisions).exclude(published_at=None)
    orders = list(found.select_related("made_by"))
    by_order: dict[int, list[HeatLine]] = {order.pk: [] for order in orders}
    for line in heat_lines(orders, bibs_of(event)):
        by_order[line.heat.order_id].append(line)
    turn = {
        (division.pk, name): (division.place, division.pk, n)
        for division in divisions.values()
        for n, name in enumerate(rounds_of(division))
    }

    def place(order: RunningOrder) -> tuple[int, ...]:
        last = (divisions[order.division_id].place, order.division_id, len(turn))
        return turn.get((order.division_id, order.round_name), last)

    return [
        PublicOrder(order, divisions[order.division_id], by_order[order.pk])
        for order in sorted(orders, key=place)
    ]


@made_on_paper
def feed(event: Event, page: str, host: str, bib: int | None = None) -> bytes:
    """The published times as a calendar; with a bib, the starts of that rider alone.

    `page` is the whole address of the page of times, `host` the name of the site. Heats move
    only when something real happens, not with every minute that passes.
    """
    schedule = schedule_of(event)
    published = [day for day in schedule.days if day.plan.published_at is not None]
    told = FeedEvent(
        uid=f"{event.slug}-times@{host}",
        name=event.name
        if bib is None
        else _("{event}, bib {bib}").format(event=event.name, bib=bib),
        zone=event.time_zone,
        location=str(event.venue),
        url=page,
    )
    rows = []
    for day in published:
        changed = _changed(day)
        for heat in day.heats:
            time = day.time_of(heat)
            if time is None:
                continue
            if bib is None:
                rows.append(_heat_row(heat, time, host, page, changed))
            else:
                rows += _start_rows(schedule, heat, time, bib, host, page, changed)
    return calendar(told, rows)


def _changed(day: Day) -> datetime:
    """When anything last moved the times of a day."""
    moments = [day.plan.changed_at]
    for each in day.heats:
        heat = each.heat
        moments += [heat.order.changed_at, heat.begun_at, heat.ended_at]
        moments += [seat.entry.withdrawn_at for seat in each.line.seats]
    return max(filter(None, moments))


def _revision(changed: datetime) -> int:
    """A number that never falls: the minute of the change, counted from 1970."""
    return int(changed.timestamp() // 60)


def _heat_row(
    heat: EventHeat, time: HeatTime, host: str, page: str, changed: datetime
) -> FeedRow:
    who = ""
    if heat.heat.order.published_at is not None:
        who = "\n".join(_seat_words(seat) for seat in heat.line.seats if not seat.scratched)
    return FeedRow(
        uid=f"heat-{heat.heat.pk}@{host}",
        start=time.start,
        end=time.end,
        summary=heat.name,
        stamped_at=min(heat.heat.order.made_at, changed),
        changed_at=changed,
        revision=_revision(changed),
        description=who,
        url=page,
    )


def _seat_words(seat: Seat) -> str:
    name = seat.entry.public_name
    return _("Bib {bib} {name}").format(bib=seat.bib, name=name) if seat.bib else name


def _start_rows(
    schedule: Schedule,
    heat: EventHeat,
    time: HeatTime,
    bib: int,
    host: str,
    page: str,
    changed: datetime,
) -> list[FeedRow]:
    if heat.heat.order.published_at is None:
        return []
    own = {e.pk: e for e in heat.line.riding if schedule.bibs.get(e.rider_id) == bib}
    return [
        FeedRow(
            uid=f"heat-{heat.heat.pk}-rider-{each.key}@{host}",
            start=each.start,
            end=each.end,
            summary=_("You ride: {heat}").format(heat=heat.name),
            stamped_at=min(heat.heat.order.made_at, changed),
            changed_at=changed,
            revision=_revision(changed),
            description=_(
                "About this time; be at the dock early, and look at the page of times."
            ),
            url=page,
        )
        for each in time.riders
        if each.key in own
    ]
