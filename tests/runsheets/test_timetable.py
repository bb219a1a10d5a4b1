"""The plan of a day, worked by hand: heats, pauses, fuel, several days, and what is refused."""

from datetime import UTC, datetime, time, timedelta

import pytest

from runsheets.timing.timetable import (
    Fuel,
    HeatState,
    Pause,
    PauseKind,
    PlannedHeat,
    fill_days,
    timetable,
    wait_words,
)
from tests.runsheets.riding_day import HEATS, at, heat, riders, said


def test_a_plain_day():
    """9:00 + 20 = 9:20, + 5 = 9:25, + 20 = 9:45, + 5 = 9:50, + 20 = 10:10."""
    table = timetable(at("09:00"), HEATS, heat_gap_s=300)

    assert said(table.rows) == ["1 09:00-09:20", "2 09:25-09:45", "3 09:50-10:10"]
    assert riders(table, 2) == ["09:25", "09:30", "09:35", "09:40"]
    assert table.rows == table.plan
    assert table.ends_at == table.planned_end == at("10:10")
    assert table.warnings == ()
    assert {each.state for each in table.heats} == {HeatState.PLANNED}


def test_lunch_waits_for_the_heat_on_the_water_and_takes_the_place_of_the_gap():
    """Heat 2 ends 9:45, after 9:40; 30 minutes of lunch are more than the gap of 5."""
    lunch = Pause("Lunch", 1800, at=time(9, 40), kind=PauseKind.MEAL)
    table = timetable(at("09:00"), HEATS, [lunch], heat_gap_s=300)

    assert said(table.rows) == [
        "1 09:00-09:20",
        "2 09:25-09:45",
        "Lunch 09:45-10:15",
        "3 10:15-10:35",
    ]


def test_a_pause_shorter_than_the_gap_leaves_the_gap():
    table = timetable(at("09:00"), HEATS, [Pause("Briefing", 120, after=1)], heat_gap_s=300)

    assert said(table.rows)[:3] == ["1 09:00-09:20", "Briefing 09:20-09:22", "2 09:25-09:45"]


def test_lunch_is_at_its_time_where_the_boat_is_idle():
    """Heat 2 must not start before 13:00, so lunch at 12:00 is at 12:00."""
    lunch = Pause("Lunch", 2700, at=time(12), kind=PauseKind.MEAL)
    table = timetable(at("09:00"), [heat(1), heat(2, not_before=at("13:00"))], [lunch])

    assert said(table.rows) == ["1 09:00-09:20", "Lunch 12:00-12:45", "2 13:00-13:20"]


def test_pauses_at_the_ends_of_the_day():
    """A meeting at the start comes first; the prize giving waits for its time."""
    pauses = [
        Pause("Prizes", 900, at=time(18)),
        Pause("Meeting", 600, at=time(9)),
        Pause("Photo", 60, after=3),
    ]
    table = timetable(at("09:00"), HEATS, pauses)

    assert said(table.rows) == [
        "Meeting 09:00-09:10", "1 09:10-09:30", "2 09:30-09:50", "3 09:50-10:10",
        "Photo 10:10-10:11", "Prizes 18:00-18:15",
    ]  # fmt: skip
    assert table.ends_at == at("10:10")


def test_fuel_by_riding_time():
    """Fuel for 45 minutes: heats 1 and 2 are 40, heat 3 would make 60; then afresh."""
    table = timetable(at("09:00"), [*HEATS, heat(4), heat(5)], fuel=Fuel(600, every_s=2700))

    assert said(table.rows) == [
        "1 09:00-09:20", "2 09:20-09:40", "Fuel 09:40-09:50",
        "3 09:50-10:10", "4 10:10-10:30", "Fuel 10:30-10:40", "5 10:40-11:00",
    ]  # fmt: skip


def test_fuel_by_riders_and_a_pause_for_fuel_that_was_planned_anyway():
    """Eight riders on a fill; the pause after heat 1 starts the count afresh."""
    fill = Pause("Fuel at the pump", 600, after=1, kind=PauseKind.FUEL)
    table = timetable(at("09:00"), [*HEATS, heat(4)], [fill], fuel=Fuel(300, every_riders=8))

    assert [each.split()[0] for each in said(table.rows)] == [
        "1",
        "Fuel",
        "2",
        "3",
        "Fuel",
        "4",
    ]
    assert said(table.rows)[1] == "Fuel at the pump 09:20-09:30"


def test_the_boat_is_filled_in_a_meal_that_is_long_enough():
    """Lunch at 9:40 takes 30 minutes, fuel 10, for 45 minutes; a snack of 5 is too short."""
    fuel = Fuel(600, every_s=2700)
    lunch = Pause("Lunch", 1800, at=time(9, 40), kind=PauseKind.MEAL)
    snack = Pause("Snack", 300, at=time(9, 40), kind=PauseKind.MEAL)

    assert said(timetable(at("09:00"), [*HEATS, heat(4)], [lunch], fuel=fuel).rows) == [
        "1 09:00-09:20", "2 09:20-09:40", "Lunch and fuel 09:40-10:10",
        "3 10:10-10:30", "4 10:30-10:50",
    ]  # fmt: skip
    assert said(timetable(at("09:00"), HEATS, [snack], fuel=fuel).rows)[2:4] == [
        "Snack 09:40-09:45", "Fuel 09:45-09:55",
    ]  # fmt: skip
    assert said(timetable(at("09:00"), HEATS, [lunch]).rows)[2] == "Lunch 09:40-10:10"


def test_a_pause_that_comes_due_during_fuel_follows_it():
    """Fuel before heat 3 from 9:40 to 9:50; the meeting was set for 9:45."""
    meeting = Pause("Meeting", 300, at=time(9, 45), kind=PauseKind.MEETING)
    table = timetable(at("09:00"), HEATS, [meeting], fuel=Fuel(600, every_s=2700))

    assert said(table.rows)[2:] == ["Fuel 09:40-09:50", "Meeting 09:50-09:55", "3 09:55-10:15"]


def test_an_emptied_heat_holds_nobody_up():
    lunch = Pause("Lunch", 600, at=time(12))
    table = timetable(
        at("09:00"), [heat(1), heat(2, 0, not_before=at("13:00")), heat(3)], [lunch]
    )

    assert said(table.rows) == [
        "1 09:00-09:20", "2 09:20-09:20", "3 09:20-09:40", "Lunch 12:00-12:10",
    ]  # fmt: skip


def test_a_heat_longer_than_a_fill_is_ridden_and_said():
    table = timetable(at("09:00"), [heat(1, 12), heat(2)], fuel=Fuel(300, every_riders=10))

    assert said(table.rows) == ["1 09:00-10:00", "Fuel 10:00-10:05", "2 10:05-10:25"]
    assert table.warnings == (
        "1 heat is longer than the boat rides on one fill: make heats smaller.",
    )


def test_an_emptied_heat_takes_no_time_but_keeps_its_row():
    table = timetable(at("09:00"), [heat(1), heat(2, 0), heat(3)], heat_gap_s=300)

    assert said(table.rows) == ["1 09:00-09:20", "2 09:20-09:20", "3 09:25-09:45"]
    assert table.heat(2).riders == ()


NAIVE = datetime(2026, 7, 4, 9)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: timetable(NAIVE, HEATS), "starts_at needs a time zone: 2026-07-04 09:00:00 has none."),
        (lambda: timetable(at("09:00"), HEATS, now=NAIVE), "now needs a time zone"),
        (lambda: timetable(at("09:00"), HEATS, sunset=NAIVE), "sunset needs a time zone"),
        (lambda: heat(1, begun_at=NAIVE), "begun_at needs a time zone"),
        (lambda: heat(1, ended_at=at("09:00")), "Heat 1 has an end but has not begun."),
        (lambda: heat(1, begun_at=at("09:01"), ended_at=at("09:00")), "Heat 1 ends before it begins"),
        (lambda: heat(1, each=float("nan")), "The seconds of a rider must be 0 or more."),
        (lambda: PlannedHeat(1, ("a", "a"), 1), "A rider is in heat 1 twice"),
        (lambda: timetable(at("09:00"), [heat(1), heat(1)]), "Heat 1 is on the day twice"),
        (lambda: timetable(at("09:00"), HEATS, [Pause("Lunch", 60, after=9)]), "Lunch: the heat after which"),
        (lambda: timetable(at("09:00"), HEATS, heat_gap_s=-1), "The time between heats must be 0 or more"),
        (lambda: Pause("Lunch", 0, after=1), "Lunch: say how long it takes, more than 0."),
        (lambda: Pause("Lunch", 60), "Lunch: give a heat after which it is, or a time of day."),
        (lambda: Pause("Lunch", 60, after=1, at=time(12)), "Lunch: give a heat after which"),
        (lambda: Pause("Lunch", 60, at=time(12, tzinfo=UTC)), "Lunch: give the time of day without"),
        (lambda: Fuel(600), "Fuel: say after how many hours or riders"),
        (lambda: Fuel(600, every_s=0), "Fuel: its times and numbers must be more than 0."),
        (lambda: wait_words(NAIVE, at("09:00")), "now needs a time zone"),
        (lambda: fill_days(HEATS, [(at("10:00"), at("09:00"))]), "The latest end of a day lies before its start."),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_in_a_sentence(call, sentence: str):
    with pytest.raises(ValueError, match=f"^{sentence}"):
        call()


def test_a_rider_s_own_times():
    twice = PlannedHeat("final", ("1.2", "2.1"), 300)
    table = timetable(at("09:00"), [heat(1), heat(2), twice])

    assert [(h.key, f"{r.start:%H:%M}") for h, r in table.of_rider("1.2")] == [
        (1, "09:05"),
        ("final", "09:40"),
    ]
    assert table.heat("elsewhere") is None


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (-30, "any moment"), (0, "any moment"), (4.9, "any moment"),
        (5, "about 5 minutes"), (9, "about 5 minutes"), (44, "about 40 minutes"), (59, "about 55 minutes"),
        (60, "about 1 hour"), (69, "about 1 hour"), (70, "about 1 hour 10 minutes"), (119, "about 1 hour 50 minutes"),
        (120, "about 2 hours"), (134, "about 2 hours"), (135, "about 2 hours 15 minutes"),
        (719, "about 11 hours 45 minutes"), (720, "about 12 hours"), (47 * 60, "about 47 hours"),
        (48 * 60, "about 2 days"), (95 * 60, "about 3 days"),
    ],
)  # fmt: skip
def test_a_wait_in_words(minutes: float, words: str):
    assert wait_words(at("09:00"), at("09:00") + timedelta(minutes=minutes)) == words


def test_heats_are_put_on_the_days_in_order():
    """20 minutes each and 5 between: two fit into 9:00 to 9:45, the third goes on."""
    days = [(at("09:00"), at("09:45")), (at("10:00", 5), at("12:00", 5))]
    lunch, photo = Pause("Lunch", 600, at=time(10, 20)), Pause("Photo", 60, after=2)
    filled = fill_days([*HEATS, heat(4)], days, [lunch, photo], heat_gap_s=300)

    assert [[each.key for each in day.heats] for day in filled.days] == [[1, 2], [3, 4]]
    assert [f"{day.ends_at:%d %H:%M}" for day in filled.days] == ["04 09:45", "05 10:50"]
    assert [day.pauses for day in filled.days] == [(lunch, photo), (lunch,)]
    assert (filled.left_over, filled.problem) == ((), "")


def test_heats_without_room_are_left_over_and_said():
    """Heat 2 fits on no day, and heat 3 does not overtake it."""
    days = [(at("09:00"), at("09:30")), (at("09:00", 5), at("09:30", 5))]
    filled = fill_days([heat(1), heat(2, 9), heat(3)], days)

    assert [[each.key for each in day.heats] for day in filled.days] == [[1], []]
    assert [each.key for each in filled.left_over] == [2, 3]
    assert filled.problem == (
        "2 heats find no room: add a day, start earlier, end later, or make heats smaller."
    )
