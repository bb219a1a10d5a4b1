"""The draw of the running order, by every rule that a round can name."""

import hashlib

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2

from events.rules.words import RidingOrder
from runsheets.draw import DrawnRider, draw, lot, sort_key


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
    with pytest.raises(ValueError, match="needs a seed"):
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
