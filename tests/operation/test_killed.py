"""The server is killed in the middle of an act: all of it stands afterwards, or nothing.

A child process does the act by its page and is killed outright (SIGKILL, no clean-up) after
its first statement that changes a table, after its second, and so on, until the act gets
through. After every death the tables are as they were. On whichever database the tests run.
"""

import os
import re
import signal
import traceback

import pytest
from django.db import connection, connections
from django.test import Client
from django.urls import reverse

from events.models import Letter
from events.project import archive
from events.rules.loading import as_data, load_format
from riders.entry_files import EntryTable
from riders.entry_rows import sealed
from riders.models import Bib, Declaration
from runsheets.bibs import fill_bibs
from runsheets.models import RunningOrder
from runsheets.orders import order_version
from tests.factories import EditionFactory, EntryFactory, OfficialFactory, UserFactory
from tests.riders.conftest import RULES, fields
from tests.riders.re_declaring import ONE_INVERT, declared

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork, which Windows has not"),
]
CHANGES = re.compile(r"\s*(insert|update|delete)\b", re.IGNORECASE)
FAILED = 9
MOST = 60  # statements of one act
# Not part of any act: who is signed in, how often something was tried, and a rider's own plan
# and records, which every change of the form keeps, and declaring too, in a step of its own.
ASIDE = {"events.tally", "riders.plannedrun", "riders.landingrecord", "auth.user"}


class Killed:
    """Lets statements pass and kills the process after a number of those that change rows."""

    def __init__(self, after):
        self.left = after

    def __call__(self, execute, sql, params, many, context):
        done = execute(sql, params, many, context)
        if CHANGES.match(sql):
            self.left -= 1
            if not self.left:
                os.kill(os.getpid(), signal.SIGKILL)
        return done


def in_a_child(act, after):
    """Do `act` in a child that is killed after so many changes; True if it was."""
    connections.close_all()  # a child must not share them
    child = os.fork()
    if not child:
        code = FAILED
        try:
            with connection.execute_wrapper(Killed(after)):
                act()
            code = 0
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(code)
    _, status = os.waitpid(child, 0)
    assert not os.WIFEXITED(status) or os.WEXITSTATUS(status) == 0, "the act itself failed"
    return os.WIFSIGNALED(status)


def everything():
    """All rows of all tables, by table."""
    models = archive.kept_models(archive.apps_after(set(archive.applied())))
    tables = {model._meta.label_lower: model for model in models}
    return {
        name: list(archive.rows_as_lines(model))
        for name, model in tables.items()
        if name not in ASIDE
    }


def changed(before, after):
    return {name for name in before if before[name] != after[name]}


def killed_at_every_step(act):
    """Kill the act at every step; return how often, and which tables it changed when whole."""
    before = everything()
    for step in range(1, MOST):
        was_killed = in_a_child(act, step)
        now = everything()
        if not was_killed:
            return step - 1, changed(before, now)
        if changed(before, now):  # killed after the last commit, so all of it must be there
            return step - 1, changed(before, now)
    raise AssertionError("the act never got through")


def by_page(user, address, **data):
    client = Client()
    client.force_login(user)

    def act():
        answer = client.post(address, data)
        assert answer.status_code == 302, answer.content.decode()[:2000]

    return act


@pytest.fixture
def division():
    """Published rules and four riders with bibs; the first has declared two inverts."""
    division = EditionFactory(data=as_data(load_format(RULES))).division
    entries = EntryFactory.create_batch(4, division=division)
    declared(entries[0], "HS backroll, TS FS 180 | HS tantrum")
    declared(entries[1], "HS backroll | Raley")
    return division


@pytest.fixture
def official(division):
    return OfficialFactory(club=division.event.club).user


def test_publishing(division, official):
    division.draft = {**division.edition.data, "limits": [ONE_INVERT]}
    division.save(update_fields=["draft"])
    times, touched = killed_at_every_step(
        by_page(official, reverse("format-publish", args=[division.pk]))
    )

    assert times >= 3
    assert touched >= {"events.edition", "events.act", "events.letter"}
    assert list(division.editions.order_by("number").values_list("number", flat=True)) == [1, 2]
    assert Letter.objects.count() == 2


def test_declaring(division):
    entry = division.entries.order_by("pk")[2]
    plan = fields("HS backroll 4/5; Indy", "Raley", action="declare")
    times, touched = killed_at_every_step(
        by_page(entry.rider.user, reverse("plan", args=[entry.pk]), **plan)
    )

    assert times >= 1
    assert touched == {"riders.declaration"}
    assert Declaration.objects.get(entry=entry).notation == "HS backroll, Indy | Raley"


def test_taking_entries_in(division, official):
    """Two new riders with accounts and letters, and one who is entered already and has paid."""
    old = division.entries.select_related("rider__user").first()
    rows = [
        {"given_name": "Bo", "family_name": "Sedge", "email": "bo@example.org"},
        {"given_name": "Pim", "family_name": "Sedge", "email": "pim@example.org"},
        {
            "given_name": old.rider.given_name,
            "family_name": old.rider.family_name,
            "email": old.rider.user.email,
            "fee": "paid",
        },
    ]
    table = EntryTable(list(enumerate(rows, start=2)))
    event = division.event
    times, touched = killed_at_every_step(
        by_page(
            official,
            reverse("table-entries-import-confirm", args=[event.slug]),
            rows=sealed(table, event),
        )
    )

    assert times >= 8
    assert touched >= {"riders.rider", "riders.entry", "events.letter", "events.act"}
    assert division.entries.count() == 6
    assert division.entries.get(pk=old.pk).fee == "paid"


def test_giving_bibs(division, official):
    names = {f"bib-{each.rider_id}": "" for each in division.entries.all()}
    times, touched = killed_at_every_step(
        by_page(official, reverse("table-bibs", args=[division.event.slug]), fill="1", **names)
    )

    assert times >= 2
    assert touched == {"riders.bib", "events.act"}
    assert sorted(Bib.objects.values_list("number", flat=True)) == [1, 2, 3, 4]


def test_drawing_the_order(division, official):
    """In place of an order that stands: the old one until the new one is whole."""
    fill_bibs(event=division.event, by=UserFactory())
    address = reverse("table-order", args=[division.pk])
    draw = {"method": "random"}
    by_page(official, address, seed="gate", version="", **draw)()
    seen = order_version(RunningOrder.objects.get())
    times, touched = killed_at_every_step(
        by_page(official, address, seed="rope", version=seen, **draw)
    )

    assert times >= 4
    assert touched >= {"runsheets.runningorder", "runsheets.slot", "events.act"}
    order = RunningOrder.objects.get()
    assert (order.seed, order.slots.count()) == ("rope", 4)
