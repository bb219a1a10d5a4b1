"""Rules in a frame of another site, the event as data in its page, and the page that tells of them."""

import json
from html.parser import HTMLParser

import pytest
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from events.models import Official
from tests.exchange.test_api import RULES
from tests.factories import DivisionFactory, EditionFactory, EventFactory, OfficialFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def division():
    return EditionFactory(data=RULES, division__name="Open").division


def box(division, rest="") -> str:
    return reverse("division-box", args=[division.event.slug, division.slug]) + rest


class TestBoxes:
    def test_the_rules_in_force(self, client, division) -> None:
        page = client.get(box(division))
        assertContains(page, "One fall allowed: the second ends your run.")
        assertContains(page, "Edition 1 of the rules")
        assertContains(client.get(box(division, "?round=Final")), "Two falls allowed")

        EditionFactory(division=division, number=2, data={"passes": {"count": 3}})
        page = client.get(box(division))
        assertContains(page, "Edition 2 of the rules")
        assertContains(page, "A run has three passes.")

    def test_any_site_may_frame_it_and_nothing_else(self, client, division) -> None:
        framed, page = client.get(box(division)), client.get(division.get_absolute_url())

        assert "frame-ancestors *" in framed["Content-Security-Policy"]
        assert "X-Frame-Options" not in framed
        assert "frame-ancestors 'none'" in page["Content-Security-Policy"]
        assert page["X-Frame-Options"] == "DENY"

    def test_it_is_the_same_for_everybody(self, client, division) -> None:
        """No cookie, no form, nobody's name."""
        before = client.get(box(division))
        official = OfficialFactory(club=division.event.club, role=Official.Role.ORGANISER)
        client.force_login(official.user)
        after = client.get(box(division))

        assert before.content == after.content
        assert not before.cookies
        assertNotContains(before, "<form")

    def test_before_anything_is_published(self, client) -> None:
        division = DivisionFactory()
        hidden = DivisionFactory(event__is_public=False)

        assertContains(client.get(box(division)), "not published yet")
        assert client.get(box(hidden)).status_code == 404

    def test_the_divisions_of_an_event(self, client, division) -> None:
        page = client.get(reverse("event-box", args=[division.event.slug]))

        assertContains(page, f'href="{division.get_absolute_url()}" target="_top"')

    def test_lines_to_copy(self, client, division) -> None:
        at = reverse("box-lines", args=[division.event.slug])
        client.force_login(OfficialFactory(club=division.event.club).user)

        page = client.get(at)

        whole = f"http://testserver{box(division)}"
        assertContains(page, f'&lt;iframe src="{whole}"')
        assert "frame-src 'self'" in page["Content-Security-Policy"]


class Scripts(HTMLParser):
    """The data that stands in a page, as a browser's own reading of HTML finds it."""

    def __init__(self) -> None:
        super().__init__()
        self.inside, self.found = False, []

    def handle_starttag(self, tag, attributes) -> None:
        self.inside = tag == "script" and dict(attributes).get("type") == "application/ld+json"
        if self.inside:
            self.found.append("")

    def handle_endtag(self, tag) -> None:
        self.inside = self.inside and tag != "script"

    def handle_data(self, data) -> None:
        if self.inside:
            self.found[-1] += data


def linked(client, event):
    reader = Scripts()
    reader.feed(client.get(event.get_absolute_url()).text)
    return [json.loads(each) for each in reader.found]


def test_an_event_in_the_words_of_schema_org(client, division) -> None:
    """Terms: schema.org/Event (name, startDate, location, organizer, eventStatus, subEvent)."""
    event = division.event

    (data,) = linked(client, event)

    assert data["@context"] == "https://schema.org"
    assert data["@type"] == "SportsEvent"
    assert (data["name"], data["startDate"]) == (event.name, event.first_day.isoformat())
    assert data["location"] == {"@type": "Place", "name": event.venue.name}
    assert data["organizer"]["name"] == event.club.name
    assert data["eventStatus"] == "https://schema.org/EventScheduled"
    (part,) = data["subEvent"]
    assert part["name"] == f"{event.name}, Open"
    assert part["url"].endswith(division.get_absolute_url())


def test_no_name_ends_the_data(client) -> None:
    name = "</script><script>alert(1)</script> & Co"
    event = EventFactory(name=name)

    page = client.get(event.get_absolute_url())

    assertNotContains(page, "<script>alert")
    assert linked(client, event)[0]["name"] == name


def test_a_hidden_event_tells_nothing(client) -> None:
    event = EventFactory(is_public=False)
    client.force_login(OfficialFactory(club=event.club).user)

    assert linked(client, event) == []


def test_for_webmasters(client, division) -> None:
    page = client.get(reverse("for-webmasters"))

    assertContains(page, "api/openapi.json")
    assertContains(page, f"/api/events/{division.event.slug}")
    assertContains(client.get("/"), "For webmasters")
