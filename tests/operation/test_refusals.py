"""Every page of the site, sent an empty form or nonsense: what is refused is said at its top.

WCAG 2.2, 3.3.1 (errors are identified), 2.4.2 (the title tells the state) and technique G139
(a summary whose links lead to the fields).
"""

import re
from html.parser import HTMLParser

import pytest

from tests.operation.permission_world import World, build
from tests.operation.test_permissions import MAY, NEEDS, PEOPLE, address

NONSENSE = "\u2019 not a value"
# They begin something else than a form, or end the world that the others need.
NO_FORM = {
    "sign-out",
    "account-out",
    "account-links-end",
    "health",
    "times-feed",
    "account-data",
}


@pytest.fixture
def world(db) -> World:
    return build()


class Refused(HTMLParser):
    """What stands on a page, by what has to hold of a refusal."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.links: list[str] = []
        self.first = ""
        self.names: list[str] = []
        self.within_main = self.within_summary = False
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        found = {name: value or "" for name, value in attrs}
        if "id" in found:
            self.ids.append(found["id"])
        if self.within_main and not self.first:
            self.first = found.get("id", tag)
        self.within_main |= tag == "main"
        self.within_summary |= found.get("id") == "faults"
        if self.within_summary and tag == "a":
            self.links.append(found["href"][1:])
        if "name" in found and tag in ("input", "select", "textarea"):
            self.names.append(found["name"])

    def handle_endtag(self, tag):
        if tag == "section":
            self.within_summary = False


def sent_to(client, where: str) -> list[str]:
    """What comes back for an empty form, and for nonsense in every field that the page has."""
    before = client.get(where)
    names = Refused(before.text).names if is_page(before) else []
    junk = {name: NONSENSE for name in names if not name.startswith("csrf")}
    answers = [client.post(where, sent) for sent in ({}, junk)]
    return [each.text for each in answers if is_page(each)]


def is_page(answer) -> bool:
    return answer.status_code == 200 and answer["Content-Type"].startswith("text/html")


@pytest.mark.parametrize("name", sorted(set(MAY) - NO_FORM))
def test_what_is_refused_is_said_first(world, client, name):
    """One summary, first in the content; its links lead to the fields; the title begins so."""
    person = next((p for p in reversed(PEOPLE) if p in MAY[name] and p != "other club"), None)
    if name in ("sign-in", "sign-up", "sign-in-link", "password-forgotten"):
        person = "anonymous"
    user = world.people[person]
    client.logout() if user is None else client.force_login(user)
    for html in sent_to(client, address(world, name)):
        if 'class="field-error"' not in html and 'aria-invalid="true"' not in html:
            continue
        page = Refused(html)
        assert page.first == "faults", name
        assert page.ids.count("faults") == 1
        assert re.search(r"<title>\s*Error: ", html), name
        assert page.links, name
        assert set(page.links) <= set(page.ids), name


def test_forms_are_refused_at_all(world, client):
    """Else the test above would look at nothing."""
    seen = set()
    for name in ("venue-new", "format-edit", "enter", "table-ride", "rider-edit", "log-add"):
        assert name in NEEDS
        person = "rider" if name in ("rider-edit", "log-add") else "organiser"
        client.force_login(world.people["other rider" if name == "enter" else person])
        pages = sent_to(client, address(world, name))
        if any('id="faults"' in html for html in pages):
            seen.add(name)

    assert {"venue-new", "format-edit", "rider-edit", "log-add"} <= seen
