"""How long the results of a contest take. Run with --benchmark-only.

Goal on an ordinary two-core machine: 150 ms for ranking 300 riders in 20 divisions, three
judges and three criteria, from marks to places. What is asserted are ratios against work
done in the same run.
"""

from decimal import Decimal

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from events.rules.format import Format
from events.rules.staging import Criterion, Judging
from events.rules.words import Combine
from runsheets.judging.scoring import RunMarks, Scoring
from runsheets.judging.standings import Standings, standings
from tests.bench.test_bench_rules import baseline, seconds

CRITERIA = ("Execution", "Intensity", "Composition")
JUDGES = (1, 2, 3)
# Placings are ranked for every judge: about 200 when written, the means about 100.
MOST_BASELINES = 600
Divisions = list[list[RunMarks]]


def scoring(combine: Combine) -> Scoring:
    """Three criteria of the same weight and three tie-breaks."""
    judging = Judging(
        criteria=tuple(Criterion(name, 1) for name in CRITERIA),
        mark_least=1,
        mark_most=10,
        combine=combine,
        tie_breaks=("execution", "best placing", "highest mark"),
    )
    return Scoring.of(Format(judging=judging))


def divisions_of(riders: int, divisions: int = 20) -> Divisions:
    """Runs dealt out to divisions; marks of half points, so that some riders are level."""
    runs = [
        RunMarks(
            rider,
            marks={
                judge: {
                    name: 1 + Decimal(rider * 7919 % (17 + judge + at)) / 2
                    for at, name in enumerate(CRITERIA)
                }
                for judge in JUDGES
            },
        )
        for rider in range(riders)
    ]
    return [runs[first::divisions] for first in range(divisions)]


def ranked(divisions: Divisions, combine: Combine = Combine.MEAN) -> list[Standings]:
    """The result of every division."""
    made = scoring(combine)
    return [standings(runs, made, judges=JUDGES) for runs in divisions]


@pytest.mark.parametrize("combine", list(Combine))
def test_the_case_is_the_one_that_is_spoken_of(combine: Combine):
    """300 riders once each in 20 divisions, all ranked, with ties to break."""
    results = ranked(divisions_of(300), combine)
    rows = [row for result in results for row in result.rows]

    assert len(results) == 20
    assert sorted(row.rider for row in rows) == list(range(300))
    assert all(result.complete for result in results)
    assert any("Ahead of" in row.note for row in rows)
    assert len({row.total for row in rows}) > 30


@pytest.mark.benchmark(group="standings")
@pytest.mark.parametrize("combine", list(Combine))
def test_300_riders_in_20_divisions(benchmark: BenchmarkFixture, combine: Combine):
    """From marks to places, in baselines."""
    divisions = divisions_of(300)
    benchmark(ranked, divisions, combine)

    spent = seconds(lambda: ranked(divisions, combine), times=5)
    benchmark.extra_info["baselines"] = spent / baseline()
    assert spent < MOST_BASELINES * baseline()


@pytest.mark.benchmark(group="growth")
@pytest.mark.parametrize("divisions", [20, 1])
def test_growth_is_linear(benchmark: BenchmarkFixture, divisions: int):
    """30, 300 and 3000 riders, in 20 divisions or in one: twice the proportion at most."""
    events = [divisions_of(riders, divisions) for riders in (30, 300, 3000)]
    benchmark(ranked, events[-1])

    small, middle, large = (
        seconds(lambda event=event: ranked(event), times=times)
        for event, times in zip(events, (50, 10, 2), strict=True)
    )
    benchmark.extra_info["ratios"] = (middle / small, large / middle)
    assert middle < 20 * small
    assert large < 20 * middle
