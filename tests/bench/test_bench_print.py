"""How the time and memory of a whole print pack grow. Run with --benchmark-only.

Ratios are to a small event of the same run, and of the time of the processor, so that they
hold on any machine and however busy it is.
"""

import tracemalloc
from time import process_time

import pytest
from django.conf import settings
from django.utils import timezone
from pytest_benchmark.fixture import BenchmarkFixture

from events.models import Event
from runsheets.models import Judge
from runsheets.pdf.pack import papers_pdf
from runsheets.printing import Choice, make_pack
from tests.runsheets.big_event import big_event

FONTS = settings.STATE_DIR / "fonts"

pytestmark = pytest.mark.django_db


def pack_of(event: Event) -> bytes:
    """The whole print pack, from the database to the file."""
    fresh = Event.objects.get(pk=event.pk)
    return papers_pdf(make_pack(fresh, Choice(), timezone.now()).papers, fonts=FONTS)


def seconds(event: Event) -> float:
    """The time of the processor for one pack."""
    start = process_time()
    pack_of(event)
    return process_time() - start


def peak(event: Event) -> int:
    """The most memory in bytes that Python took for one pack."""
    tracemalloc.start()
    pack_of(event)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return most


def test_a_pack_of_300_riders_in_20_divisions(benchmark: BenchmarkFixture) -> None:
    """Ten times the riders of a small event take at most 15 times as long."""
    small, large = big_event(2, 15), big_event(20, 15)
    pack_of(small)  # fonts are read once
    most = benchmark.pedantic(seconds, (large,), rounds=3)
    spent = min(seconds(small) for _ in range(3))
    benchmark.extra_info |= {"ratio": most / spent, "processor": most}
    assert most < 15 * spent


def test_a_pack_of_3000_riders(benchmark: BenchmarkFixture) -> None:
    """Growth stays linear: ten times as many again take at most 15 times as long."""
    medium, large = big_event(20, 15), big_event(200, 15)
    spent = seconds(medium)
    most = benchmark.pedantic(seconds, (large,), rounds=1)
    benchmark.extra_info |= {"ratio": most / spent, "processor": most}
    assert most < 15 * spent


def test_eight_judges_cost_little_more_than_none(benchmark: BenchmarkFixture) -> None:
    """The sheets are drawn once and shown for each judge: not eight times the work."""
    event = big_event(20, 15)
    alone = min(seconds(event) for _ in range(2))
    Judge.objects.bulk_create(
        Judge(event=event, number=n, name=f"Judge {n}") for n in range(1, 9)
    )
    most = benchmark.pedantic(seconds, (event,), rounds=2)
    benchmark.extra_info |= {"ratio": most / alone, "processor": most}
    assert most < 3 * alone


def test_memory_grows_with_the_riders_at_most(benchmark: BenchmarkFixture) -> None:
    """300 riders take less than 200 MB."""
    small, large = (
        peak(big_event(2, 15)),
        benchmark.pedantic(peak, (big_event(20, 15),), rounds=1),
    )
    benchmark.extra_info["megabytes"] = large / 1e6
    assert large < 200e6
    assert large < 15 * small
