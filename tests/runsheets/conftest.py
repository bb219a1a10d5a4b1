"""A division with three riders, and somebody of its table."""

import pytest

from events.models import Division, Official
from events.rules.words import RidingOrder
from runsheets.orders import make_order
from tests.factories import (
    DivisionFactory,
    EditionFactory,
    EntryFactory,
    OfficialFactory,
    RiderFactory,
)
from tests.runsheets.table_desk import RULES, declare_for, entry_of


@pytest.fixture
def division(db) -> Division:
    """An open division with rules of two rounds."""
    division = DivisionFactory(name="Open Men & Women")
    EditionFactory(division=division, data=RULES)
    for name in ("Łozowski", "Ayer", "Brandquist"):
        EntryFactory(division=division, rider=RiderFactory(family_name=name))
    return Division.objects.get(pk=division.pk)


@pytest.fixture
def table(division, client):
    """Somebody of the table, signed in on `client`."""
    official = OfficialFactory(club=division.event.club, role=Official.Role.TABLE)
    client.force_login(official.user)
    return official.user


@pytest.fixture
def ordered(division, table):
    """The division with a running order in the qualifying round and a declared run."""
    declare_for(entry_of(division, "Ayer"), "HS backroll, Tantrum")
    names = ("Ayer", "Brandquist", "Łozowski")
    make_order(
        division=division, round_name="Qualifying", by=table, method=RidingOrder.BY_HAND,
        entries=[entry_of(division, name).pk for name in names],
    )  # fmt: skip
    return division
