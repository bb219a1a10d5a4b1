"""A rider entered in a division with published rules, signed in."""

from dataclasses import dataclass

import pytest
from django.conf import settings as site
from django.test import Client

from events.models import Division, Edition, LanguageChoice
from events.rules.loading import as_data, load_format
from riders.models import Entry
from tests.factories import EditionFactory, EntryFactory

RULES = """
double_ups = [{after_pass = 2, cutoff_m = 300}]
pickup_cutoffs = []
[passes]
count = 2
length_m = 400
tricks_expected = 3
tricks_most = 5
[falls]
allowed = 1
counted_per = "run"
next_fall = "ends run"
restart_m = 60
[repeats]
rule = "once"
per = "run"
differs_by = ["stance", "approach", "direction", "rotation"]
[[limits]]
say = "No more than two inverts"
when = { invert = true }
most = 2
per = "run"
[route]
trick_m = 60
turn_m = 15
cross_m = 25
"""


@dataclass
class Desk:
    """Everything a planner test needs."""

    client: Client
    entry: Entry
    edition: Edition

    @property
    def url(self) -> str:
        return f"/riding/entries/{self.entry.pk}/plan/"

    @property
    def division(self) -> Division:
        return self.entry.division

    def post(self, *passes: str, bonus: str = "", action: str = "check", **more: str):
        """Send tricks: passes of "HS backroll 4/5; Indy", rows between semicolons."""
        return self.client.post(self.url, fields(*passes, bonus=bonus, action=action, **more))


def fields(*passes: str, bonus: str = "", action: str = "check", **more: str) -> dict[str, str]:
    """The fields of a planner's form; a record after a trick goes into the record's fields."""
    data = {"passes": str(len(passes)), "edition": "1", "side": "starboard", "action": action}
    for number, text in enumerate(passes, start=1):
        rows = [row.strip() for row in text.split(";")] if text else []
        data[f"p{number}-rows"] = str(len(rows))
        data[f"b{number}-rows"] = "0"
        for position, row in enumerate(rows, start=1):
            data |= _row(f"p{number}-{position}", row)
    if bonus:
        last = len(passes)
        data |= {f"b{last}-rows": "1", f"b{last}-1-name": "double-up"} | _row(
            f"b{last}-1", bonus
        )
    return {**data, **more}


def _row(prefix: str, text: str) -> dict[str, str]:
    words, _, record = text.rpartition(" ")
    if "/" in record:
        landed, _, tried = record.partition("/")
        return {f"{prefix}-trick": words, f"{prefix}-landed": landed, f"{prefix}-tried": tried}
    if record.endswith("%"):
        return {f"{prefix}-trick": words, f"{prefix}-chance": record[:-1]}
    return {f"{prefix}-trick": text}


@pytest.fixture
def desk(db, client) -> Desk:
    """A signed-in rider with an entry; the rules are published, the deadline is weeks away."""
    edition = EditionFactory(data=as_data(load_format(RULES)))
    entry = EntryFactory(division=edition.division)
    client.force_login(entry.rider.user)
    return Desk(client, entry, edition)


@pytest.fixture
def planned(desk):
    """The desk with a plan of three tricks and a row that cannot be read."""
    desk.post("HS backroll 4/5; Indy 4/5; HS bakroll", "Raley 50%", action="save")
    return desk


@pytest.fixture
def german(client):
    """The visitor chose German, and today's catalogues are in use."""
    client.cookies[site.LANGUAGE_COOKIE_NAME] = "de"


@pytest.fixture
def mine(german, desk):
    """The desk of a rider who reads German, letters too."""
    LanguageChoice.objects.create(user=desk.entry.rider.user, language="de")
    return desk
