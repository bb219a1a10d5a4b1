"""Running orders and bibs as they are written."""

import hashlib

import pytest

from events.models import Act, Division
from events.rules.words import RidingOrder
from riders.models import Bib, Entry
from runsheets.bibs import fill_bibs, save_bibs
from runsheets.lineup import lineup
from runsheets.models import RunningOrder
from runsheets.orders import StaleOrder, change_order, make_order, order_version
from runsheets.starting.moves import Move
from tests.factories import DivisionFactory, EntryFactory, RiderFactory, UserFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def division() -> Division:
    division = DivisionFactory()
    for name in ("Ćwierk", "Adlersee", "Beck", "Ümit"):
        EntryFactory(division=division, rider=RiderFactory(family_name=name))
    return division


@pytest.fixture
def by(db: None):
    return UserFactory()


def names(division: Division) -> list[str]:
    line = lineup(Division.objects.get(pk=division.pk), "")
    return [entry.rider.family_name for entry in line.ordered]


def entry_of(division: Division, name: str) -> Entry:
    return Entry.objects.get(division=division, rider__family_name=name)


def move(division: Division, name: str, what: Move, by: object) -> None:
    order = RunningOrder.objects.get(division=division)
    change_order(
        order=order,
        entry_id=entry_of(division, name).pk,
        move=what,
        version=order_version(order),
        by=by,
    )


def make(division: Division, by: object, method=RidingOrder.ALPHABETICAL, **more):
    return make_order(division=division, round_name="", method=method, by=by, **more)


class TestMakeOrder:
    def test_alphabetical_disregards_marks_on_letters(self, division, by) -> None:
        make(division, by)

        assert names(division) == ["Adlersee", "Beck", "Ćwierk", "Ümit"]

    def test_random_can_be_repeated_by_anybody_from_seed_and_bibs(self, division, by) -> None:
        """The lots are SHA-256 sums (FIPS 180-4) of "seed:bib", the lowest rides first."""
        fill_bibs(event=division.event, by=by)
        order = make(division, by, RidingOrder.RANDOM, seed="buoy 4")

        bibs = Bib.objects.select_related("rider")
        lots = {
            hashlib.sha256(f"buoy 4:{bib.number}".encode()).hexdigest(): bib.rider.family_name
            for bib in bibs
        }
        assert names(division) == [lots[lot] for lot in sorted(lots)]
        assert (order.method, order.seed) == ("random", "buoy 4")

    def test_random_needs_a_seed(self, division, by) -> None:
        with pytest.raises(ValueError, match="draw word"):
            make(division, by, RidingOrder.RANDOM)

    def test_making_it_again_replaces_it(self, division, by) -> None:
        make(division, by, RidingOrder.RANDOM, seed="one")
        make(division, by)

        assert RunningOrder.objects.get().seed == ""
        assert names(division) == ["Adlersee", "Beck", "Ćwierk", "Ümit"]

    def test_by_hand_keeps_the_order_and_puts_the_others_after(self, division, by) -> None:
        make(division, by)
        move(division, "Ümit", Move.TOP, by)
        EntryFactory(division=division, rider=RiderFactory(family_name="Aalto"))
        make(division, by, RidingOrder.BY_HAND)

        assert names(division) == ["Ümit", "Adlersee", "Beck", "Ćwierk", "Aalto"]

    def test_only_those_who_were_chosen_ride(self, division, by) -> None:
        chosen = [entry_of(division, name).pk for name in ("Ümit", "Beck")]
        make(division, by, entries=chosen)

        assert names(division) == ["Beck", "Ümit"]

    def test_entries_of_another_division_are_left_out(self, division, by) -> None:
        make(division, by, entries=[EntryFactory().pk])

        assert names(division) == []

    def test_an_order_made_meanwhile_is_not_overwritten(self, division, by) -> None:
        make(division, by)
        with pytest.raises(StaleOrder):
            make(division, by, RidingOrder.RANDOM, seed="late", version="")

        assert RunningOrder.objects.get().method == "alphabetical"

    def test_it_is_in_the_audit_trail(self, division, by) -> None:
        make(division, by, RidingOrder.RANDOM, seed="buoy 4")

        act = Act.objects.get()
        assert act.user == by
        assert act.event == division.event
        assert division.name in act.what
        assert "buoy 4" in act.what


class TestChangeOrder:
    @pytest.mark.parametrize(
        ("who", "what", "then"),
        [
            ("Beck", Move.UP, ["Beck", "Adlersee", "Ćwierk", "Ümit"]),
            ("Beck", Move.DOWN, ["Adlersee", "Ćwierk", "Beck", "Ümit"]),
            ("Ćwierk", Move.TOP, ["Ćwierk", "Adlersee", "Beck", "Ümit"]),
            ("Adlersee", Move.END, ["Beck", "Ćwierk", "Ümit", "Adlersee"]),
            ("Adlersee", Move.UP, ["Adlersee", "Beck", "Ćwierk", "Ümit"]),
            ("Ümit", Move.DOWN, ["Adlersee", "Beck", "Ćwierk", "Ümit"]),
            ("Beck", Move.OUT, ["Adlersee", "Ćwierk", "Ümit"]),
        ],
    )
    def test_moves(self, division, by, who, what, then) -> None:
        make(division, by)
        move(division, who, what, by)

        assert names(division) == then

    def test_a_late_entry_is_missing_until_it_is_added(self, division, by) -> None:
        make(division, by)
        EntryFactory(division=division, rider=RiderFactory(family_name="Aalto"))

        assert [e.rider.family_name for e in lineup(division, "").missing] == ["Aalto"]
        move(division, "Aalto", Move.ADD, by)
        assert names(division)[-1] == "Aalto"

    def test_who_withdraws_disappears_and_the_rest_closes_up(self, division, by) -> None:
        make(division, by)
        entry_of(division, "Beck").delete()
        move(division, "Ümit", Move.UP, by)

        assert names(division) == ["Adlersee", "Ümit", "Ćwierk"]
        positions = RunningOrder.objects.get().slots.values_list("position", flat=True)
        assert list(positions) == [1, 2, 3]

    def test_two_people_at_once(self, division, by) -> None:
        """The second move was made on an order that no longer stands, so it is refused."""
        order = make(division, by)
        seen = order_version(order)
        move(division, "Ümit", Move.TOP, by)
        before = names(division)

        with pytest.raises(StaleOrder):
            change_order(
                order=order,
                entry_id=entry_of(division, "Beck").pk,
                move=Move.UP,
                version=seen,
                by=by,
            )
        assert names(division) == before

    def test_a_draw_that_was_changed_says_so(self, division, by) -> None:
        """Once moved by hand, the seed alone no longer gives the order."""
        make(division, by, RidingOrder.RANDOM, seed="x")
        first = names(division)
        move(division, first[0], Move.DOWN, by)
        move(division, first[0], Move.END, by)

        assert RunningOrder.objects.get().method == "random, then changed by hand"

    def test_every_move_is_in_the_audit_trail(self, division, by) -> None:
        make(division, by)
        move(division, "Beck", Move.UP, by)

        assert "Beck was moved up" in Act.objects.first().what


class TestBibs:
    def test_two_riders_can_swap(self, division, by) -> None:
        event = division.event
        first, second = (entry.rider.pk for entry in division.entries.all()[:2])
        save_bibs(event=event, numbers={first: 7, second: 8}, by=by)
        save_bibs(event=event, numbers={first: 8, second: 7}, by=by)

        assert dict(Bib.objects.values_list("rider", "number")) == {first: 8, second: 7}

    def test_taking_one_away(self, division, by) -> None:
        rider = division.entries.first().rider
        save_bibs(event=division.event, numbers={rider.pk: 7}, by=by)
        save_bibs(event=division.event, numbers={rider.pk: None}, by=by)

        assert not Bib.objects.exists()

    def test_free_numbers_fill_the_gaps_by_division_and_name(self, division, by) -> None:
        beck = entry_of(division, "Beck").rider
        save_bibs(event=division.event, numbers={beck.pk: 2}, by=by)

        assert fill_bibs(event=division.event, by=by) == 3
        given = Bib.objects.order_by("number").values_list("number", "rider__family_name")
        assert list(given) == [(1, "Adlersee"), (2, "Beck"), (3, "Ćwierk"), (4, "Ümit")]

    def test_nothing_to_do_leaves_no_trace(self, division, by) -> None:
        fill_bibs(event=division.event, by=by)
        acts = Act.objects.count()

        assert fill_bibs(event=division.event, by=by) == 0
        assert Act.objects.count() == acts
