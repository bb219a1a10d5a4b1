"""What the table is told at once of the falls of a run."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.rules.format import Format
from events.rules.riding import Falls, Passes
from events.rules.words import Counts, NextFall, Per
from runsheets.judging.departures import Kind, Outcome, Ridden, departures
from runsheets.judging.falls_so_far import ASK_HEAD_JUDGE, FallsSoFar, falls_so_far
from tests.runsheets.test_departures import INTER_CLUB, RUN

# Common practice, no source: three falls are allowed in all, and the fourth ends the run.
THREE = replace(INTER_CLUB, falls=replace(INTER_CLUB.falls, allowed=3))


def marked(outcomes: str) -> list[list[Ridden]]:
    """The four tricks of the run with l, f, n or . for each."""
    known = {"l": Outcome.LANDED, "f": Outcome.FALLEN, "n": Outcome.NOT_REACHED, ".": ""}
    signs = iter(outcomes)
    return [
        [Ridden(planned, Outcome(known[next(signs)])) for planned in each.tricks]
        for each in RUN.passes
    ]


@pytest.mark.parametrize("outcomes", ["....", "llll", "ln.."])
def test_nothing_is_said_before_a_fall(outcomes) -> None:
    assert falls_so_far(marked(outcomes), INTER_CLUB) == FallsSoFar()


@pytest.mark.parametrize(
    ("format", "outcomes", "falls", "says"),
    [
        # Inter-club wake page on riding in a contest, Belgium (vzw-iwv.be/882): the second
        # counted fall ends the run.
        (INTER_CLUB, "f...", 1, "Riding goes on, with no more falls allowed."),
        (INTER_CLUB, "ff..", 2, "The run ends with the fall in pass 1."),
        (INTER_CLUB, "lflf", 2, "The run ends with the fall in pass 2."),
        (THREE, "f...", 1, "Riding goes on, with two more falls allowed."),
        (THREE, "fff.", 3, "Riding goes on, with no more falls allowed."),
        (THREE, "ffff", 4, "The run ends with the fall in pass 2."),
    ],
)
def test_what_a_fall_does(format, outcomes, falls, says) -> None:
    told = falls_so_far(marked(outcomes), format)

    assert (told.falls, told.free, told.says) == (falls, 0, says)
    assert told.is_over == says.startswith("The run ends")


def test_falls_that_do_not_count_or_are_not_ruled() -> None:
    free = replace(INTER_CLUB, falls=replace(INTER_CLUB.falls, course=Counts.FREE))
    told = falls_so_far(marked("ff.."), free)
    assert (told.falls, told.free) == (2, 2)
    assert told.says == "They do not count: riding goes on."

    assert falls_so_far(marked("f..."), Format()).says == ASK_HEAD_JUDGE


def test_nothing_later_counts() -> None:
    falls = replace(INTER_CLUB.falls, next_fall=NextFall.NOTHING_LATER_COUNTS)
    told = falls_so_far(marked("ff.."), replace(INTER_CLUB, falls=falls))

    assert told.says == "Nothing that is ridden after the fall in pass 1 counts."
    assert told.is_over


def test_a_pass_ends() -> None:
    falls = Falls(
        allowed=0, counted_per=Per.PASS, next_fall=NextFall.ENDS_PASS, course=Counts.COUNTS
    )
    format = Format(passes=Passes(count=2), falls=falls)

    assert falls_so_far(marked("f..."), format).says == "Pass 1 ends with that fall."
    assert falls_so_far(marked("fnl."), format).says == "Riding goes on."
    assert falls_so_far(marked("fnf."), format).says == "Pass 2 ends with that fall."


def test_a_fall_on_a_trick_of_no_known_name_counts() -> None:
    actual = marked("f...")
    actual[1][0] = Ridden(actual[1][0].planned, Outcome.FALLEN, None, "a wild thing")

    told = falls_so_far(actual, INTER_CLUB)

    assert (told.falls, told.is_over) == (2, True)


@given(st.text("lfn.", min_size=4, max_size=4), st.integers(0, 4))
def test_the_judges_hear_the_same(outcomes, allowed) -> None:
    """A trick after the last fall is told to the judges exactly where the run had ended."""
    format = replace(INTER_CLUB, falls=replace(INTER_CLUB.falls, allowed=allowed))
    actual = marked(outcomes)
    told = falls_so_far(actual, format)
    late = [d for d in departures(RUN, actual, format) if d.kind is Kind.FALLS]

    ridden = [sign for sign in outcomes if sign in "lf"]
    assert told.falls == ridden.count("f")
    assert told.is_over == (told.falls > allowed)
    if told.is_over:
        ended = [n for n, sign in enumerate(ridden) if sign == "f"][allowed]
        assert len(late) == len(ridden) - ended - 1
    else:
        assert not late
