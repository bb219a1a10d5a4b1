"""The landing log as its rider reads and writes it, and everything that can go wrong."""

from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.db import IntegrityError, transaction
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from riders.log_models import LandingDay
from riders.planning.training import tries_for_width
from tests.factories import RiderFactory

LINE = {
    "trick": "HS backroll", "day": "2026-07-18", "landed": "9", "tried": "10",
    "setting": "practice", "note": "",
}  # fmt: skip
TODAY = date(2026, 7, 20)


@pytest.fixture(autouse=True)
def _one_day():
    """It is 20 July 2026 in every test here, and no later day anywhere on Earth."""
    with time_machine.travel(datetime(2026, 7, 20, 6, tzinfo=UTC)):
        yield


@pytest.fixture
def rider(db, client):
    """A signed-in rider without an entry."""
    rider = RiderFactory()
    client.force_login(rider.user)
    return rider


def logged(rider, trick="HS backroll", landed=9, tried=10, day=date(2026, 7, 18), **more):
    return LandingDay.objects.create(
        rider=rider, trick=trick, landed=landed, tried=tried, day=day, **more
    )


class TestModel:
    @pytest.mark.parametrize(("landed", "tried"), [(6, 5), (0, 0), (1, 0)])
    def test_the_database_refuses_counts_that_cannot_be(self, rider, landed, tried):
        with pytest.raises(IntegrityError), transaction.atomic():
            logged(rider, landed=landed, tried=tried)


class TestHome:
    def test_an_empty_log_says_how_to_begin(self, rider, client):
        assertContains(client.get("/riding/log/"), "There is no line yet.")

    def test_what_a_trick_adds_up_to(self, rider, client):
        logged(rider, landed=4, tried=5)
        logged(rider, landed=5, tried=5, setting="contest", day=date(2026, 7, 19))

        page = client.get("/riding/log/")

        assertContains(page, "9 landed of 10 tried")
        assertContains(page, "90 %")  # counted
        assertContains(page, "86 %")  # cautious: 9.5 of 11
        assertContains(page, "between 62 % and 99 %")
        assertContains(page, "/riding/log/tricks/HS%20backroll/")
        assertNotContains(page, "few tries")

    def test_under_ten_tries_a_word_of_caution(self, rider, client):
        logged(rider, landed=9, tried=9)

        assertContains(client.get("/riding/log/"), "few tries: lean on it little")

    def test_filters(self, rider, client):
        logged(rider, landed=1, tried=2)
        logged(rider, landed=3, tried=4, setting="contest", day=date(2026, 7, 1))

        assertContains(client.get("/riding/log/?setting=contest"), "3 landed of 4 tried")
        assertContains(client.get("/riding/log/?first=2026-07-02"), "1 landed of 2 tried")
        assertContains(client.get("/riding/log/?last=2026-07-01"), "3 landed of 4 tried")
        assertContains(client.get("/riding/log/?first=2026-07-01"), "4 landed of 6 tried")
        nothing = client.get("/riding/log/?first=2026-07-19")
        assertContains(nothing, "No line of your log is like that.")
        assertContains(nothing, 'value="2026-07-19"')

    @pytest.mark.parametrize(
        ("query", "sentence"),
        [
            ("first=soon", "Write the day as year-month-day"),
            ("first=2026-07-02&last=2026-07-01", "This day is before the first one"),
            ("setting=beach", "Choose one of: practice"),
            ("first=%00", "Write the day as year-month-day"),
        ],
    )
    def test_filters_that_cannot_be_read(self, rider, client, query, sentence):
        logged(rider)

        page = client.get(f"/riding/log/?{query}")

        assertContains(page, sentence)
        assertContains(page, "9 landed of 10 tried")

    def test_my_riding_leads_here(self, rider, client):
        assertContains(client.get("/riding/"), "/riding/log/")


class TestWhoSees:
    PATHS = (
        "/riding/log/", "/riding/log/set/", "/riding/log/add/", "/riding/log/import/",
        "/riding/log/export.csv",
    )  # fmt: skip

    @pytest.mark.parametrize("path", PATHS)
    def test_nobody_elses_lines_are_in_it(self, rider, client, path):
        logged(RiderFactory(), trick="Krypt", note="secret wake")

        page = client.get(path).content.decode()

        assert "secret wake" not in page
        assert "Krypt</a>" not in page
        assert "Krypt,2026" not in page

    def test_somebody_elses_line_is_not_found(self, rider, client):
        line = logged(RiderFactory(), trick="Krypt")

        for path in (f"/riding/log/lines/{line.pk}/", f"/riding/log/lines/{line.pk}/delete/"):
            assert client.get(path).status_code == 404
            assert client.post(path, LINE).status_code == 404
        assert client.get("/riding/log/tricks/Krypt/").status_code == 404
        assert LandingDay.objects.get() == line

    @pytest.mark.parametrize(
        "path", [*PATHS, "/riding/log/tricks/Krypt/", "/riding/log/lines/1/"]
    )
    def test_a_stranger_is_asked_to_sign_in(self, db, client, path):
        assert client.get(path).url.startswith("/sign-in/?next=")

    @pytest.mark.parametrize(
        "path", ["set/undo/", "set/setting/", "set/trick/", "import/confirm/"]
    )
    def test_a_stranger_changes_nothing(self, db, client, path):
        assert client.post(f"/riding/log/{path}").url.startswith("/sign-in/?next=")

    @pytest.mark.parametrize(
        "path", ["set/undo/", "set/setting/", "set/trick/", "import/confirm/"]
    )
    def test_what_changes_is_never_a_link(self, rider, client, path):
        assert client.get(f"/riding/log/{path}").status_code == 405


class TestLine:
    def test_write_one(self, rider, client):
        answer = client.post(
            "/riding/log/add/", {**LINE, "trick": "hs backroll", "note": " full  ballast "}
        )

        assertRedirects(answer, "/riding/log/tricks/HS%20backroll/")
        line = LandingDay.objects.get()
        assert (line.trick, line.landed, line.tried) == ("HS backroll", 9, 10)
        assert (line.day, line.note) == (date(2026, 7, 18), "full ballast")

    def test_a_trick_is_kept_as_landing_records_are(self, rider, client):
        """A record typed into the name, and the take-off of a bonus, are no part of it."""
        client.post("/riding/log/add/", {**LINE, "trick": "sw hs fs 180 4/5"})

        assert LandingDay.objects.get().trick == "switch HS FS 180"

    @pytest.mark.parametrize(
        ("change", "sentence"),
        [
            ({"landed": "6", "tried": "5"}, "6 landed of 5 tried cannot be: check both."),
            ({"landed": "-1"}, "Write 0 or more."),
            ({"tried": "0", "landed": "0"}, "Write 1 or more"),
            ({"landed": "four"}, "Write a whole number, such as 4."),
            ({"tried": "1.5"}, "Write a whole number, such as 4."),
            ({"tried": "99999"}, "Write at most 9999."),
            ({"landed": ""}, "Write a whole number, such as 4."),
            ({"day": "2026-07-21"}, "This day has not come yet"),
            ({"day": "2026-02-30"}, "Write the day as year-month-day"),
            ({"day": "1867-01-01"}, "Check the year"),
            ({"day": ""}, "Write the day as year-month-day"),
            ({"setting": "beach"}, "Choose one of: practice, full-run practice, contest."),
            ({"trick": "HS bakroll"}, "Did you mean HS backroll"),
            ({"trick": ""}, "Say which trick this is."),
            ({"note": "x" * 201}, "at most 200 characters"),
        ],
    )
    def test_mistakes_stand_beside_the_field_and_nothing_is_lost(
        self, rider, client, change, sentence
    ):
        data = {**LINE, "note": "choppy", **change}

        page = client.post("/riding/log/add/", data)

        assertContains(page, sentence)
        assertContains(page, "has-error")
        for name in ("trick", "day", "landed", "tried", "note"):
            if data[name]:
                assertContains(page, f'value="{data[name]}"')
        assert not LandingDay.objects.exists()

    def test_today_is_early_enough(self, rider, client):
        client.post("/riding/log/add/", {**LINE, "day": "2026-07-20"})

        assert LandingDay.objects.get().day == TODAY

    def test_correct_one(self, rider, client):
        line = logged(rider)
        page = client.get(f"/riding/log/lines/{line.pk}/")
        assertContains(page, 'value="2026-07-18"')
        assertContains(page, 'value="9"')

        client.post(
            f"/riding/log/lines/{line.pk}/", {**LINE, "landed": "8", "setting": "contest"}
        )

        line.refresh_from_db()
        assert (line.landed, line.tried, line.setting) == (8, 10, "contest")

    def test_a_trick_whose_name_is_gone_can_still_be_corrected(self, rider, client):
        line = logged(rider, trick="Old reed flip")

        client.post(
            f"/riding/log/lines/{line.pk}/", {**LINE, "trick": "Old reed flip", "landed": "1"}
        )

        line.refresh_from_db()
        assert (line.trick, line.landed) == ("Old reed flip", 1)

    def test_delete_asks_first(self, rider, client):
        line = logged(rider)
        path = f"/riding/log/lines/{line.pk}/delete/"

        assertContains(client.get(path), "Delete this line?")
        assert LandingDay.objects.exists()
        assertRedirects(client.post(path), "/riding/log/")
        assert not LandingDay.objects.exists()

    def test_after_deleting_one_of_many_the_trick_is_still_there(self, rider, client):
        line = logged(rider)
        logged(rider)

        answer = client.post(f"/riding/log/lines/{line.pk}/delete/")

        assertRedirects(answer, "/riding/log/tricks/HS%20backroll/")


class TestTrick:
    def test_days_figures_and_picture(self, rider, client):
        logged(rider, landed=4, tried=5, note="choppy <b>wake</b>")
        logged(rider, landed=5, tried=5, day=date(2026, 7, 19))

        page = client.get("/riding/log/tricks/HS%20backroll/")

        assertContains(page, "18 July 2026")
        assertContains(page, "between 62 % and 99 %")
        assertContains(page, "choppy &lt;b&gt;wake&lt;/b&gt;")
        assertContains(page, '<svg class="trend" role="img"')
        assertNotContains(page, "Under ten tries")

    def test_an_unlogged_trick_is_not_found(self, rider, client):
        assert client.get("/riding/log/tricks/Krypt/").status_code == 404
        assert client.get("/riding/log/tricks/%00/").status_code == 404

    def test_how_many_more_tries(self, rider, client):
        """9 of 10 has an interval of about 37 points: more tries narrow it to 20."""
        logged(rider)

        page = client.get("/riding/log/tricks/HS%20backroll/?width=20")

        more = tries_for_width(9, 10, 0.2)
        assertContains(page, f"<strong>{more} more tries</strong>")
        assertContains(page, "would narrow the interval to 20 points of per cent")
        wide = client.get("/riding/log/tricks/HS%20backroll/?width=90")
        assertContains(wide, "no wider than 90 points of per cent already")

    @pytest.mark.parametrize("width", ["0", "100", "wide", "-5", ""])
    def test_a_width_that_cannot_be(self, rider, client, width):
        logged(rider)

        page = client.get("/riding/log/tricks/HS%20backroll/", {"width": width})

        assertContains(page, "Write a whole number of points from 1 to 99, such as 20.")

    def test_many_lines_come_in_pages(self, rider, client):
        for number in range(61):
            logged(rider, day=date(2026, 5, 1) + timedelta(days=number))

        first = client.get("/riding/log/tricks/HS%20backroll/")
        second = client.get("/riding/log/tricks/HS%20backroll/?page=2")

        assertContains(first, "Earlier days")
        assertNotContains(first, '<th scope="row">1 May 2026</th>')
        assertContains(second, '<th scope="row">1 May 2026</th>')
        assert client.get("/riding/log/tricks/HS%20backroll/?page=x").status_code == 200
