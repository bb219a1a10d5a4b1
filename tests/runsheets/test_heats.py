"""Who rides in which heat, and that late entries and scratches move nobody else."""

from itertools import product

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from runsheets.starting.heats import (
    Spread,
    Transfer,
    heat_count,
    level,
    place_late,
    scratch,
    split,
    transfer,
)

SIZES = st.one_of(st.none(), st.integers(1, 8))
HEATS = st.lists(st.integers(0, 6), max_size=6)
LOCKED = st.sets(st.integers(0, 5), max_size=3)


def heats_of(sizes: list[int]) -> list[list[int]]:
    """Heats of these sizes, riders numbered through."""
    riders = iter(range(sum(sizes)))
    return [[next(riders) for _ in range(size)] for size in sizes]


@pytest.mark.parametrize(
    ("riders", "size", "heats"),
    [
        (0, 6, 0),
        (0, None, 0),
        (1, 6, 1),
        (6, 6, 1),
        (7, 6, 2),
        (13, 6, 3),
        (3, 1, 3),
        (40, None, 1),
    ],
)
def test_the_fewest_heats(riders, size, heats):
    assert heat_count(riders, size) == heats


def test_thirteen_riders_of_at_most_six_are_five_four_four():
    """Heats of four to six riders are usual: common practice, no source."""
    heats = split(range(1, 14), 6)
    assert heats == [[1, 2, 3, 4, 5], [6, 7, 8, 9], [10, 11, 12, 13]]


def test_a_serpentine_of_twelve_in_three_heats():
    """The usual serpentine, from memory: 1-6-7-12, 2-5-8-11, 3-4-9-10; the best rides last."""
    heats = split(range(1, 13), 4, Spread.SERPENTINE)
    assert heats == [[12, 7, 6, 1], [11, 8, 5, 2], [10, 9, 4, 3]]


def test_a_serpentine_passes_over_full_heats():
    """Six in four heats: the row comes back from heat 4, which like heat 3 holds one only."""
    assert split(range(1, 7), 2, Spread.SERPENTINE) == [[6, 1], [5, 2], [4, 3]]
    assert split(range(1, 6), 2, Spread.SERPENTINE) == [[5, 1], [4, 2], [3]]
    assert split("abcdefghij", 3, Spread.SERPENTINE) == [
        ["i", "h", "a"],
        ["j", "g", "b"],
        ["f", "c"],
        ["e", "d"],
    ]


def test_one_heat_where_no_size_is_stated():
    assert split("cab", None) == [["c", "a", "b"]]
    assert split("cab", None, Spread.SERPENTINE) == [["b", "a", "c"]]
    assert split([], None) == split([], 4, Spread.SERPENTINE) == []


@given(st.integers(0, 60), SIZES, st.sampled_from(Spread))
def test_everybody_rides_once_in_heats_as_even_as_can_be(riders, size, spread):
    heats = split(range(riders), size, spread)
    assert sorted(rider for heat in heats for rider in heat) == list(range(riders))
    sizes = [len(heat) for heat in heats]
    assert sizes == sorted(sizes, reverse=True)
    assert not sizes or sizes[0] - sizes[-1] <= 1
    assert all(sizes)
    assert all(size is None or each <= size for each in sizes)
    assert len(heats) < 2 or (len(heats) - 1) * size < riders


@given(st.integers(0, 60), SIZES)
def test_cut_heats_in_a_row_are_the_riding_order(riders, size):
    assert [rider for heat in split(range(riders), size) for rider in heat] == list(
        range(riders)
    )


@given(st.integers(1, 8), st.integers(1, 4))
def test_a_serpentine_of_full_rows_there_and_back_gives_equal_sums_of_ranks(heats, half):
    """Two rows of n heats give every heat ranks that add up to the same: r and 2n + 1 - r."""
    size = 2 * half
    made = split(range(1, heats * size + 1), size, Spread.SERPENTINE)
    assert {sum(heat) for heat in made} == {half * (heats * size + 1)}
    assert all(heat == sorted(heat, reverse=True) for heat in made)


@pytest.mark.parametrize("size", [0, -1])
def test_a_heat_needs_room(size):
    calls = [
        lambda: heat_count(3, size), lambda: split([1], size),
        lambda: place_late([[1]], 2, size), lambda: level([[1]], size),
    ]  # fmt: skip
    for call in calls:
        with pytest.raises(ValueError, match="room for at least one"):
            call()
    with pytest.raises(ValueError, match="below 0"):
        heat_count(-1, 3)


def test_a_late_entry_rides_last_in_the_smallest_open_heat():
    heats = [["a", "b", "c"], ["d", "e"], ["f", "g"]]
    assert place_late(heats, "z", 3) == [["a", "b", "c"], ["d", "e"], ["f", "g", "z"]]
    assert place_late(heats, "z", 3, locked={2}) == [
        ["a", "b", "c"],
        ["d", "e", "z"],
        ["f", "g"],
    ]
    assert place_late(heats, "z", None, locked={1, 2})[0] == ["a", "b", "c", "z"]
    assert heats == [["a", "b", "c"], ["d", "e"], ["f", "g"]]


def test_a_late_entry_makes_a_new_heat_where_all_are_full_or_begun():
    assert place_late([["a", "b"], ["c", "d"]], "z", 2) == [["a", "b"], ["c", "d"], ["z"]]
    assert place_late([["a"]], "z", None, locked=[0]) == [["a"], ["z"]]
    assert place_late([], "z", 4) == [["z"]]


def test_an_emptied_heat_is_used_only_before_a_new_one_is_made():
    assert place_late([["a", "b"], [], ["c"]], "z", 2) == [["a", "b"], [], ["c", "z"]]
    assert place_late([["a", "b"], []], "z", 2) == [["a", "b"], ["z"]]


def test_nobody_is_placed_twice_and_only_starters_scratch():
    with pytest.raises(ValueError, match="in a heat already"):
        place_late([["a"]], "a", 4)
    with pytest.raises(ValueError, match="none of the heats"):
        scratch([["a"], []], "z")


@given(HEATS, SIZES, LOCKED)
def test_a_late_entry_moves_nobody(sizes, size, locked):
    heats = heats_of(sizes)
    placed = place_late(heats, "late", size, locked=locked)
    assert scratch(placed, "late")[: len(heats)] == heats
    joined = next(n for n, heat in enumerate(placed) if "late" in heat)
    assert placed[joined][-1] == "late"
    if joined < len(heats):
        assert joined not in locked
        assert size is None or len(placed[joined]) <= size
    else:
        room = [
            n
            for n, each in enumerate(sizes)
            if n not in locked and (size is None or each < size)
        ]
        assert room == []
        assert len(placed) == len(heats) + 1


@given(HEATS, st.data())
def test_a_scratch_leaves_all_others_in_their_heats(sizes, data):
    heats = heats_of(sizes)
    assume(any(sizes))
    rider = data.draw(st.sampled_from(range(sum(sizes))))
    left = scratch(heats, rider)
    assert len(left) == len(heats)
    for before, after in zip(heats, left, strict=True):
        assert after == [each for each in before if each != rider]


def test_the_place_of_a_scratch_can_be_taken_by_a_late_entry():
    heats = split("abcdef", 3)
    left = scratch(heats, "b")
    assert left == [["a", "c"], ["d", "e", "f"]]
    assert place_late(left, "z", 3) == [["a", "c", "z"], ["d", "e", "f"]]


def test_levelling_takes_the_last_to_the_end_of_a_small_heat():
    heats = [list("abcde"), list("f"), list("ghijk")]
    moves = level(heats, 6)
    assert moves == [Transfer("e", 0, 1), Transfer("k", 2, 1)]
    assert transfer(heats, moves) == [list("abcd"), list("fek"), list("ghij")]


def test_levelling_leaves_even_locked_and_emptied_heats_alone():
    assert level([list("abc"), list("de")], 3) == []
    assert level([list("abcdef"), list("g"), list("h")], 6, locked=[0]) == []
    assert level([list("abc"), [], list("def")], 6) == []
    assert level([], 6) == level([[], []], 6) == []


def test_levelling_uses_emptied_and_then_new_heats_where_the_others_cannot_hold_all():
    assert level([list("abcde"), []], 3) == [Transfer("d", 0, 1), Transfer("e", 0, 1)]
    moves = level([list("abcde")], 2)
    assert [len(heat) for heat in transfer([list("abcde")], moves)] == [2, 2, 1]


def test_a_suggestion_that_no_longer_fits_is_refused():
    """Nothing is moved by halves: the heats that were given stay as they were."""
    heats = [["a", "b"], []]
    for stale in (Transfer("z", 0, 1), Transfer("a", 1, 0), Transfer("a", 7, 0)):
        with pytest.raises(ValueError, match="have changed"):
            transfer(heats, [Transfer("b", 0, 1), stale])
    assert heats == [["a", "b"], []]


def fewest_moves(sizes: list[int], size: int | None) -> int:
    """By trying every set of even sizes that the heats could have afterwards."""
    total = sum(sizes)
    used = [n for n, each in enumerate(sizes) if each]
    ends = [total // len(used), -(-total // len(used))]
    return min(
        sum(max(sizes[n] - end, 0) for n, end in zip(used, aims, strict=True))
        for aims in product(ends, repeat=len(used))
        if sum(aims) == total
    )


@given(HEATS, SIZES, LOCKED)
def test_levelling_is_even_keeps_all_riders_and_moves_the_fewest(sizes, size, locked):
    """The number of moves against brute force wherever the heats in use can hold everybody."""
    heats = heats_of(sizes)
    moves = level(heats, size, locked)
    after = transfer(heats, moves)
    assert sorted(r for heat in after for r in heat) == sorted(
        r for heat in heats for r in heat
    )
    assert all(after[n] == heats[n] for n in locked if n < len(heats))
    ridden = [len(heat) for n, heat in enumerate(after) if heat and n not in locked]
    assert not ridden or max(ridden) - min(ridden) <= 1
    assert size is None or all(each <= size for each in ridden)
    stay = [[r for r in heat if r not in {m.rider for m in moves}] for heat in heats]
    assert all(new[: len(old)] == old for old, new in zip(stay, after, strict=False))
    assert level(after, size, locked) == []
    unlocked = [0 if n in locked else each for n, each in enumerate(sizes)]
    if sum(unlocked) and heat_count(sum(unlocked), size) <= sum(map(bool, unlocked)):
        assert len(moves) == fewest_moves(unlocked, size)
