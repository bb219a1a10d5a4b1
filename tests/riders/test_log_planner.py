"""The landing log where plans are made, and how often the log's pages ask the database."""

from datetime import date, timedelta

import pytest
from pytest_django.asserts import assertContains, assertNotContains

from riders.log_models import LandingDay
from riders.models import LandingRecord
from tests.factories import EntryFactory


def logged(rider, trick="HS backroll", landed=9, tried=10, day=date(2026, 7, 18), **more):
    return LandingDay.objects.create(
        rider=rider, trick=trick, landed=landed, tried=tried, day=day, **more
    )


class TestPlanner:
    def test_the_log_comes_before_the_typed_record(self, desk):
        rider = desk.entry.rider
        LandingRecord.objects.create(rider=rider, trick="HS backroll", landed=1, tried=2)
        logged(rider, landed=4, tried=5)
        logged(rider, landed=5, tried=5, setting="contest")

        page = desk.post("HS backroll", "")

        assertContains(page, "From your log: 9 landed of 10 tried.")
        assertNotContains(page, "From your record")
        assertContains(page, "90 %")

    def test_without_a_line_the_typed_record_stands(self, desk):
        LandingRecord.objects.create(
            rider=desk.entry.rider, trick="HS backroll", landed=1, tried=2
        )
        logged(desk.entry.rider, trick="Indy")

        assertContains(desk.post("HS backroll", ""), "From your record: 1 landed of 2 tried.")

    def test_what_is_typed_beside_the_trick_comes_first(self, desk):
        logged(desk.entry.rider, landed=1, tried=10)

        page = desk.post("HS backroll 4/5", "")

        assertContains(page, "80 %")
        assertNotContains(page, "From your log")

    def test_the_log_never_overwrites_a_typed_record(self, desk):
        LandingRecord.objects.create(
            rider=desk.entry.rider, trick="HS backroll", landed=1, tried=2
        )
        logged(desk.entry.rider)

        desk.post("HS backroll", "")

        record = LandingRecord.objects.get()
        assert (record.landed, record.tried) == (1, 2)

    def test_somebody_elses_log_is_not_used(self, desk):
        logged(EntryFactory().rider)

        assertNotContains(desk.post("HS backroll", ""), "From your log")


class TestQueries:
    def count(self, client, path, django_assert_max_num_queries) -> int:
        with django_assert_max_num_queries(60) as asked:
            assert client.get(path).status_code == 200
        return len(asked)

    @pytest.mark.parametrize(
        ("path", "most"),
        [
            ("/riding/log/", 6),
            ("/riding/log/set/", 12),
            ("/riding/log/tricks/HS%20backroll/", 8),
            ("/riding/log/add/", 8),
            ("/riding/log/export.csv", 5),
        ],
    )
    def test_flat_in_tricks_and_days(self, desk, path, most, django_assert_max_num_queries):
        rider = desk.entry.rider
        logged(rider)
        desk.post("HS backroll", "", action="save")
        few = self.count(desk.client, path, django_assert_max_num_queries)
        for number in range(12):
            logged(rider, day=date(2026, 6, 1) + timedelta(days=number))
            logged(rider, trick=f"Own {number}")
        desk.post("HS backroll; Indy; Mute", "Raley; Tantrum", action="save")

        assert self.count(desk.client, path, django_assert_max_num_queries) == few <= most

    def test_the_planner_asks_once_for_the_whole_log(self, desk, django_assert_max_num_queries):
        def count() -> int:
            with django_assert_max_num_queries(60) as asked:
                desk.post("HS backroll; Indy", "Mute")
            return len(asked)

        count()
        few = count()
        for trick in ("HS backroll", "Indy", "Mute"):
            for number in range(5):
                logged(
                    desk.entry.rider, trick=trick, day=date(2026, 6, 1) + timedelta(days=number)
                )

        assert count() == few
