"""Rides and marks as the table keeps them: alone, twice, and two people at once."""

from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from threading import Barrier

import pytest
from django.db import connection
from django.utils import timezone

from events.models import Act, Official
from events.rules.words import RidingOrder
from runsheets.models import Judge, Mark, RiddenTrick, Ride, RoundResult, RunningOrder
from runsheets.orders import make_order
from runsheets.ride_sheet import key
from runsheets.rides import (
    RideRefused,
    Typed,
    begin_heat,
    correct_heat,
    end_heat,
    give_re_ride,
    save_ride,
    set_judges,
)
from tests.factories import OfficialFactory
from tests.runsheets.day_desk import order_all, two_divisions


@pytest.fixture
def order(db) -> RunningOrder:
    event = two_divisions()
    official = OfficialFactory(club=event.club, role=Official.Role.TABLE)
    order_all(event, official.user)
    for number, name in enumerate(("Ines Halvard", "Tomas Quell"), start=1):
        Judge.objects.create(event=event, number=number, name=name)
    return RunningOrder.objects.order_by("pk").first()


@pytest.fixture
def by(order):
    return order.made_by


def save(order, by, **typed):
    """Save fields given as trick or mark keys, as if each had been read empty."""
    return save_ride(order=order, entry=order.slots.first().entry, number=1, by=by, **typed)


def mark_key(order, number=1) -> str:
    judge = order.division.event.judges.get(number=number)
    return key("m", judge.pk, "", judge.number)


TRICK = key("t", 1, "", 1)


def test_a_trick_a_mark_and_a_state_are_kept(order, by) -> None:
    state = key("r", "state")
    clashes = save(
        order,
        by,
        typed={
            TRICK: Typed("", 0, "landed||HS tantrum"),
            key("t", 1, "", 2): Typed("", 0, "fallen|raley|HS krypt"),
            mark_key(order): Typed("", 0, "62.5"),
            state: Typed("waiting", 0, "done"),
        },
    )

    assert clashes == []
    ride = Ride.objects.get()
    assert ride.state == Ride.State.DONE
    assert ride.ended_at is not None
    assert [(t.outcome, t.planned, t.actual) for t in ride.tricks.all()] == [
        (RiddenTrick.Outcome.LANDED, "HS tantrum", ""),
        (RiddenTrick.Outcome.CHANGED_FALLEN, "HS krypt", "raley"),
    ]
    assert Mark.objects.get().value == Decimal("62.5")
    said = Act.objects.order_by("pk").last().what
    for words in (
        "pass 1 trick 1 landed HS tantrum", "pass 1 trick 2 fell raley HS krypt",
        "judge 1 mark 62.5", "state ridden",
    ):  # fmt: skip
        assert words in said


def test_sent_twice_it_has_one_effect(order, by) -> None:
    typed = {mark_key(order): Typed("", 0, "50"), TRICK: Typed("", 0, "landed||raley")}

    save(order, by, typed=typed)
    acts = Act.objects.count()

    assert save(order, by, typed=typed) == []
    assert Mark.objects.get().version == 1
    assert Act.objects.count() == acts


def test_what_somebody_else_changed_is_not_overwritten(order, by) -> None:
    save(order, by, typed={mark_key(order): Typed("", 0, "50")})

    (clash,) = save(order, by, typed={mark_key(order): Typed("", 0, "70")})

    assert (clash.cell.value, clash.typed) == ("50", "70")
    assert clash.cell.at is not None
    assert Mark.objects.get().value == 50


def test_what_nobody_touched_is_left_alone(order, by) -> None:
    save(order, by, typed={mark_key(order): Typed("", 0, "50")})
    save(order, by, typed={mark_key(order): Typed("50", 1, "55")})

    stale = {mark_key(order): Typed("50", 1, "50"), mark_key(order, 2): Typed("", 0, "40")}

    assert save(order, by, typed=stale) == []
    assert sorted(Mark.objects.values_list("value", flat=True)) == [40, 55]


def test_an_emptied_mark_is_gone_and_an_emptied_trick_keeps_its_plan(order, by) -> None:
    save(
        order, by, typed={mark_key(order): Typed("", 0, "5"), TRICK: Typed("", 0, "landed||raley")}
    )  # fmt: skip

    save(
        order, by,
        typed={mark_key(order): Typed("5", 1, ""), TRICK: Typed("landed||raley", 1, "")},
    )  # fmt: skip

    assert not Mark.objects.exists()
    trick = RiddenTrick.objects.get()
    assert (trick.outcome, trick.planned) == ("", "raley")


def test_an_official_result_locks_rides(order, by) -> None:
    RoundResult.objects.create(order=order, by=by, official_at=timezone.now())

    with pytest.raises(RideRefused, match="official"):
        save(order, by, typed={mark_key(order): Typed("", 0, "50")})

    assert not Ride.objects.exists()


def test_a_re_ride_stands_for_its_run_and_is_given_once(order, by) -> None:
    save(order, by, typed={mark_key(order): Typed("", 0, "50")})
    ride = Ride.objects.get()

    with pytest.raises(RideRefused, match="Say why"):
        give_re_ride(ride=ride, reason=" ", by=by)
    first = give_re_ride(ride=ride, reason="The rope broke", by=by)

    assert give_re_ride(ride=ride, reason="The rope broke", by=by) == first
    assert (first.repeats, first.number, first.reason) == (ride, 2, "The rope broke")


def test_the_times_of_a_heat(order, by) -> None:
    heat = order.heats.first()
    with pytest.raises(RideRefused, match="not begun"):
        end_heat(heat=heat, by=by)

    begin_heat(heat=heat, by=by)
    heat.refresh_from_db()
    begun = heat.begun_at
    begin_heat(heat=heat, by=by)
    end_heat(heat=heat, by=by)
    heat.refresh_from_db()

    assert begun == heat.begun_at
    assert heat.ended_at is not None
    with pytest.raises(RideRefused, match="ends after"):
        correct_heat(heat=heat, begun=None, ended=begun, by=by)


def test_a_judge_who_has_marked_stays(order, by) -> None:
    event = order.division.event
    read = "1 Ines Halvard|2 Tomas Quell"
    save(order, by, typed={mark_key(order, 2): Typed("", 0, "50")})

    with pytest.raises(RideRefused, match="Tomas Quell has marked"):
        set_judges(event=event, names=["Ines Halvard"], read=read, by=by)
    with pytest.raises(RideRefused, match="Somebody else"):
        set_judges(event=event, names=["Oda Wirth"], read="1 Somebody", by=by)
    set_judges(event=event, names=["Oda Wirth", "Tomas Quell"], read=read, by=by)

    assert [judge.name for judge in event.judges.all()] == ["Oda Wirth", "Tomas Quell"]


def together(*acts):
    """Do all of them at the same moment, each on a connection of its own."""
    barrier = Barrier(len(acts))

    def one(act):
        barrier.wait()
        try:
            return act()
        finally:
            connection.close()

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(one, acts))


@pytest.mark.django_db(transaction=True)
def test_two_people_at_once(transactional_db) -> None:
    """Different fields both stand; of the same field one stands and the other clashes."""
    event = two_divisions()
    by = OfficialFactory(club=event.club, role=Official.Role.TABLE).user
    division = event.divisions.prefetch_related("editions").first()
    order = make_order(
        division=division, round_name="Final", method=RidingOrder.ALPHABETICAL, by=by
    )
    for number in (1, 2):
        Judge.objects.create(event=event, number=number, name=f"Judge {number}")
    first, second = mark_key(order), mark_key(order, 2)

    answers = together(
        lambda: save(order, by, typed={first: Typed("", 0, "50"), TRICK: Typed("", 0, "landed||raley")}),
        lambda: save(order, by, typed={second: Typed("", 0, "60"), TRICK: Typed("", 0, "fallen||raley")}),
    )  # fmt: skip

    assert sorted(len(each) for each in answers) == [0, 1]
    assert sorted(Mark.objects.values_list("value", flat=True)) == [50, 60]
    assert RiddenTrick.objects.get().version == 1
