"""The draw of the running order, by every rule that a round can name."""

import hashlib
import re
import subprocess
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2, chisquare

from events.rules.words import RidingOrder
from runsheets.starting.draw import DrawnRider, draw, how_to_repeat, lot, lottery, sort_key


def names(riders: list[DrawnRider]) -> list[str]:
    return [rider.sort_name for rider in riders]


def riders(*sort_names: str) -> list[DrawnRider]:
    return [DrawnRider(n, name) for n, name in enumerate(sort_names)]


def test_alphabetical_order_disregards_capitals_and_marks():
    """É sorts as e, Ł as l, ß as ss: what the root order of Unicode does (from memory)."""
    given_order = riders(
        "Łukasz", "Löfgren", "éclair", "Zoë", "Ebner", "Strass", "Straße", "lund"
    )
    drawn = draw(given_order, RidingOrder.ALPHABETICAL)
    assert names(drawn) == [
        "Ebner", "éclair", "Löfgren", "Łukasz", "lund", "Strass", "Straße", "Zoë",
    ]  # fmt: skip


def test_a_name_sorts_alike_however_its_marks_are_stored():
    """Vietnamese in one code point or in several (Unicode Standard Annex 15) is one name."""
    joined, apart = "Nguy\u1ec5n", "Nguye\u0302\u0303n"
    assert sort_key(joined) == sort_key(apart) == "nguyen"


def test_scripts_follow_one_another():
    """Latin, then Greek, then Cyrillic, as in the code charts."""
    drawn = draw(riders("Жанна", "Ελένη", "Zoë"), RidingOrder.ALPHABETICAL)
    assert names(drawn) == ["Zoë", "Ελένη", "Жанна"]


def test_equal_names_stay_as_given():
    """The alphabetical order is stable."""
    given_order = [DrawnRider(7, "Reed, Sam"), DrawnRider(2, "reed, sam")]
    assert [rider.id for rider in draw(given_order, RidingOrder.ALPHABETICAL)] == [7, 2]


def test_a_draw_by_lot_can_be_repeated_with_a_common_tool():
    """Digests printed by `printf '%s' 'lake 7:BIB' | sha256sum` (GNU coreutils)."""
    starters = [
        DrawnRider(n, f"Rider {bib}", bib) for n, bib in enumerate(["3", "7", "12", "21"])
    ]
    drawn = draw(starters, RidingOrder.RANDOM, seed="lake 7")
    assert [rider.bib for rider in drawn] == ["7", "3", "21", "12"]
    assert lot("lake 7", drawn[0]).startswith("4b5b994508fec50c2bf54b4d9686dd01")
    assert lot("lake 7", drawn[-1]).startswith("d3170f688523f059374f7bb7cdb0da43")


def test_the_lot_is_a_published_digest():
    """FIPS 180-4 as kept in the standard library; without a bib the id is drawn."""
    expected = hashlib.sha256(b"Wind:41").hexdigest()
    assert lot("Wind", DrawnRider(41, "Nobody")) == expected
    assert lot("Wind", DrawnRider(8, "Nobody", "41")) == expected


def test_another_seed_draws_another_order():
    """Of ten riders, some seed among three gives another order than the first one."""
    starters = riders(*"abcdefghij")
    orders = {tuple(names(draw(starters, RidingOrder.RANDOM, seed=seed))) for seed in "xyz"}
    assert len(orders) > 1


def test_every_place_is_about_as_likely():
    """Chi-square of a rider's place over 2000 fixed seeds stays below its 99.9 % point for
    4 degrees of freedom, computed by SciPy."""
    starters = riders(*"abcde")
    counts = [0] * 5
    for seed in range(2000):
        order = names(draw(starters, RidingOrder.RANDOM, seed=f"seed {seed}"))
        counts[order.index("c")] += 1
    assert sum((count - 400) ** 2 / 400 for count in counts) < chi2.ppf(0.999, 4)


@given(st.lists(st.text(max_size=8), unique=True, max_size=8), st.text("abc", min_size=1))
def test_a_draw_by_lot_does_not_depend_on_the_order_of_entry(bibs, seed):
    """The same riders in any order of entry are drawn alike."""
    starters = [DrawnRider(n, "Same", bib or f"#{n}") for n, bib in enumerate(bibs)]
    forward = draw(starters, RidingOrder.RANDOM, seed=seed)
    assert forward == draw(starters[::-1], RidingOrder.RANDOM, seed=seed)
    assert sorted(r.id for r in forward) == sorted(r.id for r in starters)


def test_a_draw_by_lot_needs_a_seed():
    with pytest.raises(ValueError, match="needs a draw word"):
        draw(riders("a"), RidingOrder.RANDOM)


def test_the_best_ranked_rides_last_and_the_unranked_first():
    """Unranked alphabetically, then from the worst rank to the best; equal ranks by name."""
    starters = [
        DrawnRider(1, "Ash", rank=1),
        DrawnRider(2, "Wren"),
        DrawnRider(3, "Moss", rank=12),
        DrawnRider(4, "Fern", rank=3),
        DrawnRider(5, "Elm", rank=3),
        DrawnRider(6, "Birch"),
    ]
    drawn = draw(starters, RidingOrder.RANKING)
    assert names(drawn) == ["Birch", "Wren", "Moss", "Elm", "Fern", "Ash"]


def test_a_ranking_given_beside_the_riders_goes_before_their_own_ranks():
    starters = [DrawnRider("a", "Ash", rank=1), DrawnRider("b", "Elm", rank=2)]
    assert names(draw(starters, RidingOrder.RANKING, ranking=["b", "a"])) == ["Ash", "Elm"]


def test_reverse_of_the_last_round_is_its_placings_from_the_end():
    starters = [DrawnRider(key, key) for key in "abcd"]
    drawn = draw(starters, RidingOrder.REVERSE, ranking=["c", "a", "b"])
    assert names(drawn) == ["d", "b", "a", "c"]


def test_reverse_needs_placings():
    with pytest.raises(ValueError, match="no placings"):
        draw(riders("a"), RidingOrder.REVERSE)


def test_by_hand_keeps_the_order():
    assert names(draw(riders("c", "a", "b"), RidingOrder.BY_HAND)) == ["c", "a", "b"]


@pytest.mark.parametrize("order", list(RidingOrder))
def test_nobody_rides_twice(order):
    twice = [DrawnRider(1, "Ash"), DrawnRider(1, "Ash")]
    with pytest.raises(ValueError, match="twice"):
        draw(twice, order, seed="s", ranking=[1])


@pytest.mark.parametrize("order", list(RidingOrder))
def test_an_empty_list_is_drawn_as_empty(order):
    assert draw([], order, seed="s", ranking=[]) == []


def test_a_second_round_in_reverse_of_the_first_with_ties_by_ranking():
    """Swiss Pro Tricks event rules: the first round in ranking order, best last; the second
    in reverse order of the first round's result, ties by ranking."""
    starters = [
        DrawnRider(key, key, rank=rank)
        for key, rank in {"Ash": 1, "Birch": 2, "Elm": 3, "Fern": 4}.items()
    ]
    first = draw(starters, RidingOrder.RANKING)
    assert names(first) == ["Fern", "Elm", "Birch", "Ash"]
    result = {"Fern": 1, "Ash": 2, "Elm": 2, "Birch": 4}
    second = draw(starters, RidingOrder.REVERSE, ranking=result)
    assert names(second) == ["Birch", "Elm", "Ash", "Fern"]


def test_of_equal_placings_the_unranked_rides_first():
    starters = [DrawnRider("a", "Ash", rank=9), DrawnRider("b", "Birch"), DrawnRider("c", "Cy")]
    drawn = draw(starters, RidingOrder.REVERSE, ranking={"a": 1, "b": 1})
    assert names(drawn) == ["Cy", "Birch", "Ash"]


def shell(command: str) -> str:
    return subprocess.run(
        ["sh", "-c", command], capture_output=True, check=True, encoding="utf-8"
    ).stdout


@pytest.mark.parametrize("seed", ["lake 7", "Ada's $HOME", "50 % `wind`\\n", "Müggelsee"])
def test_a_rider_can_repeat_the_draw_with_the_command_that_is_printed(seed):
    """The printed command is run by a shell; its digest (sha256sum of GNU coreutils) begins
    with the digits that are listed, whatever a seed does to a shell."""
    order = draw(
        [DrawnRider(n, f"Rider {n}", bib) for n, bib in enumerate(["3", "7", "", "21"])],
        RidingOrder.RANDOM,
        seed=seed,
    )
    text = how_to_repeat(order, seed)
    command = re.search(r"printf .* sha256sum", text).group()
    listed = re.search(r"^1\. .*: ([0-9a-f]+)$", text, re.M).group(1)
    assert len(listed) == 8
    assert shell(command).startswith(listed)


def test_how_to_repeat_a_draw_names_every_rider_in_riding_order():
    """Digests as printed by `printf '%s' 'lake 7:BIB' | sha256sum` (GNU coreutils)."""
    order = draw(
        [DrawnRider(n, "Rider", bib) for n, bib in enumerate(["3", "12", "7"])],
        RidingOrder.RANDOM,
        seed="lake 7",
    )
    lines = how_to_repeat(order, "lake 7").splitlines()
    assert lines[0] == "This order was drawn by lot from the draw word lake 7."
    assert "The first 8 of the 64 digits are listed." in lines
    assert [line.partition(":")[0] for line in lines[-3:]] == [
        "1. bib 7",
        "2. bib 3",
        "3. bib 12",
    ]
    assert lines[-3] == "1. bib 7: 4b5b9945"
    assert "changed" not in " ".join(lines)
    assert "without a bib" not in " ".join(lines)


def test_how_to_repeat_owns_up_to_a_changed_order():
    """A rider taken out changes nothing; two who changed places do."""
    starters = [DrawnRider(n, "Rider", str(n)) for n in range(6)]
    order = draw(starters, RidingOrder.RANDOM, seed="s")
    assert "was changed" not in how_to_repeat(order[:2] + order[3:], "s")
    assert "was changed after the draw" in how_to_repeat([order[1], order[0], *order[2:]], "s")


def test_riders_without_a_bib_are_told_by_entry():
    text = how_to_repeat([DrawnRider(41, "Nobody")], "Wind")
    assert "without a bib is drawn by the number of the entry" in text
    digest = hashlib.sha256(b"Wind:41").hexdigest()
    assert text.endswith(f"1. entry 41: {digest[:8]}")


def test_more_digits_are_listed_where_eight_look_alike():
    """Bibs 37916 and 52365 share the first eight digits from this seed (found by trying)."""
    order = [DrawnRider(n, "Rider", bib) for n, bib in enumerate(["37916", "52365"])]
    lots = [lot("twin", rider) for rider in order]
    assert lots[0][:8] == lots[1][:8]
    text = how_to_repeat(order, "twin")
    shown = [line.rpartition(" ")[2] for line in text.splitlines()[-2:]]
    assert shown[0] != shown[1]
    assert [own.startswith(digits) for own, digits in zip(lots, shown, strict=True)] == [
        True,
        True,
    ]


def test_nothing_can_be_repeated_without_riders_or_seed():
    assert how_to_repeat([], "s") == "Nobody was drawn."
    with pytest.raises(ValueError, match="needs a draw word"):
        how_to_repeat([DrawnRider(1, "Ash")], "")


def test_five_first_come_places_and_the_rest_by_lot():
    """Hong Kong nationals, 2017: five first-come places per category, the rest drawn by lot.
    The lots are worked out by sha256sum."""
    entered = [f"E{n}" for n in range(1, 13)]
    drawn = lottery(entered[5:], "draw of 1 May", 3)
    digests = {
        each: shell(f"printf '%s' 'draw of 1 May:{each}' | sha256sum") for each in entered[5:]
    }
    assert drawn == sorted(digests, key=lambda each: digests[each])[:3]


def test_the_waiting_list_follows_on_the_places():
    """Who withdraws leaves a place to the next of the same lots."""
    ids = list(range(20))
    order = lottery(ids, "s", 20)
    assert order[:6] == lottery(ids, "s", 6)
    assert sorted(order) == ids
    gone = order[2]
    left = [each for each in ids if each != gone]
    assert lottery(left, "s", 6) == [each for each in order[:7] if each != gone]


def test_a_lottery_with_room_for_all_leaves_nobody_out():
    assert sorted(lottery([3, 1, 2], "s", 9)) == [1, 2, 3]
    assert lottery([3, 1, 2], "s", 0) == []
    assert lottery([], "s", 4) == []


@pytest.mark.parametrize(
    ("ids", "seed", "places", "words"),
    [
        ([1, 1], "s", 1, "twice"),
        ([1, 2], "", 1, "needs a draw word"),
        ([1], "s", -1, "fewer than 0"),
    ],
)
def test_a_lottery_says_what_is_wrong(ids, seed, places, words):
    with pytest.raises(ValueError, match=words):
        lottery(ids, seed, places)


def test_every_first_place_and_every_pair_is_as_likely():
    """Chi-square by SciPy over 3000 fixed seeds: who of six rides first, and which two of
    six get the two places, do not differ from even at the 0.1 % level."""
    starters = [DrawnRider(n, "Rider", str(n + 1)) for n in range(6)]
    firsts, pairs = Counter(), Counter()
    for number in range(3000):
        seed = f"seed {number}"
        firsts[draw(starters, RidingOrder.RANDOM, seed=seed)[0].id] += 1
        pairs[frozenset(lottery(range(100, 106), seed, 2))] += 1
    assert len(firsts) == 6
    assert len(pairs) == 15
    assert chisquare(list(firsts.values())).pvalue > 0.001
    assert chisquare(list(pairs.values())).pvalue > 0.001
