"""Each rule on its own: what it finds, where, and how it weighs."""

import pytest

from events.rules.findings import is_legal
from events.rules.legality import RULES, may_be_ridden
from events.rules.loading import load_format
from events.rules.notation import read_run

OPEN = """
double_ups = []
limits = []
[passes]
count = 2
tricks_most = 7
[repeats]
rule = "free"
"""


def codes(findings):
    return [(f.code, str(f.grade), f.pass_no, f.position) for f in findings]


def with_(**changes):
    """The open format with some lines changed."""
    toml = OPEN
    for old, new in changes.values():
        assert old in toml
        toml = toml.replace(old, new)
    return toml


def test_a_plain_run_is_clear(look):
    """A run that keeps to everything has no finding at all."""
    assert look(OPEN, "HS backroll, TS FS 180 | Tantrum") == []


def test_every_rule_says_what_it_is():
    """The first line of a rule's docstring is the rule as an organiser would say it."""
    for rule in RULES:
        assert (rule.__doc__ or "").splitlines()[0].endswith(".")


class TestPasses:
    def test_a_pass_too_many(self, look):
        found = look(OPEN, "HS backroll | Tantrum | Raley")

        assert codes(found) == [("pass-count", "rule", 3, None)]

    def test_a_pass_missing_is_legal(self, look):
        found = look(OPEN, "HS backroll")

        assert codes(found) == [("pass-missing", "warning", None, None)]
        assert is_legal(found)

    def test_passes_not_stated(self, look):
        found = look(with_(a=("count = 2\n", "")), "HS backroll")

        assert codes(found) == [("passes-unstated", "unstated", None, None)]

    def test_an_empty_run(self, look):
        assert codes(look(OPEN, "|"))[0] == ("run-empty", "rule", None, None)

    def test_an_empty_pass(self, look):
        assert codes(look(OPEN, "HS backroll |")) == [("pass-empty", "warning", 2, None)]


class TestTricksPerPass:
    def test_too_many_break_a_rule(self, look):
        toml = with_(a=("tricks_most = 7", "tricks_most = 2"))

        found = look(toml, "HS backroll, Tantrum, Raley | HS FS 180")

        assert codes(found) == [("too-many-tricks", "rule", 1, 3)]

    def test_too_many_not_counted(self, look):
        toml = with_(a=("tricks_most = 7", 'tricks_most = 1\ntricks_over = "not counted"'))

        found = look(toml, "HS backroll, Tantrum | Raley")

        assert codes(found) == [("too-many-tricks", "uncounted", 1, 2)]

    def test_none_at_all(self, look):
        (found, _) = look(with_(a=("tricks_most = 7", "tricks_most = 0")), "HS backroll | Indy")

        assert found.message == "Trick 1 of this pass is one too many: a pass has no tricks."

    def test_what_differs_may_decide(self, look):
        """Different in everything is possible, different in kind is sure."""
        toml = with_(a=("tricks_most = 7", "tricks_most = 7\ndifferent_least = 3"))

        assert codes(look(toml, "HS backroll, TS backroll | Tantrum")) == [
            ("different-open", "unstated", None, None)
        ]
        assert look(toml, "HS backroll, Indy | Tantrum") == []

    def test_not_stated(self, look):
        found = look(with_(a=("tricks_most = 7\n", "")), "HS backroll | Tantrum")

        assert codes(found) == [("tricks-unstated", "unstated", None, None)]

    def test_any_number(self, look):
        toml = with_(a=("tricks_most = 7", "any_number = true"))

        assert look(toml, ", ".join(["HS backroll"] * 30) + " | Tantrum") == []

    def test_too_few(self, look):
        toml = with_(a=("tricks_most = 7", "tricks_most = 7\ntricks_least = 2"))

        found = look(toml, "HS backroll, Tantrum | Raley")

        assert codes(found) == [("too-few-tricks", "rule", 2, None)]

    def test_too_few_different(self, look):
        toml = with_(a=("tricks_most = 7", "tricks_most = 7\ndifferent_least = 3"))

        found = look(toml, "HS backroll, HS backroll | Tantrum")

        assert codes(found) == [("too-few-different", "rule", None, None)]


REPEATS = """
double_ups = []
limits = []
[passes]
count = 2
tricks_most = 7
[repeats]
rule = "{rule}"
per = "{per}"
differs_by = ["stance", "approach", "direction", "rotation"]
"""


class TestRepeats:
    @pytest.mark.parametrize(
        ("rule", "code", "grade"),
        [
            ("once", "repeat", "rule"),
            ("discouraged", "repeat-discouraged", "warning"),
            ("once unless not landed", "repeat-backup", "advice"),
            ("first counts", "repeat-uncounted", "uncounted"),
            ("best counts", "repeat-uncounted", "uncounted"),
            ("not counted", "repeat-uncounted", "uncounted"),
        ],
    )
    def test_each_rule(self, look, rule, code, grade):
        found = look(REPEATS.format(rule=rule, per="run"), "HS backroll | HS backroll")

        assert codes(found) == [(code, grade, 2, 1)]

    def test_per_pass_leaves_other_passes_alone(self, look):
        toml = REPEATS.format(rule="once", per="pass")

        found = look(toml, "HS backroll, Tantrum, HS backroll | HS backroll")

        assert codes(found) == [("repeat", "rule", 1, 3)]

    def test_a_grab_makes_no_new_trick(self, look):
        toml = REPEATS.format(rule="once", per="run")

        assert codes(look(toml, "HS backroll, HS backroll indy | Tantrum"))[0][0] == "repeat"

    def test_a_grab_makes_a_new_trick_where_stated(self, look):
        toml = REPEATS.format(rule="once", per="run").replace('["stance"', '["grab", "stance"')

        assert look(toml, "HS backroll, HS backroll indy | Tantrum") == []

    def test_switch_is_another_trick(self, look):
        toml = REPEATS.format(rule="once", per="run")

        assert look(toml, "HS backroll, switch HS backroll | TS backroll") == []

    def test_a_back_up_for_a_missed_trick(self, look):
        """A repeat after a trick that was marked as fallen is what the rule allows."""
        toml = REPEATS.format(rule="once unless not landed", per="run")

        assert look(toml, "HS backroll x, HS backroll | Tantrum") == []

    def test_not_stated(self, look):
        toml = OPEN.replace('rule = "free"', "")

        found = look(toml, "HS backroll | HS backroll")

        assert codes(found) == [("repeats-unstated", "unstated", 2, 1)]

    def test_scope_not_stated(self, look):
        toml = REPEATS.format(rule="once", per="run").replace('per = "run"', "")

        found = look(toml, "HS backroll, HS backroll | HS backroll")

        assert codes(found) == [
            ("repeat", "rule", 1, 2),
            ("repeats-unstated", "unstated", 2, 1),
        ]

    def test_a_certain_repeat_with_the_scope_not_stated(self, look):
        """A repeat inside its own pass is one under either reading."""
        toml = REPEATS.format(rule="once", per="run").replace('per = "run"', "")

        assert codes(look(toml, "HS backroll | HS backroll, HS backroll")) == [
            ("repeats-unstated", "unstated", 2, 1),
            ("repeat", "rule", 2, 2),
        ]

    def test_what_differs_not_stated(self, look):
        toml = 'double_ups=[]\nlimits=[]\n[passes]\ncount=1\ntricks_most=9\n[repeats]\nrule="once"\nper="run"'

        found = look(toml, "HS backroll, TS backroll, HS backroll")

        assert codes(found) == [
            ("repeat", "rule", 1, 3),
            ("differs-unstated", "unstated", 1, 2),
        ]

    def test_a_flip_and_a_roll_are_different_tricks(self, look):
        toml = REPEATS.format(rule="once", per="run")

        assert look(toml, "Front flip, HS front roll | Tantrum") == []


class TestOrderAndStance:
    def test_binding_order(self, look):
        toml = OPEN + '[declared_order]\nbinding = true\nout_of_order = "not counted"'

        assert codes(look(toml, "Indy | Tantrum")) == [("order-binding", "advice", None, None)]

    def test_binding_without_effect(self, look):
        toml = OPEN + "[declared_order]\nbinding = true"

        assert codes(look(toml, "Indy | Tantrum")) == [
            ("order-unstated", "unstated", None, None)
        ]

    def test_a_switch_trick_said_regular(self, look):
        found = look(OPEN, "regular half cab roll | Tantrum")

        assert codes(found) == [("stance-fixed", "warning", 1, 1)]


def test_overrides_change_what_is_checked(look):
    toml = OPEN + '[[overrides]]\nwhen = {round = "final"}\nset = {passes.tricks_most = 1}'

    assert look(toml, "Indy, Tantrum | Raley") == []
    assert codes(look(toml, "Indy, Tantrum | Raley", round="Final"))[0][0] == "too-many-tricks"


def test_yes_or_no_comes_from_the_findings():
    run = read_run("HS backroll | Tantrum | Raley")

    assert not may_be_ridden(run, load_format(OPEN))
    assert may_be_ridden(read_run("HS backroll"), load_format(OPEN))
