"""Dates and names carried over: pure, against the calendar itself."""

from dataclasses import fields, is_dataclass
from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.earlier.dates import LEFT_OPEN, Move, dated_values, moved
from events.earlier.names import division_names, next_name
from events.rules.format import Format
from events.rules.loading import as_data, as_toml, load_format
from events.rules.schema import Kind, spec_of

DAYS = st.dates(date(2000, 1, 1), date(2100, 1, 1))


@given(before=DAYS, after=DAYS)
def test_the_first_day_lands_on_the_first_day(before, after):
    move = Move(before, after)

    assert move.date(before) == after
    assert move.keeps_weekdays == (before.isoweekday() == after.isoweekday())
    assert Move(after, before).date(after) == before


def test_whole_weeks_keep_the_day_of_the_week():
    """From a printed calendar: 5 July 2026 and 4 July 2027 are both Sundays, 364 days apart."""
    move = Move(date(2026, 7, 5), date(2027, 7, 4))

    assert (move.days, move.keeps_weekdays) == (364, True)
    assert not Move(date(2026, 7, 5), date(2027, 7, 5)).keeps_weekdays


@pytest.mark.parametrize(
    ("on", "after"),
    [
        (date(2027, 6, 30), date(2028, 6, 30)),
        (date(2027, 2, 28), date(2028, 2, 28)),
    ],
)
def test_a_date_of_age_keeps_its_day_of_the_year(on, after):
    assert Move(date(2027, 7, 4), date(2028, 7, 2)).yearly(on) == after


def test_a_leap_day_has_no_namesake():
    """2028 is a leap year and 2029 is not."""
    assert Move(date(2028, 7, 2), date(2029, 7, 1)).yearly(date(2028, 2, 29)) == date(
        2029, 2, 28
    )


def values_of_kind(cls, path=()):
    """Every date of a format by walking all its groups, however deep."""
    for each in fields(cls):
        if "spec" in each.metadata:
            spec = spec_of(each)
            if spec.kind in (Kind.DAY, Kind.MOMENT):
                yield (*path, spec.key or each.name)
            elif spec.kind in (Kind.GROUP, Kind.LIST) and is_dataclass(spec.item):
                yield from values_of_kind(spec.item, (*path, each.name))


def test_every_date_of_the_schema_is_carried_over():
    """A new date in a format must not stay in the earlier year."""
    assert set(values_of_kind(Format)) == {(group, key) for group, key, _ in dated_values()}
    assert len(dated_values()) >= 4


TEXT = """
[clock]
declare_by = 2026-07-04T18:00:00
entries_close = "2026-06-20T18:00"
ready_min = 20
[division]
age_on = "own date"
age_date = 2026-06-30
[[rounds]]
name = "Final"
[[overrides]]
when = { round = "Final" }
set = { clock = { declare_by = 2026-07-05T08:00:00 } }
"""


def test_moved_dates_read_back():
    data, lines = moved(as_data(load_format(TEXT)), Move(date(2026, 7, 5), date(2027, 7, 4)))
    from events.rules.loading import read_format

    format = read_format(data)
    assert format.clock.declare_by == datetime(2027, 7, 3, 18)
    assert format.clock.entries_close == datetime(2027, 6, 19, 18)
    assert format.clock.ready_min == 20
    assert format.division.age_date == date(2027, 6, 30)
    assert len(lines) == 4
    again = load_format(as_toml(format))
    assert again == format


def test_without_a_move_dates_are_left_open_and_told():
    before = as_data(load_format(TEXT))
    data, lines = moved(before, None)

    assert {line.after for line in lines} == {LEFT_OPEN}
    assert data["clock"] == {"ready_min": 20}
    assert "age_date" not in data["division"]
    assert data["overrides"] == []
    assert before == as_data(load_format(TEXT)), "what was given is not touched"


def test_a_date_beyond_the_calendar_is_left_open():
    data = {
        "clock": {"declare_by": "9999-12-30T10:00:00"},
        "division": {"age_date": "9999-01-01"},
    }
    _, lines = moved(data, Move(date(2026, 7, 5), date(2027, 7, 4)))

    assert [line.after for line in lines] == [LEFT_OPEN, LEFT_OPEN]


@pytest.mark.parametrize(
    ("name", "after"),
    [
        ("Reed Cup 2026", "Reed Cup 2027"),
        ("2026: Reed Cup", "2027: Reed Cup"),
        ("Reed Cup", "Reed Cup"),
        ("Cup 20261", "Cup 20261"),
        ("Cup 2025", "Cup 2025"),
    ],
)
def test_the_year_in_a_name(name, after):
    assert next_name(name, 2026, 2027) == after


@pytest.mark.parametrize(
    ("files", "known", "names"),
    [
        (["reed-cup-advanced-draft.toml", "reed-cup-first-time-2.toml"], [], ["Advanced", "First time"]),
        (["reed-cup-advanced-2 (1).toml"], [("Advanced", "advanced")], ["Advanced"]),
        (["reed-cup-advanced.TOML"], [], ["Reed cup advanced"]),
        (["cup-women-open.toml", "cup-open.toml"], [("Open", "open"), ("Women open", "women-open")],
         ["Women open", "Open"]),
        (["cup-juniors-under-14-3.toml"], [("Juniors under 14", "juniors-under-14")], ["Juniors under 14"]),
        (["same.toml", "same.toml"], [], ["Same", "Same"]),
    ],
)  # fmt: skip
def test_divisions_by_the_names_of_files(files, known, names):
    assert division_names(files, known) == names
