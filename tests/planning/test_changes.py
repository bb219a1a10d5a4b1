"""What single changes bring: recomputed, legal, best first, and nothing missed."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.rules.format import Format
from events.rules.notation import read_run, read_trick
from events.rules.riding import Falls, Passes, Repeats
from events.rules.run import Pass, Run
from events.rules.words import NextFall, Per, Repeat
from riders.planning.changes import Kind, moved, single_changes, swapped
from riders.planning.ground import Goal, Ground
from tests.planning.building import (
    chances,
    formats,
    one_fall,
    planned,
    run_of_chances,
    runs,
    trick,
    tricks,
)

records = st.lists(st.builds(planned, tricks, chances), max_size=3).map(tuple)


@settings(max_examples=60, deadline=None)
@given(runs(most=6), formats(), st.sampled_from(Goal), records)
def test_every_change_is_legal_recomputed_and_in_its_place(
    run: Run, format: Format, goal: Goal, record: tuple
) -> None:
    """The figures are those of the changed run, the greatest gain comes first."""
    ground = Ground(format)
    found = single_changes(run, ground, record=record, goal=goal, only_gains=False)
    assert single_changes(run, ground, record=record, goal=goal, only_gains=False) == found
    gains = [round(each.gain, 9) for each in found]
    assert gains == sorted(gains, reverse=True)
    assert len({each.run for each in found}) == len(found) <= 20
    for each in found:
        assert each.run != run
        assert ground.is_legal(each.run)
        assert each.after == ground.survive(each.run)
        assert each.before == ground.survive(run)
        before, after = goal.of(each.before), goal.of(each.after)
        assert before is not None
        assert after is not None
        assert each.gain == pytest.approx(after - before)
    helpful = single_changes(run, ground, record=record, goal=goal, limit=None)
    assert all(each.gain > 0 for each in helpful)
    every = single_changes(run, ground, record=record, goal=goal, only_gains=False, limit=None)
    assert [e for e in every if e.gain > 1e-9] == list(helpful)


def test_a_sure_trick_that_does_not_count_again_is_not_offered() -> None:
    """Under "first counts" another Indy raises clean only; where repeats are free it may."""
    run = read_run("Indy 95%, HS backroll 50%")
    record = (read_trick("Indy 95%"), read_trick("HS FS 180 80%"))
    rules = {rule: Ground(one_fall(repeats=Repeats(rule, Per.RUN, ()))) for rule in Repeat}
    put_in = {
        rule: {e.run.passes[0].tricks[-1].trick.name for e in single_changes(
            run, ground, record=record) if e.kind is Kind.REPLACE}
        for rule, ground in rules.items()
    }  # fmt: skip
    assert put_in.pop(Repeat.FREE) == {"Indy", "HS FS 180"}
    assert all(names == {"HS FS 180"} for names in put_in.values())


def test_every_drop_swap_move_and_safer_trick_is_there() -> None:
    """Two and three different tricks: 5 drops, 10 swaps, and the moves that are no swap."""
    first = [planned(trick(f"A{n}"), 0.5 + n / 10) for n in range(2)]
    second = [planned(trick(f"B{n}"), 0.6 + n / 10) for n in range(3)]
    run = Run((Pass(tuple(first)), Pass(tuple(second))))
    record = (planned(trick("Safe"), 0.75), planned(trick("Safest"), 0.99))
    every = single_changes(run, Ground(one_fall()), record=record, only_gains=False, limit=None)
    kinds = [each.kind for each in every]
    assert kinds.count(Kind.DROP) == 5
    # Moving the last but one to the end is the swap of the last two, and is told as a move.
    assert kinds.count(Kind.SWAP) == 10 - 2
    assert kinds.count(Kind.MOVE) == 1 + 2 + 2 + 3
    assert kinds.count(Kind.REPLACE) == 4 + 5  # one of 0.8 has one safer trick only


def test_moving_a_trick_that_does_not_fit_is_said_in_figures() -> None:
    """The set-up moves of four tricks are too much for 250 m; the other pass has room."""
    run = read_run("HS backroll 90%, TS FS 180 80%, Indy 90%, Method 90% | Tantrum 90%")
    ground = Ground(one_fall(250.0))
    assert ground.survive(run).clean == 0.0
    found = single_changes(run, ground, limit=None)
    best = next(each for each in found if each.kind is Kind.MOVE)
    assert best.after.clean == pytest.approx(0.9**4 * 0.8)
    assert best.sentence.endswith("to the end of pass 2: clean 0 % to 52 %")


def test_a_safer_trick_is_named() -> None:
    """The sentence holds both tricks, the pass and the figures."""
    run = read_run("HS backroll 50%, Tantrum 80%")
    record = (read_trick("Indy 4/5"), read_trick("Raley 2/5"))
    found = single_changes(run, Ground(one_fall()), record=record, limit=2)
    assert [each.sentence for each in found] == [
        "Drop HS backroll from pass 1: clean 40 % to 80 %",
        "Replace HS backroll by Indy in pass 1: clean 40 % to 64 %",
    ]


def test_the_doubtful_trick_moves_to_the_end() -> None:
    """Common practice, no source: where falls end the run, more tricks are then landed."""
    ground = Ground(Format(falls=Falls(allowed=0, next_fall=NextFall.ENDS_RUN)))
    run = run_of_chances([0.4, 0.9, 0.8])
    best = single_changes(run, ground, goal=Goal.EXPECTED_LANDED)[0]
    assert best.kind is Kind.MOVE
    assert [p.chance for p in best.run.passes[0].tricks] == [0.9, 0.8, 0.4]
    assert best.sentence.startswith("Move Straight air to the end of pass 1: expected landed ")


def test_what_breaks_a_rule_is_left_out() -> None:
    """With at least two tricks asked in a pass none may be dropped."""
    format = replace(one_fall(), passes=Passes(tricks_least=2))
    run = run_of_chances([0.5, 0.6])
    found = single_changes(run, Ground(format), only_gains=False)
    assert {each.kind for each in found} == {Kind.MOVE}


def test_nothing_without_the_figure() -> None:
    """No chance, no figures; no double-up, no figure of it."""
    run = Run((Pass((planned(chance=None), planned())),))
    assert single_changes(run, Ground(one_fall())) == ()
    assert single_changes(run_of_chances([0.5]), Ground(one_fall()), goal=Goal.DOUBLE_UP) == ()


@given(runs(most=8, bonus=False), st.data())
def test_moving_and_swapping_keep_every_trick(run: Run, data: st.DataObject) -> None:
    """Back again gives the same run."""
    spots = [(place.pass_no, place.position) for place in run.places()]
    if not spots:
        return
    here, there = data.draw(st.sampled_from(spots)), data.draw(st.sampled_from(spots))
    if here != there:
        assert swapped(swapped(run, here, there), here, there) == run
    assert moved(moved(run, here, there), there, here) == run
