"""What a format cannot say: conditions that nothing meets, markers off the course; and its units."""

import pytest

from events.rules.loading import load_format
from events.rules.units import read_amount
from tests.rules.test_loading import problems


class TestImpossible:
    """A condition that no trick can meet is refused, and the sentence says why."""

    @pytest.mark.parametrize(
        ("when", "reason"),
        [
            ("rotation = 200", "no turn is of 200 degrees"),
            ("rotation_over = 3600", "no turn is over 3600 degrees"),
            ("rotation = 360, rotation_over = 540", "no turn is of 360 and over 540 degrees"),
            ("any_of = [{rotation = 200}]", "no turn is of 200 degrees"),
            ("any_of = [{rotation = 200}, {form = []}]", "no turn is of 200 degrees"),
            ("form = []", "it has a list without an entry"),
            ("any_of = []", "it has a list without an entry"),
            ('grabbed = false, grab = "indy"', "it asks for no grab and for a grab"),
            ("tier_over = 8, tier_under = 9", "no difficulty is over 8 and under 9"),
            ("tier_over = 10", "no difficulty is over 10; it goes from 1 to 10"),
            ("unless = {}", "its exception leaves out every trick that it means"),
            ("invert = true, unless = {invert = true}", "its exception leaves out every trick"),
            (
                "invert = true, blind = true, unless = {blind = true}",
                "its exception leaves out",
            ),
        ],
    )
    def test_is_refused_with_its_reason(self, when, reason):
        (found,) = problems(f"[[limits]]\nmost = 0\nwhen = {{{when}}}")

        assert f"No trick can meet this condition: {reason}" in found

    @pytest.mark.parametrize(
        "when",
        [
            "any_of = [{rotation = 200}, {invert = true}]",
            "rotation_over = 1620",
            "invert = true, unless = {blind = true}",
            "invert = true, unless = {invert = true, blind = true}",
            "invert = true, unless = {invert = true, unless = {blind = true}}",
            "tier_over = 8, tier_under = 10",
            'grabbed = true, grab = "indy"',
        ],
    )
    def test_another_is_read(self, when):
        assert load_format(f"[[limits]]\nmost = 0\nwhen = {{{when}}}").limits


class TestNamesInConditions:
    """A misspelt trick or grab would ban nothing, in silence."""

    @pytest.mark.parametrize(
        ("when", "problem"),
        [
            ('trick = "Tantrumm"', 'when, trick: There is no trick "Tantrumm"; "Tantrum" may'),
            ('trick = ["Raley", "HS bakroll"]', '"HS bakroll"; "HS backroll" may be meant.'),
            ('grab = "indie"', 'when, grab: There is no grab "indie"; "indy" may be meant.'),
            ('grab = "elbow"', 'There is no grab "elbow"; "'),
            (
                'any_of = [{grab = "mut"}]',
                'when, any_of, entry 1, grab: There is no grab "mut"',
            ),
            ('unless = {trick = "Raly"}', 'when, unless, trick: There is no trick "Raly"'),
        ],
    )
    def test_a_misspelt_one_is_named(self, when, problem):
        (found,) = problems(f"[[limits]]\nmost = 0\nwhen = {{{when}}}")

        assert problem in found

    @pytest.mark.parametrize(
        "when",
        ['trick = "Our own flip"', 'trick = "Double frontroll"', 'trick = ["raley", "TANTRUM"]',
         'grab = ["INDY", "roast beef"]'],
    )  # fmt: skip
    def test_others_may_be_the_clubs_own(self, when):
        """A double frontroll is no misspelling of a double backroll."""
        assert load_format(f"[[limits]]\nmost = 0\nwhen = {{{when}}}").limits


class TestMarkers:
    def test_one_without_a_pass_is_held_against_every_pass(self):
        """It stands in each of them, so the shortest decides."""
        passes = "[passes]\ncount = 2\nlength_m = [500, 400]\n"
        beyond = "A marker at 450 m lies beyond pass 2, which is 400 m long: put it at 400 m or less."

        assert problems(f"{passes}[[pickup_cutoffs]]\nat_m = 450") == [
            f"pickup_cutoffs, entry 1, at_m: {beyond}"
        ]
        assert problems(f"{passes}[[double_ups]]\ncutoff_m = 450") == [
            f"double_ups, entry 1, cutoff_m: {beyond}"
        ]
        assert load_format(f"{passes}[[pickup_cutoffs]]\nat_m = 400").pickup_cutoffs
        assert load_format(f"{passes}[[pickup_cutoffs]]\nat_m = 450\npass = 1").pickup_cutoffs


def test_extras_are_named_without_regard_to_case():
    toml = '[[double_ups]]\nname = "style"\n[[double_ups]]\nexcludes = ["{}"]'

    assert load_format(toml.format("Style")).double_ups
    assert problems(toml.format("flair")) == [
        'double_ups, entry 2, excludes: There is no extra called "flair" to leave out.'
    ]


class TestLengths:
    def test_by_time_at_the_stated_speed(self):
        """36 km/h is 10 m/s, so 25 s are 250 m."""
        format = load_format('[passes]\nseconds = 25\n[boat]\nspeed = "36 km/h"')

        assert format.pass_length(1) == pytest.approx(250)

    def test_the_first_of_both(self):
        toml = (
            "[passes]\nseconds = [25, 60]\nlength_m = 400\nended_by = 'first of both'\n"
            '[boat]\nspeed = "36 km/h"'
        )
        format = load_format(toml)

        assert format.pass_length(1) == pytest.approx(250)
        assert format.pass_length(2) == 400

    def test_not_stated_without_a_speed(self):
        assert load_format("[passes]\nseconds = 25").pass_length(1) is None

    def test_a_marker_as_a_part(self):
        assert load_format("[passes]\nlength_m = 370").marker(2, None, 0.75) == 277.5


class TestUnits:
    """Unit definitions, exact by the international yard and pound agreement of 1959."""

    @pytest.mark.parametrize(
        ("text", "dimension", "si"),
        [
            ("1 mph", "speed", 0.44704),
            ("36 km/h", "speed", 10.0),
            ("1 ft", "length", 0.3048),
            ("1 lb", "mass", 0.45359237),
            ("70 FT", "length", 21.336),
        ],
    )
    def test_si(self, text, dimension, si):
        assert read_amount(text, dimension).si == pytest.approx(si, abs=1e-12)

    def test_kept_as_typed(self):
        assert str(read_amount("22,8 mph", "speed")) == "22.8 mph"
