"""What everybody sees of an event day: times, running orders, and a calendar."""

import hashlib
from datetime import timedelta

import pytest
import vobject
from django.urls import reverse

from riders.models import Entry
from runsheets.days import publish_day
from runsheets.models import Heat, RunningOrder
from runsheets.orders import change_order, order_version, publish_order
from runsheets.public_times import PublicHeat, public_days
from runsheets.starting.moves import Move
from tests.factories import UserFactory
from tests.runsheets.day_desk import DAY, at, filled, heat_of, order_all, two_divisions

pytestmark = pytest.mark.django_db


@pytest.fixture
def by(db):
    return UserFactory()


@pytest.fixture
def event(by):
    event = two_divisions()
    order_all(event, by)
    return event


def page(client, event, name="times", **more):
    return client.get(reverse(name, args=[event.slug]), **more)


def calendar(client, event, query=""):
    return vobject.readOne(page(client, event, "times-feed", data=query).content.decode())


class TestTimes:
    def test_every_rider_with_a_time(self, client, event, by) -> None:
        filled(event, by)

        text = page(client, event).text

        assert "Saturday 3 July 2027" in text
        assert "Open, Final, Heat 1" in text
        assert "Adlersee" in text
        assert '<span class="day-rider-time">09:00</span>' in text

    def test_nothing_before_it_is_published(self, client, event, by) -> None:
        filled(event, by, public=False)

        text = page(client, event).text

        assert "No times are published yet" in text
        assert "Adlersee" not in text
        assert not list(calendar(client, event).contents.get("vevent", []))

    def test_no_names_before_the_order_is_published(self, client, event, by) -> None:
        order = RunningOrder.objects.get(division__event=event, division__name="Open")
        publish_order(order=order, public=False, version=order_version(order), by=by)
        filled(event, by)

        text = page(client, event).text

        assert "Its running order is not published yet" in text
        assert text.count("Adlersee") == 1  # the one in Seniors, whose order is public
        feed = page(client, event, "times-feed").text
        assert feed.count("Adlersee") == 1

    def test_own_starts_and_the_wait(self, client, event, by) -> None:
        entry = Entry.objects.get(
            division__name="Open", rider__family_name="Brandquist", division__event=event
        )
        filled(event, by)
        client.force_login(entry.rider.user)

        text = page(client, event).text

        assert "Your starts on Saturday" in text
        assert "(you)" in text
        assert "?bib=2" in text

    def test_on_the_day_it_says_how_long(self, event, by) -> None:
        filled(event, by)
        heat = heat_of(event, "Open", 1)
        Heat.objects.filter(pk=heat.pk).update(begun_at=at(event, "09:10"))

        (day,) = public_days(event, at(event, "09:12"))
        first, second = [row for row in day.rows if isinstance(row, PublicHeat)][:2]

        assert first.is_running
        assert first.wait == ""
        assert second.wait.startswith("about ")
        assert second.starts[0].wait == second.wait
        assert abs(day.late_by - timedelta(minutes=10)) < timedelta(seconds=1)

    def test_no_wait_is_told_long_after_a_start_that_nobody_noted(self, event, by) -> None:
        filled(event, by)

        def wait(clock):
            (day,) = public_days(event, at(event, clock))
            return next(row.wait for row in day.rows if isinstance(row, PublicHeat))

        assert wait("09:05") == "any moment"
        assert wait("10:30") == ""

    def test_the_script_asks_for_the_times_alone(self, client, event, by) -> None:
        filled(event, by)

        part = page(client, event, headers={"HX-Request": "true"}).text

        assert 'hx-trigger="every 60s"' in part
        assert "<html" not in part

    def test_an_event_that_is_not_public(self, client, event) -> None:
        event.is_public = False
        event.save()

        for name in ("times", "times-feed", "running-order"):
            assert page(client, event, name).status_code == 404

    def test_the_same_queries_for_any_number_of_riders(
        self, client, by, django_assert_max_num_queries
    ) -> None:
        for riders in (3, 24):
            event = two_divisions(riders)
            order_all(event, by)
            filled(event, by)
            client.force_login(event.divisions.first().entries.first().rider.user)
            with django_assert_max_num_queries(12):
                assert page(client, event).status_code == 200
            with django_assert_max_num_queries(10):
                assert page(client, event, "running-order").status_code == 200
            with django_assert_max_num_queries(10):
                assert page(client, event, "times-feed").status_code == 200


class TestRunningOrders:
    def test_places_bibs_and_how_to_repeat_the_draw(self, client, event) -> None:
        RunningOrder.objects.update(method="random", seed="reed bank 7")

        text = page(client, event, "running-order").text

        assert "Adlersee" in text
        assert "bib 1001" in text
        assert "reed bank 7" in text
        # The command, and the digits that it prints, worked here with hashlib.
        assert "printf &#x27;%s&#x27; &#x27;reed bank 7:1001&#x27; | sha256sum" in text
        own = hashlib.sha256(b"reed bank 7:1001").hexdigest()[:8]
        assert f"Bib 1001: <code>{own}</code>" in text

    def test_only_published_ones(self, client, event, by) -> None:
        for order in RunningOrder.objects.all():
            publish_order(order=order, public=False, version=order_version(order), by=by)

        text = page(client, event, "running-order").text

        assert "No running order is published yet" in text
        assert "Adlersee" not in text

    def test_a_scratched_rider_keeps_the_place(self, client, event, by) -> None:
        order = RunningOrder.objects.get(division__event=event, division__name="Open")
        entry = order.slots.get(position=2).entry
        change_order(
            order=order, entry_id=entry.pk, move=Move.OUT, version=order_version(order), by=by
        )  # fmt: skip

        text = page(client, event, "running-order").text

        assert f"<s>{entry.rider.name}</s>" in text
        assert '<li value="3">' in text


class TestCalendar:
    """Read back by vobject, which shares no code with what writes it: RFC 5545."""

    def test_heats_in_the_zone_of_the_lake(self, client, event, by) -> None:
        filled(event, by)

        heats = calendar(client, event).vevent_list

        assert [each.summary.value for each in heats][:2] == [
            "Open, Final, Heat 1",
            "Open, Final, Heat 2",
        ]
        # Nine o'clock in summer in Vienna is seven in UTC.
        assert heats[0].dtstart.value.isoformat() == f"{DAY}T07:00:00+00:00"
        assert "Adlersee" in heats[0].description.value

    def test_one_rider_by_bib(self, client, event, by) -> None:
        filled(event, by)

        (start,) = calendar(client, event, {"bib": "1002"}).vevent_list

        assert start.summary.value == "You ride: Seniors, Final, Heat 1"

    def test_a_bib_that_is_no_number(self, client, event, by) -> None:
        answer = page(client, event, "times-feed", data={"bib": "twelve"})

        assert answer.status_code == 400
        assert "as a number" in answer.text

    def test_it_is_sent_again_only_when_it_changed(self, client, event, by) -> None:
        filled(event, by)
        first = page(client, event, "times-feed")
        again = page(client, event, "times-feed", headers={"If-None-Match": first["ETag"]})
        Heat.objects.filter(pk=heat_of(event, "Open", 1).pk).update(begun_at=at(event, "09:30"))
        moved = page(client, event, "times-feed", headers={"If-None-Match": first["ETag"]})

        assert first["Content-Type"] == "text/calendar; charset=utf-8"
        assert again.status_code == 304
        assert again.content == b""
        assert moved.status_code == 200
        heats = vobject.readOne(moved.text).vevent_list
        before = vobject.readOne(first.text).vevent_list
        assert heats[0].uid.value == before[0].uid.value
        assert heats[1].dtstart.value - before[1].dtstart.value == timedelta(minutes=30)

    def test_a_later_change_has_a_higher_number(self, client, event, by) -> None:
        plan = filled(event, by)
        before = calendar(client, event).vevent_list[0].sequence.value
        publish_day(plan=plan, public=True, by=by)
        type(plan).objects.update(changed_at=plan.changed_at + timedelta(minutes=3))

        assert int(calendar(client, event).vevent_list[0].sequence.value) >= int(before) + 3
