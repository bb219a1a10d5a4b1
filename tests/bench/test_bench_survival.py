"""How the time of the exact figures grows. Run with --benchmark-only."""

import time
from collections.abc import Callable
from dataclasses import replace

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from events.rules.format import Format
from events.rules.riding import DoubleUp, PickupCutoff, Repeats
from events.rules.run import Pass, Run
from events.rules.trick import Stance, Takeoff
from events.rules.words import Attribute, Per, Repeat, WhichFall
from riders.planning.route import plan_route
from riders.planning.survival import Survival, survive
from tests.planning.building import EITHER, HS, TS, one_fall, planned, trick

EDGES = (HS, TS, EITHER, HS)


def long_run(passes: int, tricks: int) -> Run:
    """A run with turns and crossings in it, and a double-up at the end."""
    made = []
    for number in range(passes):
        places = tuple(
            planned(
                trick(
                    f"Trick {at}",
                    EDGES[(3 * at + number) % 4],
                    180 * (at % 3),
                    Stance.SWITCH if at % 5 == 4 else Stance.REGULAR,
                ),
                0.95 - 0.02 * at,
            )
            for at in range(tricks)
        )
        made.append(Pass(places))
    bonus = planned(trick("Bonus", takeoff=Takeoff.DOUBLE_UP), 0.6, "double-up")
    return Run((*made[:-1], replace(made[-1], bonus=(bonus,))))


def contest(run: Run, allowed: int = 1) -> Format:
    """One fall allowed, restarts, a no-pick-up marker and a double-up with a cutoff."""
    last, longest = len(run.passes), max(len(each.tricks) for each in run.passes)
    format = one_fall(80.0 * longest)
    return replace(
        format,
        falls=replace(format.falls, allowed=allowed, restart_m=45.0),
        pickup_cutoffs=(PickupCutoff(pass_no=last, at_fraction=0.9, fall=WhichFall.ANY),),
        double_ups=(DoubleUp(after_pass=last, cutoff_fraction=0.75),),
    )


def riding(passes: int, tricks: int, allowed: int = 1) -> Callable[[], Survival]:
    run = long_run(passes, tricks)
    format = contest(run, allowed)
    route = plan_route(run, format)
    return lambda: survive(run, format, route)


def seconds(work: Callable[[], object], rounds: int = 15) -> float:
    """The shortest of several times of the processor, which other work disturbs least.

    Time by the clock would be unfair on a busy machine: long work is interrupted, short is not.
    """
    times = []
    for _ in range(rounds):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def test_two_passes_of_seven(benchmark: BenchmarkFixture) -> None:
    """The usual size costs no more than a few hundred routes of one trick."""
    figures = benchmark(riding(2, 7))
    assert figures.complete is not None
    small = long_run(1, 1)
    baseline = seconds(lambda: plan_route(small, contest(small)))
    assert seconds(riding(2, 7)) < 300 * baseline


def test_two_passes_of_seven_with_two_more_falls(benchmark: BenchmarkFixture) -> None:
    """Falls in hand multiply the states, not the outcomes."""
    benchmark(riding(2, 7, allowed=3))
    assert seconds(riding(2, 7, allowed=3)) < 8 * seconds(riding(2, 7))


def test_growth_to_four_passes_of_twelve(benchmark: BenchmarkFixture) -> None:
    """3.4 times the tricks: far from 2^34 times the outcomes."""
    benchmark(riding(4, 12))
    assert seconds(riding(4, 12)) < 25 * seconds(riding(2, 7))


def test_the_route_of_two_passes_of_seven(benchmark: BenchmarkFixture) -> None:
    """The shortest path is linear in the tricks."""
    run, long = long_run(2, 7), long_run(4, 12)
    benchmark(lambda: plan_route(run, contest(run)))
    times = [seconds(lambda each=each: plan_route(each, contest(each))) for each in (run, long)]
    assert times[1] < 12 * times[0]


def repeated(passes: int, tricks: int, rule: Repeat) -> Callable[[], Survival]:
    """A run whose later passes do the tricks of the first ones again."""
    run = long_run(passes, tricks)
    half = run.passes[: passes // 2]
    run = Run((*half, *(replace(each, tricks=first.tricks)
                        for each, first in zip(run.passes[passes // 2 :], half, strict=True))))  # fmt: skip
    format = replace(contest(run), repeats=Repeats(rule, Per.RUN, tuple(Attribute)))
    route = plan_route(run, format)
    return lambda: survive(run, format, route)


@pytest.mark.parametrize("rule", [Repeat.FIRST_COUNTS, Repeat.BEST_COUNTS])
def test_repeats_that_may_not_count(benchmark: BenchmarkFixture, rule: Repeat) -> None:
    """Two passes of the same seven tricks, of which every one may count in either pass."""
    figures = benchmark(repeated(2, 7, rule))
    assert figures.uncounted + figures.open >= 7
    assert seconds(repeated(2, 7, rule)) < 8 * seconds(riding(2, 7))


@pytest.mark.parametrize("rule", [Repeat.FIRST_COUNTS, Repeat.BEST_COUNTS])
def test_growth_of_repeats_to_four_passes_of_twelve(
    benchmark: BenchmarkFixture, rule: Repeat
) -> None:
    """What can be followed is bounded, and so is the time."""
    benchmark(repeated(4, 12, rule))
    assert seconds(repeated(4, 12, rule), 5) < 25 * seconds(repeated(2, 7, rule))
