"""Limits on their own: what each counts, what it leaves open, and how a breach weighs."""

import pytest

from events.rules.findings import Grade
from tests.rules.test_legality import OPEN, codes


def limits(*tables: str, repeats: str = 'rule = "free"') -> str:
    body = "\n".join(f"[[limits]]\n{table}" for table in tables)
    return (
        f"double_ups = []\n[passes]\ncount = 2\ntricks_most = 9\n[repeats]\n{repeats}\n{body}"
    )


class TestLimits:
    def test_not_stated(self, look):
        found = look(OPEN.replace("limits = []", ""), "HS backroll | Tantrum")

        assert codes(found) == [("limits-unstated", "unstated", None, None)]

    def test_the_third_invert_is_named(self, look):
        toml = limits(
            'say = "At most two inverts"\nwhen = {invert = true}\nmost = 2\nper = "run"'
        )

        found = look(toml, "HS backroll, Tantrum | HS FS 180, Raley")

        assert codes(found) == [("limit-most", "rule", 2, 2)]
        assert found[0].words == "At most two inverts"
        assert "third" in found[0].message

    def test_per_pass(self, look):
        toml = limits('when = {invert = true}\nmost = 1\nper = "pass"')

        found = look(toml, "HS backroll, Tantrum | Raley")

        assert codes(found) == [("limit-most", "rule", 1, 2)]

    def test_scope_not_stated(self, look):
        toml = limits("when = {invert = true}\nmost = 1")

        assert codes(look(toml, "HS backroll | Raley")) == [
            ("limit-open", "unstated", None, None)
        ]
        assert codes(look(toml, "HS backroll, Raley | HS FS 180")) == [
            ("limit-most", "rule", 1, 2)
        ]

    def test_a_ban(self, look):
        toml = limits('when = {direction = "backside", rotation_over = 180}\nmost = 0')

        found = look(toml, "HS BS 180, HS BS 360 | HS FS 540")

        assert codes(found) == [("limit-most", "rule", 1, 2)]

    def test_at_least(self, look):
        toml = limits('when = {grabbed = true}\nleast = 1\nper = "pass"')

        found = look(toml, "Indy | HS backroll")

        assert codes(found) == [("limit-least", "rule", 2, None)]

    @pytest.mark.parametrize(
        ("breach", "grade", "said"),
        [
            ("not counted", Grade.UNCOUNTED, "HS backroll is not counted."),
            ("moved up a division", Grade.RULE,
             "HS backroll is not allowed. The rider is moved up a division."),
            ("disqualified", Grade.RULE,
             "HS backroll is not allowed. The rider is disqualified."),
            ("the judges decide", Grade.WARNING, "The judges decide on HS backroll."),
            ("for information", Grade.ADVICE,
             "HS backroll is beyond what is meant for this division."),
        ],
    )  # fmt: skip
    def test_effects(self, look, breach, grade, said):
        """A breach is told by what it does; only a rule that is broken is not allowed."""
        toml = limits(f'when = {{invert = true}}\nmost = 0\nbreach = "{breach}"')

        (found,) = look(toml, "HS backroll | HS FS 180")

        assert (found.grade, found.message) == (grade, said)

    @pytest.mark.parametrize(
        ("breach", "grade", "said"),
        [
            ("not counted", Grade.WARNING, "for the organiser to say"),
            ("moved up a division", Grade.RULE, "The rider is moved up a division."),
            ("disqualified", Grade.RULE, "The rider is disqualified."),
            ("the judges decide", Grade.WARNING, "The judges decide on it."),
            ("for information", Grade.ADVICE, "For information only."),
        ],
    )
    def test_effects_of_too_few(self, look, breach, grade, said):
        """What is missing cannot be left uncounted; every other effect is told."""
        toml = limits(f'when = {{invert = true}}\nleast = 1\nper = "run"\nbreach = "{breach}"')

        (found,) = look(toml, "Indy | HS FS 180")

        assert (found.code, found.grade) == ("limit-least", grade)
        assert found.message.endswith(said) or said in found.message

    def test_one_too_many_that_is_not_counted(self, look):
        toml = limits('when = {invert = true}\nmost = 1\nper = "run"\nbreach = "not counted"')

        (found,) = look(toml, "HS backroll | Tantrum")

        assert found.message == (
            "Tantrum is the second such trick; at most one such trick. It is not counted."
        )

    def test_at_least_with_the_scope_not_stated(self, look):
        """Held by the run but not by each pass is open; missed by the run is a breach."""
        toml = limits("when = {invert = true}\nleast = 2")

        (found,) = look(toml, "HS backroll, Tantrum | HS FS 180")
        assert (found.code, found.grade) == ("limit-open", Grade.UNSTATED)
        assert "per pass or per run" in found.message
        assert look(toml, "HS backroll, Tantrum | Raley, Krypt") == []
        assert codes(look(toml, "HS backroll | HS FS 180"))[0][0] == "limit-least"

    def test_the_bound_that_is_open_is_named(self, look):
        toml = limits('when = {invert = true}\nmost = 3\nleast = 2\nused_by = "tried"')

        (found,) = look(toml, "HS backroll, Tantrum | HS FS 180")
        assert found.message.startswith("At least 2: ")

    @pytest.mark.parametrize("stated", ["", "inverted_spins = true\n"])
    def test_no_inverted_spins_by_the_family(self, look, stated):
        """A spinning invert is an inverted spin, whatever else is said of spins."""
        toml = limits('when = {family = "spin", invert = true}\nmost = 0\n' + stated)

        assert codes(look(toml, "Mobe | Roll to blind, HS backroll, HS FS 360")) == [
            ("limit-most", "rule", 1, 1), ("limit-most", "rule", 2, 1),
        ]  # fmt: skip
        inside = toml.replace("{family", "{any_of = [{family").replace("true}", "true}]}")
        assert look(inside, "Mobe | HS backroll") == look(toml, "Mobe | HS backroll")

    def test_inverted_spins_kept_apart(self, look):
        toml = limits(
            'when = {family = "spin", invert = true}\nmost = 0\ninverted_spins = false'
        )

        assert look(toml, "Mobe | HS FS 360") == []

    @pytest.mark.parametrize(
        ("when", "run"),
        [
            ('trick = ["HS back roll"]', "HS backroll | Indy"),
            ('trick = ["heelside Backroll"]', "HS backroll | Indy"),
            ('trick = ["back-roll heelside"]', "HS backroll indy | Indy"),
            ('grab = ["Melon"]', "HS 180 melon | Indy"),
            ('grab = ["stale fish"]', "HS 180 stale | Indy"),
        ],
    )
    def test_a_ban_by_any_spelling(self, look, when, run):
        """Names and grabs mean in a limit what they mean in a run."""
        assert codes(look(limits(f"when = {{{when}}}\nmost = 0"), run)) == [
            ("limit-most", "rule", 1, 1)
        ]

    def test_a_turn_left_open(self, look):
        """A turn that is not said may be the one that is banned."""
        toml = limits('when = {direction = "backside", rotation_over = 180}\nmost = 0')

        for run in ("Tantrum 360 | Indy", "HS backroll 360 | Indy"):
            (found,) = look(toml, run)
            assert (found.code, found.grade) == ("limit-open", Grade.UNSTATED)
            assert found.hint == "Say frontside or backside."
        assert look(toml, "Tantrum FS 360, Tantrum 180 | Indy") == []
        assert codes(look(toml, "Tantrum BS 360 | Indy")) == [("limit-most", "rule", 1, 1)]

    def test_either_way_is_banned(self, look):
        toml = limits('when = {direction = ["frontside", "backside"]}\nmost = 0')

        assert codes(look(toml, "Tantrum 360 | Indy")) == [("limit-most", "rule", 1, 1)]

    def test_an_edge_left_open_inside_a_condition(self, look):
        toml = limits('when = {unless = {approach = "heelside"}}\nmost = 0')

        assert codes(look(toml, "Indy | HS FS 180")) == [("limit-open", "unstated", None, None)]

    @pytest.mark.parametrize("rule", ["free", "once", "discouraged", "best counts"])
    def test_a_repeat_that_uses_no_limit(self, look, rule):
        """Where it is stated it holds whatever repeats are worth."""
        repeats = f'rule = "{rule}"\nper = "run"\ndiffers_by = ["stance"]\n'
        limit = 'when = {invert = true}\nmost = 1\nper = "run"'

        stated = look(limits(limit, repeats=repeats + "uses_limit = false"), "Raley | Raley")
        used = look(limits(limit, repeats=repeats + "uses_limit = true"), "Raley | Raley")

        assert not {f.code for f in stated} & {"limit-most", "limit-open"}
        assert "limit-most" in {f.code for f in used}

    def test_inverted_spins(self, look):
        """Whether a spinning invert uses the limit on spins is the organiser's to say."""
        spins = 'when = {family = "spin"}\nmost = 1\nper = "run"\n'

        assert look(limits(spins + "inverted_spins = false"), "HS FS 360 | Mobe") == []
        assert codes(look(limits(spins + "inverted_spins = true"), "HS FS 360 | Mobe")) == [
            ("limit-most", "rule", 2, 1)
        ]
        assert codes(look(limits(spins), "HS FS 360 | Mobe")) == [
            ("limit-open", "unstated", None, None)
        ]

    def test_landed_tricks_only(self, look):
        """A plan cannot break a limit on landed tricks for sure, only if all are landed."""
        toml = limits('when = {invert = true}\nmost = 1\nper = "run"\nused_by = "landed"')

        assert codes(look(toml, "HS backroll | Tantrum")) == [("limit-most", "warning", 2, 1)]
        assert look(toml, "HS backroll x | Tantrum") == []

    def test_an_edge_left_open(self, look):
        toml = limits('when = {approach = "toeside"}\nmost = 0')

        assert codes(look(toml, "Indy | HS FS 180")) == [("limit-open", "unstated", None, None)]
        assert codes(look(toml, "TS indy | HS FS 180"))[0] == ("limit-most", "rule", 1, 1)
        assert look(toml, "HS indy | HS FS 180") == []

    def test_a_back_up_and_a_limit(self, look):
        """Whether a planned repeat uses up a limit is a setting."""
        limit = 'when = {invert = true}\nmost = 1\nper = "run"'
        repeats = 'rule = "once unless not landed"\nper = "run"\ndiffers_by = ["stance"]\n'
        run = "HS backroll | HS backroll"

        free = look(limits(limit, repeats=repeats + "uses_limit = false"), run)
        used = look(limits(limit, repeats=repeats + "uses_limit = true"), run)
        unstated = look(limits(limit, repeats=repeats), run)

        assert [f.code for f in free] == ["repeat-backup"]
        assert [f.code for f in used] == ["repeat-backup", "limit-most"]
        assert [f.code for f in unstated] == ["repeat-backup", "limit-open"]

    def test_a_repeat_in_another_pass_with_the_scope_not_stated(self, look):
        """Whether it is a repeat at all, and so uses no limit, is open."""
        repeats = 'rule = "free"\ndiffers_by = ["stance"]\nuses_limit = false'
        toml = limits('when = {invert = true}\nmost = 1\nper = "run"', repeats=repeats)

        assert codes(look(toml, "Raley | Raley")) == [("limit-open", "unstated", None, None)]
        assert look(toml, "Raley, Raley | Indy") == []
