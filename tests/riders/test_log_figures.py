"""What the log adds up to, against pandas and SciPy; and the picture of a trick's trend."""

import re
from datetime import date, timedelta
from xml.etree import ElementTree

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.stats import beta

from riders.log_models import LandingDay
from riders.log_services import by_day, lines_of, logged_counts, totals
from riders.models import Rider
from riders.templatetags.rider_tags import percent
from riders.trend import HEIGHT, TOP, trend, trend_picture, trend_words
from tests.factories import RiderFactory

START = date(2026, 5, 1)
ROWS = st.lists(
    st.tuples(
        st.sampled_from(["HS backroll", "Indy", "Tantrum"]), st.integers(0, 20),
        st.integers(1, 30), st.integers(0, 30), st.sampled_from(LandingDay.Setting.values),
    ),
    max_size=25,
)  # fmt: skip


@pytest.fixture
def rider(db):
    return RiderFactory()


class TestSums:
    @settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
    @given(
        ROWS,
        st.sampled_from(["", *LandingDay.Setting.values]),
        st.integers(0, 20),
        st.integers(0, 20),
    )
    def test_are_those_of_pandas(self, rider, rows, setting, first, last):
        """Sums by trick under any filter are those of pandas' groupby."""
        LandingDay.objects.all().delete()
        table = pd.DataFrame(
            [(t, START + timedelta(days=d), min(k, n), n, s) for t, d, n, k, s in rows],
            columns=["trick", "day", "landed", "tried", "setting"],
        )
        LandingDay.objects.bulk_create(
            LandingDay(rider=rider, **row) for row in table.to_dict("records")
        )
        asked = {"first": START + timedelta(days=first), "last": START + timedelta(days=last)}

        found = totals(lines=lines_of(rider=rider, setting=setting, **asked))

        kept = table[(table.day >= asked["first"]) & (table.day <= asked["last"])]
        kept = kept[kept.setting == setting] if setting else kept
        groups = kept.groupby("trick").agg(
            landed=("landed", "sum"),
            tried=("tried", "sum"),
            days=("day", "nunique"),
            last=("day", "max"),
        )
        expected = [(t, r.landed, r.tried, r.days, r["last"]) for t, r in groups.iterrows()]
        assert [(f.trick, f.landed, f.tried, f.days, f.last_day) for f in found] == expected

    def test_of_the_planner_are_the_same_prefetched_or_not(self, rider):
        for landed, trick in enumerate(["Indy", "Indy", "Mute"]):
            LandingDay.objects.create(
                rider=rider, trick=trick, day=START, landed=landed, tried=4
            )
        LandingDay.objects.create(
            rider=RiderFactory(), trick="Indy", day=START, landed=1, tried=1
        )

        fetched = Rider.objects.prefetch_related("landing_days").get(pk=rider.pk)

        assert logged_counts(rider=rider) == {"Indy": (1, 8), "Mute": (2, 4)}
        assert logged_counts(rider=fetched) == logged_counts(rider=rider)

    def test_days_are_added_up_in_order(self, rider):
        for days, landed, tried in ((3, 1, 2), (0, 2, 2), (3, 0, 1)):
            LandingDay.objects.create(
                rider=rider,
                trick="Indy",
                day=START + timedelta(days=days),
                landed=landed,
                tried=tried,
            )

        assert by_day(lines=lines_of(rider=rider)) == [
            (START, 2, 2), (START + timedelta(days=3), 1, 3),
        ]  # fmt: skip


DAYS = st.lists(
    st.tuples(st.integers(0, 900), st.integers(1, 40), st.integers(0, 40)),
    min_size=1, max_size=12, unique_by=lambda each: each[0],
).map(lambda rows: [(START + timedelta(days=d), min(k, n), n) for d, n, k in sorted(rows)])  # fmt: skip


class TestTrend:
    @given(DAYS)
    def test_the_interval_so_far_is_scipys(self, days):
        """The middle 95 % of Beta(k + 1/2, n - k + 1/2), with the usual ends."""
        for number, point in enumerate(trend(days), start=1):
            k = sum(landed for _, landed, _ in days[:number])
            n = sum(tried for _, _, tried in days[:number])
            low, high = beta.interval(0.95, k + 0.5, n - k + 0.5)
            assert point.so_far.low == pytest.approx(0 if k == 0 else low, abs=1e-9)
            assert point.so_far.high == pytest.approx(1 if k == n else high, abs=1e-9)
            assert point.so_far.cautious == pytest.approx(beta.mean(k + 0.5, n - k + 0.5))

    @given(DAYS)
    def test_the_picture_is_sound_and_in_proportion(self, days):
        """It parses, has a dot for each day at its share, and stays inside its frame."""
        root = ElementTree.fromstring(trend_picture("A <b> & c", trend(days), percent))

        dots = root.findall("circle")
        assert len(dots) == len(days)
        for dot, (_, landed, tried) in zip(dots, days, strict=True):
            share = (TOP + HEIGHT - float(dot.get("cy"))) / HEIGHT
            assert share == pytest.approx(landed / tried, abs=0.001)
            assert 0 <= float(dot.get("cx").rstrip("%")) <= 100
        most = max(days, key=lambda each: each[2])
        widths = [float(dot.get("r")) for dot in dots]
        assert widths[days.index(most)] == max(widths)
        for pair in root.find("svg/polygon").get("points").split():
            assert all(0 <= float(number) <= 1000 for number in pair.split(","))

    def test_it_is_told_in_words(self):
        points = trend([(date(2026, 7, 18), 4, 5), (date(2026, 7, 19), 5, 5)])

        title, words = trend_words("HS backroll", points, percent)

        assert title == "HS backroll, 18 July 2026 to 19 July 2026"
        assert "18 July 2026 4 of 5; 19 July 2026 5 of 5" in words
        assert "All together 9 of 10: cautious estimate 86 %" in words
        assert "between 62 % and 99 %" in words

    def test_many_days_are_told_by_the_best_and_the_worst(self):
        points = trend([(START + timedelta(days=n), n, 20) for n in range(20)])

        _, words = trend_words("Indy", points, percent)

        assert (
            "20 days; the best 20 May 2026 with 19 of 20, the worst 1 May 2026 with 0 of 20"
            in words
        )

    def test_a_single_day_is_drawn(self):
        picture = trend_picture("Indy", trend([(START, 1, 2)]), percent)

        assert "Indy, on 1 May 2026" in picture
        assert re.search(r'<polygon class="trend-band" points="460\.0,', picture)

    def test_markup_in_a_name_is_only_text(self):
        picture = trend_picture("<script>", trend([(START, 1, 2)]), percent)

        assert "<script>" not in picture
