"""How long the rules take. Run with: python3 manage.py test --benchmark-only tests/bench

Skipped otherwise. What is asserted are ratios against work done in the same run, since
machines differ: goals on an ordinary two-core machine are 5 ms for the full check of a run
of two passes of seven tricks against twenty limits, 0.3 ms for its legality, and 50 ms for
trying the whole vocabulary at the end of a pass.
"""

import gc
from collections.abc import Callable
from dataclasses import replace
from time import perf_counter
from typing import Any

import pytest

from events.rules.format import Format
from events.rules.legality import legality
from events.rules.loading import load_format
from events.rules.next_trick import next_tricks, with_trick
from events.rules.notation import read_run
from events.rules.riding import Passes, Repeats
from events.rules.run import Pass, Run
from events.rules.vocabulary import standard_vocabulary
from events.rules.words import Repeat
from riders.planning.check import check

HEAD = """
[passes]
count = 2
length_m = 450
tricks_most = 7
[falls]
allowed = 1
counted_per = "run"
next_fall = "ends run"
restart_m = 60
[[double_ups]]
after_pass = 2
cutoff_m = 340
limits_bind = true
[[pickup_cutoffs]]
pass = 2
at_m = 340
fall = "any"
effect = "ends run"
[repeats]
rule = "once"
per = "run"
differs_by = ["stance", "approach", "direction", "rotation"]
[route]
trick_m = 50
turn_m = 5
cross_m = 10
"""
WHENS = (
    "invert = true",
    'family = "spin"',
    "handle_pass = true",
    'direction = "backside", rotation_over = 360',
    'stance = "switch"',
    'takeoff = "rail"',
    "grabbed = true",
    'grab = ["indy", "mute"]',
    "tier_over = 6",
    'trick = ["Raley", "Krypt"]',
    'approach = "toeside"',
    "blind = true",
    'air = "big"',
    "rotation = 540",
    "rotation_under = 180",
    'family = ["raley", "mobe"]',
    "any_of = [{ invert = true }, { rotation_over = 360 }]",
    'invert = true, unless = { family = "tantrum" }',
    "rotation_over = 720",
    'form = "double"',
)
NOTATION = (
    "HS backroll 4/5, TS FS 180 9/10, switch HS FS 180 8/10, TS FS 360 3/5, Tantrum 4/5, "
    "TS wake jump 2/5, HS indy 9/10 | Raley 3/5, TS backroll 4/5, HS BS 180 8/9, "
    "switch HS FS 360 4/6, TS BS 180 9/10, Scarecrow 3/6, HS FS 540 1/3 + double-up S-bend 1/4"
)


def format_of(limits: int) -> Format:
    """The format with so many limits, taken in turn."""
    lines = (
        f'[[limits]]\nsay = "Limit {n}"\nwhen = {{ {WHENS[n % len(WHENS)]} }}\n'
        f'most = 12\nper = "run"\ninverted_spins = false'
        for n in range(limits)
    )
    return load_format("\n".join([HEAD, *lines]))


TWENTY = format_of(20)
# Room for any number of tricks.
ROOMY = replace(
    TWENTY,
    passes=Passes(any_number=True, count=1),
    repeats=Repeats(rule=Repeat.FREE),
    limits=tuple(replace(limit, most=10**6) for limit in TWENTY.limits or ()),
)
RUN = read_run(NOTATION)


def seconds(work: Callable[[], Any], rounds: int = 7, times: int = 1) -> float:
    """The best time of one call: what the machine can do when nothing disturbs it."""
    best = float("inf")
    gc.disable()  # as timeit does
    try:
        for _ in range(rounds):
            start = perf_counter()
            for _ in range(times):
                work()
            best = min(best, (perf_counter() - start) / times)
    finally:
        gc.enable()
    return best


def baseline() -> float:
    """A fixed piece of ordinary Python: ten thousand dictionary look-ups and sums."""
    table = {str(n): n for n in range(100)}
    keys = [str(n % 100) for n in range(10_000)]

    def work() -> int:
        total = 0
        for key in keys:
            total += table[key]
        return total

    return seconds(work, times=5)


def full_check() -> bool:
    """Reading, rules, route and survival of one run."""
    return check(read_run(NOTATION), TWENTY).is_legal


def test_the_case_is_the_one_that_is_spoken_of():
    """Two passes of seven tricks, twenty limits, nothing broken, every figure told."""
    found = check(RUN, TWENTY)

    assert [len(each.tricks) for each in RUN.passes] == [7, 7]
    assert len(TWENTY.limits or ()) == 20
    assert found.is_legal
    assert found.survival.complete is not None


@pytest.mark.benchmark(group="one run")
def test_full_check(benchmark):
    """Reading, rules, route and survival: five to six times the baseline when written."""
    assert benchmark(full_check)

    assert seconds(full_check, times=5) < 25 * baseline()


@pytest.mark.benchmark(group="one run")
def test_legality(benchmark):
    """The rules alone: two thirds of the baseline when written."""
    assert benchmark(legality, RUN, TWENTY)

    assert seconds(lambda: legality(RUN, TWENTY), times=20) < 2 * baseline()


@pytest.mark.benchmark(group="one run")
def test_reading(benchmark):
    """The notation alone: about the baseline when written."""
    assert benchmark(read_run, NOTATION) == RUN

    assert seconds(lambda: read_run(NOTATION), times=20) < 3 * baseline()


@pytest.mark.benchmark(group="every trick")
def test_next_tricks(benchmark):
    """The whole vocabulary at the end of a pass is quicker than checking each run in full."""
    vocabulary = standard_vocabulary()
    shorter = Run((RUN.passes[0], Pass(RUN.passes[1].tricks[:6])))

    def one_by_one() -> None:
        for trick in vocabulary.tricks:
            legality(with_trick(shorter, trick, 2), TWENTY)

    found = benchmark(next_tricks, shorter, TWENTY, vocabulary, 2)

    assert len(found) == len(vocabulary.tricks)
    quick = seconds(lambda: next_tricks(shorter, TWENTY, vocabulary, 2))
    assert quick < seconds(one_by_one)


def per_item(work: Callable[[], Any], items: int) -> float:
    """Seconds for one of the items."""
    return seconds(work, times=max(1, 200 // items)) / items


@pytest.mark.parametrize("limits", [10, 100, 1000])
@pytest.mark.benchmark(group="limits")
def test_grows_with_the_limits(benchmark, limits):
    """Ten times the limits take ten times as long: the cost of one stays the same."""
    format, few = format_of(limits), format_of(10)
    benchmark(legality, RUN, format)

    one_of_few = per_item(lambda: legality(RUN, few), 10)
    assert per_item(lambda: legality(RUN, format), limits) < 2.5 * one_of_few


@pytest.mark.parametrize("tricks", [10, 100, 1000])
@pytest.mark.benchmark(group="tricks")
def test_grows_with_the_tricks(benchmark, tricks):
    """Ten times the tricks take ten times as long, where nothing has to be reported."""
    few, many = long_run(10), long_run(tricks)
    assert benchmark(legality, many, ROOMY) == legality(few, ROOMY)

    one_of_few = per_item(lambda: legality(few, ROOMY), 10)
    assert per_item(lambda: legality(many, ROOMY), tricks) < 2.5 * one_of_few


@pytest.mark.benchmark(group="tricks")
def test_grows_with_the_findings(benchmark):
    """A thousand tricks that are nearly all repeats and too many: ten times a hundred."""
    some, many = long_run(100), long_run(1000)
    found = benchmark(legality, many, TWENTY)

    assert len(found) > 3000
    one_of_some = per_item(lambda: legality(some, TWENTY), 100)
    assert per_item(lambda: legality(many, TWENTY), 1000) < 2.5 * one_of_some


def long_run(tricks: int) -> Run:
    """One pass of so many tricks, those of the run again and again."""
    ridden = [*RUN.passes[0].tricks, *RUN.passes[1].tricks]
    return Run((Pass(tuple(ridden[n % len(ridden)] for n in range(tricks))),))
