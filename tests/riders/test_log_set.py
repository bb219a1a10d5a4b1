"""Logging between two sets: taps, taking one back, settings, another trick."""

import threading
from datetime import date, timedelta

import pytest
import time_machine
from django.db import connection
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from riders.log_models import LandingDay
from riders.log_services import Line, keep_line, tap, undo_tap
from tests.factories import RiderFactory

HTMX = {"HX-Request": "true"}
SET = "/riding/log/set/"
TODAY = date(2026, 7, 18)


@pytest.fixture
def rider(db, client):
    """A signed-in rider without an entry."""
    rider = RiderFactory()
    client.force_login(rider.user)
    return rider


def press(client, what="landed", trick="HS backroll", **more):
    return client.post(SET, {"trick": trick, "tap": what}, **more)


def tapped(rider, today=TODAY, landed=True):
    """A tap at an Indy in practice."""
    return tap(rider=rider, trick="Indy", setting="practice", today=today, landed=landed)


def counts():
    return [(line.trick, line.landed, line.tried) for line in LandingDay.objects.order_by("pk")]


class TestTap:
    def test_the_first_tap_makes_a_line_and_the_next_add_to_it(self, rider, client):
        assertRedirects(press(client), SET)
        press(client, "fell")
        press(client)

        assert counts() == [("HS backroll", 2, 3)]
        line = LandingDay.objects.get()
        assert (line.day, line.setting) == (timezone.localdate(), "practice")
        assertContains(client.get(SET), "Today 2 of 3")

    def test_a_tap_by_script_brings_the_counts_alone(self, rider, client):
        page = press(client, headers=HTMX)

        assertNotContains(page, "<html")
        assertContains(page, "Today 1 of 1")
        assertContains(page, "HS backroll, landed")

    def test_a_first_fall(self, rider, client):
        press(client, "fell")

        assert counts() == [("HS backroll", 0, 1)]

    def test_the_next_day_has_a_line_of_its_own(self, rider):
        tapped(rider, today=TODAY, landed=True)
        tapped(rider, today=TODAY + timedelta(days=1), landed=False)

        assert counts() == [("Indy", 1, 1), ("Indy", 0, 1)]

    def test_an_unknown_trick_is_named(self, rider, client):
        page = client.post(SET, {"trick": "HS bakroll", "tap": "landed"}, follow=True)

        assertContains(page, "Did you mean HS backroll")
        assert counts() == []

    @pytest.mark.parametrize(
        "junk", [{}, {"trick": "\x00"}, {"trick": "x" * 5000}, {"tap": "landed"}]
    )
    def test_junk_is_answered_with_a_sentence(self, rider, client, junk):
        assert client.post(SET, junk).status_code == 302
        assert client.get(SET).status_code == 200
        assert counts() == []

    def test_tricks_of_the_plans_stand_ready(self, desk):
        desk.post("TS backroll; not a trick", "", bonus="Tantrum")

        page = desk.client.get(SET)

        assertContains(page, 'name="trick" value="TS backroll"')
        assertContains(page, 'name="trick" value="Tantrum"')
        assertNotContains(page, 'value="not a trick"')


class TestUndo:
    def test_the_last_tap_is_taken_back_once(self, rider, client):
        press(client)
        press(client, "fell")

        answer = client.post(f"{SET}undo/", follow=True)

        assertContains(answer, "Taken back: HS backroll, fell.")
        assert counts() == [("HS backroll", 1, 1)]
        assertContains(client.post(f"{SET}undo/", follow=True), "There is no tap to take back")
        assert counts() == [("HS backroll", 1, 1)]

    def test_a_line_that_a_tap_made_goes_with_it(self, rider, client):
        press(client)
        client.post(f"{SET}undo/")

        assert counts() == []

    def test_a_line_corrected_by_hand_is_left_alone(self, rider):
        line = tapped(rider)
        content = Line("Indy", line.day, 0, 4, "practice", "")
        keep_line(rider=rider, line=content, replaces=line)

        assert undo_tap(rider=rider) is None
        assert counts() == [("Indy", 0, 4)]

    def test_only_ones_own_tap(self, rider, client):
        tapped(RiderFactory())

        client.post(f"{SET}undo/")

        assert counts() == [("Indy", 1, 1)]


class TestSetting:
    def test_taps_of_the_day_count_in_it(self, rider, client):
        client.post(f"{SET}setting/", {"setting": "contest"})
        press(client)

        assert LandingDay.objects.get().setting == "contest"
        page = client.get(SET)
        assertContains(page, 'value="contest" checked')
        assertContains(page, "Today 1 of 1")

    def test_the_next_day_begins_with_practice(self, rider, client):
        client.post(f"{SET}setting/", {"setting": "contest"})

        with time_machine.travel(timezone.now() + timedelta(days=1), tick=False):
            client.force_login(rider.user)
            assertContains(client.get(SET), 'value="practice" checked')

    def test_one_that_is_not_there(self, rider, client):
        page = client.post(f"{SET}setting/", {"setting": "beach"}, follow=True)

        assertContains(page, "Choose one of: practice, full-run practice, contest.")


class TestAnotherTrick:
    def test_it_stands_first_before_it_is_tapped(self, rider, client):
        press(client)
        client.post(f"{SET}trick/", {"trick": "ts 180 indy"})

        html = client.get(SET).content.decode()

        assert html.index('value="TS FS 180 indy"') < html.index('value="HS backroll"')
        assert counts() == [("HS backroll", 1, 1)]

    def test_an_unknown_name_gets_suggestions_and_is_kept(self, rider, client):
        page = client.post(f"{SET}trick/", {"trick": "HS bakroll"})

        assertContains(page, "Did you mean HS backroll")
        assertContains(page, 'value="HS bakroll"')

    def test_an_own_trick(self, rider, client):
        rider.own_tricks.create(
            name="Reed flip", family="tantrum", approach="toeside", invert=True
        )

        client.post(f"{SET}trick/", {"trick": "reed flip"})

        assertContains(client.get(SET), 'name="trick" value="Reed flip"')

    @pytest.mark.parametrize("name", ["", "   ", "\x00", "x" * 5000])
    def test_junk(self, rider, client, name):
        assert client.post(f"{SET}trick/", {"trick": name}).status_code == 200


@pytest.mark.django_db(transaction=True)
def test_taps_at_the_same_moment_all_count():
    """Two thumbs, one line: no tap is lost, and there is one line, not two."""
    rider = RiderFactory()
    together = threading.Barrier(2)
    troubles: list[Exception] = []

    def taps(landed: bool) -> None:
        try:
            together.wait(timeout=10)
            for _ in range(8):
                tapped(rider, landed=landed)
        except Exception as error:
            troubles.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=taps, args=(landed,)) for landed in (True, False)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)

    assert troubles == []
    assert counts() == [("Indy", 8, 16)]
