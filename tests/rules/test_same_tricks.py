"""Limits on tricks that are the same, what riders read of them, and edges left open."""

import pytest

from events.rules.answers import answers
from events.rules.legality import legality
from events.rules.loading import FormatError, load_format
from events.rules.notation import read_run
from tests.rules.test_awkward_rules import HEAD, SAME_GRAB, limit


class TestSentences:
    """What riders read of the rules that say what tells tricks apart."""

    @pytest.mark.parametrize(
        ("lines", "sentence"),
        [
            (
                'when = {grabbed = true}\ndiffers_by = "grab"\nmost = 2\nper = "run"',
                "At most two tricks with a grab, all with the same grab, in the run.",
            ),
            (
                'when = {grabbed = true}\ndiffers_by = "grab"\nleast = 3\nper = "run"',
                "At least three tricks with a grab, each with another grab, in the run.",
            ),
            (
                'differs_by = ["rotation", "direction"]\nmost = 1\nper = "pass"',
                "At most one trick with the same direction and rotation in each pass.",
            ),
            ('when = {form = "double", invert = true}\nmost = 0', "No double inverts."),
        ],
    )
    def test_in_words(self, lines, sentence):
        (told,) = [
            each.sentences
            for each in answers(load_format(HEAD.replace("limits = []\n", "") + limit(lines)))
            if each.code == "limits"
        ]
        assert told[0] == sentence

    def test_the_finding_says_the_same(self):
        format = load_format(HEAD.replace("limits = []\n", "") + SAME_GRAB)

        (finding,) = legality(read_run("Indy, Tantrum indy | HS backroll indy"), format)
        assert finding.message == (
            "HS backroll is the third such trick that is the same; at most two such tricks. "
            "“The same grab only twice”"
        )

    @pytest.mark.parametrize(
        ("lines", "problem"),
        [
            ("most = 0", "limits, entry 1, differs_by: A ban is the same for all tricks"),
            (
                "most = 2\nleast = 1",
                "limits, entry 1, differs_by: Write one limit for the most",
            ),
        ],
    )
    def test_what_cannot_go_with_it(self, lines, problem):
        with pytest.raises(FormatError, match=problem):
            load_format(limit(f'differs_by = "grab"\n{lines}'))

    def test_marks_the_wrong_way_round(self):
        with pytest.raises(FormatError, match="lowest mark must be below the highest"):
            load_format("[judging]\nmark_least = 10\nmark_most = 1")


class TestOpenEdges:
    """A trick whose edge is not said may or may not be the same as another one."""

    REPEATS = (
        HEAD.replace('rule = "free"', 'rule = "once"\nper = "{per}"')
        + 'differs_by = ["approach"]\n'
    )

    def codes(self, notation: str, per: str = "run") -> list[tuple[object, ...]]:
        found = legality(read_run(notation), load_format(self.REPEATS.replace("{per}", per)))
        return [(f.code, str(f.grade), f.pass_no, f.position) for f in found]

    @pytest.mark.parametrize(
        "run", ["Indy | Mute", "HS wake jump | Mute", "Mute | HS wake jump"]
    )
    def test_the_same_from_one_edge(self, run):
        """Neither legal for sure nor a breach: the rider is asked to say the edge."""
        assert self.codes(run) == [("repeat-edge-open", "warning", 2, 1)]

    @pytest.mark.parametrize(
        "run", ["HS indy | HS mute", "HS wake jump | HS wake jump", "Indy | Indy"]
    )
    def test_surely_the_same(self, run):
        assert self.codes(run) == [("repeat", "rule", 2, 1)]

    @pytest.mark.parametrize("run", ["HS indy | TS mute", "HS wake jump | TS wake jump"])
    def test_surely_another(self, run):
        assert self.codes(run) == []

    def test_another_pass_is_no_repeat(self):
        assert self.codes("HS wake jump | Mute", per="pass") == []


class TestOpenTurns:
    """A turn whose direction is not said may or may not be that of another trick."""

    TOML = (
        HEAD.replace('rule = "free"', 'rule = "once"\nper = "run"')
        + 'differs_by = ["approach", "direction", "rotation"]\n'
    )

    def found(self, notation: str) -> list[tuple[object, ...]]:
        found = legality(read_run(notation), load_format(self.TOML))
        return [(f.code, str(f.grade), f.pass_no, f.hint) for f in found]

    @pytest.mark.parametrize(
        "run",
        ["HS backroll 360 | HS backroll BS 360", "HS backroll FS 360 | HS backroll 360"],
    )
    def test_perhaps_the_same(self, run):
        """The rider is asked to say which way it turns."""
        assert self.found(run) == [
            ("repeat-direction-open", "warning", 2, "Say frontside or backside.")
        ]

    def test_surely_the_same(self):
        assert self.found("HS backroll 360 | HS backroll 360")[0][:2] == ("repeat", "rule")

    @pytest.mark.parametrize(
        "run",
        ["HS backroll 360 | TS backroll BS 360", "HS backroll FS 360 | HS backroll BS 360"],
    )
    def test_surely_another(self, run):
        assert self.found(run) == []
