"""The data form of a format: read, refused with reasons, written back, overridden."""

import json
from contextlib import suppress
from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.rules.condition import Condition
from events.rules.format import Format
from events.rules.loading import (
    FormatError,
    as_data,
    as_toml,
    effective,
    load_format,
    read_format,
    try_format,
)
from events.rules.trick import Direction, Family
from events.rules.units import Amount
from events.rules.words import CutoffEffect, NextFall, Per, Repeat, WhichFall

CLUB_DAY = """
name = "Club day, intermediate"
[passes]
count = 2
length_m = 400
tricks_expected = 5
tricks_most = 7
[falls]
allowed = 1
counted_per = "run"            # run | pass
next_fall = "ends run"         # ends run | ends pass | nothing later counts
restart_m = 120
[[double_ups]]
after_pass = 2
cutoff_m = 300                 # a fall past it loses the double-up
[[pickup_cutoffs]]
pass = 2
at_m = 300                     # a fall past it is not picked up
fall = "any"                   # first | any
effect = "ends run"            # ends run | ends pass
[repeats]
rule = "once"
per = "run"                    # run | pass
differs_by = ["stance", "approach", "direction", "rotation"]
[[limits]]
say = "At most two inverts"
when = { invert = true }
most = 2
per = "run"
[[limits]]
say = "Backside spins no further than 180"
when = { direction = "backside", rotation_over = 180 }
most = 0
[route]
trick_m = 60
turn_m = 15
cross_m = 25
"""


def problems(toml: str) -> list[str]:
    """Every problem of some TOML as a sentence with its place."""
    with pytest.raises(FormatError) as caught:
        load_format(toml)
    return str(caught.value).splitlines()


def test_a_whole_format():
    format = load_format(CLUB_DAY)

    assert format.passes.length_m == (400.0,)
    assert format.falls.next_fall is NextFall.ENDS_RUN
    assert format.double_ups[0].name == "double-up"
    assert format.double_ups[0].cutoff_m == 300
    assert format.pickup_cutoffs[0].pass_no == 2
    assert format.pickup_cutoffs[0].fall is WhichFall.ANY
    assert format.pickup_cutoffs[0].effect is CutoffEffect.ENDS_RUN
    assert format.repeats.rule is Repeat.ONCE
    assert format.limits[0].when == Condition(invert=True)
    assert format.limits[1].when.direction == (Direction.BACKSIDE,)
    assert format.limits[0].per is Per.RUN
    assert format.limits[1].per is None
    assert format.route.cross_m == 25


def test_round_trips():
    format = load_format(CLUB_DAY)

    assert load_format(as_toml(format)) == format
    assert read_format(json.loads(json.dumps(as_data(format)))) == format


class TestNotStated:
    def test_left_out_or_said(self):
        said = load_format('limits = "not stated"\n[falls]\nallowed = "not stated"')

        assert said == load_format("") == Format()

    def test_none_is_something_else(self):
        """An empty list states that there is none."""
        assert load_format("double_ups = []").double_ups == ()
        assert load_format("").double_ups is None


class TestWrong:
    @pytest.mark.parametrize(
        ("toml", "problem"),
        [
            (
                "[falls]\nalowed = 1",
                'falls, alowed: There is no key "alowed" here; "allowed" may be meant.',
            ),
            (
                "[falls]\nallowed = -1",
                "falls, allowed: -1 is out of range: it must be from 0 to 20.",
            ),
            ("[falls]\nallowed = 1.5", "falls, allowed: This must be a whole number, not 1.5."),
            ("[falls]\nallowed = true", "falls, allowed: This must be a number, not True."),
            (
                '[falls]\nnext_fall = "ends runs"',
                'falls, next_fall: This must be "ends run", "ends pass" or "nothing later counts", '
                "not 'ends runs'. \"ends run\" may be meant.",
            ),
            (
                "[passes]\ntricks_least = 6\ntricks_most = 5",
                "passes, tricks_least: 6 is more than the most allowed, 5.",
            ),
            (
                "[passes]\nlength_m = 400\n[[double_ups]]\nafter_pass = 1\ncutoff_m = 450",
                "double_ups, entry 1, cutoff_m: A marker at 450 m lies beyond the pass, which is "
                "400 m long: put it at 400 m or less.",
            ),
            (
                "[passes]\ncount = 2\n[[pickup_cutoffs]]\npass = 3",
                "pickup_cutoffs, entry 1, pass: There is no pass 3: the run has 2 passes.",
            ),
            (
                "[[limits]]\nwhen = {rotation_over = 180, rotation_under = 360}\nmost = 1",
                "limits, entry 1, when: No trick can meet this condition: no turn is over 180 and "
                "under 360 degrees; turns come in steps of 180 up to 1800.",
            ),
            (
                "[[limits]]\nsay = 'x'",
                "limits, entry 1, most: Say how many at most (0 for a ban), or how many at least.",
            ),
            (
                '[boat]\nspeed = "36 knots"',
                "boat, speed: 'knots' is not a unit of speed; use km/h or mph or m/s, such as "
                '"36 km/h".',
            ),
            (
                "limits = 3",
                "limits: This must be a list: write [[limits]] per entry.",
            ),
            (
                "[[overrides]]\nset = {falls = {allowed = 2}}",
                'overrides, entry 1, when: Say when it holds, such as { round = "final" }.',
            ),
            (
                "[passes]\nlength_m = [400, 380, 360]\ncount = 2",
                "passes, length_m: There are 2 passes: give one number, or one for each.",
            ),
        ],
    )
    def test_names_the_place_and_what_would_be_right(self, toml, problem):
        assert problems(toml) == [problem]

    def test_everything_at_once(self):
        found = problems('[falls]\nallowed = "one"\n[passes]\ncount = 0\nlenght_m = 3')

        assert len(found) == 3

    def test_an_override_that_contradicts(self):
        (found,) = problems(
            '[passes]\ncount = 2\ntricks_most = 5\n[[overrides]]\nwhen = {round = "final"}\n'
            "set = {passes.tricks_least = 6}"
        )

        assert found.startswith("overrides, entry 1, set, passes, tricks_least: 6 is more")

    def test_what_the_base_has_already_is_said_once(self):
        """Overrides add only what is wrong where they hold."""
        found = problems(
            "passes.tricks_most = 5\n[[double_ups]]\ncutoff_m = 300\ncutoff_fraction = 0.5\n"
            '[[overrides]]\nwhen = {round = "final"}\nset = {falls = {allowed = 2}}\n'
            '[[overrides]]\nwhen = {round = "semi"}\nset = {passes.tricks_least = 6}'
        )

        assert [each.split(":")[0] for each in found] == [
            "double_ups, entry 1, cutoff_m",
            "overrides, entry 2, set, passes, tricks_least",
        ]

    def test_no_toml(self):
        assert problems("name = ")[0].startswith("This is not TOML")


class TestOverrides:
    TOML = """
    [falls]
    allowed = 1
    next_fall = "ends run"
    [[overrides]]
    when = { round = "final" }
    set = { falls.allowed = 2 }
    [[overrides]]
    when = { division = ["Open", "Masters"], round = "final" }
    set = { falls = { allowed = 3 } }
    [[overrides]]
    when = { boat = "small boat" }
    set = { "boat.speed" = "34 km/h", falls.next_fall = "not stated" }
    """

    def test_the_base(self):
        assert effective(load_format(self.TOML)).falls.allowed == 1

    def test_by_round_without_regard_to_case(self):
        assert effective(load_format(self.TOML), round="Final").falls.allowed == 2

    def test_a_later_one_wins(self):
        assert effective(load_format(self.TOML), "open", "final").falls.allowed == 3

    def test_by_boat_and_back_to_not_stated(self):
        held = effective(load_format(self.TOML), boat="small boat")

        assert held.boat.speed == Amount(34, "km/h")
        assert held.falls.next_fall is None
        assert held.falls.allowed == 1

    def test_nothing_is_left_to_apply(self):
        assert effective(load_format(self.TOML)).overrides == ()

    def test_round_trip(self):
        format = load_format(self.TOML)

        assert load_format(as_toml(format)) == format


class TestCondition:
    def test_any_of_and_unless(self):
        format = load_format(
            "[[limits]]\nmost = 0\n"
            'when = { any_of = [{invert = true}, {family = "raley"}], unless = {blind = true} }'
        )
        (limit,) = format.limits

        assert limit.when.any_of[1] == Condition(family=(Family.RALEY,))
        assert limit.when.unless == Condition(blind=True)
        assert load_format(as_toml(format)) == format


def test_dates_and_times():
    clock = load_format("[clock]\ndeclare_by = 2027-06-11T20:00:00").clock
    who = load_format("[division]\nage_on = 'own date'\nage_date = 2027-01-01").division

    assert clock.declare_by == datetime(2027, 6, 11, 20)
    assert who.age_date == date(2027, 1, 1)
    assert problems("[clock]\ndeclare_by = 'tomorrow'") == [
        "clock, declare_by: 'tomorrow' is not a date like 2027-06-12T18:00."
    ]


KEYS = st.sampled_from(
    ["name", "passes", "falls", "limits", "when", "most", "count", "allowed", "overrides", "set",
     "double_ups", "boat", "ballast", "speed", "any_of", "unless", "clock", "rounds", "x"]
)  # fmt: skip
SCALARS = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=8), st.datetimes(),
    st.sampled_from(["not stated", "run", "ends run", "36 km/h", "once"]),
)  # fmt: skip
JUNK = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=4),
)


@given(st.dictionaries(KEYS, JUNK, max_size=6))
def test_junk_is_refused_or_read(data):
    """Whatever the data, there is a format and a list of problems, and no other error."""
    format, found = try_format(data)

    assert isinstance(format, Format)
    if not found:
        assert read_format(as_data(format)) == format


@given(st.text(max_size=200))
def test_any_text_is_refused_or_read(text):
    with suppress(FormatError):
        assert isinstance(load_format(text), Format)
