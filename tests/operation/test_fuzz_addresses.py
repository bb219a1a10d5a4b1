"""Every address asked with nonsense: no 500, and nothing that was sent becomes part of a page.

The addresses are taken from the site's own list; a new one is asked too.
"""

from html.parser import HTMLParser
from urllib.parse import quote, unquote

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.operation.permission_world import build
from tests.operation.test_permissions import MAY, NEEDS, address

# Ends attributes, elements and scripts; its letters are found again whatever is done to it.
MARKER = "zq\"'><zqmark onzq=1>zqa{{7*7}}zqb</script>&zq;"
NASTY = (
    "", "0", "-1", "1e400", "NaN", "9" * 40, "٣", "\u202e", "🏄", "=1+1", "%00", "\x00", "\ud800",
    "../../etc/passwd", "a" * 5000, "'; DROP TABLE x; --", "{{7*7}}", "0000-00-00", "9999-12-31",
    "2026-02-30", "true", "null", "[]", '{"a":1}', MARKER,
)  # fmt: skip
PEOPLE = ("organiser", "rider", "coach", "anonymous")
HEADERS = (
    {},
    {"HX-Request": "true"},
    {"HX-Request": "true", "HX-Target": MARKER, "HX-Current-URL": MARKER},
    {
        "Accept-Language": "zz;q=nonsense, *",
        "If-None-Match": '"\u00fc',
        "If-Modified-Since": "x",
    },
    {"Referer": "javascript:alert(1)", "Accept": "application/json", "Range": "bytes=9-1"},
)


class Marks(HTMLParser):
    """Finds elements and attributes that only the marker can have made."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag, attributes) -> None:
        if "zqmark" in tag or any("zq" in name for name, _ in attributes if name):
            self.found.append(self.get_starttag_text() or tag)


def check(answer, sent: str) -> None:
    """What must hold of any answer."""
    assert answer.status_code < 500, sent
    if answer.streaming or "html" not in answer.get("Content-Type", ""):
        return
    text = answer.content.decode()
    assert "zqa49zqb" not in text, sent  # nobody takes what was sent for a template
    reader = Marks()
    reader.feed(text)
    assert reader.found == [], sent


@pytest.fixture
def world(db):
    return build()


@pytest.mark.parametrize("name", sorted(MAY))
def test_nonsense_in_the_query(world, client, name) -> None:
    """Every parameter that the site reads anywhere, with every nasty value."""
    person = next((each for each in PEOPLE if each in MAY[name]), "anonymous")
    user = world.people[person]
    if user is not None:
        client.force_login(user)
    for at, value in enumerate(NASTY):
        with transaction.atomic():
            where = f"{address(world, name)}?{pairs(dict.fromkeys(PARAMETERS, value))}"
            check(client.get(where, headers=HEADERS[at % len(HEADERS)]), where[:300])
            transaction.set_rollback(True)


# Those that the site reads anywhere.
PARAMETERS = (
    "round", "family", "find", "division", "state", "fee", "page", "goal", "clean", "pass",
    "code", "paper", "next", "email", "bib", "limit", "offset", "setting", "since", "until",
    "with", "trick", "at", "to", "entry", "variant", "plan", "q",
)  # fmt: skip


def pairs(query: dict[str, str]) -> str:
    """A query as a browser or an attacker writes it, with what UTF-8 cannot hold."""
    return "&".join(
        f"{quote(name)}={quote(value.encode('utf-8', 'surrogatepass'))}"
        for name, value in query.items()
    )


@pytest.mark.parametrize("name", sorted(name for name, needs in NEEDS.items() if needs))
def test_nonsense_in_the_path(world, client, name) -> None:
    """In the place of each number or short name of an address."""
    person = next((each for each in PEOPLE if each in MAY[name]), "anonymous")
    user = world.people[person]
    if user is not None:
        client.force_login(user)
    whole = address(world, name)
    held = {str(world.numbers.get(need, need.removeprefix("="))) for need in NEEDS[name]}
    pieces = whole.strip("/").split("/")
    for at in (n for n, piece in enumerate(pieces) if unquote(piece) in held):
        for value in NASTY:
            part = quote(value.encode("utf-8", "surrogatepass"), safe="")
            where = "/" + "/".join([*pieces[:at], part, *pieces[at + 1 :]])
            where += "/" if whole.endswith("/") else ""
            with transaction.atomic():
                check(client.get(where), where[:300])
                transaction.set_rollback(True)


@pytest.mark.django_db
@settings(
    max_examples=150,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.lists(st.text(max_size=12), min_size=1, max_size=6), st.text(max_size=20))
def test_any_address_at_all(client, parts, query) -> None:
    path = "/".join(quote(part.encode("utf-8", "surrogatepass"), safe="") for part in parts)
    asked = f"/{path}?{quote(query.encode('utf-8', 'surrogatepass'))}"

    check(client.get(asked), asked)
