"""How long draws, heats and rest between heats take. Run with --benchmark-only.

Goals on an ordinary two-core machine: 200 ms for drawing 300 riders in 20 divisions,
cutting their heats and storing them, 50 ms for parting the heats of one day of 60. What is asserted are
ratios against work done in the same run.
"""

from collections.abc import Sequence

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from events.rules.words import RidingOrder
from runsheets.models import Slot
from runsheets.orders import make_order
from runsheets.starting.draw import DrawnRider, draw, how_to_repeat
from runsheets.starting.heats import Spread, split
from runsheets.starting.rest import DayHeat, Pair, clashes, out_of_turn, with_rest
from tests.bench.test_bench_rules import baseline, seconds
from tests.factories import UserFactory
from tests.runsheets.big_event import big_event

HEAT_SIZE = 5
REST = 2
Heats = list[list[DrawnRider]]


def divisions_of(riders: int, divisions: int = 20) -> list[list[DrawnRider]]:
    """Riders with bibs and ranks, dealt out to divisions; names with marks on letters."""
    everybody = [
        DrawnRider(n, f"Brûlé-{n * 7919 % riders:05}, Zoë", str(n + 1), n // divisions + 1)
        for n in range(riders)
    ]
    return [everybody[first::divisions] for first in range(divisions)]


def drawn(divisions: Sequence[Sequence[DrawnRider]]) -> Heats:
    """All heats of an event: each division drawn by lot and cut."""
    return [
        heat
        for number, riders in enumerate(divisions)
        for heat in split(draw(riders, RidingOrder.RANDOM, seed=f"lake {number}"), HEAT_SIZE)
    ]


def ranked(divisions: Sequence[Sequence[DrawnRider]]) -> Heats:
    """The same with the ranked dealt out to the heats."""
    return [
        heat
        for riders in divisions
        for heat in split(draw(riders, RidingOrder.RANKING)[::-1], HEAT_SIZE, Spread.SERPENTINE)
    ]


def day_of(heats: int) -> tuple[list[DayHeat], list[Pair]]:
    """A day of divisions of four heats, a fifth of the riders entered in the next one too.

    The heats of a division are ridden in turn.
    """
    riders = [
        {HEAT_SIZE * heat + n for n in range(HEAT_SIZE)}
        | ({HEAT_SIZE * (heat - 4)} if heat >= 4 else set())
        for heat in range(heats)
    ]
    day = [DayHeat(n, frozenset(each)) for n, each in enumerate(riders)]
    # The last of a division and the first of the next are the same people: they clash.
    for n in range(4, heats, 4):
        day[n] = DayHeat(n, day[n].riders | {HEAT_SIZE * (n - 1)})
    return day, [(n, n + 1) for n in range(heats - 1) if n % 4 != 3]


def test_the_case_is_the_one_that_is_spoken_of():
    """300 riders once each in 60 heats of five, drawn or ranked; a day with real clashes."""
    divisions = divisions_of(300)
    for heats in (drawn(divisions), ranked(divisions)):
        assert [len(heat) for heat in heats] == [HEAT_SIZE] * 60
        assert sorted(rider.id for heat in heats for rider in heat) == list(range(300))
    day, pairs = day_of(60)
    assert len(clashes(day, REST)) >= 14
    better, left = with_rest(day, REST, before=pairs)
    assert len(left) < len(clashes(day, REST))
    assert not out_of_turn(better, pairs)
    assert sorted(heat.key for heat in better) == list(range(60))


@pytest.mark.benchmark(group="draw")
@pytest.mark.parametrize("work", [drawn, ranked])
def test_draw_and_heats_of_300_riders(benchmark: BenchmarkFixture, work):
    """Drawn and cut: about four times the baseline when written."""
    divisions = divisions_of(300)
    benchmark(work, divisions)

    spent = seconds(lambda: work(divisions), times=5)
    benchmark.extra_info["baselines"] = spent / baseline()
    assert spent < 20 * baseline()


@pytest.mark.django_db
@pytest.mark.benchmark(group="draw")
def test_orders_of_300_riders_stored(benchmark: BenchmarkFixture):
    """Twenty divisions drawn, cut and stored with their audit trail, one after the other.

    About three times as long as writing the positions again, when written.
    """
    event = big_event(divisions=20, riders_each=15)
    user = UserFactory()
    divisions = list(event.divisions.prefetch_related("editions"))

    def work() -> None:
        for division in divisions:
            division.event = event
            make_order(
                division=division,
                round_name="",
                method=RidingOrder.RANDOM,
                by=user,
                seed="lake",
            )

    benchmark.pedantic(work, rounds=5, warmup_rounds=1)
    slots = list(Slot.objects.filter(order__division__event=event))
    assert len(slots) == 300

    def write_again() -> None:
        for division in divisions:
            Slot.objects.bulk_update(
                [slot for slot in slots if slot.entry_id % 20 == division.pk % 20], ["position"]
            )

    spent, written = seconds(work, times=3), seconds(write_again, times=3)
    benchmark.extra_info["writings"] = spent / written
    assert spent < 12 * written


@pytest.mark.benchmark(group="growth")
@pytest.mark.parametrize("riders", [30, 300, 3000])
def test_growth(benchmark: BenchmarkFixture, riders: int):
    """Ten times the riders take about ten times as long."""
    benchmark(drawn, divisions_of(riders))


@pytest.mark.benchmark(group="growth")
@pytest.mark.parametrize("work", [drawn, ranked])
def test_growth_is_linear(benchmark: BenchmarkFixture, work):
    """Twice the proportion at most, from 30 to 300 and from 300 to 3000."""
    events = [divisions_of(riders) for riders in (30, 300, 3000)]
    benchmark(work, events[-1])

    small, middle, large = (
        seconds(lambda event=event: work(event), times=times)
        for event, times in zip(events, (50, 10, 2), strict=True)
    )
    benchmark.extra_info["ratios"] = (middle / small, large / middle)
    assert middle < 20 * small
    assert large < 20 * middle


@pytest.mark.benchmark(group="repeat")
def test_how_to_repeat_300_riders(benchmark: BenchmarkFixture):
    """The text for one division of 300 takes about as long as the draw itself."""
    riders = divisions_of(300, divisions=1)[0]
    order = draw(riders, RidingOrder.RANDOM, seed="lake 7")
    benchmark(how_to_repeat, order, "lake 7")

    drawing = seconds(lambda: draw(riders, RidingOrder.RANDOM, seed="lake 7"), times=5)
    assert seconds(lambda: how_to_repeat(order, "lake 7"), times=5) < 4 * drawing


@pytest.mark.benchmark(group="rest")
@pytest.mark.parametrize("heats", [15, 60, 120])
def test_rest_of_a_day(benchmark: BenchmarkFixture, heats: int):
    """60 heats are a day from dawn to dusk; 120 more than any."""
    day, pairs = day_of(heats)
    benchmark(lambda: with_rest(day, REST, before=pairs))


@pytest.mark.benchmark(group="rest")
def test_rest_of_60_heats_against_the_baseline(benchmark: BenchmarkFixture):
    """Heats are looked at many times over, about 50 times the baseline when written."""
    day, pairs = day_of(60)
    benchmark(lambda: with_rest(day, REST, before=pairs))

    spent = seconds(lambda: with_rest(day, REST, before=pairs))
    benchmark.extra_info["baselines"] = spent / baseline()
    assert spent < 150 * baseline()
