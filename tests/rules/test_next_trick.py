"""May I do this here: every trick tried at the end of a pass."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.rules.findings import Grade
from events.rules.legality import legality
from events.rules.loading import load_format
from events.rules.next_trick import NextTrick, next_tricks, with_trick
from events.rules.notation import read_run
from events.rules.run import Run
from events.rules.trick import Takeoff
from events.rules.vocabulary import Vocabulary, standard_vocabulary
from tests.rules.random_rules import DIVISIONS, ROUNDS, TRICKS, formats, maybe, runs

VOCABULARY = standard_vocabulary()
CLUB_DAY = """
double_ups = [{ after_pass = 2, limits_bind = true }]
[passes]
count = 2
tricks_most = 3
[repeats]
rule = "once"
per = "run"
differs_by = ["stance", "approach", "direction", "rotation"]
[[limits]]
say = "At most two inverts"
when = { invert = true }
most = 2
per = "run"
"""


def tried(
    notation: str, pass_no: int, toml: str = CLUB_DAY, **more: str
) -> dict[str, NextTrick]:
    """Every trick by name at the end of a pass of a run."""
    found = next_tricks(read_run(notation), load_format(toml), VOCABULARY, pass_no, **more)
    return {each.trick.name: each for each in found}


def codes(each: NextTrick) -> list[tuple[str, int | None, int | None]]:
    return [(f.code, f.pass_no, f.position) for f in each.findings]


class TestOneTrick:
    def test_every_trick_is_tried_in_order(self):
        """The whole vocabulary, in its own order."""
        found = next_tricks(Run(), load_format(CLUB_DAY), VOCABULARY, 1)

        assert [each.trick for each in found] == list(VOCABULARY.tricks)

    def test_a_third_invert(self):
        here = tried("HS backroll | Tantrum", 2)

        assert not here["Raley"].allowed
        assert codes(here["Raley"]) == [("limit-most", 2, 2)]
        assert here["HS FS 180"] == NextTrick(VOCABULARY.by_key["hs_fs_180"], True, ())

    def test_a_repeat(self):
        assert codes(tried("HS FS 180 | Indy", 2)["HS FS 180"]) == [("repeat", 2, 2)]

    def test_a_trick_too_many(self):
        here = tried("HS FS 180, TS FS 180, Indy | Mute", 1)

        assert all(("too-many-tricks", 1, 4) in codes(each) for each in here.values())
        assert not any(each.allowed for each in here.values())

    def test_a_pass_too_many(self):
        here = tried("HS FS 180 | Indy", 3)

        assert not any(each.allowed for each in here.values())
        assert ("pass-count", 3, None) in codes(here["Raley"])

    def test_an_empty_run(self):
        here = tried("", 1)

        assert all(each.allowed for each in here.values())

    def test_what_is_not_counted_is_allowed(self):
        toml = CLUB_DAY.replace('"once"', '"first counts"')

        here = tried("HS FS 180 | Indy", 2, toml)

        assert here["HS FS 180"].allowed
        assert [f.grade for f in here["HS FS 180"].findings] == [Grade.UNCOUNTED]

    def test_what_is_not_stated_is_allowed_and_said(self):
        toml = CLUB_DAY.replace('rule = "once"\n', "")

        here = tried("HS FS 180 | Indy", 2, toml)

        assert here["HS FS 180"].allowed
        assert [f.grade for f in here["HS FS 180"].findings] == [Grade.UNSTATED]

    def test_a_later_trick_that_it_pushes_over_the_limit(self):
        """A third invert in pass 1 makes the one in pass 2 the third: it is not allowed."""
        here = tried("HS backroll | Tantrum", 1)

        assert not here["Raley"].allowed
        assert codes(here["Raley"]) == [("limit-most", 2, 1)]

    def test_what_was_wrong_before_is_not_its_fault(self):
        """The run has three inverts already; a spin adds nothing to that."""
        here = tried("HS backroll, Raley | Tantrum, Indy", 2)

        assert here["HS FS 180"].allowed
        assert here["HS FS 180"].findings == ()
        assert codes(here["Krypt"]) == [("limit-most", 2, 3)]

    def test_a_bonus_trick_behind_it_is_not_new(self):
        """The bonus tricks of a pass are numbered on from its tricks."""
        here = tried("HS backroll, Raley | Indy + double-up tantrum", 2)

        assert here["HS FS 180"].findings == ()

    def test_the_bonus_trick(self):
        here = tried("HS backroll, Raley | Indy", 2, bonus="double-up")

        assert codes(here["Tantrum"]) == [("limit-most", 2, 2)]
        assert here["HS FS 360"].allowed

    def test_a_bonus_trick_where_there_is_none(self):
        here = tried("HS backroll | Indy", 1, bonus="double-up")

        assert ("double-up-not-offered", 1, 2) in codes(here["HS FS 360"])
        assert not here["HS FS 360"].allowed

    def test_a_later_trick_that_it_makes_a_repeat(self):
        """The grabbed backroll of pass 2 becomes a repeat and no longer counts as a grab."""
        toml = """
            double_ups = []
            [passes]
            count = 2
            any_number = true
            [repeats]
            rule = "not counted"
            per = "run"
            differs_by = ["approach", "rotation"]
            uses_limit = false
            [[limits]]
            when = { grabbed = true }
            least = 1
            per = "run"
            """
        here = tried("HS FS 180 | HS backroll indy", 1, toml)

        assert codes(here["HS backroll"]) == [
            ("repeat-uncounted", 2, 1),
            ("limit-least", None, None),
        ]
        assert not here["HS backroll"].allowed
        assert here["TS backroll"].findings == ()

    def test_by_division(self):
        """A double-up for one division only is not allowed in another."""
        toml = CLUB_DAY.replace("after_pass = 2,", 'after_pass = 2, divisions = ["Open"],')

        assert tried("Indy | Mute", 2, toml, bonus="double-up", division="open")[
            "Raley"
        ].allowed
        here = tried("Indy | Mute", 2, toml, bonus="double-up", division="Novice")
        assert not any(each.allowed for each in here.values())

    def test_passes_count_from_one(self):
        with pytest.raises(ValueError, match="count from 1"):
            next_tricks(Run(), load_format(CLUB_DAY), VOCABULARY, 0)

    def test_an_empty_vocabulary(self):
        assert next_tricks(Run(), load_format(CLUB_DAY), Vocabulary(()), 1) == ()


def test_where_the_trick_is_put():
    """At the end of the tricks, before the extras; or as an extra off the double-up."""
    run, trick = read_run("Indy | Mute + double-up raley"), VOCABULARY.by_key["tantrum"]

    at_end = with_trick(run, trick, 2)
    as_extra = with_trick(run, trick, 1, "double-up")

    assert [p.trick.name for p in at_end.passes[1].attempts] == ["Mute", "Tantrum", "Raley"]
    assert as_extra.passes[0].bonus[0].trick.takeoff is Takeoff.DOUBLE_UP
    assert len(with_trick(run, trick, 4).passes) == 4


few = st.lists(st.sampled_from(TRICKS), min_size=1, max_size=6, unique_by=lambda t: t.key)


@settings(max_examples=150, deadline=None)
@given(
    runs,
    formats(),
    few,
    st.integers(1, 3),
    maybe(st.sampled_from(["double-up", "style trick"])),
    maybe(st.sampled_from(DIVISIONS)),
    maybe(st.sampled_from(ROUNDS)),
)
def test_agrees_with_a_full_check(run, format, tricks, pass_no, bonus, division, round):
    """Each answer is what a full check of the longer run adds to that of the run."""
    tricks = [*tricks, *(p.planned.entry for p in run.places())][:8]
    tricks = list({trick.key: trick for trick in tricks}.values())
    before = Counter(
        _in_short(f, run, pass_no, bonus) for f in legality(run, format, division, round)
    )
    answers = next_tricks(
        run, format, Vocabulary(tricks), pass_no, bonus=bonus, division=division, round=round
    )
    assert [each.trick for each in answers] == tricks
    for each in answers:
        full = legality(with_trick(run, each.trick, pass_no, bonus), format, division, round)
        added = Counter(map(_plain, full)) - before
        assert Counter(map(_plain, each.findings)) == added
        assert not Counter(each.findings) - Counter(full)
        assert each.allowed is not any(grade is Grade.RULE for _, grade, *_ in added)


def _plain(finding):
    """A finding without its sentences, which may count on: the third, the fourth."""
    return (
        finding.code, finding.grade, finding.pass_no, finding.position, finding.words,
    )  # fmt: skip


def _in_short(finding, run, pass_no, bonus):
    """The same in the places of the longer run: one more trick moves the extras up."""
    here = pass_no <= len(run.passes) and finding.pass_no == pass_no and not bonus
    if here and (finding.position or 0) > len(run.passes[pass_no - 1].tricks):
        finding = replace(finding, position=finding.position + 1)
    return _plain(finding)
