"""Published formats whose divisions differ by what is banned or limited."""

import pytest

from events.rules.findings import Grade
from tests.rules.published import codes, look, published

SPINS = "HS FS 180, TS FS 180"


class TestInvertsAndSpins:
    """Wake Utah, 2012: two and two for intermediate, four and four for advanced."""

    def look(self, notation, division):
        return codes(look("inverts_and_spins_2012", notation, division))

    def test_two_and_two_are_legal(self):
        assert self.look(f"HS backroll, {SPINS} | Tantrum", "Intermediate") == []

    def test_a_third_invert(self):
        found = self.look("HS backroll, Tantrum | Raley", "Intermediate")

        assert found == [("limit-most", "rule", 2, 1)]

    def test_a_third_spin(self):
        found = self.look(f"{SPINS}, HS FS 360 | Tantrum", "Intermediate")

        assert found == [("limit-most", "rule", 1, 3)]

    def test_advanced_has_four_and_four(self):
        four = f"HS backroll, Tantrum, Raley, TS backroll | {SPINS}, HS FS 360, TS FS 360"

        assert self.look(four, "Advanced") == []
        assert self.look(f"{four}, Scarecrow", "Advanced") == [("limit-most", "rule", 2, 5)]
        assert self.look(f"{four}, HS BS 180", "Advanced") == [("limit-most", "rule", 2, 5)]

    @pytest.mark.parametrize("division", ["Intermediate", "Advanced"])
    def test_no_trick_twice(self, division):
        found = self.look("HS backroll | HS backroll", division)

        assert found == [("repeat", "rule", 2, 1)]

    def test_an_inverted_spin_is_left_open(self):
        """Whether a spinning invert is a spin too is not said, so it is not decided."""
        found = look("inverts_and_spins_2012", f"{SPINS} | Mobe", "Intermediate")

        assert codes(found) == []
        assert ("limit-open", "unstated", None, None) in codes(found, Grade.UNSTATED)

    def test_other_divisions_are_left_open(self):
        found = look("inverts_and_spins_2012", "HS backroll | HS backroll", "Novice")

        assert {"limits-unstated", "repeats-unstated"} <= {f.code for f in found}


class TestInvertClasses:
    """Clark Lake, 2013: none; one to three; four or more."""

    @pytest.mark.parametrize(
        ("division", "inverts", "found"),
        [
            ("Intermediate", 0, []),
            ("Intermediate", 1, [("limit-most", "rule", 1, 1)]),
            ("Advanced", 0, [("limit-least", "rule", None, None)]),
            ("Advanced", 1, []),
            ("Advanced", 3, []),
            ("Advanced", 4, [("limit-most", "rule", 1, 4)]),
            ("Top class", 3, [("limit-least", "rule", None, None)]),
            ("Top class", 4, []),
            ("Top class", 5, []),
        ],
    )
    def test_a_number_of_inverts(self, division, inverts, found):
        five = ("HS backroll", "Tantrum", "Raley", "TS backroll", "Scarecrow")
        run = ", ".join([*five[:inverts], "HS FS 180"])

        assert codes(look("invert_classes_2013", run, division)) == found

    def test_too_few_may_be_the_wrong_class(self):
        found = look("invert_classes_2013", "HS FS 180 | TS FS 180", "Advanced")

        (few,) = [f for f in found if f.code == "limit-least"]
        assert "another division" in few.hint


class TestFourClasses:
    """Boardapalooza, 2007: inverts by class, and a double-up for all."""

    def test_an_inverted_double_up_of_a_novice(self):
        """Whether the limits bind it is not said: no yes, and no breach either."""
        run = "HS FS 180 | TS FS 180 + double-up tantrum"

        found = look("four_classes_2007", run, "Novice")

        assert codes(found) == []
        assert ("limit-open", "unstated", None, None) in codes(found, Grade.UNSTATED)

    def test_a_plain_double_up_of_a_novice(self):
        found = look(
            "four_classes_2007", "HS FS 180 | TS FS 180 + double-up HS FS 360", "Novice"
        )

        assert "limit-open" not in {f.code for f in found}

    @pytest.mark.parametrize(
        ("division", "most"), [("Novice", 0), ("Intermediate", 1), ("Advanced", 5)]
    )
    def test_one_too_many(self, division, most):
        six = ["HS backroll", "Tantrum", "Raley", "TS backroll", "Scarecrow", "Krypt"]

        assert (
            codes(look("four_classes_2007", ", ".join(six[:most] or ["Indy"]), division)) == []
        )
        assert codes(look("four_classes_2007", ", ".join(six[: most + 1]), division)) == [
            ("limit-most", "rule", 1, most + 1)
        ]

    def test_open_has_no_limit(self):
        six = "HS backroll, Tantrum, Raley, TS backroll, Scarecrow, Krypt"

        found = look("four_classes_2007", six, "Open")

        assert codes(found) == []
        assert "limits-unstated" not in {f.code for f in found}

    def test_four_criteria_of_one_to_ten(self):
        judging = published("four_classes_2007").judging

        assert len(judging.criteria) == 4
        assert (judging.mark_least, judging.mark_most) == (1, 10)


class TestInvertLadder:
    """Gravel Tour: none, two, five, free."""

    INVERTS = ["HS backroll", "Tantrum", "Raley", "TS backroll", "Scarecrow", "Krypt"]

    @pytest.mark.parametrize(
        ("division", "most"),
        [("Novice", 0), ("Youngest", 0), ("Intermediate", 2), ("Advanced", 5)],
    )
    def test_each_step(self, division, most):
        run = ", ".join([*self.INVERTS[: most + 1], "HS FS 180"])
        fewer = ", ".join([*self.INVERTS[:most], "HS FS 180"])

        assert codes(look("invert_ladder", fewer, division)) == []
        assert codes(look("invert_ladder", run, division)) == [
            ("limit-most", "rule", 1, most + 1)
        ]

    def test_open_is_free(self):
        assert codes(look("invert_ladder", ", ".join(self.INVERTS), "Open")) == []

    def test_three_inverts_over_two_passes_are_left_open(self):
        """Two in a pass or two in a run is not said: three over two passes is not decided."""
        found = look("invert_ladder", "HS backroll, Tantrum | Raley", "Intermediate")

        assert codes(found) == []
        assert ("limit-open", "unstated", None, None) in codes(found, Grade.UNSTATED)


class TestOneWakeBeginners:
    """Japan Wakeboard Association, 2020: off one wake, but for one straight air."""

    @pytest.mark.parametrize(
        ("run", "found"),
        [
            ("One-wake jump, One-wake HS FS 180", []),
            ("One-wake jump, HS wake jump", []),
            ("HS wake jump, Indy", [("limit-most", "rule", 1, 2)]),
            ("One-wake jump, HS FS 180", [("limit-most", "rule", 1, 2)]),
            ("HS backroll", [("limit-most", "rule", 1, 1)]),
        ],
    )
    def test_take_offs(self, run, found):
        assert codes(look("one_wake_beginners_2020", run, "Beginner")) == found

    def test_only_beginners(self):
        assert codes(look("one_wake_beginners_2020", "HS backroll", "Open")) == []
