"""The JSON interface to an event's days: running orders, times and results, once published."""

from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone
from ninja import Router

from events.exchange.endpoints import MISSING, Slug, public_division, public_event
from events.site import absolute
from runsheets.lineup import Seat
from runsheets.public_schemas import (
    DayOut,
    GroupOut,
    MarkOut,
    OrderHeatOut,
    OrderOut,
    PlaceOut,
    ResultOut,
    RowOut,
    SeatOut,
    StartOut,
)
from runsheets.public_times import (
    PublicDay,
    PublicHeat,
    PublicStart,
    public_days,
    public_orders,
)
from runsheets.results import Result, orders_with_results, results_of

router = Router(tags=["Event days"])


@router.get(
    "/events/{event}/running-orders",
    response={200: list[OrderOut]} | MISSING,
    url_name="api-running-orders",
)
def running_orders(request: HttpRequest, event: str = Slug) -> list[OrderOut]:
    """The published running orders, by division and round."""
    found = public_event(event)
    return [
        OrderOut(
            division=each.division.slug,
            round=each.order.round_name,
            published_at=each.order.published_at,
            method=each.order.method,
            draw_word=each.order.seed,
            heats=[
                OrderHeatOut(
                    number=line.heat.number, riders=[_seat(seat) for seat in line.seats]
                )
                for line in each.heats
            ],
        )
        for each in public_orders(found)
    ]


def _seat(seat: Seat) -> SeatOut:
    return SeatOut(
        position=seat.position,
        bib=seat.bib,
        name=seat.entry.public_name,
        scratched=seat.scratched,
    )


@router.get(
    "/events/{event}/times", response={200: list[DayOut]} | MISSING, url_name="api-times"
)
def times(request: HttpRequest, event: str = Slug) -> list[DayOut]:
    """The published days, heat by heat, as their times now look."""
    found = public_event(event)
    return [_day(each) for each in public_days(found, timezone.now())]


def _day(day: PublicDay) -> DayOut:
    return DayOut(day=day.plan.day, ends_at=day.ends_at, rows=[_row(each) for each in day.rows])


def _row(row: object) -> RowOut:
    if not isinstance(row, PublicHeat):
        return RowOut(
            kind="pause",
            name=row.name,
            starts_at=row.start,
            ends_at=row.end,
            state="",
            riders=[],
        )
    return RowOut(
        kind="heat",
        name=row.heat.name,
        starts_at=row.time.start,
        ends_at=row.time.end,
        state=row.time.state.value,
        riders=[_start(each) for each in row.starts],
    )


def _start(start: PublicStart) -> StartOut:
    rides = start.time is not None and not start.seat.scratched
    return StartOut(
        bib=start.seat.bib,
        name=start.seat.entry.public_name,
        scratched=start.seat.scratched,
        starts_at=start.time.start if rides and start.time else None,
    )


@router.get(
    "/events/{event}/divisions/{division}/results",
    response={200: list[ResultOut]} | MISSING,
    url_name="api-results",
)
def results(request: HttpRequest, event: str = Slug, division: str = Slug) -> list[ResultOut]:
    """The posted results of a division, round by round."""
    one = public_division(event, division)
    posted = [each for each in orders_with_results(one.event) if each.division_id == one.pk]
    for order in posted:
        order.division = one
    return [_result(each) for each in results_of(one, posted)]


def _result(result: Result) -> ResultOut:
    event, order = result.division.event, result.order
    page = reverse("result", args=[event.slug, result.division.slug])
    assert result.posted is not None
    until = result.protests_until
    return ResultOut(
        division=result.division.slug,
        round=order.round_name,
        official=result.is_official,
        posted_at=result.posted.posted_at.astimezone(event.zone),
        protests_until=until and until.astimezone(event.zone),
        groups=[
            GroupOut(
                heat=group.heat,
                places=[
                    PlaceOut(
                        place=row.standing.place,
                        bib=row.bib,
                        name=row.entry.public_name,
                        total=row.total,
                        is_sum_of_places=row.standing.lower_is_better,
                        marks=[MarkOut(label=name, mark=each) for name, each in row.figures],
                        points_off=row.points_off,
                        state=row.standing.status.value,
                        note=row.standing.note,
                    )
                    for row in group.rows
                ],
            )
            for group in result.groups
        ],
        page=absolute(page),
    )
