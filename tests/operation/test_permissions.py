"""Who may open what: every address of the site, for every kind of person.

The rows are checked against the list of addresses, so that a new one without a row fails.
"""

import re
from collections.abc import Iterator

import pytest
from django.db import transaction
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from tests.operation.permission_world import SECRETS, World, build

PEOPLE = (
    "anonymous", "other rider", "rider", "coach", "dock", "table", "other club", "organiser",
)  # fmt: skip
SIGNED_IN = frozenset(PEOPLE) - {"anonymous"}
EVERYBODY = frozenset(PEOPLE)
ORGANISER = frozenset({"organiser"})
TABLE = frozenset({"organiser", "table"})
DOCK = frozenset({"organiser", "table", "dock"})
OWNER = frozenset({"rider"})
ANY_CLUB = frozenset({"organiser", "other club"})

# Each address by who may go there, with the numbers it needs: see `World.numbers`.
ROWS: dict[frozenset[str], dict[str, tuple[str, ...]]] = {
    EVERYBODY: {
        "home": (), "site-worker": (), "web-manifest": (), "offline": (), "health": (),
        "trick-list": (), "sign-in": (), "sign-in-link": (), "sign-in-link-sent": (),
        "password-forgotten": (), "password-forgotten-sent": (), "sign-out": (), "sign-up": (),
        "event": ("event",), "division": ("event", "slug"),
        "edition-text": ("event", "slug", "=1"), "times": ("event",), "times-feed": ("event",),
        "running-order": ("event",), "results": ("event",), "result": ("event", "slug"),
        "result-file": ("event", "slug", "=csv"), "shared-plan": ("token",),
        "first-steps": (), "first-steps-of": ("=rider",), "for-webmasters": (), "language": (), "units": (), "event-box": ("event",), "division-box": ("event", "slug"),
        "openapi-json": (), "api-events": (), "api-event": ("event",),
        "api-rules": ("event", "slug"), "api-editions": ("event", "slug"),
        "api-edition": ("event", "slug", "=1"), "api-running-orders": ("event",),
        "api-times": ("event",), "api-results": ("event", "slug"),
        # Keys: whoever holds one. These are none, and say so without letting anybody in.
        "key-once": ("=none",), "key-in": ("=none",), "key-password": ("=none", "=none"),
        "key-email": ("=none",), "key-role": ("=none",), "invitation": (),
    },
    SIGNED_IN: {
        "password": (), "organise-home": (), "club-new": (), "account": (),
        "account-address": (), "account-links-end": (), "account-out": (), "account-data": (),
        "account-erase": (), "riding-home": (), "dock": (), "rider-edit": (),
        "enter": ("division",), "own-tricks": (), "log-home": (), "log-add": (), "log-set": (),
        "log-undo": (), "log-setting": (), "log-set-trick": (), "log-export": (),
        "log-import": (), "log-import-confirm": (), "coach": (), "compare": (),
        "table-home": (), "dock-home": (), "shared-keep": ("token",),
    },
    ORGANISER: {
        "club-people": ("club",), "club-person-remove": ("club", "person"),
        "invitation-again": ("club", "invitation"), "invitation-end": ("club", "invitation"),
        "post": ("club",), "letter": ("club", "letter"), "letter-again": ("club", "letter"),
        "club-tricks": ("club",), "club-trick-remove": ("club", "club_trick"),
        "venue-new": ("club",), "venue-edit": ("venue",), "event-new": ("club",),
        "event-from-earlier": ("club",), "event-from-earlier-confirm": ("club",),
        "event-organise": ("event",), "box-lines": ("event",), "event-edit": ("event",), "event-public": ("event",),
        "division-new": ("event",), "division-edit": ("division",),
        "format-edit": ("division",), "format-strip": ("division",),
        "format-preview": ("division",), "format-publish": ("division",),
        "table-entries-import": ("event",), "table-entries-import-confirm": ("event",),
        "table-entries-template": ("event", "=csv"),
        "format-start": ("division",), "table-lots": ("division",), "format-text": ("division",),
    },
    TABLE: {
        "re-checks": ("division",), "table-order": ("division",), "table-result": ("division",),
        "table-sheets": ("division",), "table-heat": ("heat",), "table-event": ("event",),
        "table-ride": ("order", "entry"), "table-ride-again": ("order", "entry", "=1"),
        "table-judges": ("event",), "table-print": ("event",), "table-rows": ("event", "=csv"),
        "paper": ("code",), "table-pack": ("pack",), "table-pack-file": ("pack",),
        "table-days": ("event",), "table-day-new": ("event",),
        "table-day": ("event", "day"), "table-day-remove": ("event", "day"),
        "table-bibs": ("event",), "table-entries": ("event",), "table-readiness": ("event",),
        "table-entries-export": ("event", "=csv"),
        "table-entry-act": ("entry",), "table-entry": ("entry",), "table-entry-new": ("event",),
    },
    DOCK: {"check-in": ("event",), "check-in-act": ("entry",)},
    OWNER: {
        "withdraw": ("entry",), "own-trick-remove": ("own_trick",), "plan": ("entry",),
        "receipt": ("declared",), "suggest": ("entry",), "apply-suggestion": ("entry",),
        "next-trick": ("entry",), "add-trick": ("entry",), "log-edit": ("line",),
        "log-delete": ("line",), "log-trick": ("=HS backroll",), "share": ("entry",),
        "share-stop": ("share",), "share-take-back": ("keeper",), "variants": ("entry",),
        "variant-use": ("variant",), "variant-remove": ("variant",), "copy-plan": ("entry",),
        "dock-card": ("entry",),
    },
    frozenset({"coach"}): {"coach-plan": ("keeper",), "coach-let-go": ("keeper",)},
}  # fmt: skip
# Some addresses say 404 to whoever sends nothing.
SENT = {"add-trick": {"pass": "1", "trick": "Indy"}}
MAY = {name: people for people, names in ROWS.items() for name in names}
NEEDS = {name: needs for names in ROWS.values() for name, needs in names.items()}


@pytest.fixture
def world(db) -> World:
    return build()


def addresses(patterns: list[URLPattern | URLResolver]) -> Iterator[str]:
    for each in patterns:
        if isinstance(each, URLResolver):
            yield from addresses(each.url_patterns)
        else:
            assert each.name, each.pattern
            yield each.name


def address(world: World, name: str) -> str:
    given = [n[1:] if n.startswith("=") else world.numbers[n] for n in NEEDS[name]]
    return reverse(name, args=given)


def knock(client, world: World, name: str, person: str):
    """Open a page; where it only takes what is sent, send it nothing."""
    user = world.people[person]
    client.logout() if user is None else client.force_login(user)
    where = address(world, name)
    with transaction.atomic():  # what it does is taken back, so that the next finds the same
        answer = client.get(where)
        if answer.status_code == 405:
            answer = client.post(where, SENT.get(name, {}))
        transaction.set_rollback(True)
    return answer


def is_let_in(answer) -> bool:
    if answer.status_code in (403, 404):
        return False
    return not (answer.status_code == 302 and answer.url.startswith("/sign-in/?next="))


def test_every_address_has_a_row():
    assert set(addresses(get_resolver().url_patterns)) == set(MAY)
    assert sum(map(len, ROWS.values())) == len(MAY)


@pytest.mark.parametrize("name", sorted(MAY))
def test_who_may_open_it(world, client, name):
    """Everybody who may is let in; nobody else, and who is not signed in is asked to."""
    for person in PEOPLE:
        if person not in MAY[name]:
            answer = knock(client, world, name, person)
            assert not is_let_in(answer), f"{person} was let in"
            expected = (302,) if person == "anonymous" else (403, 404)
            assert answer.status_code in expected, f"{person}: {answer.status_code}"
    for person in sorted(MAY[name]):
        if person == "organiser" and name == "club-person-remove":
            continue  # tested with the pages of a club; it takes a role away
        answer = knock(client, world, name, person)
        assert answer.status_code < 500
        if name not in ("key-in", "key-once", "key-password", "key-email"):
            let_in = is_let_in(answer) or answer.status_code in (400, 409)
            assert let_in, f"{person} was not let in: {answer.status_code}"


@pytest.mark.parametrize("person", sorted(EVERYBODY - {"rider", "organiser"}))
def test_contacts_stay_with_organisers(world, client, person):
    """Births, guardians and phones stand on no page for anybody else."""
    for name, people in MAY.items():
        if person in people and not name.startswith(("account-e", "account-o")):
            answer = knock(client, world, name, person)
            for what, secret in SECRETS.items():
                assert secret not in words(answer), f"{what} on {name}"


def test_organisers_are_told_contacts(world, client):
    """Else the test above would look for what stands nowhere."""
    told = words(knock(client, world, "table-entries", "organiser"))

    assert [what for what, secret in SECRETS.items() if secret not in told] == []


@pytest.mark.parametrize("person", ["anonymous", "other rider", "dock", "other club"])
def test_a_declared_run_stays_hidden(world, client, person):
    """The run is seen by its rider and the table alone, and by whom the rider shared it with."""
    for name, people in MAY.items():
        shared = name in ("shared-plan", "shared-keep")
        if person in people and not shared and not name.startswith("account-"):
            assert not re.search(
                r"HS backroll\W+TS FS 180", words(knock(client, world, name, person))
            ), name


def test_the_table_is_shown_the_declared_run(world, client):
    """Else the test above would look for what stands nowhere."""
    assert "HS backroll" in words(knock(client, world, "table-ride", "table"))


def words(answer) -> str:
    if answer.streaming or "text" not in answer.get("Content-Type", ""):
        return ""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.text))
