"""One record open in two windows: the second saver is told, keeps what was typed, decides.

The format of a division is tested in `tests/events/test_two_organisers.py`.
"""

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from events.models import Act, Division, Official, Venue
from riders.models import Entry
from tests.factories import EntryFactory, OfficialFactory
from tests.operation.edit_forms import (
    FORMS,
    QUARRELS,
    Edited,
    a_division,
    a_venue,
    an_event,
    opened,
    shown,
    stored,
)

pytestmark = pytest.mark.django_db

MEANWHILE = "Somebody else saved this meanwhile"
every = pytest.mark.parametrize("edited", QUARRELS, ids=lambda each: each.id)


@every
def test_the_second_is_told_keeps_what_was_typed_and_decides(edited: Edited) -> None:
    client, address, record, first = opened(edited)
    assert client.post(address, first | {edited.field: edited.theirs}).status_code == 302
    theirs = stored(record)

    answer = client.post(address, first | {edited.field: edited.mine})

    assertContains(answer, MEANWHILE)
    fault = answer.context["form"].errors[edited.field]
    assert (edited.told or f"to “{edited.theirs}”") in " ".join(fault)
    assertContains(answer, f'<a href="#id_{edited.field}">')  # the summary leads to the field
    assert shown(answer)[edited.field] == edited.mine
    assert stored(record) == theirs

    assert client.post(address, shown(answer)).status_code == 302
    assert shown(client.get(address))[edited.field] == edited.mine


@every
def test_a_third_who_saves_before_the_decision_is_told_too(edited: Edited) -> None:
    client, address, _, first = opened(edited)
    client.post(address, first | {edited.field: edited.theirs})
    told = client.post(address, first | {edited.field: edited.mine})
    again = shown(client.get(address))
    client.post(address, again | {edited.field: first.get(edited.field, "")})

    assertContains(client.post(address, shown(told)), MEANWHILE)


@pytest.mark.parametrize("edited", FORMS, ids=lambda each: each.id)
def test_the_same_typed_by_both_is_no_quarrel(edited: Edited) -> None:
    client, address, _, first = opened(edited)
    same = first | {edited.field: edited.theirs}

    assert client.post(address, same).status_code == 302
    assert client.post(address, same).status_code == 302


@every
def test_alone_nobody_is_told_anything(edited: Edited) -> None:
    client, address, _, first = opened(edited)
    answer = client.post(address, first | {edited.field: edited.mine}, follow=True)

    assert answer.redirect_chain
    assertNotContains(answer, MEANWHILE)


def test_what_one_did_not_touch_is_not_put_back_unseen() -> None:
    """They change the lake, I change the name: mine would put the old lake back."""
    client, address, event, first = opened(Edited(an_event, "venue", "", ""))
    old, new = event.venue, Venue.objects.get(name="Upper Reed")
    client.post(address, first | {"venue": str(new.pk)})

    answer = client.post(address, first | {"name": "Reed Days"})

    errors = answer.context["form"].errors
    assert set(errors) == {"__all__", "venue"}
    assert "to “Upper Reed”" in " ".join(errors["venue"])
    assert shown(answer)["name"] == "Reed Days"
    assert shown(answer)["venue"] == str(old.pk)
    client.post(address, shown(answer) | {"venue": str(new.pk)})
    event.refresh_from_db()
    assert (event.name, event.venue_id) == ("Reed Days", new.pk)


def test_a_mistake_in_between_keeps_what_was_begun_from() -> None:
    client, address, _, first = opened(Edited(a_venue, "name", "", ""))
    client.post(address, first | {"course_m": "420"})
    wrong = client.post(address, first | {"course_m": "many"})

    assertNotContains(wrong, MEANWHILE)
    assertContains(client.post(address, shown(wrong) | {"course_m": "380"}), MEANWHILE)


def test_what_the_form_does_not_show_is_left_alone() -> None:
    """A draft that is saved while the name is being typed stays, and nobody is told."""
    client, address, division, first = opened(Edited(a_division, "name", "", ""))
    Division.objects.filter(pk=division.pk).update(draft={"passes": {"count": 3}})

    assert client.post(address, first | {"name": "Open men"}).status_code == 302
    division.refresh_from_db()
    assert (division.name, division.draft) == ("Open men", {"passes": {"count": 3}})


def test_a_change_of_the_time_zone_is_no_change_of_the_deadlines() -> None:
    client, address, _, first = opened(Edited(an_event, "name", "", ""))

    answer = client.post(address, first | {"time_zone": "America/Lima"})
    assert answer.status_code == 302


def test_the_table_is_not_told_contacts_that_it_does_not_see() -> None:
    entry = EntryFactory(guardian="Runa Moorfield")
    table = OfficialFactory(club=entry.division.event.club, role=Official.Role.TABLE)
    address = reverse("table-entry", args=[entry.pk])
    client = Client()
    client.force_login(table.user)
    first = shown(client.get(address))
    Entry.objects.filter(pk=entry.pk).update(guardian="Odo Moorfield")

    assert "guardian" not in first["seen"]
    assert client.post(address, first | {"rank": "2"}).status_code == 302


@pytest.mark.parametrize("seen", ["", ":", "name", "name:x course_m", "x" * 9000, "name:\x00"])
def test_stamps_that_were_tampered_with_never_stop_the_server(seen: str) -> None:
    client, address, _, first = opened(Edited(a_venue, "name", "", ""))

    assert client.post(address, first | {"seen": seen, "name": "Reed"}).status_code in (
        200,
        302,
    )


def test_a_refused_save_leaves_no_line_in_the_trail() -> None:
    client, address, _, first = opened(Edited(a_venue, "name", "", ""))
    client.post(address, first | {"course_m": "420"})
    before = Act.objects.count()
    client.post(address, first | {"course_m": "380"})

    assert Act.objects.count() == before
