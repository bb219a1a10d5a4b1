"""Mends that show one skill more, each by a single trick.

No source: that judges look for variety is common practice, so what is checked is our own
wording, products worked out by hand, and that nothing gets worse.
"""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from events.rules.condition import Condition
from events.rules.findings import Finding, Grade
from events.rules.format import Format
from events.rules.notation import read_run, read_trick, write_trick
from events.rules.riding import Limit, Repeats
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.vocabulary import standard_vocabulary
from events.rules.words import Attribute, Breach, Per, Repeat
from riders.planning.ground import Ground, bare
from riders.planning.mends import MENDABLE, Mend, may_mend, mend
from tests.planning.building import chances, one_fall

CODES = {f"variety-{each}" for each in ("edges", "stance", "spins", "grabs", "inverts")}
LINES = {
    "variety-edges": "HS backroll 80%, HS FS 180 90%, HS wake jump indy 95%, Tantrum 70%, "
    "switch HS BS 360 50%",
    "variety-stance": "HS backroll 80%, TS FS 180 90%, Indy 95%, HS BS 360 50%, "
    "HS wake jump 90%",
    "variety-spins": "HS backroll 80%, TS FS 180 90%, Indy 95%, switch HS FS 360 50%, Raley 40%",
    "variety-grabs": "HS backroll 80%, TS FS 180 90%, HS wake jump 95%, switch HS BS 360 50%, "
    "TS wake jump 85%",
    "variety-inverts": "HS wake jump 80%, TS FS 180 90%, Indy 95%, switch HS BS 360 50%, "
    "TS wake jump 85%",
}
ONCE = Repeats(Repeat.ONCE, Per.RUN, None)
FORMAT = one_fall(900.0, limits=(), double_ups=(), repeats=ONCE)
RECORD = tuple(map(read_trick, (
    "switch HS FS 180 60%", "HS BS 180 75%", "TS wake jump mute 70%", "TS backroll 65%",
)))  # fmt: skip
TRICKS = standard_vocabulary().tricks


def found(
    code: str, record: tuple[PlannedTrick, ...] = RECORD, format: Format = FORMAT
) -> tuple[Finding, Mend | None]:
    """The finding of that code in its own run, and its mend."""
    run, ground = read_run(LINES[code]), Ground(format)
    (finding,) = [f for f in ground.check(run).findings if f.code == code]
    return finding, mend(finding, run, ground, record)


@pytest.mark.parametrize(
    ("code", "sentence"),
    [
        # 0.8 x 0.9 x 0.95 x 0.7 x 0.5 = 0.2394, and 70 % stands for 70 %.
        (
            "variety-edges",
            "Replace Tantrum by TS wake jump mute in pass 1: clean stays 23.9 %.",
        ),
        # 0.3078 x 0.6 / 0.9 = 0.2052; HS BS 360 would cost less but is the only backside spin.
        (
            "variety-stance",
            "Replace HS wake jump by switch HS FS 180 in pass 1: clean 31 % to 21 %.",
        ),
        # 0.1368 x 0.75 / 0.4 = 0.2565
        ("variety-spins", "Replace Raley by HS BS 180 in pass 1: clean 14 % to 26 %."),
        # 0.2907 x 0.7 / 0.85 = 0.2394; switch HS BS 360 would cost less but alone is switch.
        (
            "variety-grabs",
            "Replace TS wake jump by TS wake jump mute in pass 1: clean 29 % to 24 %.",
        ),
        # 0.2907 x 0.65 / 0.8 = 0.2362
        (
            "variety-inverts",
            "Replace HS wake jump by TS backroll in pass 1: clean 29 % to 24 %.",
        ),
    ],
)
def test_a_skill_is_shown_by_a_trick_of_the_record(code: str, sentence: str) -> None:
    """Of all places and tricks what costs least of clean and gives up no other skill."""
    finding, got = found(code)
    assert got is not None
    assert got.sentence == sentence
    assert code in MENDABLE
    assert may_mend(finding, read_run(LINES[code]), Ground(FORMAT), RECORD)


@pytest.mark.parametrize(
    ("code", "new", "old"),
    [
        ("variety-edges", "TS wake jump indy", "HS wake jump indy"),
        ("variety-stance", "switch HS wake jump", "HS wake jump"),
        ("variety-spins", "TS BS 180", "TS FS 180"),
        ("variety-grabs", "HS wake jump indy", "HS wake jump"),
    ],
)
def test_without_a_record_the_same_trick_in_another_way(code: str, new: str, old: str) -> None:
    """An easy one, its chance left open, and the caution on new tricks with it."""
    _, got = found(code, ())
    assert got is not None
    assert got.sentence == (
        f"Ride {new} instead of {old} in pass 1. How often you land {new} is not known, so the "
        "figures wait for it. A new trick is learnt in practice with a coach, not in a contest."
    )
    (trick,) = [p for p in got.run.places() if write_trick(p.planned) == new]
    assert trick.planned.likelihood is None


def test_no_invert_is_suggested_without_a_record() -> None:
    """A new invert may hurt: the hint says what to look for, and no mend is offered."""
    finding, got = found("variety-inverts", RECORD[:3])
    assert got is None
    assert not may_mend(finding, read_run(LINES["variety-inverts"]), Ground(FORMAT), RECORD[:3])
    assert "an invert that you already land" in finding.hint


def test_a_run_of_inverts_only() -> None:
    """An upright trick of the record, else an easy one; never a switch or grabbed invert."""
    run, ground = (
        read_run("HS backroll, TS backroll, Tantrum, Scarecrow, Raley"),
        Ground(FORMAT),
    )
    of = {f.code: f for f in ground.check(run).findings}
    easy = mend(of["variety-inverts"], run, ground)
    assert easy is not None
    assert easy.sentence.startswith("Ride Wake jump instead of ")
    assert mend(of["variety-stance"], run, ground) is None
    assert not may_mend(of["variety-stance"], run, ground)
    known = mend(of["variety-inverts"], run, ground, (read_trick("HS wake jump 90%"),))
    assert known is not None
    assert "by HS wake jump in pass 1" in known.sentence


def test_a_banned_trick_mends_nothing() -> None:
    """A record trick that a limit bans is passed over for one that keeps the rules."""
    banned = Limit(say="No grabs on jumps.", when=Condition(grab=("mute",)), most=0)
    _, got = found("variety-grabs", RECORD, replace(FORMAT, limits=(banned,)))
    assert got is not None
    assert got.sentence.startswith("Ride HS wake jump indy instead of HS wake jump")
    none = Limit(say="No grabs.", when=Condition(grab=("indy", "mute", "tail")), most=0)
    assert found("variety-grabs", RECORD, replace(FORMAT, limits=(none,)))[1] is None


def test_a_repeat_that_is_not_counted_shows_nothing() -> None:
    """Grabs that make no difference to the rules would be repeats."""
    same = Repeats(Repeat.NOT_COUNTED, Per.RUN, (Attribute.APPROACH, Attribute.DIRECTION,
                                                 Attribute.ROTATION))  # fmt: skip
    jumps = (read_trick("TS wake jump mute 70%"),)
    _, got = found("variety-grabs", jumps, replace(FORMAT, repeats=same))
    assert got is not None  # in its own place the jump is no repeat
    assert "Replace TS wake jump by" in got.sentence


@st.composite
def varied(draw: st.DrawFn) -> tuple[Run, tuple[PlannedTrick, ...]]:
    """A run of five to eight real tricks in two passes, and a record of some others."""
    pool = draw(st.sampled_from([TRICKS, [t for t in TRICKS if t.invert],
                                 [t for t in TRICKS if not t.invert and not t.grab]]))  # fmt: skip
    tricks = st.builds(PlannedTrick, st.sampled_from(pool), chance=chances)
    planned = draw(st.lists(tricks, min_size=5, max_size=8))
    cut = draw(st.integers(1, len(planned)))
    known = st.builds(PlannedTrick, st.sampled_from(TRICKS), chance=chances)
    run = Run((Pass(tuple(planned[:cut])), Pass(tuple(planned[cut:]))))
    return run, tuple(draw(st.lists(known, max_size=5)))


ONE_SPIN = Limit(say="One spin.", when=Condition(rotation_over=180), most=1, per=Per.PASS,
                 breach=Breach.NOT_COUNTED)  # fmt: skip

formats = st.builds(
    lambda length, rule, limit: one_fall(
        length, limits=limit, double_ups=(), repeats=Repeats(rule, Per.RUN, None)
    ),
    st.sampled_from([None, 400.0]),
    st.sampled_from(Repeat),
    st.sampled_from([
        (), (Limit(say="Two inverts.", when=Condition(invert=True), most=2, per=Per.RUN),),
        (ONE_SPIN,),
    ]),
)  # fmt: skip


# One repeat fewer, but the spin that is new would itself be one too many to count.
SPINS = read_run("Surface FS 180 0%, Surface FS 180 0%, Surface FS 180 0%, Ollie FS 360 0%, "
                 "Ollie FS 360 0%")  # fmt: skip
FIRST = one_fall(
    None, limits=(ONE_SPIN,), double_ups=(), repeats=Repeats(Repeat.FIRST_COUNTS, Per.RUN, None)
)


@settings(max_examples=60, deadline=None)
@given(varied(), formats)
@example((SPINS, (read_trick("One-wake TS FS 360 0%"),)), FIRST)
def test_an_offered_mend_takes_the_finding_away_and_breaks_no_rule(
    drawn: tuple[Run, tuple[PlannedTrick, ...]], format: Format
) -> None:
    """One trick is changed for one that counts; that finding is gone, no other skill with
    it, and no finding that breaks a rule or is not counted comes instead."""
    run, record = drawn
    ground = Ground(format)
    before = ground.check(run).findings
    for finding in before:
        got = mend(finding, run, ground, record) if finding.code in CODES else None
        if got is None:
            continue
        assert may_mend(finding, run, ground, record)
        after = ground.check(got.run).findings
        codes = {each.code for each in after}
        assert finding.code not in codes
        assert codes & CODES < {each.code for each in before}
        for grade in (Grade.RULE, Grade.UNCOUNTED, Grade.UNREACHABLE):
            old, new = (Counter(f.code for f in all_of if f.grade is grade)
                        for all_of in (before, after))  # fmt: skip
            assert new <= old
        (new,) = [new for old, new in zip(run.places(), got.run.places(), strict=True)
                  if old.planned != new.planned]  # fmt: skip
        lost = {(each.pass_no, each.position) for each in after
                if each.grade in (Grade.UNCOUNTED, Grade.UNREACHABLE)}  # fmt: skip
        assert (new.pass_no, new.position) not in lost
        known = {bare(each) for each in record}
        is_new = new.planned.likelihood is None
        assert bare(new.planned) in known or (is_new and not new.trick.invert)
        assert ("is not known" in got.sentence) == is_new
