"""Which pages a device may keep, for whom, and what a phone is told of the site."""

import json
import re
import struct

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import get_resolver, reverse

from events.offline import KEEP_HEADER, KEPT, NOBODY, PARTS, PERSON_HEADER, WAYS_OUT
from tests.factories import DivisionFactory, EventFactory, OfficialFactory, RiderFactory


@pytest.fixture
def event(db):
    return EventFactory(is_public=True)


@pytest.fixture
def rider(db):
    return RiderFactory()


@pytest.fixture
def mine(rider) -> Client:
    client = Client()
    client.force_login(rider.user)
    return client


def names() -> set[str]:
    """The name of every address of the site."""
    resolver = get_resolver()
    return {
        pattern.name
        for include in resolver.url_patterns
        for pattern in getattr(include, "url_patterns", [include])
    }


def test_every_name_is_that_of_an_address():
    assert {*KEPT, *WAYS_OUT} <= names()


def test_nothing_of_officials_coaches_and_accounts_may_be_kept():
    beginnings = ("table", "organise", "club", "format", "letter", "post", "coach", "shared")
    others = {name for name in names() if name.startswith((*beginnings, "account", "key"))}

    assert len(others) > 20
    assert not others & KEPT


class TestHeaders:
    def test_a_public_page_read_by_nobody_in_particular(self, client, event):
        answer = client.get(event.get_absolute_url())

        assert (answer[PERSON_HEADER], answer[KEEP_HEADER]) == (NOBODY, "yes")

    def test_the_same_page_is_kept_apart_for_each_person(self, client, event, mine):
        other = Client()
        other.force_login(RiderFactory().user)

        marks = {each.get(event.get_absolute_url())[PERSON_HEADER] for each in (mine, other)}

        assert len(marks) == 2
        assert NOBODY not in marks

    def test_the_mark_stays_and_names_nobody(self, mine, rider):
        first, second = (mine.get(reverse(name)) for name in ("riding-home", "account"))

        assert first[PERSON_HEADER] == second[PERSON_HEADER]
        assert re.fullmatch(r"[0-9a-f]{20}", first[PERSON_HEADER])
        assert KEEP_HEADER not in second

    def test_pages_of_the_table_are_told_apart_but_not_kept(self, client, event):
        client.force_login(OfficialFactory(club=event.club).user)
        for name in ("table-event", "table-entries", "table-readiness"):
            answer = client.get(reverse(name, args=[event.slug]))

            assert answer.status_code == 200
            assert PERSON_HEADER in answer
            assert KEEP_HEADER not in answer

    def test_what_is_no_whole_page_is_not_kept(self, client, event):
        hidden = EventFactory(is_public=False)
        missing = client.get(hidden.get_absolute_url())
        sent_on = client.get(reverse("riding-home"))
        posted = client.post(event.get_absolute_url())

        assert [missing.status_code, sent_on.status_code] == [404, 302]
        assert not any(KEEP_HEADER in each for each in (missing, sent_on, posted))


class TestWorker:
    def test_it_serves_the_whole_site_and_is_asked_for_each_time(self, client):
        answer = client.get("/worker.js")

        assert answer["Content-Type"].startswith("text/javascript")
        assert answer["Cache-Control"] == "no-cache"
        start = json.loads(
            re.search(r"const START = (\{.*?\n\});?\n", answer.text, re.DOTALL)[1].rstrip(";")
        )
        assert start["offline"] == "/offline/"
        assert "/sign-out/" in start["out"]
        for url in start["parts"]:
            assert client.get(url).status_code == 200, url

    def test_it_is_told_the_language_of_who_brings_it(self, client):
        client.cookies[settings.LANGUAGE_COOKIE_NAME] = "de"

        assert '"language": "de"' in client.get("/worker.js").text
        assert '"language": "en-gb"' in Client().get("/worker.js").text

    def test_all_that_the_base_page_links_is_kept(self, client):
        html = client.get("/offline/").text.split("</head>")[0]
        linked = set(re.findall(r'(?:href|src)="/static/([^"]+\.(?:css|js))"', html))

        assert linked <= set(PARTS)


class TestManifest:
    def test_what_a_phone_is_told(self, client):
        answer = client.get("/manifest.webmanifest")
        told = answer.json()

        assert answer["Content-Type"] == "application/manifest+json"
        assert (told["name"], told["display"], told["scope"]) == ("Buoyline", "standalone", "/")
        assert {"192x192", "512x512"} <= {icon["sizes"] for icon in told["icons"]}
        assert {icon["purpose"] for icon in told["icons"]} == {"any", "maskable"}

    def test_its_pictures_are_of_the_size_it_says(self, client):
        for icon in client.get("/manifest.webmanifest").json()["icons"]:
            if icon["type"] != "image/png":
                continue
            path = finders.find(icon["src"].removeprefix("/static/"))
            with open(path, "rb") as file:
                head = file.read(24)  # PNG (ISO/IEC 15948): signature, length, IHDR, sizes
            width, height = struct.unpack(">II", head[16:24])
            assert head.startswith(b"\x89PNG\r\n\x1a\n")
            assert icon["sizes"] == f"{width}x{height}"

    def test_every_page_names_it(self, client, event):
        division = DivisionFactory(event=event)

        assert '<link rel="manifest" href="/manifest.webmanifest">' in (
            client.get(division.get_absolute_url()).text
        )
