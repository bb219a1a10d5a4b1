"""Back-ups keep the rest of the run as it is."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.rules.condition import Condition
from events.rules.format import Format
from events.rules.notation import read_run, read_trick
from events.rules.riding import Limit, Repeats
from events.rules.run import Pass, Run
from events.rules.words import Per, Repeat, UsedBy
from riders.planning.backups import back_up_line, back_ups
from riders.planning.ground import Ground, replacements, with_trick_at
from riders.planning.route import Foot, Side, plan_route, state_after, states_before
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

records = st.lists(st.builds(planned, tricks, chances), max_size=6).map(tuple)


@settings(max_examples=80, deadline=None)
@given(runs(most=6), formats(), records, st.sampled_from(Foot), st.sampled_from(Side))
def test_a_back_up_starts_and_lands_where_the_planned_trick_does(
    run: Run, format: Format, record: tuple, foot: Foot, side: Side
) -> None:
    """Same state before and after, safe, no rule broken, no more metres for the pass."""
    ground = Ground(format, foot, side)
    found = back_ups(run, ground, record)
    route = plan_route(run, format, foot, side)
    assert [each.place for each in found] == list(run.places())
    for each, step in zip(found, route.steps(), strict=True):
        if each.trick is None:
            assert each.sentence
            continue
        place = each.place
        assert step.before in states_before(each.trick.trick, foot)
        assert state_after(step.before, each.trick.trick) == step.after
        assert (each.trick.likelihood or 0) >= 0.8
        assert (each.trick.likelihood or 0) > (place.planned.likelihood or 0)
        changed = with_trick_at(run, place.pass_no, place.position, each.trick)
        assert ground.is_legal(changed) or not ground.is_legal(run)
        assert ground.setup_m(changed) <= ground.setup_m(run) + 1e-6
        ridden = [sum(s.trick_m for s in p.steps) for p in (
            route.passes[place.pass_no - 1], ground.route(changed).passes[place.pass_no - 1])]  # fmt: skip
        assert ridden[1] <= ridden[0] + 1e-6


@settings(max_examples=60, deadline=None)
@given(runs(most=4), records)
def test_no_better_trick_of_the_record_was_passed_over(run: Run, record: tuple) -> None:
    """Where no rule stands in the way the highest tier that fits is given."""
    ground = Ground(one_fall(repeats=Repeats(Repeat.FREE)))
    for each, step in zip(back_ups(run, ground, record), ground.route(run).steps(), strict=True):
        fitting = [
            e.trick.tier for e in replacements(each.place.planned, record)
            if (e.likelihood or 0) >= 0.8
            and (e.likelihood or 0) > (each.place.planned.likelihood or 0)
            and step.before in states_before(e.trick, ground.foot)
            and state_after(step.before, e.trick) == step.after
            and (each.place.planned.bonus or (60.0 if e.trick.metres is None else e.trick.metres) <= step.trick_m)
        ]  # fmt: skip
        assert (each.trick.trick.tier if each.trick else None) == max(fitting, default=None)


def test_no_back_up_makes_a_later_trick_a_repeat_that_does_not_count() -> None:
    """Indy comes later in the run; ridden earlier, only the first of the two counts."""
    run = read_run("TS wake jump 90%, HS backroll 50% | Indy 90%")
    record = (read_trick("Indy 90%"),)
    counted = Ground(one_fall(repeats=Repeats(Repeat.FIRST_COUNTS, Per.RUN, ())))
    assert back_ups(run, counted, record)[1].trick is None
    free = Ground(one_fall(repeats=Repeats(Repeat.FREE)))
    assert back_ups(run, free, record)[1].trick == record[0]


def test_the_line_reads_back() -> None:
    """The back-up line is notation, with the planned trick where there is no back-up."""
    run = read_run("HS backroll 50%, TS FS 360 60% | Raley 55%")
    record = tuple(map(read_trick, ("Tantrum 9/10", "TS FS 180 95%", "HS FS 180 90%")))
    ground = Ground(one_fall())
    found = back_ups(run, ground, record)
    assert back_up_line(run, found) == "Tantrum 9/10, TS FS 360 60% | Tantrum 9/10"
    assert found[0].sentence == (
        "After a fall ride Tantrum (90 %) instead of HS backroll: it starts and lands where "
        "HS backroll does."
    )
    assert found[1].sentence == (
        "No safe trick starts toeside in your own stance and lands as TS FS 360 does."
    )
    assert read_run(back_up_line(run, found)).passes[1].tricks == (record[0],)


def test_why_there_is_none() -> None:
    """A safe trick needs none; without safe tricks there is none; a rule may forbid it."""
    ground = Ground(one_fall())
    safe, hard = planned(trick("Sure", HS), 0.9), planned(trick("Hard", HS, 360), 0.5)
    run = Run((Pass((safe, hard)),))
    found = back_ups(run, ground, (planned(trick("Half", TS), 0.5),))
    assert found[0].sentence == "Sure is safe itself: your record has no safer one."
    assert "no trick for Hard that you land at least four times of five" in found[1].sentence
    once = Ground(one_fall(repeats=Repeats(rule=Repeat.ONCE)))
    again = back_ups(run, once, (planned(trick("Sure", HS), 0.9),))
    assert again[1].sentence == (
        "Every safe trick that fits in place of Hard would break a rule here, or be a repeat "
        "that may not count."
    )
    # The same with the other edge: a trick that starts elsewhere never fits.
    other = back_ups(run, once, (planned(trick("Toe", TS), 0.9),))
    assert other[1].sentence == (
        "No safe trick starts heelside in your own stance and lands as Hard does."
    )


@pytest.mark.parametrize(("kept", "fits"), [(1, True), (2, False)])
def test_the_rules_hold_whichever_earlier_trick_was_missed(kept: int, fits: bool) -> None:
    """Where landed grabs are asked for, a missed grab must not leave the back-up short."""
    grab = planned(trick("Grab", HS, grab="indy"), 0.5)
    run = Run((Pass((grab, grab, planned(trick("Third", HS, grab="indy"), 0.5))),))
    limit = Limit(say="Grabs.", when=Condition(grabbed=True), least=kept, used_by=UsedBy.LANDED)
    ground = Ground(replace(one_fall(), limits=(limit,)))
    plain = planned(trick("Plain", HS), 0.95)
    assert (back_ups(run, ground, (plain,))[2].trick is not None) is fits
