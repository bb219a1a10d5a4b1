"""Which of a rider's runs counts, and what judges' totals combine to."""

from decimal import Decimal
from fractions import Fraction
from statistics import mean

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import trim_mean

from events.rules.words import Combine
from runsheets.judging.counted_runs import ReRide, combined
from runsheets.judging.scoring import RunState
from runsheets.judging.standings import standings
from tests.runsheets.score_cards import OCA, card, cards, notes, places, scoring

ONE_MARK = scoring(mark_least=0, mark_most=100, combine=Combine.MEAN)
marks = st.lists(st.integers(0, 1000), min_size=1, max_size=15)


def totals_of(values):
    return {number: Fraction(value, 10) for number, value in enumerate(values)}


@given(marks)
def test_the_mean_is_that_of_the_standard_library(values):
    made, dropped = combined(totals_of(values), Combine.MEAN)
    assert made == mean(totals_of(values).values())
    assert dropped == ()


@given(st.lists(st.integers(0, 1000), min_size=3, max_size=15))
def test_without_the_ends_it_is_the_trimmed_mean_of_scipy(values):
    """`trim_mean` takes whole values off either end: 1.5 of n makes it one."""
    made, dropped = combined(totals_of(values), Combine.DROP_ENDS)
    expected = trim_mean([value / 10 for value in values], 1.5 / len(values))

    assert float(made) == pytest.approx(expected, abs=1e-9)
    assert len(set(dropped)) == 2


def test_the_ends_worked_by_hand():
    """90, 84, 78, 81 and 60: without 90 and 60 it is 243 / 3 = 81."""
    assert combined(totals_of([900, 840, 780, 810, 600]), Combine.DROP_ENDS) == (81, (0, 4))


@pytest.mark.parametrize(("count", "words"), [(1, "one judge"), (2, "two judges")])
def test_fewer_than_three_judges_drop_nothing_and_it_is_said(count, words):
    made = scoring(mark_most=100, combine=Combine.DROP_ENDS)
    result = standings(cards({"a": ["80", "60"][:count]}), made)

    assert result.rows[0].dropped == ()
    assert result.rows[0].total == mean([80, 60][:count])
    assert f"With {words} no mark is left out; from three on, two are." in result.said


def test_the_best_run_counts():
    runs = [card("a", "70"), card("a", "82", attempt=2), card("a", "75", attempt=3)]
    row = standings(runs, ONE_MARK, best_of=3).rows[0]
    assert (row.attempt, row.total) == (2, 82)


def test_how_many_runs_count_is_said_where_it_is_not_stated():
    runs = [card("a", "70"), card("a", "82", attempt=2)]
    assert any("best run is taken here" in said for said in standings(runs, ONE_MARK).said)


def test_a_re_ride_stands_instead_or_the_better_counts():
    """International Ski Competition Rules 623.3.3, of runs repeated after a hindrance: the
    repeated run is valid even if it is the worse one. The better of both: from memory."""
    runs = [card("a", "82"), card("a", "70", attempt=2, repeats=1)]

    assert standings(runs, ONE_MARK).rows[0].total == 70
    assert standings(runs, ONE_MARK, re_ride=ReRide.BETTER).rows[0].total == 82


def test_a_re_ride_not_started_leaves_the_run_as_it_was():
    """A discussion of the 2022 rulebook of the International Unicycling Federation: riders
    may choose not to ride again, and their earlier result stays valid. For wakeboarding:
    common practice, no source."""
    again = card("a", attempt=2, repeats=1, status=RunState.NOT_STARTED)
    for re_ride in ReRide:
        result = standings([card("a", "82"), again], ONE_MARK, re_ride=re_ride)
        assert (result.rows[0].total, result.rows[0].attempt) == (82, 1)
        assert "The re-ride was not started, so run 1 counts" in notes(result)["a"]
        assert result.complete


def test_the_last_one_started_of_several_re_rides_counts():
    runs = [
        card("a", "82"),
        card("a", "70", attempt=2, repeats=1),
        card("a", attempt=3, repeats=2, status=RunState.NOT_STARTED),
    ]
    assert standings(runs, ONE_MARK).rows[0].total == 70


def test_a_re_ride_not_started_takes_no_disqualification_away():
    runs = [
        card("a", "82", status=RunState.DISQUALIFIED),
        card("a", attempt=2, repeats=1, status=RunState.NOT_STARTED),
    ]
    assert standings(runs, ONE_MARK).rows[0].status is RunState.DISQUALIFIED


def test_neither_run_started():
    states = {"status": RunState.NOT_STARTED}
    runs = [card("a", **states), card("a", attempt=2, repeats=1, **states)]
    row = standings(runs, ONE_MARK).rows[0]
    assert (row.status, row.total) == (RunState.NOT_STARTED, None)


def test_the_remark_stands_beside_the_tie_and_the_runs_to_come():
    runs = [
        card("a", "82"),
        card("a", attempt=3, repeats=1, status=RunState.NOT_STARTED),
        card("b", "82"),
    ]
    note = notes(standings(runs, ONE_MARK, best_of=2))["a"]
    assert note.startswith(
        "The re-ride was not started, so run 1 counts as it was ridden. One run"
    )
    assert "Tied with b." in note


def test_a_re_ride_of_a_re_ride():
    runs = [
        card("a", "60", attempt=3, repeats=2),
        card("a", "82"),
        card("a", "70", attempt=2, repeats=1),
    ]
    assert standings(runs, ONE_MARK).rows[0].total == 60
    assert standings(runs, ONE_MARK, re_ride=ReRide.BETTER).rows[0].total == 82


def test_runs_that_cannot_be_told_apart():
    with pytest.raises(ValueError, match="same number"):
        standings([card("a", "60"), card("a", "70")], ONE_MARK)
    with pytest.raises(ValueError, match="repeat one another"):
        standings([card("a", "60", repeats=2), card("a", "70", attempt=2, repeats=1)], ONE_MARK)


def test_points_off_come_off_the_mark_and_never_go_below_the_lowest():
    made = scoring(mark_least=10, mark_most=100, combine=Combine.MEAN)
    runs = [
        card("a", "80", "70", points_off=Decimal("2.5")),
        card("b", "30", "20", points_off=Decimal(60)),
    ]
    rows = standings(runs, made).rows

    assert [row.total for row in rows] == [Fraction("72.5"), 10]
    assert [row.points_off for row in rows] == [Fraction("2.5"), 60]


def test_points_off_come_off_every_judge_where_placings_are_added():
    made = scoring(mark_most=100, combine=Combine.PLACINGS)
    runs = [card("a", "80", "80", points_off=Decimal(5)), card("b", "78", "76")]
    assert places(standings(runs, made)) == {"b": 1, "a": 2}


def test_a_run_that_lacks_marks_waits_and_is_not_ranked():
    full = {"Execution": "30", "Intensity": "30", "Composition": "30"}
    runs = [
        card("a", full, full),
        card("b", full, {"Execution": "30", "Intensity": "30"}),
        card("c", full),
        card("d"),
    ]
    result = standings(runs, scoring(OCA, panel=2))

    assert places(result) == {"a": 1}
    assert not result.complete
    assert [(one.rider, one.sentence) for one in result.waiting] == [
        ("b", "1 of 6 marks is missing."),
        ("c", "3 of 6 marks are missing."),
        ("d", "Not marked yet."),
    ]
    assert result.waiting[0].missing == ((2, "Composition"),)


def test_a_panel_that_is_not_whole_waits():
    result = standings(cards({"a": [70, 80]}), scoring(panel=3))
    assert (result.rows, len(result.waiting), result.complete) == ((), 1, False)


def test_a_better_run_that_waits_keeps_the_rider_waiting():
    """The run that lacks marks may be the best one."""
    result = standings([card("a", "70"), card("a", attempt=2)], ONE_MARK, best_of=2)
    assert result.rows == ()
    assert result.waiting[0].attempt == 2


def test_marks_that_nobody_asked_for_are_told():
    runs = [card("a", {"": "70", "Style": "9"}, "80")]
    result = standings(runs, ONE_MARK, judges=[1])

    assert result.rows[0].total == 70
    assert any("asked for: Style." in said for said in result.said)
    assert any("do not judge: 2." in said for said in result.said)


def test_who_did_not_ride():
    runs = [
        card("gone", status=RunState.WITHDRAWN),
        card("out", "99", status=RunState.DISQUALIFIED),
        card("absent", status=RunState.NOT_STARTED),
        card("last", "5"),
        card("away", status=RunState.NOT_STARTED),
        card("first", "80"),
    ]
    result = standings(runs, ONE_MARK)

    assert places(result) == {
        "first": 1, "last": 2, "absent": 3, "away": 3, "out": None, "gone": None,
    }  # fmt: skip
    assert notes(result)["absent"] == "Did not start."
    assert notes(result)["out"] == "Disqualified."
    assert result.totals() == ["80.00", "5.00", "", "", "", ""]
    assert [row.tied for row in result.rows] == [False, False, True, True, False, False]


def test_a_run_not_started_only_counts_for_nothing():
    runs = [card("a", "70"), card("a", attempt=2, status=RunState.NOT_STARTED)]
    assert standings(runs, ONE_MARK, best_of=2).rows[0].total == 70


def test_a_disqualification_is_for_the_round_unless_that_run_was_repeated():
    out = card("a", "70", status=RunState.DISQUALIFIED)

    assert places(standings([out, card("a", "60", attempt=2)], ONE_MARK)) == {"a": None}
    again = card("a", "60", attempt=2, repeats=1)
    assert places(standings([out, again], ONE_MARK)) == {"a": 1}


def test_one_who_did_not_start_is_tied_with_nobody():
    alone = card("a", status=RunState.NOT_STARTED)
    assert not standings([alone], ONE_MARK).rows[0].tied
