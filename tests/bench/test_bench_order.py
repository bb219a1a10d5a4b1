"""How the time of the suggestions grows. Run with --benchmark-only.

Ratios are to the exact figures of the same run, so that they hold on any machine.
"""

from time import process_time

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from events.rules.notation import read_trick
from riders.planning.changes import single_changes
from riders.planning.goals import at_least, most_tiers
from riders.planning.ground import Goal, Ground, Method
from riders.planning.mends import mend
from riders.planning.order import best_order
from riders.planning.training import training
from tests.bench.test_bench_survival import contest, long_run, seconds

# As `seconds` does: other work on the machine must not lengthen one side of a ratio.
pytestmark = pytest.mark.benchmark(timer=process_time)

RECORD = tuple(
    read_trick(each)
    for each in ("Indy 95%", "Method 97%", "Tantrum 96%", "HS FS 180 98%", "TS FS 180 94%")
)


def figures(passes: int, tricks: int, allowed: int = 1) -> float:
    """Seconds for the figures of one order."""
    run = long_run(passes, tricks)
    ground = Ground(contest(run, allowed))
    return seconds(lambda: ground.survive(run))


def test_every_order_of_two_passes_of_five(benchmark: BenchmarkFixture) -> None:
    """14 400 orders, in the time of a hundred or so of them."""
    run = long_run(2, 5)
    ground = Ground(contest(run))
    found = benchmark(lambda: best_order(run, ground, goal=Goal.EXPECTED_LANDED))
    assert found.method is Method.EXACT
    spent = seconds(lambda: best_order(run, ground, goal=Goal.EXPECTED_LANDED), 5)
    assert spent < 400 * figures(2, 5)


def test_every_order_of_two_passes_of_seven(benchmark: BenchmarkFixture) -> None:
    """25 million orders, in the time of a few thousand: exact, but it takes seconds."""
    run = long_run(2, 7)
    ground = Ground(contest(run))
    found = benchmark.pedantic(lambda: best_order(run, ground), rounds=1)
    assert found.method is Method.EXACT
    assert benchmark.stats.stats.min < 10_000 * figures(2, 7)


def test_orders_without_metres_are_shared(benchmark: BenchmarkFixture) -> None:
    """Where no marker and no length matters, riders who fell are together again."""
    run = long_run(2, 6)
    long, roomy = contest(run), Ground(contest(run))
    free = Ground(type(long)(falls=long.falls, double_ups=()))
    benchmark.pedantic(lambda: best_order(run, free), rounds=3)
    assert seconds(lambda: best_order(run, free), 2) < seconds(
        lambda: best_order(run, roomy), 2
    )


def test_exchanges_for_two_passes_of_twelve(benchmark: BenchmarkFixture) -> None:
    """Too many orders to try: the time of some ten thousand of them at the most."""
    run = long_run(2, 12)
    ground = Ground(contest(run))
    found = benchmark.pedantic(lambda: best_order(run, ground), rounds=1)
    assert found.method is Method.EXCHANGE
    assert benchmark.stats.stats.min < 10_000 * figures(2, 12)


def test_the_single_changes_of_two_passes_of_five(benchmark: BenchmarkFixture) -> None:
    """About 140 changes, each checked and worked out anew."""
    run = long_run(2, 5)
    ground = Ground(contest(run))
    found = benchmark(lambda: single_changes(run, ground, record=RECORD))
    assert found
    assert seconds(lambda: single_changes(run, ground, record=RECORD), 5) < 300 * figures(2, 5)


def test_reaching_a_chance(benchmark: BenchmarkFixture) -> None:
    """Best first: far fewer figures than choices of five tricks in ten places."""
    run = long_run(2, 5)
    ground = Ground(contest(run))
    found = benchmark(lambda: at_least(run, ground, RECORD, 0.3))
    assert found is not None
    assert seconds(lambda: at_least(run, ground, RECORD, 0.3), 3) < 400 * figures(2, 5)


def test_most_tiers_at_a_chance(benchmark: BenchmarkFixture) -> None:
    """Bounded work, whatever the record."""
    run = long_run(2, 5)
    ground = Ground(contest(run))
    work = lambda: most_tiers(run, ground, RECORD, 0.3)  # noqa: E731
    benchmark.pedantic(work, rounds=1)
    assert benchmark.stats.stats.min < 4000 * figures(2, 5)


def test_training_is_two_figures_for_each_trick(benchmark: BenchmarkFixture) -> None:
    """Linear in the tricks, times the figures."""
    run = long_run(2, 7)
    ground = Ground(contest(run))
    benchmark(lambda: training(run, ground))
    assert seconds(lambda: training(run, ground), 5) < 2 * 15 * 2 * figures(2, 7)


def test_a_mend_for_every_finding(benchmark: BenchmarkFixture) -> None:
    """All findings of a run of ten tricks."""
    run = long_run(2, 5)
    ground = Ground(contest(run))
    findings = ground.check(run).findings
    found = benchmark.pedantic(
        lambda: [mend(each, run, ground, RECORD) for each in findings], rounds=2
    )
    assert any(found)
