"""Rest between two heats of one rider: what clashes, and orders of the day that clash less."""

from datetime import UTC, datetime, timedelta
from itertools import permutations
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runsheets.starting.rest import (
    Clash,
    DayHeat,
    TimeClash,
    clashes,
    clashes_in_time,
    out_of_turn,
    with_rest,
)


def day(*riders: str) -> list[DayHeat]:
    """Heats numbered from 0; each letter is a rider."""
    return [DayHeat(n, frozenset(each)) for n, each in enumerate(riders)]


def keys(order: list[DayHeat]) -> list[object]:
    return [heat.key for heat in order]


def days(least: int, most: int) -> st.SearchStrategy[list[DayHeat]]:
    return st.lists(st.text("abcdefg", max_size=3), min_size=least, max_size=most).map(
        lambda each: day(*each)
    )


PAIRS = st.lists(
    st.tuples(st.integers(0, 11), st.integers(0, 11)).filter(lambda pair: pair[0] < pair[1]),
    max_size=5,
)


def test_a_rider_of_two_heats_in_a_row_clashes():
    order = day("ab", "bc", "d", "a")
    assert clashes(order, 1) == [Clash("b", 0, 1, 0)]
    assert clashes(order, 3) == [Clash("b", 0, 1, 0), Clash("a", 0, 3, 2)]
    assert clashes(order, 0) == []


def test_of_three_heats_only_those_that_follow_one_another_are_told():
    assert clashes(day("a", "a", "a"), 5) == [Clash("a", 0, 1, 0), Clash("a", 1, 2, 0)]


def test_riders_of_one_heat_are_told_by_their_text():
    assert [each.rider for each in clashes(day("dcab", "abcd"), 1)] == ["a", "b", "c", "d"]


def test_a_free_heat_is_put_between():
    order, left = with_rest(day("ab", "bc", "de"), 1)
    assert keys(order) == [0, 2, 1]
    assert left == []


def test_an_order_with_rest_is_left_as_it_is():
    given_order = day("a", "b", "a", "c")
    assert with_rest(given_order, 1) == (given_order, [])


def test_what_cannot_be_avoided_is_told():
    order, left = with_rest(day("a", "a"), 1)
    assert keys(order) == [0, 1]
    assert left == [Clash("a", 0, 1, 0)]


def test_a_begun_heat_stays_and_the_others_make_way():
    """Heat 0 is on the water, so heat 1 has to wait and not heat 0."""
    order, left = with_rest(day("a", "a", "b", "c"), 1, fixed={0})
    assert keys(order) == [0, 2, 1, 3]
    assert left == []


def test_qualifying_stays_before_the_final():
    """Without the pair, the final would do as well in front."""
    heats = [
        DayHeat("qualifying", frozenset("ab")),
        DayHeat("final", frozenset("ab")),
        DayHeat("other", frozenset("c")),
    ]
    order, left = with_rest(heats, 1, before=[("qualifying", "final")])
    assert keys(order) == ["qualifying", "other", "final"]
    assert left == []


def test_a_pair_out_of_turn_is_put_right_even_at_the_price_of_a_clash():
    order, left = with_rest(day("a", "b", "a"), 1, before=[(1, 0), (2, 0), (1, 2)])
    assert keys(order) == [1, 2, 0]
    assert left == [Clash("a", 2, 0, 0)]


def test_a_pair_that_a_begun_heat_has_broken_is_past_putting_right():
    given_order = day("a", "b")
    pairs = [(1, 0)]
    order, _ = with_rest(given_order, 1, fixed={0, 1}, before=pairs)
    assert order == given_order
    assert out_of_turn(order, pairs) == pairs


def test_pairs_that_contradict_one_another_do_no_harm():
    order, _ = with_rest(day("a", "b", "c"), 1, before=[(0, 1), (1, 2), (2, 0)])
    assert keys(order) == [0, 1, 2]
    assert out_of_turn(order, [(0, 1), (1, 2), (2, 0)]) == [(2, 0)]


def test_keys_of_another_day_say_nothing():
    given_order = day("a", "b")
    assert with_rest(given_order, 1, fixed={"x"}, before=[("x", 0), (1, "y"), (0, 0)]) == (
        given_order,
        [],
    )
    assert out_of_turn(given_order, [("x", 0), (1, "y")]) == []


def test_nothing_is_put_in_order_by_itself():
    assert with_rest([], 2) == ([], [])


@pytest.mark.parametrize("look", [clashes, with_rest])
def test_a_day_that_makes_no_sense_is_refused(look):
    with pytest.raises(ValueError, match="fewer than 0"):
        look(day("a"), -1)
    with pytest.raises(ValueError, match="twice"):
        look([DayHeat(1, frozenset("a")), DayHeat(1, frozenset("b"))], 1)


def brute_force(order, rest, fixed, before):
    """The score of the best of all orders: pairs out of turn, clashes, places moved."""
    place = {heat.key: n for n, heat in enumerate(order)}
    scores = []
    for new in permutations(order):
        if all(new[n] is heat for n, heat in enumerate(order) if heat.key in fixed):
            moved = sum(abs(n - place[heat.key]) for n, heat in enumerate(new))
            scores.append((len(out_of_turn(new, before)), len(clashes(new, rest)), moved))
    return min(scores)


@given(
    days(0, 6),
    st.integers(0, 3),
    st.sets(st.integers(0, 5), max_size=2),
    st.sets(st.permutations(range(6)).map(lambda p: (p[0], p[1])), max_size=4),
)
def test_few_heats_are_ordered_as_well_as_by_trying_every_order(order, rest, fixed, before):
    """Every permutation by itertools, with pairs of any kind, also contradictory ones."""
    new, left = with_rest(order, rest, fixed, before)
    place = {heat.key: n for n, heat in enumerate(order)}
    moved = sum(abs(n - place[heat.key]) for n, heat in enumerate(new))
    score = (len(out_of_turn(new, before)), len(left), moved)
    assert score == brute_force(order, rest, fixed, before)


@given(days(0, 12), st.integers(0, 3), st.sets(st.integers(0, 11), max_size=4), PAIRS)
def test_an_order_with_rest_keeps_what_has_to_be_kept(order, rest, fixed, before):
    """Every heat once, begun ones in place, pairs in turn, no more clashes than before, and
    the same again from riders and pairs in another order."""
    new, left = with_rest(order, rest, fixed, before)
    assert sorted(keys(new)) == keys(order)
    assert all(new[n] == heat for n, heat in enumerate(order) if heat.key in fixed)
    assert out_of_turn(new, before) == []
    assert left == clashes(new, rest)
    assert len(left) <= len(clashes(order, rest))
    assert with_rest(order, rest, sorted(fixed), before[::-1]) == (new, left)


def test_a_long_day_is_parted_where_that_is_possible():
    """Thirty heats in ten blocks of three that share a rider: some order parts them all."""
    order = day(*(letter for letter in "abcdefghij" for _ in range(3)))
    assert len(clashes(order, 2)) == 20
    new, left = with_rest(order, 2, before=[(n, n + 1) for n in range(0, 30, 3)])
    assert left == []
    assert out_of_turn(new, [(n, n + 1) for n in range(0, 30, 3)]) == []


def at(hour: int, minute: int = 0) -> datetime:
    return datetime(2031, 6, 14, hour, minute, tzinfo=UTC)


def test_rest_in_minutes():
    heats = day("ab", "bc", "a")
    spans = {0: (at(9), at(9, 30)), 1: (at(9, 40), at(10)), 2: (at(10), at(10, 20))}
    found = clashes_in_time(heats, spans, timedelta(minutes=30))
    assert found == [TimeClash("b", 0, 1, timedelta(minutes=10))]
    assert clashes_in_time(heats, spans, timedelta(minutes=10)) == []
    more = clashes_in_time(heats, spans, timedelta(minutes=31))
    assert [each.rider for each in more] == ["b", "a"]


def test_heats_that_overlap_clash_whatever_the_rest():
    """On a second boat or lake; a long heat still counts when a short one lay inside it."""
    heats = day("a", "a", "a")
    spans = {0: (at(9), at(11)), 1: (at(9, 30), at(9, 40)), 2: (at(10, 30), at(11, 30))}
    found = clashes_in_time(heats, spans, timedelta(0))
    assert [(each.first, each.second, each.gap) for each in found] == [
        (0, 1, timedelta(minutes=-90)),
        (0, 2, timedelta(minutes=-30)),
    ]


def test_a_heat_without_a_time_cannot_clash():
    assert clashes_in_time(day("a", "a"), {0: (at(9), at(10))}, timedelta(hours=1)) == []


def test_rest_over_the_change_to_summer_time_is_real_time():
    """In Berlin 2:00 became 3:00 on 30 March 2031, the last Sunday of the month (rule of
    the European Union; tz database)."""
    berlin = ZoneInfo("Europe/Berlin")
    spans = {
        0: (
            datetime(2031, 3, 30, 1, 0, tzinfo=berlin),
            datetime(2031, 3, 30, 1, 30, tzinfo=berlin),
        ),
        1: (
            datetime(2031, 3, 30, 3, 30, tzinfo=berlin),
            datetime(2031, 3, 30, 4, 0, tzinfo=berlin),
        ),
    }
    found = clashes_in_time(day("a", "a"), spans, timedelta(minutes=90))
    assert [each.gap for each in found] == [timedelta(hours=1)]


def test_times_that_make_no_sense_are_refused():
    with pytest.raises(ValueError, match="before it starts"):
        clashes_in_time(day("a"), {0: (at(10), at(9))}, timedelta(0))
    with pytest.raises(ValueError, match="below zero"):
        clashes_in_time(day("a"), {}, timedelta(minutes=-1))


@given(days(0, 8), st.integers(0, 3))
def test_minutes_and_heats_agree_where_all_heats_are_equally_long(order, rest):
    """Heats of ten minutes without a gap: `rest` heats between are `rest` times ten minutes."""
    ten = timedelta(minutes=10)
    spans = {heat.key: (at(9) + n * ten, at(9) + (n + 1) * ten) for n, heat in enumerate(order)}
    in_time = clashes_in_time(order, spans, rest * ten)
    assert [(c.rider, c.first, c.second, c.gap) for c in in_time] == [
        (c.rider, c.first, c.second, c.heats_between * ten) for c in clashes(order, rest)
    ]
