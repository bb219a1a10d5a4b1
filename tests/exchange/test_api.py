"""The JSON interface: what it tells, what it never tells, and that it keeps to its description."""

from datetime import date

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections
from django.urls import reverse
from hypothesis import HealthCheck, settings

from events.models import Event
from events.rules.loading import try_format
from riders.models import Entry
from runsheets.days import publish_day
from runsheets.models import DayPlan
from runsheets.result_acts import post_result
from tests.factories import DivisionFactory, EditionFactory, EventFactory, UserFactory
from tests.runsheets.day_desk import DAY, filled, order_all, two_divisions
from tests.runsheets.result_desk import heat_of_five, ride_all

RULES = {
    "passes": {"count": 2, "length_m": 400, "ended_by": "marker"},
    "falls": {"allowed": 1, "counted_per": "run", "next_fall": "ends run"},
    "rounds": [{"name": "Qualifying"}, {"name": "Final"}],
    "overrides": [{"when": {"round": "Final"}, "set": {"falls": {"allowed": 2}}}],
}


def get(client, name, *args, **more):
    return client.get(reverse(name, args=args), **more)


@pytest.fixture
def day(db) -> Event:
    """An event with published orders and a published day."""
    event, by = two_divisions(), UserFactory()
    order_all(event, by)
    filled(event, by)
    return event


@pytest.fixture
def results(db):
    """A division with a posted result."""
    by = UserFactory()
    division = heat_of_five(by)
    post_result(order=ride_all(division, by), by=by)
    return division


class TestEvents:
    def test_public_ones_alone_in_pages(self, client, db) -> None:
        for n in range(3):
            EventFactory(
                name=f"Reed Cup {n}", first_day=date(2027, 7, n + 1), last_day=date(2027, 8, 1)
            )
        EventFactory(is_public=False, name="Secret Cup")

        found = get(client, "api-events").json()
        part = get(client, "api-events", data={"limit": 1, "offset": 2}).json()

        assert [each["name"] for each in found["items"]] == [f"Reed Cup {n}" for n in range(3)]
        assert found["count"] == 3
        assert [each["name"] for each in part["items"]] == ["Reed Cup 2"]

    def test_one_with_its_divisions(self, client, db) -> None:
        event = EventFactory(time_zone="Europe/Zurich", venue__course_m=420)
        ruled = EditionFactory(division__event=event, division__place=1, data=RULES).division
        bare = DivisionFactory(event=event, place=2)

        found = get(client, "api-event", event.slug).json()

        assert found["place"]["course_m"] == 420
        assert found["place"]["notes"] == event.venue.notes
        assert found["page"] == f"http://testserver/events/{event.slug}/"
        assert found["declare_by"].endswith(("+01:00", "+02:00"))
        assert [(each["slug"], each["edition"]) for each in found["divisions"]] == [
            (ruled.slug, 1), (bare.slug, None)
        ]  # fmt: skip

    @pytest.mark.parametrize("public", [True, False])
    def test_what_is_not_public_is_not_there(self, client, db, public) -> None:
        division = EditionFactory(division__event__is_public=public).division
        args = (division.event.slug, division.slug)
        expected = 200 if public else 404

        assert get(client, "api-event", args[0]).status_code == expected
        for name in ("api-rules", "api-editions", "api-results"):
            assert get(client, name, *args).status_code == expected
        for name in ("api-running-orders", "api-times"):
            assert get(client, name, args[0]).status_code == expected
        said = get(client, "api-event", "nothing-here")
        assert said.json() == {
            "detail": "There is no such event, or it is not open to the public."
        }


class TestRules:
    def test_sentences_as_on_the_page_and_data_to_load(self, client, db) -> None:
        edition = EditionFactory(data=RULES)
        division = edition.division
        args = (division.event.slug, division.slug)

        found = get(client, "api-rules", *args).json()
        final = get(client, "api-rules", *args, data={"round": "Final"}).json()

        page = client.get(division.get_absolute_url())
        sentences = [s for each in found["answers"] for s in each["sentences"]]
        assert "One fall allowed: the second ends your run." in sentences
        assert all(sentence in page.context["reading"].__repr__() for sentence in sentences)
        assert found["rounds"] == ["Qualifying", "Final"]
        assert "Two falls allowed: the third ends your run." in str(final["answers"])
        assert try_format(found["format"])[0] == edition.format

    def test_rounds_and_editions_that_are_not_there(self, client, db) -> None:
        division = EditionFactory(data=RULES).division
        args = (division.event.slug, division.slug)
        bare = DivisionFactory(event=division.event)

        assert get(client, "api-rules", *args, data={"round": "Nope"}).status_code == 404
        assert get(client, "api-edition", *args, 7).status_code == 404
        assert get(client, "api-rules", division.event.slug, bare.slug).status_code == 404
        assert get(client, "api-editions", division.event.slug, "nope").status_code == 404

    def test_editions_with_what_they_changed(self, client, db) -> None:
        first = EditionFactory(data=RULES)
        EditionFactory(
            division=first.division, number=2, data=RULES, changes=["Two falls now."]
        )
        args = (first.division.event.slug, first.division.slug)

        both = get(client, "api-editions", *args).json()

        assert [(each["number"], each["changes"]) for each in both] == [
            (2, ["Two falls now."]), (1, [])
        ]  # fmt: skip
        assert get(client, "api-edition", *args, 2).json() == both[0]


class TestDays:
    def test_orders_and_times(self, client, day) -> None:
        orders = get(client, "api-running-orders", day.slug).json()
        (told,) = get(client, "api-times", day.slug).json()

        assert [rider["name"].split()[-1] for rider in orders[0]["heats"][0]["riders"]] == [
            "Adlersee", "Brandquist", "Ćwierk"
        ]  # fmt: skip
        assert told["day"] == DAY.isoformat()
        assert told["rows"][0]["starts_at"].endswith("+02:00")
        assert told["rows"][0]["riders"][0]["starts_at"] == told["rows"][0]["starts_at"]

    def test_nothing_unpublished(self, client, day) -> None:
        by = UserFactory()
        for plan in DayPlan.objects.all():
            publish_day(plan=plan, public=False, by=by)
        order = day.divisions.first().orders.get()
        order.published_at = None
        order.save()

        assert get(client, "api-times", day.slug).json() == []
        assert len(get(client, "api-running-orders", day.slug).json()) == 1

    def test_a_name_that_is_not_to_be_shown(self, client, day, results) -> None:
        Entry.objects.filter(rider__family_name="Adlersee").update(is_named=False)
        slug = results.event.slug

        for name, args in (
            ("api-running-orders", (day.slug,)),
            ("api-times", (day.slug,)),
            ("api-results", (slug, results.slug)),
        ):
            text = get(client, name, *args).content.decode()
            assert "Adlersee" not in text
            assert "Name not shown" in text

    def test_results(self, client, results) -> None:
        (found,) = get(client, "api-results", results.event.slug, results.slug).json()

        places = found["groups"][0]["places"]
        assert [(each["place"], each["total"]) for each in places] == [
            (1, "90.90"), (2, "90.90"), (3, "81.00"), (4, "75.00"), (5, "60.00")
        ]  # fmt: skip
        assert (found["round"], found["official"]) == ("Qualifying", False)
        page = client.get(reverse("result", args=[results.event.slug, results.slug])).text
        for each in places:
            assert not each["is_sum_of_places"]
            assert each["marks"]
            assert all(mark["label"] in page and mark["mark"] in page for mark in each["marks"])


class TestCourtesy:
    def test_any_site_may_read_it_and_nothing_is_sent_twice(self, client, day) -> None:
        first = get(client, "api-event", day.slug)
        again = get(client, "api-event", day.slug, headers={"If-None-Match": first["ETag"]})

        assert first["Access-Control-Allow-Origin"] == "*"
        assert "max-age=60" in first["Cache-Control"]
        assert not first.cookies
        assert (again.status_code, again.content) == (304, b"")

    def test_nothing_is_written(self, client, day) -> None:
        for method in ("post", "put", "patch", "delete"):
            answer = getattr(client, method)(reverse("api-event", args=[day.slug]))
            assert answer.status_code == 405

    def test_few_queries(self, client, day, results, django_assert_max_num_queries) -> None:
        slug = day.slug
        for name, args in (
            ("api-events", ()), ("api-event", (slug,)), ("api-running-orders", (slug,)),
            ("api-times", (slug,)), ("api-results", (results.event.slug, results.slug)),
        ):  # fmt: skip
            with django_assert_max_num_queries(10):
                get(client, name, *args)


schema = schemathesis.openapi.from_wsgi("/api/openapi.json", get_wsgi_application())


@pytest.fixture
def known(day, results):
    """What the description's paths can name. The test's own connection is not closed."""
    signals = (request_started, request_finished)
    for signal in signals:
        signal.disconnect(close_old_connections)
    yield {"event": results.event.slug, "division": results.slug, "number": 1}
    for signal in signals:
        signal.connect(close_old_connections)


@schema.parametrize()
@settings(
    max_examples=25,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_whatever_is_asked_is_answered_as_described(case, known) -> None:
    """A described status with a described shape, and never a 500."""
    case.call_and_validate()


@pytest.mark.parametrize("operation", [each.ok() for each in schema.get_all_operations()])
def test_what_is_there_has_the_described_shape(operation, known) -> None:
    wanted = {name: known[name] for name in known if f"{{{name}}}" in operation.path}
    answer = operation.Case(path_parameters=wanted).call_and_validate()

    assert answer.status_code == 200
