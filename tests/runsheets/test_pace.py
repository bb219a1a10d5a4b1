"""How long one rider takes: against the trade's figures, by hand, and for any format."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.rules.format import Format
from events.rules.loading import effective, load_format
from events.rules.riding import Falls
from events.rules.words import Per
from runsheets.timing.pace import SPECS, Pace, falls_expected
from runsheets.timing.rider_time import Part, parts, rider_seconds, riders_an_hour, run_seconds
from tests.rules.random_rules import formats

USUAL = """
[passes]
count = 2
length_m = 370
direction = "there and back"
[falls]
allowed = 1
counted_per = "run"
[boat]
speed = "23 mph"
"""


def named_parts(pace: Pace) -> dict[str, float]:
    return {part.name: part.seconds for part in parts(pace)}


def test_the_usual_format_gives_ten_to_twelve_riders_an_hour():
    """Two passes of 370 m at 23 mph with one fall allowed: common practice, no source."""
    pace = Pace.of(load_format(USUAL))

    assert 10 <= riders_an_hour(pace) <= 12


def test_a_clean_rider_takes_about_four_minutes_and_a_fall_adds_one_to_one_and_a_half():
    """Common practice, no source."""
    clean = Pace.of(load_format(USUAL), falls_expected=0)
    fallen = replace(clean, falls_expected=1)

    assert rider_seconds(clean) == pytest.approx(240, abs=10)
    assert 60 <= rider_seconds(fallen) - rider_seconds(clean) <= 90


def test_a_pass_of_370_m_takes_36_s_at_23_mph():
    """23 mph = 23 × 1609.344 m / 3600 s = 10.28192 m/s (mile exact since 1959); 370 m in
    35.985497 s."""
    pace = Pace.of(load_format(USUAL))

    assert pace.speed_mps == pytest.approx(10.28192, abs=1e-9)
    assert pace.pass_seconds(1) == pace.pass_seconds(2) == pytest.approx(35.985497, abs=1e-6)


def test_the_defaults_lie_in_the_ranges_of_the_trade():
    """Pick-up 45 to 90 s, turn 30 to 45 s, speed 22.5 to 24.5 mph: common practice, no source."""
    usual = Pace()

    assert 45 <= usual.pickup_s <= 90
    assert 30 <= usual.turn_s <= 45
    assert 22.5 <= usual.speed_mps * 3600 / 1609.344 <= 24.5


def test_the_parts_of_a_run_worked_by_hand():
    """Two passes of 400 m at 10 m/s, 1.5 falls of 60 s, one double-up, one lap, three runs.

    Once: 50 + (40 + 30) + 2 × 40 + 30 + 1.5 × 60 + 35 = 355 s, and 70 s to change: 425 s.
    """
    pace = Pace(
        pass_m=(400.0,), speed_mps=10.0, turn_s=30.0, pickup_s=60.0, falls_expected=1.5,
        start_s=50.0, change_s=70.0, double_ups=1, double_up_s=35.0, warm_up_laps_s=70.0, best_of=3,
    )  # fmt: skip

    assert parts(pace) == (
        Part("Start", 50),
        Part("Warm-up laps", 70),
        Part("Passes", 80, "2 × 40 s"),
        Part("Turns", 30, "1 × 30 s"),
        Part("Pick-ups after falls", 90, "1.5 × 60 s"),
        Part("Double-ups", 35, "1 × 35 s"),
        Part("Change of riders", 70),
        Part("Further runs", 850, "2 × 425 s"),
    )
    assert (run_seconds(pace), rider_seconds(pace)) == (355, 1275)


def test_passes_of_different_lengths_are_shown_one_by_one():
    pace = Pace(pass_m=(300.0, 450.0), speed_mps=10.0)

    assert [part.working for part in parts(pace) if part.name == "Passes"] == ["30 s + 45 s"]


def test_a_format_is_read():
    """Slowest speed of a range, lap = pass + turn, the round's number of runs."""
    format = load_format(
        USUAL.replace('speed = "23 mph"', 'speed_least = "36 km/h"\nspeed_most = "38 km/h"')
        + "warm_up_laps = 2\n[[rounds]]\nname = 'Qualifying'\nbest_of = 2\n[[rounds]]\nname = 'Final'\n"
    )
    pace = Pace.of(format, "qualifying", turn_s=33)

    assert pace.speed_mps == pytest.approx(10)
    assert pace.warm_up_laps_s == pytest.approx(2 * (37 + 33))
    assert pace.best_of == 2
    assert Pace.of(format, "Final").best_of == Pace.of(format).best_of == 1


def test_passes_ended_by_time_take_that_time_and_the_longest_of_a_range():
    format = load_format(
        '[passes]\ncount = 2\nseconds = 20\nseconds_most = 25\nended_by = "time"\n[boat]\nspeed = "9 m/s"\n'
    )

    assert Pace.of(format).pass_seconds(2) == pytest.approx(25)


def test_a_pass_ended_by_whichever_comes_first_takes_the_shorter():
    """450 m at 10 m/s would be 45 s; the clock says 30."""
    format = load_format(
        '[passes]\ncount = 2\nseconds = 30\nlength_m = 450\nended_by = "first of both"\n[boat]\nspeed = "10 m/s"\n'
    )

    assert Pace.of(format).pass_seconds(1) == pytest.approx(30)


def test_the_way_back():
    """Same way each pass: back twice in two passes. There and back: once where passes are odd."""
    same = load_format(USUAL.replace("there and back", "same way each pass"))
    odd = load_format(USUAL.replace("count = 2", "count = 3"))
    once = 370 / (23 * 1609.344 / 3600) + 40

    assert Pace.of(same).return_s == pytest.approx(2 * once)
    assert Pace.of(odd).return_s == pytest.approx(once)
    assert "Way back" not in named_parts(Pace.of(load_format(USUAL)))


def test_double_ups_of_other_rounds_and_divisions_are_left_out():
    """And of two extras that exclude one another a rider has one, as in archived freestyle
    rules of Brazil."""
    format = load_format(
        USUAL
        + '[[double_ups]]\nafter_pass = 2\nrounds = ["Final"]\ndivisions = ["Open"]\nexcludes = ["style"]\n'
        + '[[double_ups]]\nname = "style"\nafter_pass = 2\n'
    )

    assert Pace.of(format, "Final", division="Open").double_ups == 1
    assert Pace.of(format, "Heat", division="Open").double_ups == 1
    assert Pace.of(format, "Final", division="Open").assumed[0].endswith("double-up 30 s.")
    alone = load_format(USUAL + '[[double_ups]]\nafter_pass = 2\nrounds = ["Final"]\n')
    assert Pace.of(alone, "Qualifying").double_ups == 0
    assert Pace.of(alone, "Final").double_ups == 1


@pytest.mark.parametrize(
    ("allowed", "per", "passes", "expected"),
    [(0, Per.RUN, 2, 0.5), (1, Per.RUN, 2, 1), (2, None, 2, 1.5), (0, Per.PASS, 2, 1)],
)
def test_the_guess_at_falls(allowed: int, per: Per | None, passes: int, expected: float):
    """Half of the falls that a rider can have: our own guess, no source."""
    assert falls_expected(Falls(allowed=allowed, counted_per=per), passes) == expected


def test_falls_allowed_on_the_water_and_on_obstacles_add_up():
    assert falls_expected(Falls(water_allowed=1, obstacle_allowed=1), 2) == 1.5
    assert falls_expected(Falls(), 2) is None


def test_what_is_not_stated_is_said():
    assert Pace.of(load_format(USUAL + "\n")).assumed == (
        "Double-ups are not stated: none is assumed.",
        "No format states these, time a few riders: turn 40 s, pick-up 75 s, start 45 s, "
        "change of riders 80 s.",
    )
    nothing = Pace.of(Format())
    assert [sentence.split(" ", 1)[0] for sentence in nothing.assumed] == [
        "Passes", "The", "The", "Falls", "Double-ups", "The", "No",
    ]  # fmt: skip
    assert replace(nothing, assumed=()) == Pace()


def test_what_the_organiser_gives_is_not_assumed():
    own = {"turn_s": 41, "pickup_s": 70, "start_s": 50, "change_s": 60, "double_ups": 0}
    pace = Pace.of(load_format(USUAL), **own)

    assert pace.assumed == ()
    assert {name: getattr(pace, name) for name in own} == own


@pytest.mark.parametrize(
    ("figures", "sentence"),
    [
        ({"speed_mps": 0}, "Speed: write a number from 1 to 30 m/s."),
        ({"turn_s": -1}, "Turn: write a number from 0 to 3600 s."),
        ({"turn_s": float("nan")}, "Turn: write a number from 0 to 3600 s."),
        ({"turn_s": "40"}, "Turn: write a number from 0 to 3600 s."),
        ({"turn_s": 4000}, "Turn: write a number from 0 to 3600 s."),
        ({"passes": 2.5}, "Passes: write a whole number from 1 to 12."),
        ({"pass_m": [300, 0]}, "Pass length: write a number from 1 to 5000 m."),
        ({"pass_m": [300, 310, 320]}, "Give one pass length for every pass, or one for each."),
        ({"tempo": 3}, "tempo is not one of the figures of a pace."),
    ],
)
def test_a_figure_that_cannot_be_is_refused_in_a_sentence(figures: dict, sentence: str):
    with pytest.raises(ValueError, match=f"^{sentence}$"):
        Pace.of(load_format(USUAL), **figures)


def test_every_figure_has_its_words_and_a_default_within_its_bounds():
    usual = Pace()
    for name, spec in SPECS.items():
        assert spec.label
        assert spec.help.endswith(".")
        value = getattr(usual, name)
        assert all(
            spec.least <= each <= spec.most
            for each in (value if isinstance(value, tuple) else (value,))
        )


@given(format=formats(), round_name=st.sampled_from([None, "Final", "Other"]))
def test_every_format_has_a_pace_and_its_parts_add_up(format: Format, round_name: str | None):
    pace = Pace.of(effective(format), round_name)

    assert sum(part.seconds for part in parts(pace)) == pytest.approx(rider_seconds(pace))
    assert rider_seconds(pace) == pytest.approx(
        pace.best_of * (run_seconds(pace) + pace.change_s)
    )


@given(
    allowed=st.integers(0, 20),
    speed=st.floats(0.1, 300),
    seconds=st.floats(1, 600),
    laps=st.integers(0, 10),
)
def test_what_a_format_may_say_is_never_refused(
    allowed: int, speed: float, seconds: float, laps: int
):
    """A format knows wider bounds than a figure that is typed by hand."""
    format = load_format(
        f'[passes]\ncount = 12\nseconds = {seconds!r}\nended_by = "time"\ndirection = "same way each pass"\n'
        f'[falls]\nallowed = {allowed}\ncounted_per = "pass"\n[boat]\nspeed = "{speed:.3f} km/h"\nwarm_up_laps = {laps}\n'
    )

    assert Pace.of(format).pass_seconds(12) == pytest.approx(seconds)
