"""Days as they are planned: heats on days, rest, real starts, and two people at once."""

from datetime import date, time, timedelta

import pytest

from events.models import Act
from riders.models import Entry
from runsheets.days import (
    PlanRefused,
    Shift,
    StalePlan,
    fill,
    give_rest,
    keep_start,
    plan_version,
    publish_day,
    remove_day,
    shift_heat,
)
from runsheets.models import DayPlan, Heat
from runsheets.orders import change_order, order_version
from runsheets.schedule import schedule_of
from runsheets.starting.moves import Move
from tests.factories import EntryFactory, UserFactory
from tests.runsheets.day_desk import (
    DAY,
    at,
    filled,
    heat_of,
    named,
    order_all,
    plan_day,
    two_divisions,
)

pytestmark = pytest.mark.django_db

ALL = [
    "Open, Final, Heat 1",
    "Open, Final, Heat 2",
    "Seniors, Final, Heat 1",
    "Seniors, Final, Heat 2",
]


@pytest.fixture
def by(db):
    return UserFactory()


@pytest.fixture
def event(by):
    event = two_divisions()
    order_all(event, by)
    return event


def shift(event, heat, what, by, day=None) -> None:
    version = plan_version(schedule_of(event))
    shift_heat(event=event, heat_id=heat.pk, shift=what, day=day, version=version, by=by)


def starts(event, now=None) -> dict[str, str]:
    schedule = schedule_of(event, now)
    return {
        each.name: f"{day.time_of(each).start.astimezone(event.zone):%H:%M}"
        for day in schedule.days
        for each in day.heats
    }


def test_heats_come_by_division_and_number(event, by) -> None:
    filled(event, by)

    assert named(schedule_of(event)) == [ALL]
    assert schedule_of(event).unplanned == []


def test_the_times_follow_from_the_figures(event, by) -> None:
    """Two passes of 400 m at 21.5 mph with one turn, by hand: see the sum in the comment.

    Common practice, no source: a rider takes about four to six minutes.
    """
    filled(event, by)
    day = schedule_of(event).days[0]
    take = day.takes[0]

    # The parts are what the page shows: they add up to what a rider takes.
    assert sum(part.seconds for part in take.parts) == pytest.approx(take.seconds)
    first, second = (day.time_of(each) for each in day.heats[:2])
    assert (first.end - first.start).total_seconds() == pytest.approx(3 * take.seconds, abs=1)
    assert second.start - first.end == timedelta(minutes=5)
    assert first.start == at(event, "09:00")


def test_a_real_start_moves_the_rest(event, by) -> None:
    filled(event, by)
    before = starts(event, at(event, "09:00"))
    heat = heat_of(event, "Open", 1)
    heat.begun_at = at(event, "09:20")
    heat.save()

    after = starts(event, at(event, "09:21"))

    assert before["Open, Final, Heat 1"] == "09:00"
    assert after["Open, Final, Heat 1"] == "09:20"
    moved = at(event, after[ALL[3]]) - at(event, before[ALL[3]])
    assert moved == timedelta(minutes=20)


def test_fill_takes_the_first_day_with_room(event, by) -> None:
    plan_day(event, by, latest_end=time(9, 40))
    plan_day(event, by, day=DAY + timedelta(days=1))

    said = fill(event=event, version=plan_version(schedule_of(event)), by=by)

    first, second = named(schedule_of(event))
    assert said == ""
    assert first + second == ALL
    assert first
    assert second
    day = schedule_of(event).days[0]
    assert day.times.ends_at <= at(event, "09:41")


def test_fill_says_what_finds_no_room(event, by) -> None:
    plan_day(event, by, latest_end=time(9, 40))

    said = fill(event=event, version=plan_version(schedule_of(event)), by=by)

    left = len(schedule_of(event).unplanned)
    assert left
    assert said.startswith(f"{left} heat")
    assert "find" in said


def test_fill_needs_a_day_and_heats(event, by) -> None:
    with pytest.raises(PlanRefused, match="Plan a day first"):
        fill(event=event, version=plan_version(schedule_of(event)), by=by)
    filled(event, by)
    with pytest.raises(PlanRefused, match="on a day already"):
        fill(event=event, version=plan_version(schedule_of(event)), by=by)


def test_one_heat_is_moved(event, by) -> None:
    filled(event, by)

    shift(event, heat_of(event, "Open", 2), Shift.EARLIER, by)
    assert named(schedule_of(event))[0][:2] == [ALL[1], ALL[0]]
    shift(event, heat_of(event, "Open", 2), Shift.LATER, by)
    assert named(schedule_of(event)) == [ALL]
    shift(event, heat_of(event, "Open", 1), Shift.EARLIER, by)
    assert named(schedule_of(event)) == [ALL]


def test_a_heat_goes_off_the_day_and_on_another(event, by) -> None:
    filled(event, by)
    second = DAY + timedelta(days=1)
    plan_day(event, by, day=second)

    shift(event, heat_of(event, "Open", 1), Shift.OFF, by)
    assert [each.name for each in schedule_of(event).unplanned] == [ALL[0]]
    shift(event, heat_of(event, "Open", 1), Shift.ON, by, second)
    moved = Act.objects.order_by("-pk").first().what
    assert moved == f"Moved Open, Final, Heat 1: to {second.day} {second:%B %Y}."

    assert named(schedule_of(event)) == [ALL[1:], ALL[:1]]


def test_a_heat_that_has_begun_stays(event, by) -> None:
    filled(event, by)
    Heat.objects.filter(pk=heat_of(event, "Open", 1).pk).update(begun_at=at(event, "09:02"))

    for what in (Shift.LATER, Shift.OFF):
        with pytest.raises(PlanRefused, match="has begun"):
            shift(event, heat_of(event, "Open", 1), what, by)
    with pytest.raises(PlanRefused, match="has begun"):
        shift(event, heat_of(event, "Open", 2), Shift.EARLIER, by)
    assert named(schedule_of(event)) == [ALL]


def test_the_second_of_two_people_is_told(event, by) -> None:
    filled(event, by)
    seen = plan_version(schedule_of(event))
    shift(event, heat_of(event, "Open", 2), Shift.EARLIER, by)

    with pytest.raises(StalePlan):
        shift_heat(
            event=event, heat_id=heat_of(event, "Open", 1).pk, shift=Shift.OFF, day=None,
            version=seen, by=by,
        )  # fmt: skip
    assert len(schedule_of(event).days[0].heats) == 4


def test_heats_of_a_rider_who_rides_twice_are_parted(event, by) -> None:
    twice = Entry.objects.get(
        division__event=event, division__name="Open", rider__family_name="Fjordan"
    )
    seniors = event.divisions.get(name="Seniors")
    seniors.entries.filter(rider__family_name="Fjordan").delete()
    again = EntryFactory(division=seniors, rider=twice.rider)
    order_all(event, by)
    order = seniors.orders.get()
    change_order(
        order=order, entry_id=again.pk, move=Move.TOP, version=order_version(order), by=by
    )  # fmt: skip
    plan = filled(event, by, rest_heats=1)
    day = schedule_of(event).days[0]
    clashing = {(day.by_key[c.first].name, day.by_key[c.second].name) for c in day.clashes}
    assert clashing == {(ALL[1], ALL[2])}

    left = give_rest(plan=plan, version=plan_version(schedule_of(event)), by=by)

    day = schedule_of(event).days[0]
    assert left == 0
    assert day.clashes == []
    names = [each.name for each in day.heats]
    assert names.index(ALL[0]) < names.index(ALL[1])
    assert names.index(ALL[2]) < names.index(ALL[3])


def test_a_promised_start_is_kept(event, by) -> None:
    filled(event, by)
    heat = heat_of(event, "Seniors", 1)

    keep_start(event=event, heat_id=heat.pk, clock=time(13, 30), by=by)
    assert starts(event)[ALL[2]] == "13:30"
    keep_start(event=event, heat_id=heat.pk, clock=None, by=by)
    assert starts(event)[ALL[2]] < "11:00"
    shift(event, heat_of(event, "Seniors", 1), Shift.OFF, by)
    with pytest.raises(StalePlan):
        keep_start(event=event, heat_id=heat.pk, clock=time(13), by=by)


def test_a_break_and_the_sunset_are_heard(event, by) -> None:
    lunch = [{"name": "Lunch", "at": "09:20", "minutes": 60}]
    plan = filled(event, by, breaks=lunch)
    plan.sunset = time(9, 30)
    plan.save()
    times = schedule_of(event).days[0].times

    assert [row.name for row in times.rows if not hasattr(row, "riders")] == ["Lunch"]
    assert any("sunset" in said.lower() or "dark" in said.lower() for said in times.warnings)


def test_taking_a_day_away(event, by) -> None:
    plan = filled(event, by)
    Heat.objects.filter(pk=heat_of(event, "Open", 1).pk).update(begun_at=at(event, "09:02"))
    with pytest.raises(PlanRefused, match="Riding has begun"):
        remove_day(plan=plan, by=by)
    Heat.objects.update(begun_at=None)

    remove_day(plan=plan, by=by)

    assert not DayPlan.objects.exists()
    assert [each.name for each in schedule_of(event).unplanned] == ALL


def test_acts_are_recorded_and_calendars_hear_of_moves(event, by) -> None:
    plan = filled(event, by)
    earlier = at(event, "08:00", date(2020, 1, 1))
    DayPlan.objects.update(changed_at=earlier)

    shift(event, heat_of(event, "Open", 2), Shift.EARLIER, by)
    publish_day(plan=plan, public=False, by=by)

    plan.refresh_from_db()
    assert plan.changed_at > earlier
    assert plan.published_at is None
    said = list(Act.objects.order_by("-pk").values_list("what", flat=True)[:2])
    assert said == [
        "Took back the times of 3 July 2027.",
        "Moved Open, Final, Heat 2: earlier.",
    ]


def test_the_same_queries_for_any_number_of_riders(by, django_assert_num_queries) -> None:
    def queries(event) -> None:
        schedule = schedule_of(event, at(event, "09:00"))
        for day in schedule.days:
            assert day.times.rows
            assert day.takes

    small, large = two_divisions(3), two_divisions(24)
    for each in (small, large):
        order_all(each, by)
        filled(each, by)
    with django_assert_num_queries(7):
        queries(small)
    with django_assert_num_queries(7):
        queries(large)
