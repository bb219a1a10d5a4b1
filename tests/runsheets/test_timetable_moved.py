"""How real times move a day, worked by hand; daylight, and days when the clocks change."""

from datetime import UTC, datetime, time, timedelta

import pytest

from runsheets.timing.timetable import (
    HeatState,
    Pause,
    PauseKind,
    PlannedHeat,
    apart,
    timetable,
)
from tests.runsheets.riding_day import HEATS, ZURICH, at, heat, riders, said


def test_a_late_start_moves_everything_after_it():
    """Heat 1 really rode 9:08 to 9:31; + 5 = 9:36, planned 9:25: 11 minutes late."""
    real = [heat(1, begun_at=at("09:08"), ended_at=at("09:31")), heat(2), heat(3)]
    table = timetable(at("09:00"), real, heat_gap_s=300, now=at("09:32"))

    assert said(table.rows) == ["1 09:08-09:31", "2 09:36-09:56", "3 10:01-10:21"]
    assert said(table.plan) == ["1 09:00-09:20", "2 09:25-09:45", "3 09:50-10:10"]
    assert [row.late_by for row in table.heats] == [timedelta(minutes=m) for m in (8, 11, 11)]
    assert [row.state for row in table.heats] == [
        HeatState.RIDDEN,
        HeatState.PLANNED,
        HeatState.PLANNED,
    ]
    assert [row.is_real for row in table.heats] == [True, False, False]
    third = table.heat(2).riders[2]
    assert (f"{third.planned:%H:%M}", f"{third.start:%H:%M}") == ("09:35", "09:46")
    assert third.late_by == timedelta(minutes=11)
    assert (table.ends_at, table.planned_end) == (at("10:21"), at("10:10"))


def test_a_ridden_heat_spreads_its_riders_evenly():
    """23 minutes for four riders: 5 min 45 s each."""
    real = [heat(1, begun_at=at("09:08"), ended_at=at("09:31"))]
    found = timetable(at("09:00"), real).heat(1).riders

    assert [f"{each.start:%H:%M:%S}" for each in found] == [
        "09:08:00",
        "09:13:45",
        "09:19:30",
        "09:25:15",
    ]
    assert found[-1].end == at("09:31")
    assert all(each.is_done for each in found)


@pytest.mark.parametrize(
    ("done", "now", "starts", "end"),
    [
        (1, "09:43", ["09:36", "09:41", "09:46", "09:51"], "09:56"),  # on plan
        (
            1,
            "09:50",
            ["09:36", "09:45", "09:50", "09:55"],
            "10:00",
        ),  # slow: over by now at best
        (3, "09:43", ["09:36", "09:38", "09:40", "09:43"], "09:48"),  # fast: on the water now
        (0, "09:50", ["09:45", "09:50", "09:55", "10:00"], "10:05"),  # nobody yet
        (4, "09:58", ["09:36", "09:41", "09:46", "09:51"], "09:56"),  # all, its end not marked
        (4, "11:00", ["09:36", "09:41", "09:46", "09:51"], "09:56"),  # the same, an hour on
        (0, "09:30", ["09:36", "09:41", "09:46", "09:51"], "09:56"),  # a clock that is behind
    ],
)
def test_a_running_heat_by_how_many_have_ridden(
    done: int, now: str, starts: list[str], end: str
):
    """Begun 9:36, four riders at 5 minutes."""
    planned = heat(2, begun_at=at("09:36"))
    planned = PlannedHeat(
        2, planned.riders, 300, begun_at=planned.begun_at, done=frozenset(planned.riders[:done])
    )
    table = timetable(at("09:00"), [planned, heat(3)], now=at(now))

    assert riders(table, 2) == starts
    assert f"{table.heat(2).end:%H:%M}" == end
    assert table.heat(2).state is HeatState.RUNNING
    assert [each.is_done for each in table.heat(2).riders] == [n < done for n in range(4)]
    assert table.heat(3).start >= max(table.heat(2).end, at(now))


def test_a_rider_who_was_passed_over_comes_after_those_who_have_ridden():
    running = heat(1, begun_at=at("09:00"), done=frozenset({"1.1", "1.3"}))
    table = timetable(at("09:00"), [running], now=at("09:11"))

    assert [each.key for each in table.heat(1).riders] == ["1.1", "1.3", "1.2", "1.4"]


def test_a_heat_that_has_not_begun_does_not_lie_in_the_past():
    """Heat 1 ended 9:20; nobody began heat 2 by 9:40, so it cannot begin before."""
    real = [heat(1, begun_at=at("09:00"), ended_at=at("09:20")), heat(2)]

    assert said(timetable(at("09:00"), real, now=at("09:40")).rows)[1] == "2 09:40-10:00"
    assert said(timetable(at("09:00"), real).rows)[1] == "2 09:20-09:40"


def test_a_published_time_is_kept_when_the_day_runs_early():
    early = heat(1, begun_at=at("09:00"), ended_at=at("09:10"))
    kept = timetable(at("09:00"), [early, heat(2, not_before=at("09:20"))])
    free = timetable(at("09:00"), [early, heat(2)])

    assert said(kept.rows)[1] == "2 09:20-09:40"
    assert said(free.rows)[1] == "2 09:10-09:30"
    assert free.heat(2).late_by == timedelta(minutes=-10)


def test_heats_ridden_in_another_order_come_as_they_were_ridden():
    real = [heat(1), heat(2, begun_at=at("09:02"), ended_at=at("09:20")), heat(3)]
    table = timetable(at("09:00"), real, now=at("09:21"))

    assert said(table.rows) == ["2 09:02-09:20", "1 09:21-09:41", "3 09:41-10:01"]
    assert said(table.plan) == ["1 09:00-09:20", "2 09:20-09:40", "3 09:40-10:00"]


def test_several_heats_in_another_order():
    real = [
        heat(1, begun_at=at("09:30"), ended_at=at("09:50")),
        heat(2, begun_at=at("09:00"), ended_at=at("09:20")),
    ]

    assert said(timetable(at("09:00"), real).rows) == ["2 09:00-09:20", "1 09:30-09:50"]


def test_a_pause_that_was_put_off_is_still_due():
    """Lunch was due at 9:20, but heat 2 began at 9:34, a minute before half of it was over."""
    lunch = Pause("Lunch", 1800, after=1, kind=PauseKind.MEAL)
    real = [
        heat(1, begun_at=at("09:00"), ended_at=at("09:20")),
        heat(2, begun_at=at("09:34"), ended_at=at("09:54")),
        heat(3),
    ]

    assert said(timetable(at("09:00"), real, [lunch], now=at("09:54")).rows) == [
        "1 09:00-09:20", "2 09:34-09:54", "Lunch 09:54-10:24", "3 10:24-10:44",
    ]  # fmt: skip


def test_a_pause_that_was_cut_short_is_over():
    """Heat 2 began at 9:35, after 15 of 30 minutes."""
    lunch = Pause("Lunch", 1800, at=time(9, 15))
    real = [heat(1, begun_at=at("09:00"), ended_at=at("09:20")), heat(2, begun_at=at("09:35"))]

    assert said(timetable(at("09:00"), real, [lunch], now=at("09:36")).rows) == [
        "1 09:00-09:20", "Lunch 09:20-09:35", "2 09:35-09:55",
    ]  # fmt: skip


def test_riding_after_sunset_and_before_sunrise_is_said():
    """Nobody is towed from sunset to sunrise: wakeboarding rules as told by tutorialspoint."""
    table = timetable(
        at("05:10"), [heat(1), heat(2, 1), heat(3, 1, 660, not_before=at("20:30"))],
        sunrise=at("05:30"), sunset=at("20:18"), latest_end=at("20:00"),
    )  # fmt: skip

    assert table.warnings == (
        "Riding begins at 05:10, 20 minutes before sunrise (05:30): nobody is towed from "
        "sunset to sunrise. 1 heat begins too early. Local law and your permit may be stricter; you decide.",
        "The day ends at 20:41, 23 minutes after sunset (20:18): nobody is towed from sunset "
        "to sunrise. Local law and your permit may be stricter; you decide.",
        "The day ends at 20:41, 41 minutes after 20:00, the latest end you set: move heats to "
        "another day, or ride fewer rounds.",
    )


def test_a_day_within_daylight_says_nothing():
    light = {"sunrise": at("05:30"), "sunset": at("20:18"), "latest_end": at("10:00")}

    assert timetable(at("09:00"), HEATS, **light).warnings == ()


def test_an_end_past_midnight_names_its_day():
    table = timetable(at("23:50"), [heat(1)], latest_end=at("22:00"))

    assert table.warnings[0].startswith(
        "The day ends at 00:10 on 5 July, 2 hours 10 minutes after 22:00"
    )


def test_seconds_after_sunset():
    table = timetable(at("20:00"), [heat(1, 1, 1100)], sunset=at("20:18"))

    assert table.warnings[0].startswith(
        "The day ends at 20:18, less than a minute after sunset (20:18)"
    )


def test_a_day_that_nobody_marks_is_said_and_not_moved():
    table = timetable(at("09:00"), HEATS, now=at("09:11"))

    assert table.warnings == (
        "Riding was to begin at 09:00, and no heat is marked as begun: mark it, so that "
        "riders see times that hold.",
    )
    assert table.rows == table.plan
    assert timetable(at("09:00"), HEATS, now=at("09:10")).warnings == ()


def test_riders_who_rode_in_a_heat_that_was_not_begun_are_said():
    table = timetable(at("09:00"), [heat(1, done=frozenset({"1.1"})), heat(2)], now=at("09:06"))

    assert table.warnings == (
        "Riders have ridden in 1 heat that is not marked as begun: mark it, so that times hold.",
    )
    assert [each.is_done for each in table.heat(1).riders] == [True, False, False, False]


def test_the_night_when_clocks_go_forward():
    """Zurich, 29 March 2026: 2:00 becomes 3:00. An hour from 1:30 is 3:30 (tz database)."""
    start = datetime(2026, 3, 29, 1, 30, tzinfo=ZURICH)
    table = timetable(start, [heat(1, 12)], [Pause("Lunch", 60, at=time(12))])

    assert said(table.rows) == ["1 01:30-03:30", "Lunch 12:00-12:01"]
    assert apart(table.heats[0].start, table.heats[0].end) == timedelta(hours=1)
    assert str(table.ends_at.utcoffset()) == "2:00:00"


def test_the_night_when_clocks_go_back():
    """Zurich, 25 October 2026: 3:00 becomes 2:00. An hour from 2:30 is 2:30 again."""
    start = datetime(2026, 10, 25, 2, 30, tzinfo=ZURICH)
    table = timetable(start, [heat(1, 12), heat(2, 12)])

    assert said(table.rows) == ["1 02:30-02:30", "2 02:30-03:30"]
    assert table.heats[0].end.fold == 1
    assert apart(start, table.ends_at) == timedelta(hours=2)


def test_a_lateness_across_the_change_of_clocks():
    start = datetime(2026, 3, 29, 1, 30, tzinfo=ZURICH)
    late = datetime(2026, 3, 29, 3, 10, tzinfo=ZURICH)  # 40 minutes later
    table = timetable(start, [heat(1, begun_at=late)])

    assert table.heat(1).late_by == timedelta(minutes=40)


def test_times_come_out_in_the_zone_of_the_day():
    real = [heat(1, begun_at=datetime(2026, 7, 4, 7, 5, tzinfo=UTC)), heat(2)]
    table = timetable(at("09:00"), real)

    assert said(table.rows)[0] == "1 09:05-09:25"
