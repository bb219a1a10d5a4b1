"""A rider who had their data erased stands on no paper and in no note by name."""

import json

import pytest
from django.apps import apps
from django.db.models import TextField
from django.db.models.functions import Cast
from django.utils import timezone

from events.rules.words import RidingOrder
from riders.erasing import erase
from riders.models import Rider
from runsheets.models import Printing, Protest, Ride
from runsheets.orders import make_order
from runsheets.printing import Choice, last_printings, make_pack, record_printings
from tests.runsheets.table_desk import declare_for, entry_of

pytestmark = pytest.mark.django_db
NAME = "Ilka Reedwater"


@pytest.fixture
def leaving(division, table) -> Rider:
    """A rider on printed papers, whom notes about another rider's ride name."""
    entry, other = entry_of(division, "Ayer"), entry_of(division, "Brandquist")
    entry.rider.given_name, entry.rider.family_name = NAME.split()
    entry.rider.save()
    order = make_order(
        division=division, round_name="Qualifying", by=table, method=RidingOrder.BY_HAND,
        entries=[entry.pk, other.pk, entry_of(division, "Łozowski").pk],
    )  # fmt: skip
    declare_for(entry)
    pack = make_pack(division.event, Choice(), timezone.now())
    record_printings(event=division.event, papers=pack.papers, by=table, at=pack.at)
    Ride.objects.create(order=order, entry=other, reason=f"{NAME} was in the way")
    Protest.objects.create(order=order, entry=other, about=f"{NAME} rode twice", noted_by=table)
    return entry.rider


def where_named(word: str) -> list[str]:
    """Each text or plain data of the database that holds the word."""
    found = []
    for model in apps.get_models():
        for field in model._meta.concrete_fields:
            kind = field.get_internal_type()
            if kind in ("CharField", "TextField", "EmailField", "JSONField"):
                told = model._default_manager.annotate(told=Cast(field.name, TextField()))
                if told.filter(told__contains=word).exists():
                    found.append(f"{model.__name__}.{field.name}")
    return found


def test_no_text_and_no_plain_data_names_the_person(leaving):
    assert {"Printing.rows", "Ride.reason", "Protest.about"} <= set(where_named("Reedwater"))

    erase(leaving.user)

    assert where_named("Reedwater") == []
    assert Protest.objects.get().about == "Rider withdrawn rode twice"


def test_papers_keep_all_else(leaving):
    before = {each.pk: json.dumps(each.rows) for each in Printing.objects.all()}

    erase(leaving.user)

    for printing in Printing.objects.all():
        was = before[printing.pk].replace(NAME, "Rider withdrawn")
        assert json.dumps(printing.rows) == was
    event = leaving.entries.first().division.event
    assert last_printings(event)
    assert "Brandquist" in " ".join(before.values())
