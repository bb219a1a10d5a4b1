"""Entering, the waiting list and withdrawing."""

from datetime import date, timedelta

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from events.models import Act, Letter
from events.services import publish_edition
from riders.entering import enter, waiting_place, withdraw
from riders.entry_conditions import Details
from riders.models import Entry, Rider
from runsheets.models import RunningOrder
from tests.factories import (
    DivisionFactory,
    EditionFactory,
    EntryFactory,
    RiderFactory,
    UserFactory,
)

GROWN = date(1990, 4, 2)
FORM = {
    "born_on": "1990-04-02",
    "emergency_name": "Ada Reed",
    "emergency_phone": "555-0101",
    "acknowledged": "on",
}
DETAILS = Details(
    born_on=GROWN, emergency_name="Ada Reed", emergency_phone="1", acknowledged=True
)


def limited(**stated):
    """A division whose rules state who may ride."""
    data = {"passes": {"count": 2, "length_m": 400}, "division": stated}
    return EditionFactory(data=data).division


def entered(division, count):
    """So many riders, who entered one after the other."""
    start = timezone.now() - timedelta(hours=1)
    return [
        enter(
            rider=RiderFactory(), division=division, details=DETAILS,
            at=start + timedelta(minutes=number),
        )
        for number in range(count)
    ]  # fmt: skip


def states(division):
    rows = Entry.objects.filter(division=division).order_by("entered_at")
    return list(rows.values_list("state", flat=True))


@pytest.fixture
def me(db, client):
    rider = RiderFactory()
    client.force_login(rider.user)
    return rider


class TestForm:
    def post(self, client, division, **change):
        return client.post(f"/riding/enter/{division.pk}/", {**FORM, **change})

    def test_everything_is_kept(self, me, client):
        division = DivisionFactory()

        self.post(client, division, wishes="36 km/h, 23 m", logs_attempts="on")

        entry = Entry.objects.get()
        assert entry.rider.born_on == GROWN
        assert (entry.emergency_name, entry.emergency_phone) == ("Ada Reed", "555-0101")
        assert (entry.wishes, entry.logs_attempts) == ("36 km/h, 23 m", True)
        assert entry.acknowledged_at is not None
        assert entry.consented_at is None
        assert Letter.objects.get().to == me.user.email

    def test_a_minor_needs_a_guardian(self, me, client):
        division = DivisionFactory()
        born = division.event.first_day.replace(year=division.event.first_day.year - 15, day=1)

        page = self.post(client, division, born_on=born.isoformat(), wishes="slow, please")

        assertContains(page, "write the guardian&#x27;s full name")
        assertContains(page, "Write a phone number at which the guardian can be reached.")
        assertContains(page, "The guardian must consent")
        assertContains(page, 'value="slow, please"')
        assert not Entry.objects.exists()

        guardian = {"guardian": "Gerda Reed", "guardian_phone": "555", "consented": "on"}
        self.post(client, division, born_on=born.isoformat(), **guardian)
        assert Entry.objects.get().consented_at is not None

    def test_of_age_on_the_first_day(self, me, client):
        """Who turns 18 on the first day is of age; a day younger is not."""
        division = DivisionFactory(event__first_day=date(2999, 7, 4))

        self.post(client, division, born_on="2981-07-05")
        assert not Entry.objects.exists()
        with time_machine.travel("2999-01-01", tick=False):
            client.force_login(me.user)
            assertContains(self.post(client, division, born_on="2981-07-05"), "guardian&#x27;s")
            self.post(client, division, born_on="2981-07-04")
        assert Entry.objects.count() == 1

    @pytest.mark.parametrize(
        ("change", "sentence"),
        [
            ({"born_on": "yesterday"}, "Write the date as"),
            ({"born_on": "2990-01-01"}, "look at the year"),
            ({"born_on": "1790-01-01"}, "look at the year"),
            ({"emergency_phone": ""}, "This field is required."),
            ({"acknowledged": ""}, "Read the cautions and tick this to enter."),
        ],
    )
    def test_mistakes(self, me, client, change, sentence):
        page = self.post(client, DivisionFactory(), **change)

        assertContains(page, sentence)
        assertContains(page, 'value="Ada Reed"')
        assert not Entry.objects.exists()

    def test_contacts_are_known_the_next_time(self, me, client):
        division = DivisionFactory()
        self.post(client, division)

        other = DivisionFactory(event=division.event)
        page = client.get(f"/riding/enter/{other.pk}/")

        assertContains(page, 'value="Ada Reed"')
        assertContains(page, 'value="1990-04-02"')

    def test_age_limit_of_the_rules(self, me, client):
        division = limited(age_most=14, age_on="1 January")

        page = self.post(client, division)

        assertContains(page, "This division is for riders aged 14 or less")
        assert Rider.objects.get(pk=me.pk).born_on is None

    def test_sex_only_where_the_rules_ask(self, me, client):
        assertNotContains(client.get(f"/riding/enter/{DivisionFactory().pk}/"), "You ride as")
        women = limited(sex="women")

        assertContains(self.post(client, women), "Choose one: the division asks it.")
        assertContains(self.post(client, women, sex="men"), "for women only")
        self.post(client, women, sex="women")
        assert Entry.objects.get().rider.sex == "women"


class TestPlaces:
    """Places go to who enters first; the waiting list moves up by itself."""

    def test_beyond_the_limit_riders_wait(self, db):
        division = limited(entries_most=2, beyond="waiting list")

        entries = entered(division, 4)

        assert states(division) == ["riding", "riding", "waiting", "waiting"]
        assert [waiting_place(entry) for entry in entries] == [None, None, 1, 2]
        assert "number 2 on the waiting list" in Letter.objects.order_by("pk").last().text

    def test_withdrawing_gives_the_place_to_the_first_who_waits(self, db):
        division = limited(entries_most=1, beyond="waiting list")
        first, second, _ = entered(division, 3)

        assert withdraw(entry=first) == [second]

        assert states(division) == ["withdrawn", "riding", "waiting"]
        letter = Letter.objects.order_by("pk").last()
        assert letter.to == second.rider.user.email
        assert "it is yours" in letter.text

    def test_withdrawing_twice_promotes_once(self, db):
        division = limited(entries_most=1, beyond="waiting list")
        first, *_ = entered(division, 3)
        withdraw(entry=first)

        assert withdraw(entry=Entry.objects.get(pk=first.pk)) == []
        assert states(division) == ["withdrawn", "riding", "waiting"]

    def test_refused(self, db):
        division = limited(entries_most=1, beyond="refused")
        entered(division, 1)

        with pytest.raises(ValidationError, match="no waiting list"):
            entered(division, 1)

    def test_five_first_come_and_the_rest_by_lot(self, db):
        """Hong Kong nationals 2017: five places to the first, the others are drawn."""
        division = limited(entries_most=8, first_come=5, beyond="drawn by lot")

        entries = entered(division, 7)

        assert states(division) == ["riding"] * 5 + ["waiting"] * 2
        assert withdraw(entry=entries[0]) == []

    def test_a_raised_limit_promotes_when_published(self, db):
        division = limited(entries_most=1, beyond="waiting list")
        entered(division, 4)
        more = {"entries_most": 3, "beyond": "waiting list"}
        division.draft = {"passes": {"count": 2, "length_m": 400}, "division": more}
        division.save()

        publish_edition(division=division, by=UserFactory())

        assert states(division) == ["riding"] * 3 + ["waiting"]

    def test_who_withdrew_enters_again_behind_the_others(self, db):
        division = limited(entries_most=1, beyond="waiting list")
        first, *_ = entered(division, 3)
        withdraw(entry=first)

        again = enter(rider=first.rider, division=division, details=DETAILS)

        assert again.pk == first.pk
        assert waiting_place(again) == 2


class TestByHand:
    def test_a_late_entry_is_recorded(self, db):
        division = DivisionFactory()
        official = UserFactory()
        late = division.event.entries_close + timedelta(hours=1)

        with pytest.raises(ValidationError, match="Entries closed on"):
            enter(rider=RiderFactory(), division=division, details=DETAILS, at=late)
        enter(rider=RiderFactory(), division=division, details=DETAILS, at=late, by=official)

        assert "by hand" in Act.objects.get().what


class TestWithdrawPage:
    def test_success(self, me, client):
        entry = EntryFactory(rider=me)
        page = client.get("/riding/")
        assertContains(page, f"/riding/entries/{entry.pk}/withdraw/")

        answer = client.post(f"/riding/entries/{entry.pk}/withdraw/")

        assertRedirects(answer, "/riding/")
        assertContains(client.get("/riding/"), "You do not ride here.")

    def test_not_after_entries_closed(self, me, client):
        entry = EntryFactory(rider=me)
        with time_machine.travel(entry.division.event.entries_close + timedelta(1), tick=False):
            client.force_login(me.user)
            page = client.post(f"/riding/entries/{entry.pk}/withdraw/")

        assertContains(page, "tell the table")
        assert states(entry.division) == ["riding"]

    def test_not_once_the_order_is_published(self, me, client):
        entry = EntryFactory(rider=me)
        order = RunningOrder.objects.create(
            division=entry.division, method="by hand", made_by=me.user
        )
        assertContains(client.get(f"/riding/entries/{entry.pk}/withdraw/"), "Withdraw my entry")
        order.published_at = timezone.now()
        order.save()

        page = client.post(f"/riding/entries/{entry.pk}/withdraw/")

        assertContains(page, "The running order is published")
        assert states(entry.division) == ["riding"]

    def test_somebody_elses_is_not_found(self, me, client):
        entry = EntryFactory()

        assert client.post(f"/riding/entries/{entry.pk}/withdraw/").status_code == 404
        assert states(entry.division) == ["riding"]


def test_my_riding_names_the_place_in_few_queries(me, client, django_assert_max_num_queries):
    division = limited(entries_most=1, beyond="waiting list")
    entered(division, 4)
    enter(rider=me, division=division, details=DETAILS)
    for _ in range(5):
        EntryFactory(rider=me)

    with django_assert_max_num_queries(12):
        page = client.get("/riding/")

    assertContains(page, "number 4 on the waiting list")
