"""Tie-breaks: the organiser's own words, read, applied in order, and told."""

import pytest

from events.rules.words import Combine
from runsheets.judging.standings import standings
from runsheets.judging.tie_words import By, read_tie_breaks
from tests.runsheets.score_cards import OCA, card, cards, notes, places, scoring

NAMES = ("Execution", "Intensity", "Composition")


@pytest.mark.parametrize(
    ("words", "by"),
    [
        ("execution", By.CRITERION),
        ("The higher mark for Execution", By.CRITERION),
        ("best single judge's mark", By.BEST_JUDGE),
        ("highest mark", By.BEST_JUDGE),
        ("head judge", By.ONE_JUDGE),
        ("Judge 2", By.ONE_JUDGE),
        ("best placing", By.BEST_PLACING),
        ("most first places", By.MOST_FIRSTS),
        ("second best run", By.OTHER_RUN),
        ("better other run", By.OTHER_RUN),
        ("fewer falls", By.FEWER_FALLS),
        ("previous round", By.PREVIOUS_ROUND),
        ("season ranking", By.RANKING),
        ("ride-off", By.RIDE_OFF),
        ("the judges decide", By.JUDGES_DECIDE),
        ("the tie stands", By.SHARED),
        ("lower bib", By.UNREAD),
        ("judge 0", By.UNREAD),
        ("the best smile", By.UNREAD),
        ("execution of the first pass", By.UNREAD),
    ],
)
def test_words_are_read_whole_or_not_at_all(words, by):
    assert [each.by for each in read_tie_breaks([words], NAMES)] == [by]


def test_one_phrase_may_name_several():
    read = read_tie_breaks(["fewer falls, then the head judge; coin", " "], NAMES)

    assert [each.by for each in read] == [By.FEWER_FALLS, By.ONE_JUDGE, By.UNREAD]
    assert read[-1].words == "coin"


def test_a_criterion_goes_before_a_known_phrase():
    """A criterion may be called anything, even like one of the ways."""
    (read,) = read_tie_breaks(["Ranking"], ("Ranking",))
    assert (read.by, read.criterion) == (By.CRITERION, "Ranking")


def level_on_total(*tie_breaks: str, **more):
    """Ada 31.2 + 29 + 30 and Bo 30.9 + 29.3 + 30 are both 90.2."""
    made = scoring(OCA, combine=Combine.MEAN, tie_breaks=tie_breaks)
    runs = [
        card("bo", {"Execution": "30.9", "Intensity": "29.3", "Composition": "30"}),
        card("ada", {"Execution": "31.2", "Intensity": "29", "Composition": "30"}),
    ]
    names = {"ada": "Ada Moreau", "bo": "Bo Lindqvist"}
    return standings(runs, made, names=names, **more)


def test_a_criterion_parts_and_is_told():
    result = level_on_total("composition", "execution")

    assert places(result) == {"ada": 1, "bo": 2}
    assert notes(result)["ada"] == "Ahead of Bo Lindqvist on Execution (31.2 to 30.9)."
    assert notes(result)["bo"] == ""
    assert result.undecided == ()


def test_the_first_tie_break_that_parts_decides():
    assert places(level_on_total("intensity", "execution")) == {"bo": 1, "ada": 2}


@pytest.mark.parametrize(
    ("tie_breaks", "reason"),
    [
        (("lower bib", "execution"), "“lower bib” is a tie-break for the judges to apply."),
        (("ride-off", "execution"), "A ride-off decides."),
        (("composition",), "They are level in every tie-break: the judges decide."),
        (
            ("fewer falls", "execution"),
            "“fewer falls” cannot be applied: falls are not counted.",
        ),
        (("judge 3", "execution"), "“judge 3” cannot be applied: there is no such judge."),
        (("ranking",), "“ranking” cannot be applied: there is no ranking."),
    ],
)
def test_what_cannot_be_applied_leaves_the_tie_to_people(tie_breaks, reason):
    """Nothing named after it is applied either: it might have been what decides."""
    result = level_on_total(*tie_breaks)

    assert places(result) == {"ada": 1, "bo": 1}
    assert notes(result)["ada"] == f"Tied with Bo Lindqvist. {reason}"
    assert [set(each) for each in result.undecided] == [{"ada", "bo"}]
    assert result.complete  # every mark is there: only the tie is open


def test_words_that_are_not_read_are_told_once_for_the_page():
    said = level_on_total("lower bib").said
    assert "Not understood as a tie-break, and so not applied: “lower bib”. " in said[-1]


def test_no_words_and_no_tie_break():
    nothing_stated = standings(cards({"a": [7], "b": [7]}), scoring(combine=Combine.MEAN))
    none = standings(cards({"a": [7], "b": [7]}), scoring(combine=Combine.MEAN, tie_breaks=()))

    assert "What decides a tie is not stated." in notes(nothing_stated)["a"]
    assert nothing_stated.undecided
    assert "the place is shared" in notes(none)["a"]
    assert not none.undecided


def test_a_ride_off_as_it_went():
    result = level_on_total("ride-off", decided={"bo": 1, "ada": 2})

    assert places(result) == {"bo": 1, "ada": 2}
    assert notes(result)["bo"] == "Ahead of Ada Moreau in the ride-off."
    assert result.undecided == ()


def test_a_decision_needs_everybody_in_the_tie():
    assert level_on_total("ride-off", decided={"bo": 1}).undecided


def test_a_decision_parts_nobody_who_is_not_level():
    made = scoring(combine=Combine.MEAN, tie_breaks=("ride-off",))
    runs = cards({"a": [8], "b": [7], "c": [7]})
    result = standings(runs, made, decided={"a": 3, "b": 2, "c": 1})
    assert places(result) == {"a": 1, "c": 2, "b": 3}


# Means: all 7. Placings of the three judges: a 1 3 2, b 3 1.5 1, c 2 1.5 3.
THREE = {"a": ["9", "5", "7"], "b": ["5", "8", "8"], "c": ["7", "8", "6"]}


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("highest mark", {"a": 1, "b": 2, "c": 2}),  # 9, 8, 8
        ("head judge", {"a": 1, "c": 2, "b": 3}),  # 9, 7, 5
        ("judge 3", {"b": 1, "a": 2, "c": 3}),  # 8, 7, 6
        ("best placing", {"a": 1, "b": 1, "c": 3}),  # 1, 1, 1.5
        ("most first places", {"a": 1, "b": 1, "c": 3}),  # 1, 1, 0
        ("best placing, then judge 3", {"b": 1, "a": 2, "c": 3}),
    ],
)
def test_judges_part_riders(words, expected):
    made = scoring(combine=Combine.MEAN, tie_breaks=(words,))
    assert places(standings(cards(THREE), made)) == expected


def test_places_elsewhere_part_riders_and_who_has_none_comes_last():
    """Swiss Pro Tricks event rules: ties in the first round's result go by ranking."""
    made = scoring(combine=Combine.MEAN, tie_breaks=("ranking",))
    result = standings(cards(THREE), made, ranking={"c": 4, "a": 11})

    assert places(result) == {"c": 1, "a": 2, "b": 3}
    assert notes(result)["a"] == "Ahead of b on the ranking (11 to none)."


def test_the_previous_round_and_falls():
    made = scoring(combine=Combine.MEAN, tie_breaks=("fewer falls", "previous round"))
    runs = [card("a", "7", falls=1), card("b", "7", falls=1), card("c", "7", falls=0)]
    result = standings(runs, made, previous={"b": 1, "a": 2})

    assert places(result) == {"c": 1, "b": 2, "a": 3}
    assert notes(result)["c"] == "Ahead of a and b on falls (0 to 1)."


def test_the_next_best_run():
    made = scoring(combine=Combine.MEAN, tie_breaks=("second best run",))
    runs = [
        card("a", "8"), card("a", "5", attempt=2),
        card("b", "6"), card("b", "8", attempt=2),
        card("c", "8"),
    ]  # fmt: skip
    result = standings(runs, made, best_of=2)

    assert places(result) == {"b": 1, "a": 2, "c": 3}
    assert notes(result)["c"] == "One run to come."
    assert not result.complete
