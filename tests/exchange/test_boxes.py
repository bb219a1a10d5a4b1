"""Rules in a frame of another site, the event as data in its page, and the page about both."""

import json
from html.parser import HTMLParser

import pytest
from django.urls import reverse
from pyld import jsonld
from pytest_django.asserts import assertContains, assertNotContains

from events.models import Official
from events.offline import PERSON_HEADER
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
        """No cookie, no form, nobody's name, no mark of a person that a cache could keep."""
        before = client.get(box(division))
        official = OfficialFactory(club=division.event.club, role=Official.Role.ORGANISER)
        client.force_login(official.user)
        after = client.get(box(division))

        assert before.content == after.content
        for answer in (before, after):
            assert not answer.cookies
            assert PERSON_HEADER not in answer
            assert "Cookie" not in answer.get("Vary", "")
        assertNotContains(before, "<form")

    def test_before_anything_is_published(self, client) -> None:
        division = DivisionFactory()
        hidden = DivisionFactory(event__is_public=False)

        assertContains(client.get(box(division)), "not published yet")
        for event in (hidden.event.slug, "none"):
            for at in (reverse("event-box", args=[event]), f"/box/{event}/{hidden.slug}/"):
                nothing = client.get(at)
                assertContains(nothing, "No rules here", status_code=404)
                assert "frame-ancestors *" in nothing["Content-Security-Policy"]
                assert hidden.event.name not in nothing.text

    def test_the_divisions_of_an_event(self, client, division) -> None:
        page = client.get(reverse("event-box", args=[division.event.slug]))

        assertContains(page, f'href="{box(division)}"')
        assertContains(page, "edition 1")

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


def context_of_schema_org(url: str, options: object) -> dict[str, object]:
    """The part of schema.org's context that our terms need, so that nothing is fetched.

    From memory: every term is in the vocabulary, days are dates, and `url` is an address.
    """
    assert url == "https://schema.org"
    schema = "http://schema.org/"
    day = {"@type": f"{schema}Date"}
    terms = {
        "@vocab": schema,
        "startDate": {"@id": f"{schema}startDate", **day},
        "endDate": {"@id": f"{schema}endDate", **day},
        "url": {"@id": f"{schema}url", "@type": "@id"},
    }
    return {
        "contentType": "application/ld+json",
        "contextUrl": None,
        "documentUrl": url,
        "document": {"@context": terms},
    }


def test_another_reader_of_linked_data_understands_it(client, division) -> None:
    """PyLD expands it: types and terms are those of schema.org, addresses are whole."""
    event = division.event
    (data,) = linked(client, event)

    (read,) = jsonld.expand(data, {"documentLoader": context_of_schema_org})

    def value(thing: dict, term: str) -> str:
        (found,) = thing[f"http://schema.org/{term}"]
        return found.get("@value") or found["@id"]

    (part,) = read["http://schema.org/subEvent"]
    assert read["@id"] == f"http://testserver{event.get_absolute_url()}"
    for thing in (read, part):
        assert thing["@type"] == ["http://schema.org/SportsEvent"]
        assert value(thing, "startDate") == event.first_day.isoformat()
        assert value(thing, "endDate") == event.last_day.isoformat()
        assert value(thing, "eventStatus") == "https://schema.org/EventScheduled"
        assert value(thing, "url").startswith("http://testserver/events/")
    (club,) = read["http://schema.org/organizer"]
    assert (club["@type"], value(club, "name")) == (
        ["http://schema.org/SportsOrganization"], event.club.name
    )  # fmt: skip


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
