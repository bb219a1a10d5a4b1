"""The rules on double-ups and other extras after a pass."""

import pytest

from events.rules.findings import Grade
from tests.rules.test_legality import OPEN, codes


def bonus(lines: str, rest: str = "limits = []\n") -> str:
    return (
        f"{rest}[passes]\ncount = 2\ntricks_most = 3\n[repeats]\nrule = 'once'\nper = 'run'\n"
        f"differs_by = ['stance', 'approach', 'rotation']\n[[double_ups]]\nafter_pass = 2\n{lines}"
    )


class TestBonus:
    def test_offered(self, look):
        assert look(bonus(""), "HS backroll | Tantrum + double-up raley") == []

    def test_after_another_pass(self, look):
        found = look(bonus(""), "HS backroll + double-up raley | Tantrum")

        assert codes(found) == [("double-up-not-offered", "rule", 1, 2)]
        assert "pass 2" in found[0].hint

    def test_there_is_none(self, look):
        found = look(OPEN, "HS backroll | Tantrum + double-up raley")

        assert codes(found) == [("double-up-not-offered", "rule", 2, 2)]

    def test_not_stated(self, look):
        found = look(
            OPEN.replace("double_ups = []", ""), "HS FS 180 | Tantrum + double-up raley"
        )

        assert codes(found) == [("double-up-unstated", "unstated", 2, 2)]

    def test_only_in_the_final(self, look):
        toml = bonus('rounds = ["Final"]')
        run = "HS backroll | Tantrum + double-up raley"

        assert codes(look(toml, run, round="Qualifying")) == [
            ("double-up-not-offered", "rule", 2, 2)
        ]
        assert look(toml, run, round="final") == []
        assert codes(look(toml, run)) == [("double-up-round-open", "warning", 2, 2)]

    def test_only_in_a_division(self, look):
        toml = bonus('divisions = ["Open"]')
        run = "HS backroll | Tantrum + double-up raley"

        assert look(toml, run, division="open") == []
        assert codes(look(toml, run, division="Novice"))[0][0] == "double-up-not-offered"

    def test_twice(self, look):
        found = look(bonus(""), "HS FS 180 | Tantrum + double-up raley + double-up krypt")

        assert codes(found) == [("double-up-twice", "rule", 2, 3)]

    def test_excluded_by_another_extra(self, look):
        toml = bonus(
            'excludes = ["style trick"]\n[[double_ups]]\nname="style trick"\nafter_pass=2'
        )
        run = "HS FS 180 | Tantrum + style trick: Indy + double-up raley"

        assert codes(look(toml, run)) == [("double-up-excluded", "rule", 2, 3)]

    def test_condition_is_told(self, look):
        toml = bonus('condition = "no fall in the last pass"\ncutoff_m = 300')

        (found,) = look(toml, "HS FS 180 | Tantrum + double-up raley")

        assert found.grade is Grade.ADVICE
        assert "without a fall in pass 2" in found.message
        assert "300 m" in found.message

    def test_asked_for(self, look):
        assert codes(look(bonus("optional = false"), "HS FS 180 | Tantrum")) == [
            ("double-up-missing", "warning", 2, None)
        ]

    def test_limits_bind_it(self, look):
        ban = "when = {invert = true}\nmost = 1\nper = 'run'"
        run = "HS FS 180 | Tantrum + double-up raley"
        tail = f"\n[[limits]]\n{ban}"

        bound = look(bonus(f"limits_bind = true{tail}", ""), run)
        free = look(bonus(f"limits_bind = false{tail}", ""), run)
        unstated = look(bonus(tail, ""), run)

        assert codes(bound) == [("limit-most", "rule", 2, 2)]
        assert free == []
        assert codes(unstated) == [("limit-open", "unstated", None, None)]

    def test_counts_as_a_trick(self, look):
        run = "HS FS 180 | Tantrum, TS FS 180, HS FS 360 + double-up raley"

        assert codes(look(bonus("counts_as_trick = true"), run))[0] == (
            "too-many-tricks", "rule", 2, 4,
        )  # fmt: skip
        assert look(bonus("counts_as_trick = false"), run) == []
        assert codes(look(bonus(""), run)) == [("tricks-open", "unstated", 2, 4)]

    @pytest.mark.parametrize(
        ("lines", "run", "found"),
        [
            (
                "",
                "HS backroll, TS FS 180 | Tantrum + double-up raley",
                [("tricks-open", "unstated", 2, None)],
            ),
            (
                "",
                "HS backroll, TS FS 180 | + double-up raley",
                [("too-few-tricks", "rule", 2, None)],
            ),
            (
                "counts_as_trick = true",
                "HS backroll, TS FS 180 | Tantrum + double-up raley",
                [],
            ),
            (
                "counts_as_trick = false",
                "HS backroll, TS FS 180 | Tantrum + double-up raley",
                [("too-few-tricks", "rule", 2, None)],
            ),
        ],
    )
    def test_too_few_without_it(self, look, lines, run, found):
        """Only a pass that is short even with the bonus trick breaks the rule."""
        toml = bonus(lines).replace("tricks_most = 3", "tricks_most = 3\ntricks_least = 2")

        assert codes(look(toml, run)) == found

    @pytest.mark.parametrize(
        ("lines", "found"),
        [
            ("", [("different-open", "unstated", None, None)]),
            ("counts_as_trick = true", []),
            ("counts_as_trick = false", [("too-few-different", "rule", None, None)]),
        ],
    )
    def test_different_with_it(self, look, lines, found):
        toml = bonus(lines).replace("tricks_most = 3", "tricks_most = 3\ndifferent_least = 3")

        assert codes(look(toml, "HS backroll | Tantrum + double-up raley")) == found

    def test_among_the_tricks(self, look):
        found = look(bonus(""), "HS FS 180 | double-up tantrum, Raley")

        assert codes(found) == [("double-up-inside-pass", "rule", 2, 1)]
