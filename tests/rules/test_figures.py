"""Figures in the units that a reader likes, against SciPy's constants and published factors."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from events.rules.answers import answers, exceptions
from events.rules.figures import AS_PUBLISHED, CHOICES, Rounding, Units
from events.rules.format import Format
from events.rules.loading import load_format
from events.rules.units import DIMENSIONS, Amount

US = Units("ft", "mph", "lb")
METRIC = Units("m", "km/h", "kg")
FORMAT = """
[passes]
count = 2
length_m = 370

[falls]
restart_m = 30

[[double_ups]]
name = "double-up"
after_pass = 2
cutoff_m = 300

[[pickup_cutoffs]]
pass = 1
at_fraction = 0.5

[boat]
speed = "36 km/h"
speed_least = "35 km/h"
speed_most = "37 km/h"
rope = "20 m"
ballast = [
  { position = "bow", amount = "180 kg" },
  { position = "rear", amount = "400 lb" },
]

[route]
trick_m = 45

[[overrides]]
when = { round = "Final" }
[overrides.set.boat]
speed = "37 km/h"
"""
LENGTHS = st.floats(0.01, 5000)


def told(units: Units, code: str) -> tuple[str, ...]:
    format = load_format(FORMAT)
    (answer,) = [each for each in answers(format, units=units) if each.code == code]
    return answer.sentences


@pytest.mark.parametrize(
    ("unit", "si"),
    [
        ("ft", constants.foot),
        ("mph", constants.mph),
        ("km/h", constants.kmh),
        ("lb", constants.lb),
        ("m", 1.0),
        ("kg", 1.0),
        ("m/s", 1.0),
    ],
)
def test_factors(unit: str, si: float) -> None:
    """SciPy's constants; exact by the international yard and pound agreement of 1959, as
    NIST SP 811 (2008), appendix B, lists them."""
    factors = {name: factor for units in DIMENSIONS.values() for name, factor in units.items()}
    assert factors[unit] == pytest.approx(si, rel=1e-15)


@pytest.mark.parametrize(
    ("stated", "said"),
    [
        # 36 / 1.609344 = 22.369
        (Amount(36, "km/h"), "22.4 mph (36 km/h as published)"),
        (Amount(10, "m/s"), "22.4 mph (10 m/s as published)"),
        (Amount(23, "mph"), "23 mph"),
        (Amount(20, "m"), "66 ft (20 m as published)"),
        (Amount(2.5, "m"), "8.2 ft (2.5 m as published)"),
        (Amount(180, "kg"), "397 lb (180 kg as published)"),
        (Amount(4, "kg"), "8.8 lb (4 kg as published)"),
        (Amount(0, "kg"), "0 lb (0 kg as published)"),
        (Amount(0.01, "m"), "0.033 ft (0.01 m as published)"),
    ],
)
def test_us_units(stated: Amount, said: str) -> None:
    assert US.amount(stated) == said


@pytest.mark.parametrize(
    ("stated", "said"),
    [
        (Amount(65, "ft"), "19.8 m (65 ft as published)"),
        (Amount(1200, "ft"), "366 m (1200 ft as published)"),
        (Amount(23, "mph"), "37 km/h (23 mph as published)"),
        (Amount(400, "lb"), "181 kg (400 lb as published)"),
        (Amount(36, "km/h"), "36 km/h"),
    ],
)
def test_metric_units(stated: Amount, said: str) -> None:
    assert METRIC.amount(stated) == said


@given(
    st.sampled_from([u for units in DIMENSIONS.values() for u in units]),
    st.floats(0.1, 2000).map(lambda value: round(value, 2)),
)
def test_whoever_keeps_to_a_converted_limit_keeps_to_the_published_one(unit, value):
    """A most is never rounded up, a least never down, by more than a billionth."""
    stated = Amount(value, unit)
    for units in (US, METRIC):
        for rounding, sign in ((Rounding.MOST, 1), (Rounding.LEAST, -1)):
            figure, read_in = units.amount(stated, rounding).split()[:2]
            assert sign * Amount(float(figure), read_in).si <= sign * stated.si + 1e-6


@given(LENGTHS)
def test_rounding_of_lengths_is_as_stated(metres: float) -> None:
    """Half a foot from 10 ft on, half a tenth below, at the most."""
    figure, unit = US.metres(metres).split()
    feet = metres / constants.foot
    assert unit == "ft"
    assert math.isclose(float(figure), feet, abs_tol=0.5 if feet >= 10 else 0.05 + 1e-9)


@given(LENGTHS, LENGTHS)
def test_lengths_that_differ_read_differently(one: float, other: float) -> None:
    """Rounding never makes a run look as long as its course that is not."""
    if abs(one - other) < 0.01:
        return
    for units in (AS_PUBLISHED, US):
        said = units.apart(one, other)
        assert said[0] != said[1]


def test_only_as_many_decimals_as_are_needed() -> None:
    assert AS_PUBLISHED.apart(370.2, 370) == ("370.2 m", "370.0 m")
    assert AS_PUBLISHED.apart(375.2, 370) == ("375 m", "370 m")
    assert US.apart(370.1, 370) == ("1214.2 ft", "1213.9 ft")


def test_the_same_lengths_stay_whole() -> None:
    assert US.apart(370, 370) == ("1214 ft", "1214 ft")


def test_rules_as_published_are_told_as_before() -> None:
    format = load_format(FORMAT)
    assert answers(format) == answers(format, units=AS_PUBLISHED)
    assert "as published" not in str(answers(format))


def test_rules_in_other_units() -> None:
    """1 ft = 0.3048 m: 370 m is 1213.9 ft, 300 m 984.3 ft, 185 m 607.0 ft (by hand)."""
    assert "Each pass is 1214 ft (370 m as published) long." in told(US, "passes")
    assert "A fall uses up 98 ft (30 m as published) of the course." in told(US, "falls")
    assert any("A fall up to 984 ft (300 m as published) into pass 2" in each
               for each in told(US, "double-up"))  # fmt: skip
    # This marker was published as a part of the pass: its metres are worked out.
    assert any("past 607 ft (185 m) into pass 1 (half of the pass)" in each
               for each in told(US, "pickup"))  # fmt: skip
    assert told(US, "rope")[0] == "The rope is 66 ft (20 m as published) long, with handle."
    assert (
        "A trick, from one cut to the next, uses 148 ft (45 m as published) of the course."
        in (told(US, "route"))
    )


def test_a_range_of_speeds_is_rounded_inwards() -> None:
    """35 km/h is 21.748 mph and 37 km/h 22.991 mph."""
    assert told(US, "speed")[1] == (
        "The speed may not be below 21.8 mph (35 km/h as published) or above 22.9 mph "
        "(37 km/h as published)."
    )


def test_weights_and_their_sum() -> None:
    """180 kg is 396.8 lb; 400 lb is 181.4 kg, together 361.4 kg or 796.8 lb."""
    assert told(US, "ballast")[1:4] == (
        "Bow: 397 lb (180 kg as published).",
        "Rear: 400 lb.",
        "That is about 797 lb (361.4 kg) in all.",
    )


def test_each_kind_is_chosen_apart() -> None:
    units = Units(speed="mph")
    assert told(units, "speed")[0].startswith("The speed is 22.4 mph (36 km/h")
    assert told(units, "rope")[0] == "The rope is 20 m long, with handle."


def test_exceptions_too() -> None:
    (said,) = exceptions(load_format(FORMAT), US)
    assert "23 mph (37 km/h as published)" in said


def test_what_is_not_stated_stays_so() -> None:
    assert answers(Format(), units=US) == answers(Format())


@given(st.builds(Units, **{k: st.sampled_from([None, *u]) for k, u in CHOICES.items()}))
def test_a_choice_is_read_back_as_it_was_written(units: Units) -> None:
    assert Units.read(units.text) == units


@pytest.mark.parametrize("text", ["", "x", "ft", "lb.ft.mph", "....", "ft.mph.lb.kg", "ft;,."])
def test_junk_in_a_cookie_is_as_published(text: str) -> None:
    """Only a part that is a unit of its kind, in its place, is taken."""
    units = Units.read(text)
    for kind, choices in CHOICES.items():
        assert getattr(units, kind) in (None, *choices)
    if text.partition(".")[0] != "ft":
        assert units == AS_PUBLISHED
