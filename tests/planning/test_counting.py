"""What counts of a run with repeats and limits: every outcome, and figures worked out by hand.

That a repeat may go uncounted, and what saves it, is taken from the rules of the format; the
rule engine itself is asked about every ride.
"""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.rules.condition import Condition
from events.rules.findings import Grade
from events.rules.format import Format
from events.rules.riding import Limit, Passes, Repeats
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.trick import Edge, Stance
from events.rules.words import Attribute, Breach, Per, Repeat, UsedBy
from riders.planning.counting import MOST_STATES, counting
from riders.planning.ground import Ground
from riders.planning.route import plan_route
from riders.planning.survival import Survival, survive
from tests.planning.building import chances, formats, one_fall, planned, runs, tricks
from tests.planning.counter import enumerate_counts
from tests.planning.simulator import enumerate_run

LEAVING_OUT = [Repeat.FIRST_COUNTS, Repeat.NOT_COUNTED, Repeat.BEST_COUNTS,
               Repeat.ONCE_UNLESS_NOT_LANDED]  # fmt: skip
limits = st.builds(
    Limit,
    say=st.just("A limit."),
    when=st.sampled_from([None, Condition(rotation_over=100), Condition(stance=(Stance.SWITCH,)),
                          Condition(approach=(Edge.TOESIDE, Edge.HEELSIDE))]),
    most=st.sampled_from([0, 1, 1, 2]),
    per=st.sampled_from(Per),
    used_by=st.sampled_from(UsedBy),
    differs_by=st.sampled_from([None, None, (Attribute.ROTATION,)]),
    breach=st.just(Breach.NOT_COUNTED),
)  # fmt: skip


@st.composite
def strict(draw: st.DrawFn) -> Format:
    """A format under which tricks go uncounted; a repeat uses a limit up again."""
    format = draw(formats())
    return replace(
        format,
        passes=replace(format.passes, tricks_most=draw(st.sampled_from([None, 2, 3])),
                       tricks_over=Breach.NOT_COUNTED),
        repeats=Repeats(draw(st.sampled_from([Repeat.FREE, *LEAVING_OUT])),
                        draw(st.sampled_from(Per)),
                        draw(st.sampled_from([(), (Attribute.ROTATION,)])), uses_limit=True),
        limits=tuple(draw(st.lists(limits, max_size=2))),
        double_ups=tuple(
            replace(each, limits_bind=draw(st.booleans()), counts_as_trick=draw(st.booleans()))
            for each in format.double_ups or ()
        ),
    )  # fmt: skip


def figures(run: Run, format: Format) -> Survival:
    return survive(run, format, plan_route(run, format))


def check_counts(run: Run, format: Format) -> None:
    """The exact figures against every outcome."""
    if not len(run):
        return
    route = plan_route(run, format)
    got, want = survive(run, format, route), enumerate_counts(run, format, route)
    near = {"abs": 1e-12}
    assert not got.is_least
    assert got.landed is not None
    assert [*got.landed, *[0.0] * (len(run) + 1 - len(got.landed))] == pytest.approx(
        want.counts, **near
    )
    mean = sum(number * weight for number, weight in enumerate(want.counts))
    assert got.expected_landed == pytest.approx(mean, **near)
    assert got.expected_tiers == pytest.approx(want.tiers, **near)
    everything = enumerate_run(run, format, route)
    assert got.tricks is not None
    assert [odds.land for odds in got.tricks] == pytest.approx(everything.land, **near)
    assert all(-1e-12 <= odds.count <= odds.land + 1e-12 for odds in got.tricks)
    assert got.clean == pytest.approx(everything.clean, **near)
    assert got.complete == pytest.approx(everything.complete, **near)
    assert got.ends == pytest.approx(everything.ends, **near)


@settings(max_examples=150, deadline=None)
@given(runs(most=7), strict())
def test_every_outcome_gives_what_counts(run: Run, format: Format) -> None:
    """All 2^n outcomes, each ride put before the rules, add up to the exact figures."""
    check_counts(run, format)


@settings(max_examples=3, deadline=None)
@given(runs(most=12), strict())
def test_up_to_twelve_tricks(run: Run, format: Format) -> None:
    """The same with up to 4096 outcomes."""
    check_counts(run, format)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.builds(planned, tricks, st.just(1.0)), min_size=1, max_size=8),
       st.integers(1, 8), strict())  # fmt: skip
def test_with_everything_landed_the_check_says_what_counts(
    made: list[PlannedTrick], cut: int, format: Format
) -> None:
    """The number landed is the number planned less the tricks that the check finds uncounted."""
    run = Run((Pass(tuple(made[:cut])), Pass(tuple(made[cut:]))))
    format = replace(format, passes=replace(format.passes, length_m=(5000.0,)))
    found = Ground(format).check(run).findings
    out = {(f.pass_no, f.position) for f in found
           if f.grade is Grade.UNCOUNTED or f.code == "repeat-backup"}  # fmt: skip
    got = figures(run, format)
    assert got.uncounted + got.open == len(out)
    assert got.expected_landed is not None
    counts = round(got.expected_landed)
    if format.repeats.rule is Repeat.BEST_COUNTS:  # a limit may leave out the better one
        assert counts >= len(run) - len(out)
    else:
        assert counts == len(run) - len(out)


P, Q = 0.8, 0.5


def twice(rule: Repeat, *more: float, **falls: object) -> Survival:
    """The same trick twice, landed with P and Q, falls in hand."""
    run = Run((Pass(tuple(planned(chance=chance) for chance in (P, Q, *more))),))
    format = one_fall(repeats=Repeats(rule, Per.RUN, ()))
    return figures(run, replace(format, falls=replace(format.falls, allowed=5)))


def test_only_the_first_counts() -> None:
    """Even if it was missed: the repeat never counts."""
    got = twice(Repeat.FIRST_COUNTS)
    assert got.landed == pytest.approx((1 - P, P))
    assert got.expected_tiers == pytest.approx(P)
    assert (got.uncounted, got.open) == (1, 0)
    assert got.clean == pytest.approx(P * Q)
    assert got.complete == 1


@pytest.mark.parametrize("rule", [Repeat.BEST_COUNTS, Repeat.ONCE_UNLESS_NOT_LANDED])
def test_one_of_the_two_counts(rule: Repeat) -> None:
    """One landing counts: P + (1 - P) Q."""
    got = twice(rule)
    assert got.landed == pytest.approx(((1 - P) * (1 - Q), P + (1 - P) * Q, 0))
    assert (got.uncounted, got.open) == (0, 1)
    assert got.tricks is not None
    assert [odds.count for odds in got.tricks] == pytest.approx([P, (1 - P) * Q])


def test_a_third_try_counts_only_if_both_were_missed() -> None:
    """Back-ups of back-ups."""
    got = twice(Repeat.ONCE_UNLESS_NOT_LANDED, 0.9)
    assert got.expected_landed == pytest.approx(1 - (1 - P) * (1 - Q) * 0.1)
    assert got.open == 2


def test_the_better_one_brings_its_tier() -> None:
    """Tier 3 after tier 2 where both are the same trick: 3 if the second is landed, else 2."""
    easy = planned(chance=P)
    easy = replace(easy, entry=easy.entry.changed(tier=2, grab=""))
    hard = replace(easy, entry=easy.entry.changed(tier=3, grab="indy"), chance=Q)
    got = figures(Run((Pass((easy, hard)),)), one_fall(repeats=Repeats(Repeat.BEST_COUNTS,
                                                                       Per.RUN, ())))  # fmt: skip
    assert got.expected_tiers == pytest.approx(3 * Q + 2 * P * (1 - Q))
    assert got.expected_landed == pytest.approx(P + (1 - P) * Q)


def test_a_first_that_was_not_reached_makes_no_repeat() -> None:
    """The first pass ends before the trick that the second repeats: there it counts."""
    run = Run((
        Pass((planned(chance=0.0), planned(chance=P))), Pass((planned(chance=Q),)),
    ))  # fmt: skip
    first = replace(
        run.passes[0].tricks[0], entry=run.passes[0].tricks[0].entry.changed(rotation=180)
    )
    run = Run((Pass((first, run.passes[0].tricks[1])), run.passes[1]))
    format = one_fall(
        100.0, repeats=Repeats(Repeat.FIRST_COUNTS, Per.RUN, (Attribute.ROTATION,))
    )
    got = figures(run, replace(format, falls=replace(format.falls, restart_m=60.0)))
    assert got.tricks is not None
    assert [odds.reach for odds in got.tricks] == [1, 0, 1]
    assert got.expected_landed == pytest.approx(Q)


@pytest.mark.parametrize(("used_by", "second"), [
    (UsedBy.TRIED, 0.0), (None, 0.0), (UsedBy.LANDED, 1 - P),
])  # fmt: skip
def test_a_limit_on_what_is_landed_leaves_room_after_a_fall(
    used_by: UsedBy | None, second: float
) -> None:
    """Where it is not stated which tricks use it up, those that were tried do."""
    limit = Limit(say="One.", most=1, per=Per.RUN, used_by=used_by, breach=Breach.NOT_COUNTED)
    run = Run((Pass((planned(chance=P), planned(chance=Q))),))
    got = figures(run, one_fall(limits=(limit,), repeats=Repeats(Repeat.FREE)))
    assert got.expected_landed == pytest.approx(P + second * Q)


def test_a_trick_too_many_is_ridden_for_nothing() -> None:
    """It can still end the run: with no fall allowed pass 2 is reached if all are landed."""
    format = replace(
        one_fall(),
        passes=Passes(tricks_most=1, tricks_over=Breach.NOT_COUNTED),
        falls=replace(one_fall().falls, allowed=0),
    )
    run = Run((Pass((planned(chance=P), planned(chance=Q))), Pass((planned(chance=0.9),))))
    got = figures(run, format)
    assert got.expected_landed == pytest.approx(P + P * Q * 0.9)
    assert got.complete == pytest.approx(P * Q)
    assert got.uncounted == 1


def many(pairs: int) -> Run:
    """So many tricks, each of them in both passes."""
    made = []
    for number in range(pairs):
        one = planned(chance=0.5)
        made.append(
            replace(one, entry=one.entry.changed(rotation=180 * number, tier=number + 1))
        )
    return Run((Pass(tuple(made)), Pass(tuple(made))))


def test_too_many_that_depend_on_each_other_are_the_least_that_counts() -> None:
    """With more ways than can be followed the figures say that they are a lower bound."""
    format = one_fall(repeats=Repeats(Repeat.ONCE_UNLESS_NOT_LANDED, Per.RUN,
                                      (Attribute.ROTATION,)))  # fmt: skip
    format = replace(format, falls=replace(format.falls, allowed=20))
    few, lots = figures(many(7), format), figures(many(9), format)
    assert MOST_STATES == 2**7
    assert not few.is_least
    assert few.expected_landed == pytest.approx(7 * 0.75)
    assert lots.is_least
    assert lots.open == 9
    assert lots.expected_landed == pytest.approx(7 * 0.75 + 2 * 0.5)


def test_nothing_to_leave_out() -> None:
    """A run without repeats, and a format that leaves nothing out, are not looked into."""
    run = Run((Pass((planned(), planned())),))
    assert counting(run, one_fall(repeats=Repeats(Repeat.FREE))) is None
    assert counting(run, one_fall(repeats=Repeats(Repeat.ONCE, Per.RUN, ()))) is None
    once = Run((Pass((planned(),)),))
    assert counting(once, one_fall(repeats=Repeats(Repeat.FIRST_COUNTS, Per.RUN, ()))) is None


@given(st.lists(chances, min_size=2, max_size=6), st.sampled_from(LEAVING_OUT))
def test_a_fall_marked_in_a_plan_changes_no_figure(values: list[float], rule: Repeat) -> None:
    """Marks belong to a what-if run; the figures are those of the plan."""
    format = one_fall(repeats=Repeats(rule, Per.RUN, ()))
    made = [planned(chance=chance) for chance in values]
    fell = [replace(each, fell=True) for each in made]
    plain, marked = (figures(Run((Pass(tuple(each)),)), format) for each in (made, fell))
    assert plain.landed == marked.landed
