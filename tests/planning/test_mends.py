"""Every mend takes its finding away and breaks nothing."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.rules.condition import Condition
from events.rules.findings import Finding, Grade
from events.rules.format import Format
from events.rules.notation import read_run, read_trick, write_run
from events.rules.riding import DoubleUp, Limit, Passes, Repeats
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.trick import Air, Edge, Stance
from events.rules.words import Breach, Per, Repeat
from riders.planning.ground import Ground
from riders.planning.mends import MENDABLE, mend
from riders.planning.route import Foot, Side
from tests.planning.building import (
    HS,
    TS,
    chances,
    formats,
    one_fall,
    planned,
    runs,
    trick,
    tricks,
)

records = st.lists(st.builds(planned, tricks, chances), max_size=4).map(tuple)
limits = st.builds(
    Limit,
    say=st.just("A limit."),
    when=st.sampled_from([Condition(rotation_over=200), Condition(stance=(Stance.SWITCH,)),
                          Condition(approach=(Edge.TOESIDE,)), None]),
    most=st.sampled_from([0, 1, 2]),
    per=st.sampled_from([Per.RUN, Per.PASS]),
    breach=st.sampled_from([None, Breach.NOT_COUNTED, Breach.JUDGES_DECIDE]),
)  # fmt: skip


@st.composite
def strict_formats(draw: st.DrawFn) -> Format:
    """A format with rules that random runs break."""
    format = draw(formats())
    return replace(
        format,
        passes=replace(
            format.passes,
            count=draw(st.sampled_from([None, 1, 2, 3])),
            tricks_most=draw(st.sampled_from([None, 2, 3])),
            tricks_least=draw(st.sampled_from([None, 1, 2])),
            different_least=draw(st.sampled_from([None, 3])),
        ),
        repeats=Repeats(
            rule=draw(st.sampled_from(Repeat)),
            per=draw(st.sampled_from(Per)),
            differs_by=draw(st.sampled_from([None, ()])),
        ),
        limits=tuple(draw(st.lists(limits, max_size=2))),
    )


def broken(findings: tuple[Finding, ...]) -> Counter[str]:
    return Counter(each.code for each in findings if each.grade is Grade.RULE)


@settings(max_examples=30, deadline=None)
@given(runs(most=5), strict_formats(), records, st.sampled_from(Foot), st.sampled_from(Side))
def test_a_mend_removes_its_finding_and_breaks_no_rule(
    run: Run, format: Format, record: tuple[PlannedTrick, ...], foot: Foot, side: Side
) -> None:
    """For every finding of a check: one less of its kind, no rule finding more."""
    ground = Ground(format, foot, side)
    before = ground.check(run).findings
    for finding in before:
        found = mend(finding, run, ground, record)
        if found is None:
            continue
        assert finding.code in MENDABLE
        assert found.sentence.endswith(".")
        after = ground.check(found.run).findings
        count = [
            sum(each.code == finding.code for each in all_of) for all_of in (before, after)
        ]
        assert count[1] < count[0]
        assert broken(after) <= broken(before)
        assert mend(finding, run, ground, record) == found


GROUND = Ground(one_fall(500.0, limits=(), double_ups=(DoubleUp(after_pass=2),)))
RECORD = tuple(map(read_trick, ("Tantrum 9/10", "TS FS 360 70%", "Method 95%", "Raley 3/10")))


def mended(
    line: str, code: str, ground: Ground = GROUND, record: tuple[PlannedTrick, ...] = RECORD
) -> tuple[str, str]:
    """The sentence and the line after the mend of the first finding of that code."""
    run = read_run(line)
    finding = next(f for f in ground.check(run).findings if f.code == code)
    found = mend(finding, run, ground, record)
    assert found is not None
    return found.sentence, write_run(found.run)


def rules(**passes: object) -> Ground:
    return Ground(replace(GROUND.format, passes=replace(GROUND.format.passes, **passes)))


def test_a_crossing_is_saved_by_another_order() -> None:
    """Two heelside tricks in a row: a toeside one goes between them."""
    assert mended("HS backroll, Tantrum, TS FS 360", "crossing-needed") == (
        "Swap Tantrum and TS FS 360 in pass 1. It saves 25 m.",
        "HS backroll, TS FS 360, Tantrum",
    )


def test_a_turn_is_saved_by_the_other_stance_if_the_record_knows_it() -> None:
    """From the starboard side in the own stance, heelside needs neither turn nor crossing."""
    start, known = "switch HS FS 180 60%", (read_trick("switch HS FS 180 80%"),)
    record = (read_trick("HS FS 180 90%"),)
    assert mended(start, "turn-needed", record=record) == (
        "Ride HS FS 180 instead of switch HS FS 180. It saves 40 m.", "HS FS 180 90%",
    )  # fmt: skip
    run = read_run(start)
    finding = next(f for f in GROUND.check(run).findings if f.code == "turn-needed")
    assert mend(finding, run, GROUND, known) is None


def test_a_trick_that_does_not_fit_goes_where_there_is_room() -> None:
    """A shorter way first, then another pass, and only then is it left out."""
    ground = Ground(replace(one_fall(200.0), limits=()))
    line = "Indy, Indy, Indy, Method"
    assert mended(f"{line} | Tantrum", "does-not-fit", ground) == (
        "Move Method to the end of pass 2.", "Indy, Indy, Indy | Tantrum, Method",
    )  # fmt: skip
    assert mended(line, "pass-too-long", ground) == (
        "Take Method out of pass 1.", "Indy, Indy, Indy",
    )  # fmt: skip
    assert mended("HS backroll, Tantrum, TS FS 360", "does-not-fit", ground)[1] == (
        "HS backroll, TS FS 360, Tantrum"
    )


def test_the_first_trick_becomes_a_sure_one() -> None:
    """The surest of the pass, or else one of the record."""
    assert mended("Raley 50%, Indy 80%, Method 90%", "first-trick-unreliable") == (
        "Start with Method, and ride Raley later.", "Method 90%, Indy 80%, Raley 50%",
    )  # fmt: skip
    sentence, line = mended("HS backroll 50%", "first-trick-unreliable")
    assert sentence == "Replace HS backroll by Method in pass 1."
    assert line == "Method 95%"


def test_the_hardest_trick_moves_later() -> None:
    """To the end, or to the last place before the cutoff."""
    tiers = [planned(trick(f"T{tier}", tier=tier)) for tier in (9, 1, 2, 3)]
    run = Run((Pass(tuple(tiers)),))
    ground = Ground(one_fall())
    finding = next(f for f in ground.check(run).findings if f.code == "hardest-trick-early")
    found = mend(finding, run, ground)
    assert found is not None
    assert found.sentence == "Move T9 to the end of pass 1."
    cutoff = Ground(one_fall(double_ups=(DoubleUp(after_pass=1, cutoff_m=130.0),)))
    run = Run((Pass((*tiers[1:], tiers[0]), (planned(bonus="double-up"),)),))
    finding = next(f for f in cutoff.check(run).findings if f.code == "hardest-past-cutoff")
    found = mend(finding, run, cutoff)
    assert found is not None
    assert found.sentence == "Move T9 to place 3 of pass 1."


def test_big_air_moves_ahead_of_small_crossings() -> None:
    """Common practice, no source: big airs early."""
    small, big = trick("Small", HS), trick("Big", TS, air=Air.BIG)
    run = Run((Pass((planned(small), planned(big))),))
    finding = next(
        f for f in GROUND.check(run).findings if f.code == "big-air-after-wake-to-wake"
    )
    found = mend(finding, run, GROUND)
    assert found is not None
    assert [each.entry.name for each in found.run.passes[0].tricks] == ["Big", "Small"]


def test_too_many_and_too_few() -> None:
    """One too many goes to the emptier pass; the record fills up a pass."""
    two = rules(tricks_most=2, count=2)
    assert mended("Indy, Tantrum, Raley | HS backroll", "too-many-tricks", two) == (
        "Move Raley to the end of pass 2.", "Indy, Tantrum | HS backroll, Raley",
    )  # fmt: skip
    assert mended("Indy, Tantrum, Raley | HS backroll, Method", "too-many-tricks", two) == (
        "Take Raley out of pass 1.", "Indy, Tantrum | HS backroll, Method",
    )  # fmt: skip
    least = rules(tricks_least=2, count=2)
    assert mended("Indy, HS backroll | Raley", "too-few-tricks", least)[1] == (
        "Indy, HS backroll | Raley, Method 95%"
    )
    assert mended("Indy, HS backroll", "pass-missing", least)[1] == (
        "Indy, HS backroll | Method 95%, Tantrum 9/10"
    )
    assert mended("Indy | ", "pass-empty") == (
        "Add Method to pass 2.", "Indy | Method 95%",
    )  # fmt: skip
    assert mended("Indy | Raley | Method", "pass-count", rules(count=2)) == (
        "Take pass 3 out.", "Indy | Raley",
    )  # fmt: skip


def test_repeats_and_limits() -> None:
    """An unused trick of the record takes the place, or the trick is taken out."""
    once = Ground(replace(GROUND.format, repeats=Repeats(rule=Repeat.ONCE, per=Per.RUN)))
    assert mended("Tantrum, Tantrum", "repeat", once)[1] == "Tantrum, Method 95%"
    assert mended("Tantrum, Tantrum", "repeat", once, ()) == (
        "Take Tantrum out of pass 1.", "Tantrum",
    )  # fmt: skip
    banned = Limit(say="No inverts.", when=Condition(invert=True), most=0)
    none = Ground(replace(GROUND.format, limits=(banned,)))
    assert mended("Indy, HS backroll", "limit-most", none)[0] == (
        "Replace HS backroll by Method in pass 1."
    )
    one = replace(banned, most=1, per=Per.PASS)
    per_pass = Ground(replace(GROUND.format, limits=(one,)))
    assert mended("Raley, Tantrum | Indy", "limit-most", per_pass, ()) == (
        "Move Tantrum to the end of pass 2.", "Raley | Indy, Tantrum",
    )  # fmt: skip


def test_double_ups_go_where_they_are_offered() -> None:
    """After the pass that has one, or out."""
    assert mended("Indy + double-up tantrum | Raley", "double-up-not-offered")[1] == (
        "Indy | Raley + double-up Tantrum"
    )
    none = Ground(replace(GROUND.format, double_ups=()))
    assert mended("Indy + double-up tantrum | Raley", "double-up-not-offered", none) == (
        "Take double-up Tantrum out of pass 1.", "Indy | Raley",
    )  # fmt: skip
    inside = "Indy | Raley, double-up tantrum"
    assert mended(inside, "double-up-inside-pass")[1] == "Indy | Raley + double-up Tantrum"
    twice = "Indy | Raley + double-up tantrum + double-up indy"
    assert mended(twice, "double-up-twice")[1] == "Indy | Raley + double-up Tantrum"
    asked = Ground(replace(GROUND.format, double_ups=(DoubleUp(after_pass=2, optional=False),)))
    known = (read_trick("double-up tantrum 60%"),)
    assert mended("Indy | Raley", "double-up-missing", asked, known)[1] == (
        "Indy | Raley + double-up Tantrum 60%"
    )


def test_a_missing_chance_comes_from_the_record() -> None:
    """The same trick with its landings."""
    assert mended("Indy 80%, Tantrum", "chance-missing") == (
        "Take the chance of Tantrum from your record: 90 %.", "Indy 80%, Tantrum 9/10",
    )  # fmt: skip


@pytest.mark.parametrize("code", ["variety-grabs", "length-unstated", "nothing-like-it"])
def test_no_mend_where_no_single_change_is_right(code: str) -> None:
    """Advice on the whole run, and questions to the organiser, are left to the rider."""
    run = read_run("Indy 80%, TS FS 180 90%")
    assert mend(Finding(code, Grade.ADVICE, "."), run, GROUND, RECORD) is None
    # A finding that the run does not have cannot be taken away.
    assert mend(Finding("repeat", Grade.RULE, ".", "", 1, 2), run, GROUND, RECORD) is None


def test_a_trick_of_the_other_edge_is_not_put_in_its_place() -> None:
    """Only the same trick from another edge or stance saves a move in its own place."""
    run = Run((Pass((planned(trick("One", HS)), planned(trick("Two", HS)))),))
    finding = next(f for f in GROUND.check(run).findings if f.code == "crossing-needed")
    assert mend(finding, run, GROUND, (planned(trick("Other", TS), 0.9),)) is None
    toeside = replace(run.passes[0].tricks[1], approach=TS)
    found = mend(finding, run, GROUND, (toeside,))
    assert found is not None
    assert found.run.passes[0].tricks[1] == toeside


def test_the_rule_of_passes_is_kept_in_view() -> None:
    """A mend that would leave a pass too short is not offered."""
    ground = Ground(one_fall(200.0, limits=()))
    four = replace(ground.format, passes=Passes(length_m=(200.0,), tricks_least=4))
    run = read_run("Indy, Indy, Indy, Method")
    strict = replace(ground, format=four)
    finding = next(f for f in strict.check(run).findings if f.code == "does-not-fit")
    assert mend(finding, run, strict, RECORD) is None


def test_a_surer_trick_of_another_pass_comes_first() -> None:
    sentence, line = mended(
        "HS backroll 70%, TS FS 180 66% | Indy 90%", "first-trick-unreliable"
    )

    assert sentence == "Swap HS backroll and Indy of pass 2."
    assert line.startswith("Indy 90%, TS FS 180 66%")
