"""How long a day's timetable takes. Run with --benchmark-only.

The goal on an ordinary two-core machine is 100 ms for 300 riders in 20 divisions, from their
formats to the times of every rider, plan and real times both. What is asserted are ratios
against work done in the same run.
"""

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from events.rules.format import Format
from events.rules.loading import load_format
from runsheets.timing.feed import FeedEvent, FeedRow, calendar
from runsheets.timing.timetable import (
    Fuel,
    Pace,
    Pause,
    PlannedHeat,
    Timetable,
    fill_days,
    rider_seconds,
    timetable,
)
from tests.bench.test_bench_rules import baseline, seconds

START = datetime(2026, 7, 4, 8, 0, tzinfo=ZoneInfo("Europe/Zurich"))
SUNSET = START + timedelta(hours=13)
FORMAT = load_format(
    '[passes]\ncount = 2\nlength_m = 370\ndirection = "there and back"\n[falls]\nallowed = 1\n'
    'counted_per = "run"\n[boat]\nspeed = "23 mph"\n[[rounds]]\nname = "Final"\n'
)


def day_of(riders: int, divisions: int = 20, heat_size: int = 5) -> list[PlannedHeat]:
    """The heats of a contest, of which the first third is ridden and one is on the water."""
    heats: list[PlannedHeat] = []
    formats: list[Format] = [FORMAT] * divisions
    for number, format in enumerate(formats):
        each = rider_seconds(Pace.of(format, "Final"))
        own = range(number, riders, divisions)
        for first in range(0, len(own), heat_size):
            starters = tuple(own[first : first + heat_size])
            heats.append(PlannedHeat(len(heats), starters, each))
    clock, done = START, []
    for heat in heats[: len(heats) // 3]:
        end = clock + timedelta(seconds=heat.seconds_each * len(heat.riders) + 60)
        done.append(PlannedHeat(heat.key, heat.riders, heat.seconds_each, clock, end))
        clock = end
    running = heats[len(done)]
    done.append(PlannedHeat(running.key, running.riders, running.seconds_each, clock))
    return done + heats[len(done) :]


def table_of(heats: list[PlannedHeat]) -> Timetable:
    lunch = Pause("Lunch", 2700, at=time(12))
    return timetable(
        START, heats, [lunch], heat_gap_s=300, fuel=Fuel(900, every_s=10_800), sunset=SUNSET,
        now=START + timedelta(hours=4),
    )  # fmt: skip


def test_the_case_is_the_one_that_is_spoken_of():
    """300 riders once each, real times and later ones, and pauses among them."""
    table = table_of(day_of(300))

    assert sorted(each.key for heat in table.heats for each in heat.riders) == list(range(300))
    assert len(table.heats) == 60
    assert sum(heat.is_real for heat in table.heats) == 21
    assert len(table.rows) > 65


@pytest.mark.benchmark(group="day")
def test_the_day_of_300_riders(benchmark: BenchmarkFixture):
    """Formats read, heats made, times found: about 15 times the baseline when written."""
    benchmark(lambda: table_of(day_of(300)))

    assert seconds(lambda: table_of(day_of(300)), times=3) < 60 * baseline()


@pytest.mark.benchmark(group="growth")
@pytest.mark.parametrize("riders", [30, 300, 3000])
def test_growth(benchmark: BenchmarkFixture, riders: int):
    """Ten times the riders take about ten times as long."""
    heats = day_of(riders)
    benchmark(table_of, heats)


@pytest.mark.benchmark(group="growth")
def test_growth_is_linear(benchmark: BenchmarkFixture):
    """Twice the proportion at most, from 30 to 300 and from 300 to 3000."""
    days = [day_of(riders) for riders in (30, 300, 3000)]
    benchmark(table_of, days[-1])

    small, middle, large = (
        seconds(lambda day=day: table_of(day), times=times)
        for day, times in zip(days, (50, 10, 2), strict=True)
    )
    assert middle < 20 * small
    assert large < 20 * middle


@pytest.mark.benchmark(group="days")
def test_filling_days(benchmark: BenchmarkFixture):
    """3000 riders on as many days as it takes: no more than their timetables."""
    heats = day_of(3000)
    days = [(START + timedelta(days=n), SUNSET + timedelta(days=n)) for n in range(40)]
    found = benchmark(lambda: fill_days(heats, days, heat_gap_s=300))

    assert not found.left_over
    assert seconds(lambda: fill_days(heats, days, heat_gap_s=300)) < 2 * seconds(
        lambda: table_of(heats)
    )


@pytest.mark.benchmark(group="feed")
def test_the_calendar_of_300_riders(benchmark: BenchmarkFixture):
    """One entry for each; grows with their number alone."""
    table = table_of(day_of(3000))
    rows = [
        FeedRow(f"{each.key}@example.org", each.start, each.end, f"Rider {each.key}", START, START)
        for heat in table.heats
        for each in heat.riders
    ]  # fmt: skip
    event = FeedEvent("cup@example.org", "Cup", "Europe/Zurich")
    benchmark(lambda: calendar(event, rows[:300]))

    spent = seconds(lambda: calendar(event, rows), rounds=3)
    assert spent < 20 * seconds(lambda: calendar(event, rows[:300]), rounds=3)
