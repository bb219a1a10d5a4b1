"""How a judge's marks make a total: worked by hand, and what is taken unstated is told."""

from decimal import Decimal
from fractions import Fraction

import pytest

from events.rules.words import Combine
from runsheets.judging.scoring import named_list, shown, shown_apart
from tests.runsheets.score_cards import OCA, scoring


def total(made, **marks: str) -> Fraction:
    return made.total({name: Decimal(mark) for name, mark in marks.items()})


def test_criteria_that_make_a_hundred_are_added_up():
    """Olympic Council of Asia (ocasia.org): 33.3 + 33.4 + 33.3. 31.2 + 30 + 29.7 = 90.9."""
    made = scoring(OCA, combine=Combine.MEAN)

    assert total(made, Execution="31.2", Intensity="30", Composition="29.7") == Fraction("90.9")
    assert (made.least, made.most) == (0, 100)
    assert made.problem("Execution", Decimal("33.3")) == ""
    assert made.problem("Execution", Decimal("33.4")) == "Execution goes from 0 to 33.3."
    assert made.assumed == (
        "The highest mark is not stated; each criterion is marked out of its weight here.",
    )


def test_weights_that_nearly_make_a_hundred():
    """Three times 33.3 was meant as a hundred (common practice, no source)."""
    thirds = scoring({"A": 33.3, "B": 33.3, "C": 33.3})

    assert thirds.most == Fraction("99.9")
    assert total(thirds, A="33.3", B="33.3", C="33.3") == Fraction("99.9")


def test_marks_of_one_to_ten_are_averaged():
    """World Wake Association, page for riders (thewwa.com/rider): 1 to 10 each, averaged.

    (8 + 7 + 6 + 9) / 4 = 7.5.
    """
    made = scoring(dict.fromkeys("ABCD"), mark_least=1, mark_most=10, combine=Combine.MEAN)

    assert total(made, A="8", B="7", C="6", D="9") == Fraction("7.5")
    assert (made.least, made.most) == (1, 10)
    assert made.assumed == (
        "The weights are not stated; here every criterion weighs the same.",
    )


def test_weights_are_shares_where_a_highest_mark_is_stated():
    """0.4 x 80 + 0.4 x 70 + 0.2 x 90 = 32 + 28 + 18 = 78."""
    made = scoring({"A": 40, "B": 40, "C": 20}, mark_most=100, combine=Combine.MEAN)

    assert total(made, A="80", B="70", C="90") == 78
    assert made.assumed == ()


def test_weights_that_make_something_else_are_shares_too():
    """(2 x 8 + 1 x 5) / 3 = 7; how high marks go is not known."""
    made = scoring({"A": 2, "B": 1}, combine=Combine.MEAN)

    assert total(made, A="8", B="5") == 7
    assert made.most is None
    assert made.problem("A", Decimal(900)) == ""
    assert made.problem("A", Decimal(-1)) == "A starts at 0."


def test_one_criterion_is_no_sum():
    """A weight of 100 is then the whole, and says nothing of how high marks go."""
    assert scoring({"A": 100}).most is None


def test_nothing_stated_is_one_mark_and_the_mean_and_both_are_told():
    made = scoring()

    assert [each.name for each in made.criteria] == [""]
    assert made.combine is Combine.MEAN
    assert len(made.assumed) == 2
    assert made.tie_breaks is None


@pytest.mark.parametrize(
    ("weights", "words"),
    [((3, None), "Not all weights are stated"), ((0, 0), "Every weight is 0")],
)
def test_weights_that_cannot_be_used(weights, words):
    made = scoring(dict(zip("AB", weights, strict=True)), combine=Combine.MEAN)

    assert total(made, A="8", B="5") == Fraction("6.5")
    assert made.assumed == (f"{words}; here every criterion weighs the same.",)


@pytest.mark.parametrize(
    ("name", "mark", "words"),
    [
        ("A", "NaN", "A: type a number."),
        ("A", "Infinity", "A: type a number."),
        ("A", "0.5", "A goes from 1 to 10."),
        ("A", "10.01", "A goes from 1 to 10."),
        ("B", "5", "“B” is not among the criteria."),
        ("", "5", "Name a criterion."),
        ("A", "10", ""),
    ],
)
def test_what_is_wrong_with_a_mark(name, mark, words):
    made = scoring({"A": 1}, mark_least=1, mark_most=10)
    assert made.problem(name, Decimal(mark)) == words


def test_a_mark_that_is_missing_is_not_guessed():
    with pytest.raises(KeyError):
        total(scoring(OCA), Execution="30")


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        ("90.9", None, "90.9"),
        ("1/3", None, "0.33"),
        ("100", None, "100"),
        ("0.005", 2, "0.01"),  # half up: people read marks, and do not expect half to even
        ("-0.004", 2, "0.00"),
        ("-1.5", 0, "-2"),
    ],
)
def test_figures_to_read(value, decimals, text):
    assert shown(Fraction(value), decimals) == text


def test_figures_that_differ_look_different():
    """Two decimals, or as many more as it takes."""
    third = Fraction(1, 3)

    assert shown_apart([third, third, Fraction(1, 2)]) == ["0.33", "0.33", "0.50"]
    assert shown_apart([third, Fraction("0.333")]) == ["0.3333", "0.3330"]
    assert shown_apart([]) == []


def test_riders_in_a_sentence():
    assert named_list(["a", "b"], {"a": "Ada Moreau"}) == "Ada Moreau and b"
