"""Who stands where: against SciPy, against published facts, and whatever the marks are."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import rankdata

from events.rules.words import Combine
from runsheets.judging.standings import average_places, standings
from tests.runsheets.score_cards import cards, notes, places, scoring

COMBINES = list(Combine)
BY_MEAN = scoring(combine=Combine.MEAN)
BY_PLACINGS = scoring(combine=Combine.PLACINGS)
# Few marks, so that many riders are level.
few_marks = st.integers(0, 4)


@st.composite
def tables(draw):
    """Riders with a mark from each of one to five judges."""
    judges = draw(st.integers(1, 5))
    row = st.lists(few_marks, min_size=judges, max_size=judges)
    return dict(enumerate(draw(st.lists(row, min_size=1, max_size=9))))


def test_places_as_in_the_example_of_scipy():
    """Documentation of `scipy.stats.rankdata`: [0, 2, 3, 2] has the ranks 1, 2.5, 4, 2.5,
    and by "min" 1, 2, 4, 2. Here the highest is first: 10 minus each."""
    marks = {"a": [10], "b": [8], "c": [7], "d": [8]}

    assert places(standings(cards(marks), BY_MEAN)) == {"a": 1, "b": 2, "c": 4, "d": 2}
    averages = average_places({rider: mark for rider, (mark,) in marks.items()})
    assert averages == {"a": 1, "b": 2.5, "c": 4, "d": 2.5}


@given(tables())
def test_places_are_those_of_scipy(table):
    """Competition ranking is `rankdata(method="min")` of the sums, the highest first."""
    expected = rankdata([-sum(row) for row in table.values()], method="min")
    assert places(standings(cards(table), BY_MEAN)) == dict(zip(table, expected, strict=True))


@given(tables())
def test_placings_are_those_of_scipy(table):
    """Each judge's placings are `rankdata(method="average")`; their sums rank by "min"."""
    rows = list(table.values())
    by_judge = rankdata([[-mark for mark in row] for row in rows], method="average", axis=0)
    sums = by_judge.sum(axis=1)
    result = standings(cards(table), BY_PLACINGS)

    by_rider = {row.rider: row for row in result.rows}
    for rider, ranks, whole in zip(table, by_judge, sums, strict=True):
        assert list(by_rider[rider].placings.values()) == list(ranks)
        assert by_rider[rider].total == whole
    expected = rankdata(sums, method="min")
    assert places(result) == dict(zip(table, expected, strict=True))


@given(tables())
def test_each_judge_hands_out_the_same_sum(table):
    """1 + 2 + ... + n, however many runs a judge has level."""
    rows = standings(cards(table), BY_PLACINGS).rows
    for judge in rows[0].placings:
        handed = sum(row.placings[judge] for row in rows)
        assert handed == len(rows) * (len(rows) + 1) / 2


def test_placings_worked_by_hand():
    """Judge 1: a b c. Judge 2: b a c. Judge 3: b, then a and c level.

    a 1 + 2 + 2.5 = 5.5, b 2 + 1 + 1 = 4, c 3 + 3 + 2.5 = 8.5. By the mean a would win.
    """
    table = {"a": [95, 70, 60], "b": [70, 72, 64], "c": [60, 60, 60]}
    result = standings(cards(table), BY_PLACINGS)

    assert [(row.rider, row.total) for row in result.rows] == [("b", 4), ("a", 5.5), ("c", 8.5)]
    assert result.totals() == ["4", "5.5", "8.5"]
    assert places(standings(cards(table), BY_MEAN)) == {"a": 1, "b": 2, "c": 3}


def test_a_run_is_ranked_only_against_its_own_heat():
    """World Wake Association rule book, Judging (thewwa.com/rules14.shtml).

    In its own heat x is first with every judge; with the other heat beside it, it would be
    third with every judge. Placings never mix, since each heat is ranked by itself.
    """
    first = cards({"x": [60, 61], "y": [50, 51]})
    second = cards({"p": [90, 91], "q": [80, 81]})
    alone, mixed = standings(first, BY_PLACINGS), standings(first + second, BY_PLACINGS)

    assert next(row.total for row in alone.rows if row.rider == "x") == 2
    assert next(row.total for row in mixed.rows if row.rider == "x") == 6


def test_a_narrow_margin_is_kept():
    """0.43 points parted first from third in a professional final of 2017 (published
    account): with whole points all three would be level."""
    table = {"a": ["86.93", "87.87"], "b": ["87.2", "87.2"], "c": ["86.91", "87.03"]}
    result = standings(cards(table), BY_MEAN)

    assert places(result) == {"a": 1, "b": 2, "c": 3}
    assert result.totals() == ["87.40", "87.20", "86.97"]
    assert result.rows[0].total - result.rows[2].total == Fraction("0.43")
    assert {round(row.total) for row in result.rows} == {87}


def test_level_is_level_however_the_marks_are_made_up():
    """0.1 + 0.2 and 0.3 + 0 are one sum; in binary floating point they are not."""
    assert 0.1 + 0.2 != 0.3 + 0.0
    result = standings(cards({"a": ["0.1", "0.2"], "b": ["0.3", "0"]}), BY_MEAN)
    assert places(result) == {"a": 1, "b": 1}
    assert notes(result)["a"].startswith("Tied with b.")


def test_what_differs_after_the_second_decimal_is_shown_to_differ():
    result = standings(cards({"a": ["80", "80", "80.01"], "b": ["80", "80", "80"]}), BY_MEAN)
    assert result.totals() == ["80.003", "80.000"]


@pytest.mark.parametrize("combine", COMBINES)
@given(table=tables(), more=st.integers(0, 50))
def test_the_same_added_to_every_mark_changes_no_place(combine, table, more):
    made = scoring(combine=combine)
    raised = {rider: [mark + more for mark in row] for rider, row in table.items()}
    assert places(standings(cards(raised), made)) == places(standings(cards(table), made))


@pytest.mark.parametrize("combine", COMBINES)
@given(table=tables(), data=st.data())
def test_who_sits_where_changes_no_place(combine, table, data):
    made = scoring(combine=combine)
    seats = data.draw(st.permutations(range(len(table[0]))))
    moved = {rider: [row[seat] for seat in seats] for rider, row in table.items()}
    assert places(standings(cards(moved), made)) == places(standings(cards(table), made))


@pytest.mark.parametrize("combine", COMBINES)
@given(table=tables(), data=st.data())
def test_the_order_in_which_runs_come_in_changes_no_place(combine, table, data):
    made = scoring(combine=combine)
    mixed = dict(data.draw(st.permutations(list(table.items()))))
    assert places(standings(cards(mixed), made)) == places(standings(cards(table), made))


@pytest.mark.parametrize("combine", COMBINES)
@given(table=tables(), data=st.data(), more=st.integers(1, 3))
def test_a_better_mark_never_costs_a_place(combine, table, data, more):
    made = scoring(combine=combine)
    rider = data.draw(st.sampled_from(sorted(table)))
    judge = data.draw(st.integers(0, len(table[rider]) - 1))
    better = {key: list(row) for key, row in table.items()}
    better[rider][judge] += more
    after, before = (
        places(standings(cards(better), made)),
        places(standings(cards(table), made)),
    )
    assert after[rider] <= before[rider]


def test_nobody_to_rank():
    result = standings([], BY_MEAN)
    assert (result.rows, result.complete, result.totals()) == ((), True, [])
