"""A division with three riders, and somebody of its table."""

import pytest

from events.models import Division, Official
from tests.factories import (
    DivisionFactory,
    EditionFactory,
    EntryFactory,
    OfficialFactory,
    RiderFactory,
)
from tests.runsheets.table_desk import RULES


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
