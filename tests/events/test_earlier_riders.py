"""Who rode in an earlier year, for the organiser to invite: never entered, never written to."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from events.models import Letter
from riders.models import Entry
from tests.events.earlier_year import AFTER, confirm, organised, shown
from tests.factories import (
    EntryFactory,
    RiderFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def event(client):
    return organised(client)


class TestRidersToInvite:
    def enter(self, event, division="Advanced", **more):
        rider = {
            key: more.pop(key)
            for key in ("given_name", "family_name", "born_on")
            if key in more
        }
        return EntryFactory(
            division=event.divisions.get(name=division), rider=RiderFactory(**rider), **more
        )

    def test_they_are_listed_never_entered_and_nobody_is_written_to(self, client, event):
        one = self.enter(event, given_name="Runa", family_name="Ashmere")
        EntryFactory(division=event.divisions.get(name="First time"), rider=one.rider)
        answer, text = shown(client, event)

        assert answer.context["riders"].addresses == [one.rider.user.email]
        assert f"Runa Ashmere {one.rider.user.email} Advanced, First time" in text
        assert "1 address to copy" in text
        confirm(client, event.club, answer.context["sealed"])
        assert Letter.objects.count() == 0
        assert Entry.objects.count() == 2

    def test_guardians_come_first_for_those_under_age(self, client, event):
        born = date(AFTER.year - 15, 1, 1)
        young = self.enter(event, given_name="Pim", born_on=born, guardian="Alva Sedge")
        answer, text = shown(client, event)

        assert "Under age: write to the guardian, Alva Sedge." in text
        assert young.rider.user.email not in answer.context["riders"].addresses
        assert "Addresses of riders under age are not among them" in text

    def test_who_withdrew_or_was_erased_is_left_out(self, client, event):
        self.enter(event, state=Entry.State.WITHDRAWN)
        gone = self.enter(event)
        gone.rider.user.is_active = False
        gone.rider.user.save()
        answer, text = shown(client, event)

        assert answer.context["riders"].riders == []
        assert "1 who withdrew is left out." in text
        assert "1 who had their data erased is left out." in text

    def test_as_many_queries_for_forty_as_for_one(self, client, event):
        def asked():
            with CaptureQueriesContext(connection) as seen:
                shown(client, event)
            return len(seen)

        self.enter(event)
        few = asked()
        for _ in range(40):
            self.enter(event)
        assert asked() == few <= 12
