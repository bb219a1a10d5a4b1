"""Two at the table at the same moment: no bib twice, no rider lost, one order at a time."""

from functools import partial

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains

from events.rules.words import RidingOrder
from riders.models import Bib, Entry
from runsheets.bibs import BibTaken, fill_bibs, save_bibs
from runsheets.models import RunningOrder, Slot
from runsheets.orders import StaleOrder, change_order, make_order, order_version
from runsheets.starting.moves import Move
from tests.factories import (
    DivisionFactory,
    EntryFactory,
    EventFactory,
    OfficialFactory,
    UserFactory,
)
from tests.operation.together import at_once, kinds

pytestmark = pytest.mark.django_db(transaction=True)
ROUNDS = 5


@pytest.fixture
def division():
    """Twelve riders and their bibs."""
    division = DivisionFactory()
    EntryFactory.create_batch(12, division=division)
    fill_bibs(event=division.event, by=UserFactory())
    return division


def officials(division):
    """Two people who may do everything at the division's club."""
    return [OfficialFactory(club=division.event.club).user for _ in range(2)]


def signed_in(user):
    client = Client()
    client.force_login(user)
    return client


class TestBibs:
    def test_filled_by_four_at_once(self):
        event = EventFactory()
        division = DivisionFactory(event=event)
        EntryFactory.create_batch(30, division=division)
        by = UserFactory()
        came = at_once(*[partial(fill_bibs, event=event, by=by)] * 4)

        assert sorted(came) == [0, 0, 0, 30]
        assert sorted(Bib.objects.values_list("number", flat=True)) == list(range(1, 31))

    def test_swapped_one_way_and_the_other(self):
        """Whoever is served last decides; both riders always have a number."""
        event, by = EventFactory(), UserFactory()
        one, two = (
            each.rider_id
            for each in EntryFactory.create_batch(2, division=DivisionFactory(event=event))
        )
        for _ in range(ROUNDS):
            came = at_once(
                partial(save_bibs, event=event, numbers={one: 1, two: 2}, by=by),
                partial(save_bibs, event=event, numbers={one: 2, two: 1}, by=by),
            )
            assert kinds(came) == ["int", "int"], came
            held = dict(Bib.objects.values_list("rider", "number"))
            assert held in ({one: 1, two: 2}, {one: 2, two: 1})

    def test_two_tables_give_the_same_number(self):
        """One gets it; the other is shown a page, and nobody an error of the server."""
        event = EventFactory()
        division = DivisionFactory(event=event)
        clients = [signed_in(user) for user in officials(division)]
        address = reverse("table-bibs", args=[event.slug])
        for number in range(1, 1 + ROUNDS):
            entries = EntryFactory.create_batch(2, division=division)
            names = [f"bib-{entry.rider_id}" for entry in entries]
            came = at_once(
                *(
                    partial(client.post, address, {name: str(number), f"initial-{name}": ""})
                    for client, name in zip(clients, names, strict=True)
                )
            )

            assert sorted(each.status_code for each in came) == [200, 302]
            refused = next(each for each in came if each.status_code == 200)
            assertContains(refused, f"Bib {number} is")
            assertContains(refused, f'value="{number}"')  # what was typed is still there
            assert Bib.objects.filter(event=event, number=number).count() == 1

    def test_the_number_of_somebody_who_withdrew(self):
        event = EventFactory()
        division = DivisionFactory(event=event)
        gone, entry = EntryFactory.create_batch(2, division=division)
        save_bibs(event=event, numbers={gone.rider_id: 7}, by=UserFactory())
        Entry.objects.filter(pk=gone.pk).update(state=Entry.State.WITHDRAWN)

        with pytest.raises(BibTaken, match="Bib 7 is another rider's"):
            save_bibs(event=event, numbers={entry.rider_id: 7}, by=UserFactory())
        assert Bib.objects.get(number=7).rider_id == gone.rider_id


class TestRunningOrders:
    def test_two_draws_of_the_same_order(self, division):
        """The second sees that somebody was quicker; the order is one of the two, whole."""
        people = officials(division)
        for _ in range(ROUNDS):
            seen = order_version(RunningOrder.objects.filter(division=division).first())
            came = at_once(
                *(
                    partial(
                        make_order, division=division, round_name="", by=by, seed=seed,
                        method=RidingOrder.RANDOM, version=seen,
                    )
                    for seed, by in zip(("gate", "rope"), people, strict=True)
                )
            )  # fmt: skip

            assert kinds(came) == ["RunningOrder", "StaleOrder"], came
            order = RunningOrder.objects.get(division=division)
            assert order.seed in ("gate", "rope")
            positions = Slot.objects.filter(order=order).values_list("position", flat=True)
            assert sorted(positions) == list(range(1, 13))

    def test_a_rider_moved_by_two(self, division):
        """No rider is lost, and none rides twice."""
        entries = list(Entry.objects.filter(division=division))
        by = UserFactory()
        make_order(division=division, round_name="", method=RidingOrder.ALPHABETICAL, by=by)
        for _ in range(ROUNDS):
            order = RunningOrder.objects.get(division=division)
            seen = order_version(order)
            came = at_once(
                *(
                    partial(
                        change_order, order=order, entry_id=entry.pk, move=move, version=seen,
                        by=by,
                    )
                    for entry, move in ((entries[2], Move.UP), (entries[3], Move.DOWN))
                )
            )  # fmt: skip

            assert any(isinstance(each, RunningOrder) for each in came), came
            assert all(isinstance(each, RunningOrder | StaleOrder) for each in came), came
            riding = Slot.objects.filter(order=order).values_list("entry", flat=True)
            assert sorted(riding) == sorted(entry.pk for entry in entries)
