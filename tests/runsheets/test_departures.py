"""What was ridden against what was declared: sentences for the judges."""

from dataclasses import replace

import pytest

from events.rules.format import Format
from events.rules.notation import read_run, read_trick
from events.rules.riding import DeclaredOrder, Falls, Limit, Passes, Repeats
from events.rules.words import Counts, NextFall, OutOfOrder, Per, Repeat
from runsheets.judging.departures import Kind, Outcome, Ridden, departures

RUN = read_run("HS backroll, TS backroll | HS tantrum, HS 180")
# Inter-club wake page on riding in a contest, Belgium (vzw-iwv.be/882): two passes, and the
# second counted fall ends the run.
INTER_CLUB = Format(
    passes=Passes(count=2),
    falls=Falls(
        allowed=1, counted_per=Per.RUN, next_fall=NextFall.ENDS_RUN, course=Counts.COUNTS
    ),
)
KNOWN = {
    "l": Outcome.LANDED,
    "f": Outcome.FALLEN,
    "n": Outcome.NOT_REACHED,
    "": Outcome.OPEN,
}


def undeclared(words: str) -> Ridden:
    return Ridden(None, Outcome.LANDED, read_trick(words), words)


def ridden(*outcomes: str) -> list[list[Ridden]]:
    """The declared run with an outcome for each trick: l, f, n or a trick ridden instead."""
    words = iter(outcomes)

    def one(planned, word):
        if word in KNOWN:
            return Ridden(planned, KNOWN[word])
        return Ridden(planned, Outcome.LANDED, read_trick(word), word)

    return [[one(planned, next(words)) for planned in each.tricks] for each in RUN.passes]


def told(actual: list[list[Ridden]], format: Format = INTER_CLUB) -> list[tuple]:
    return [(d.kind, d.pass_no, d.place) for d in departures(RUN, actual, format)]


@pytest.mark.parametrize(
    "outcomes",
    [("l", "l", "l", "l"), ("l", "f", "l", "l"), ("l", "", "", ""), ("", "", "", "")],
)
def test_a_run_as_declared_departs_from_nothing(outcomes) -> None:
    assert told(ridden(*outcomes)) == []


def test_another_trick_is_told_with_both_names() -> None:
    found = departures(RUN, ridden("l", "TS 180", "l", "l"), INTER_CLUB)

    assert [(d.kind, d.pass_no, d.place) for d in found] == [(Kind.CHANGED, 1, 2)]
    expected = "Pass 1, trick 2: TS backroll was declared, TS FS 180 was ridden."
    assert found[0].sentence == expected


@pytest.mark.parametrize(
    ("worth", "words"),
    [
        (OutOfOrder.NOT_COUNTED, "is not counted"),
        (OutOfOrder.MARKED_DOWN, "is marked down"),
        (OutOfOrder.JUDGES_DECIDE, "the judges decide"),
        (None, "is not stated"),
    ],
)
def test_two_tricks_that_changed_places(worth, words) -> None:
    swapped = ridden("TS backroll", "HS backroll", "l", "l")
    binding = replace(INTER_CLUB, declared_order=DeclaredOrder(True, worth))
    orders = [d for d in departures(RUN, swapped, binding) if d.kind is Kind.ORDER]

    assert [(d.pass_no, d.place) for d in orders] == [(1, 1), (1, 2)]
    assert all(words in d.sentence for d in orders)
    assert {d.kind for d in departures(RUN, swapped, INTER_CLUB)} == {Kind.CHANGED}


def test_an_extra_trick() -> None:
    actual = ridden("l", "l", "l", "l")
    actual[0].append(undeclared("HS 360"))

    assert told(actual) == [(Kind.EXTRA, 1, 3)]


@pytest.mark.parametrize(
    ("outcomes", "expected"),
    [
        (("n", "l", "l", "l"), [(Kind.LEFT_OUT, 1, 1)]),
        (("l", "n", "l", "l"), [(Kind.LEFT_OUT, 1, 2)]),
        (("f", "n", "l", "l"), []),  # the fall may have used up the pass
        (("l", "l", "l", "n"), []),  # nothing was ridden after it
    ],
)
def test_a_trick_left_out(outcomes, expected) -> None:
    assert told(ridden(*outcomes)) == expected


def test_riding_on_after_the_fall_that_ends_the_run() -> None:
    assert told(ridden("f", "f", "l", "n")) == [(Kind.FALLS, 2, 1)]
    assert told(ridden("f", "f", "n", "n")) == []


def test_riding_on_after_the_fall_that_ends_the_pass() -> None:
    falls = Falls(
        allowed=0, counted_per=Per.PASS, next_fall=NextFall.ENDS_PASS, course=Counts.COUNTS
    )
    by_pass = replace(INTER_CLUB, falls=falls)

    assert told(ridden("f", "l", "l", "l"), by_pass) == [(Kind.FALLS, 1, 2)]
    assert told(ridden("l", "f", "l", "l"), by_pass) == []


def test_words_that_are_not_read_are_not_checked() -> None:
    actual = ridden("l", "l", "l", "l")
    actual[1][0] = replace(actual[1][0], words="some new thing")
    found = departures(RUN, actual, INTER_CLUB)

    assert [(d.kind, d.pass_no, d.place) for d in found] == [(Kind.UNREAD, 2, 1)]
    assert "“some new thing”" in found[0].sentence


def test_what_the_declared_run_breaks_already_is_not_told_again() -> None:
    one_pass = replace(INTER_CLUB, passes=Passes(count=1))

    assert told(ridden("l", "l", "l", "l"), one_pass) == []
    assert told(ridden("l", "n", "n", "n")) == []  # a run cut short breaks nothing


def test_a_repeat_that_was_not_declared() -> None:
    once = replace(INTER_CLUB, repeats=Repeats(rule=Repeat.NOT_COUNTED, per=Per.RUN))
    actual = ridden("l", "l", "l", "HS backroll")

    assert (Kind.CHANGED, 2, 2) in told(actual, once)
    assert any(kind is Kind.UNCOUNTED for kind, _, _ in told(actual, once))
    assert told(ridden("l", "l", "l", "l"), once) == []


def test_the_place_told_is_the_place_on_the_sheet() -> None:
    capped = replace(INTER_CLUB, limits=(Limit(most=2, per=Per.PASS),))
    actual = ridden("n", "l", "l", "l")
    actual[0] += [undeclared("HS 360"), undeclared("TS 180")]
    rules = [each for each in told(actual, capped) if each[0] is Kind.RULE]

    assert rules
    assert {each[1:] for each in rules} <= {(1, 2), (1, 3), (1, 4), (1, None)}
    assert not [each for each in told(ridden("l", "l", "l", "l"), capped)]


def test_a_pass_too_many() -> None:
    actual = ridden("l", "l", "l", "l")
    actual.append([undeclared("HS 360")])

    assert {d.kind for d in departures(RUN, actual, INTER_CLUB)} == {Kind.EXTRA, Kind.RULE}


def test_without_a_declared_run_only_the_format_is_looked_at() -> None:
    actual = [[undeclared("HS 360")], [undeclared("TS 180")], [undeclared("HS tantrum")]]
    kinds = [each.kind for each in departures(None, actual, INTER_CLUB)]

    assert kinds == [Kind.RULE]
