"""What holds for the timetable of any day."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runsheets.timing.timetable import (
    Fuel,
    HeatTime,
    Pause,
    PauseKind,
    PauseTime,
    PlannedHeat,
    apart,
    fill_days,
    timetable,
    wait_words,
)
from tests.runsheets.riding_day import ZURICH, at, heat

SIZES = st.lists(
    st.tuples(st.integers(0, 6), st.integers(0, 600) | st.floats(0, 600)),
    min_size=1,
    max_size=9,
)


def built(sizes: list[tuple[int, float]], **more) -> list[PlannedHeat]:
    return [heat(n, size, each, **more) for n, (size, each) in enumerate(sizes)]


@st.composite
def some_pauses(draw, heats: int):
    lengths = st.integers(60, 3600)
    after = st.builds(Pause, st.just("After"), lengths, after=st.integers(0, heats - 1))
    clock = st.builds(
        Pause, st.just("Clock"), lengths, at=st.times().map(lambda t: t.replace(fold=0))
    )
    return draw(st.lists(after | clock, max_size=4))


@st.composite
def days(draw):
    """A start, heats with some real times in order, and everything else of a day."""
    heats = built(draw(SIZES))
    start = draw(
        st.sampled_from(
            [
                at("09:00"),
                datetime(2026, 3, 29, 1, 30, tzinfo=ZURICH),
                datetime(2026, 10, 25, 1, 30, tzinfo=ZURICH),
            ]
        )
    )
    fuel = draw(
        st.none() | st.builds(Fuel, st.integers(60, 900), every_s=st.integers(600, 7200))
    )
    return start, heats, draw(some_pauses(len(heats))), draw(st.integers(0, 900)), fuel


def with_real(
    data, start: datetime, heats: list[PlannedHeat]
) -> tuple[list[PlannedHeat], datetime]:
    """The first few heats with real times one after the other, the last perhaps running."""
    clock, done = start.astimezone(UTC), []
    for each in heats[: data.draw(st.integers(0, len(heats)))]:
        begun = clock + timedelta(seconds=data.draw(st.integers(0, 4000)))
        clock = begun + timedelta(seconds=data.draw(st.integers(0, 4000)))
        done.append(PlannedHeat(each.key, each.riders, each.seconds_each, begun, clock))
    if done and data.draw(st.booleans()):
        last = done.pop()
        ridden = frozenset(last.riders[: data.draw(st.integers(0, len(last.riders)))])
        done.append(
            PlannedHeat(last.key, last.riders, last.seconds_each, last.begun_at, done=ridden)
        )
    return done + heats[len(done) :], clock


@given(day=days(), data=st.data())
def test_nothing_overlaps_nobody_is_lost_and_the_order_is_kept(day, data):
    start, heats, pauses, gap, fuel = day
    real, now = with_real(data, start, heats)
    table = timetable(start, real, pauses, heat_gap_s=gap, fuel=fuel, now=now)

    for rows in (table.plan, table.rows):
        assert [row.key for row in rows if isinstance(row, HeatTime)] == [
            each.key for each in heats
        ]
        for one, two in pairwise(rows):
            assert apart(one.end, two.start) >= timedelta(0)
        for row in rows:
            assert apart(row.start, row.end) >= timedelta(0)
    # Each pause once, the boat's own fuel aside.
    for rows in (table.plan, table.rows):
        taken = [row.name for row in rows if isinstance(row, PauseTime) and row.name != "Fuel"]
        assert sorted(taken) == sorted(each.name for each in pauses)
    for given_heat, row in zip(heats, table.heats, strict=True):
        assert sorted(each.key for each in row.riders) == sorted(given_heat.riders)
        for before, after in pairwise(row.riders):
            assert before.end == after.start
        if row.riders:
            assert apart(row.start, row.riders[0].start) >= timedelta(0)
            assert row.riders[-1].end == row.end


@given(day=days())
def test_gaps_and_fuel_are_kept_in_the_plan(day):
    """Between two heats lies at least the gap, and never more riding than a fill lasts unless
    one heat alone is longer."""
    start, heats, pauses, gap, fuel = day
    table = timetable(start, heats, pauses, heat_gap_s=gap, fuel=fuel)
    ridden = [row for row in table.heats if row.riders]

    for one, two in pairwise(ridden):
        assert apart(one.end, two.start) >= timedelta(seconds=gap)
    since, count = 0.0, 0
    for row in table.rows:
        if isinstance(row, PauseTime):
            since, count = (0.0, 0) if row.kind is PauseKind.FUEL else (since, count)
            continue
        since += apart(row.start, row.end).total_seconds()
        count += bool(row.riders)
        assert fuel is None or count <= 1 or since <= fuel.every_s + 1e-3


@given(sizes=SIZES, data=st.data())
def test_the_day_is_as_long_as_its_parts(sizes, data):
    """Without gaps and times of day the end is the sum of all."""
    heats = built(sizes)
    lengths = data.draw(st.lists(st.integers(60, 3600), max_size=4))
    last = max((n for n, (size, _) in enumerate(sizes) if size), default=0)
    pauses = [Pause("P", each, after=data.draw(st.integers(0, last))) for each in lengths]
    table = timetable(at("09:00"), heats, pauses)
    whole = sum(size * each for size, each in sizes) + sum(lengths)

    assert apart(at("09:00"), table.plan[-1].end).total_seconds() == pytest.approx(
        whole, abs=1e-4
    )


@given(day=days(), data=st.data())
def test_nothing_that_follows_is_earlier_than_a_real_start_or_now(day, data):
    start, heats, pauses, gap, fuel = day
    real, now = with_real(data, start, heats)
    table = timetable(start, real, pauses, heat_gap_s=gap, fuel=fuel, now=now)
    begun = [row for row in table.heats if row.is_real]

    for row, given_heat in zip(begun, real, strict=False):
        assert apart(given_heat.begun_at, row.start) == timedelta(0)
    for row in table.heats[len(begun) :]:
        if begun:
            assert apart(begun[-1].start, row.start) >= timedelta(0)
        if begun and row.riders:
            assert apart(now, row.start) >= timedelta(0)


@given(
    sizes=SIZES, late=st.integers(0, 7200), later=st.integers(0, 7200), gap=st.integers(0, 900)
)
def test_a_later_real_start_makes_nothing_earlier(sizes, late, later, gap):
    heats = built(sizes)

    def starts(seconds: int) -> list[datetime]:
        first = heat(0, *sizes[0], begun_at=at("09:00") + timedelta(seconds=seconds))
        return [
            row.start
            for row in timetable(at("09:00"), [first, *heats[1:]], heat_gap_s=gap).heats
        ]

    assert all(one <= two for one, two in zip(starts(late), starts(late + later), strict=True))


@given(
    sizes=SIZES,
    data=st.data(),
    gap=st.integers(0, 900),
    minutes=st.lists(st.integers(0, 90), max_size=4),
)
def test_the_days_that_are_filled_are_those_that_the_timetable_gives(sizes, data, gap, minutes):
    """Each day keeps its end; the next heat would have broken it; nothing is lost."""
    heats = built(sizes)
    pauses = data.draw(some_pauses(len(heats)))
    fuel = data.draw(
        st.none() | st.builds(Fuel, st.integers(60, 900), every_riders=st.integers(1, 12))
    )
    spans = [
        (at("09:00", 1 + n), at("09:00", 1 + n) + timedelta(minutes=m))
        for n, m in enumerate(minutes)
    ]
    filled = fill_days(heats, spans, pauses, heat_gap_s=gap, fuel=fuel)

    placed = [each for day in filled.days for each in day.heats]
    assert [*placed, *filled.left_over] == heats
    assert bool(filled.problem) == bool(filled.left_over)
    following = len(filled.days[0].heats) if filled.days else 0
    for n, day in enumerate(filled.days):
        table = timetable(day.starts_at, day.heats, day.pauses, heat_gap_s=gap, fuel=fuel)
        assert table.ends_at == day.ends_at <= day.latest_end or not any(
            h.riders for h in day.heats
        )
        if following < len(heats):
            with_next = [*day.heats, heats[following]]
            keys = {each.key for each in with_next}
            own = [each for each in pauses if each.at is not None or each.after in keys]
            longer = timetable(day.starts_at, with_next, own, heat_gap_s=gap, fuel=fuel)
            assert longer.heats[-1].end > day.latest_end
        following += len(filled.days[n + 1].heats) if n + 1 < len(filled.days) else 0


@given(
    start=st.datetimes(datetime(2026, 1, 1), datetime(2027, 1, 1), timezones=st.just(ZURICH)),
    minutes=st.integers(5, 2879),
)
def test_a_wait_in_words_is_never_too_long_and_less_than_a_step_too_short(start, minutes):
    words = wait_words(
        start, (start.astimezone(UTC) + timedelta(minutes=minutes)).astimezone(ZURICH)
    )
    number = {"hour": 60, "hours": 60, "minutes": 1}
    parts = words.removeprefix("about ").split()
    shown = sum(int(n) * number[unit] for n, unit in zip(parts[::2], parts[1::2], strict=True))
    step = 5 if minutes < 60 else 10 if minutes < 120 else 15 if minutes < 720 else 60

    assert shown <= minutes < shown + step
