"""Heats of a running order as they are written: cut, dealt out, published, and changed late."""

import pytest

from events.models import Act, Division
from events.rules.words import RidingOrder
from riders.models import Entry
from runsheets.models import Heat, Ride, RunningOrder
from runsheets.orders import (
    OrderRefused,
    StaleOrder,
    change_order,
    order_version,
    publish_order,
)
from runsheets.starting.heats import Spread
from runsheets.starting.moves import Move
from tests.factories import DivisionFactory, EditionFactory, UserFactory
from tests.runsheets.order_desk import (
    ROUND,
    begin,
    change,
    heats,
    late_entry,
    make,
    places,
    published,
)

pytestmark = pytest.mark.django_db

LETTERS = "ABCDEFG"


@pytest.fixture
def division() -> Division:
    """Seven riders, A the best by rank, in heats of at most three."""
    division = DivisionFactory()
    rules = {"rounds": [{"name": ROUND, "heat_size": 3}, {"name": "Final"}]}
    EditionFactory(division=division, data=rules)
    for rank, letter in enumerate(LETTERS, start=1):
        late_entry(division, letter, rank=rank)
    return Division.objects.get(pk=division.pk)


@pytest.fixture
def by(db: None):
    return UserFactory()


class TestMade:
    def test_heats_are_cut_by_the_size_that_the_format_states(self, division, by):
        """Seven in heats of at most three: as even as can be, larger heats first."""
        assert heats(make(division, by)) == ["ABC", "DE", "FG"]

    def test_one_heat_where_the_format_states_no_size(self, division, by):
        assert heats(make(division, by, round_name="Final")) == ["ABCDEFG"]

    def test_a_serpentine_deals_the_best_out_first(self, division, by):
        """There and back: A B C, then F E D; the seventh passes over full heats. Best last."""
        order = make(division, by, RidingOrder.RANKING, spread=Spread.SERPENTINE)
        assert heats(order) == ["GFA", "EB", "DC"]

    def test_nobody_entered_makes_no_heat(self, division, by):
        order = make(division, by, entries=[])
        assert heats(order) == []

    def test_fewer_riders_leave_no_empty_heat_behind(self, division, by):
        make(division, by)
        two = Entry.objects.filter(rider__family_name__in="AB").values_list("pk", flat=True)
        assert heats(make(division, by, entries=list(two))) == ["AB"]
        assert Heat.objects.count() == 1

    def test_a_heat_keeps_its_day_when_the_order_is_made_again(self, division, by):
        order = make(division, by)
        day = division.event.first_day
        order.heats.filter(number=2).update(day=day, place=4)
        again = make(division, by, RidingOrder.RANKING)
        assert list(again.heats.values_list("number", "day", "place")) == [
            (1, None, None), (2, day, 4), (3, None, None),
        ]  # fmt: skip


class TestPublished:
    def test_published_and_taken_back(self, division, by):
        order = published(division, by)
        assert order.published_at is not None
        assert Act.objects.first().what.startswith("Published the running order")
        order = publish_order(order=order, public=False, version=order_version(order), by=by)
        assert RunningOrder.objects.get().published_at is None
        assert Act.objects.first().what.startswith("Took back the running order")

    def test_making_it_again_takes_it_back(self, division, by):
        published(division, by)
        assert make(division, by, RidingOrder.RANKING).published_at is None

    def test_a_scratch_keeps_the_place_of_everybody(self, division, by):
        order = published(division, by)
        before = places(order)
        change(order, "B", Move.OUT, by)
        assert places(order) == before
        assert heats(order) == ["AC", "DE", "FG"]
        assert heats(order, with_scratched=True) == ["ABC", "DE", "FG"]
        assert "B was scratched in" in Act.objects.first().what

    def test_who_is_put_back_rides_where_they_were(self, division, by):
        order = published(division, by)
        before = places(order)
        change(order, "B", Move.OUT, by)
        change(order, "B", Move.BACK, by)
        assert places(order) == before
        assert heats(order) == ["ABC", "DE", "FG"]
        assert "B was put back in" in Act.objects.first().what

    def test_before_publishing_the_rest_closes_up(self, division, by):
        order = make(division, by)
        change(order, "B", Move.OUT, by)
        assert heats(order, with_scratched=True) == ["AC", "DE", "FG"]
        assert places(order)["C"] == (1, 2)

    def test_a_scratch_outlasts_later_moves(self, division, by):
        order = published(division, by)
        change(order, "B", Move.OUT, by)
        change(order, "G", Move.UP, by)
        assert heats(order) == ["AC", "DE", "GF"]
        assert heats(order, with_scratched=True) == ["ABC", "DE", "GF"]

    def test_who_withdraws_counts_as_scratched(self, division, by):
        order = published(division, by)
        Entry.objects.filter(rider__family_name="B").update(state=Entry.State.WITHDRAWN)
        assert heats(order) == ["AC", "DE", "FG"]
        assert heats(order, with_scratched=True) == ["ABC", "DE", "FG"]


class TestLate:
    def test_at_the_end_of_the_last_of_the_smallest_heats(self, division, by):
        """Then nobody else rides at another time than they were told."""
        order = published(division, by)
        before = places(order)
        late_entry(division, "Z")
        change(order, "Z", Move.ADD, by)
        assert heats(order) == ["ABC", "DE", "FGZ"]
        assert {name: at for name, at in places(order).items() if name != "Z"} == before

    def test_not_into_a_heat_that_has_begun(self, division, by):
        order = published(division, by)
        begin(order, 3)
        late_entry(division, "Z")
        change(order, "Z", Move.ADD, by)
        assert heats(order) == ["ABC", "DEZ", "FG"]

    def test_a_new_heat_where_all_are_full_or_begun(self, division, by):
        order = published(division, by)
        for number in (2, 3):
            begin(order, number)
        late_entry(division, "Z")
        change(order, "Z", Move.ADD, by)
        assert heats(order) == ["ABC", "DE", "FG", "Z"]

    def test_nobody_is_added_twice(self, division, by):
        order = published(division, by)
        with pytest.raises(StaleOrder):
            change(order, "A", Move.ADD, by)
        assert heats(order) == ["ABC", "DE", "FG"]


class TestBetweenHeats:
    @pytest.mark.parametrize(
        ("who", "move", "then"),
        [
            ("D", Move.UP, ["ABCD", "E", "FG"]),
            ("C", Move.DOWN, ["AB", "CDE", "FG"]),
            ("F", Move.TOP, ["FABC", "DE", "G"]),
            ("A", Move.END, ["BC", "DE", "FGA"]),
        ],
    )
    def test_beyond_the_end_of_a_heat_into_the_next(self, division, by, who, move, then):
        order = make(division, by)
        change(order, who, move, by)
        assert heats(order) == then


class TestBegun:
    @pytest.mark.parametrize(
        ("who", "move"),
        [
            ("B", Move.UP),  # within the heat
            ("C", Move.DOWN),  # out of it
            ("D", Move.UP),  # into it
            ("G", Move.TOP),
            ("A", Move.END),
        ],
    )
    def test_nobody_moves_into_out_of_or_within_it(self, division, by, who, move):
        order = published(division, by)
        begin(order, 1)
        acts = Act.objects.count()
        with pytest.raises(OrderRefused, match="Heat 1 has begun"):
            change(order, who, move, by)
        assert heats(order) == ["ABC", "DE", "FG"]
        assert Act.objects.count() == acts

    def test_nor_is_anybody_taken_out_of_it_before_publishing(self, division, by):
        order = make(division, by)
        begin(order, 1)
        with pytest.raises(OrderRefused, match="Heat 1 has begun"):
            change(order, "B", Move.OUT, by)

    def test_the_other_heats_can_still_be_changed(self, division, by):
        order = published(division, by)
        begin(order, 1)
        change(order, "E", Move.DOWN, by)
        assert heats(order) == ["ABC", "D", "EFG"]

    def test_a_rider_of_it_can_still_be_scratched(self, division, by):
        order = published(division, by)
        begin(order, 1)
        change(order, "C", Move.OUT, by)
        assert heats(order) == ["AB", "DE", "FG"]

    def test_the_order_is_not_made_anew(self, division, by):
        order = published(division, by)
        begin(order, 1)
        with pytest.raises(OrderRefused, match="cannot be made anew"):
            make(division, by, RidingOrder.RANKING)
        assert heats(order) == ["ABC", "DE", "FG"]
        assert RunningOrder.objects.get().published_at is not None

    def test_nor_once_a_run_is_ridden(self, division, by):
        order = published(division, by)
        entry = Entry.objects.get(rider__family_name="A")
        ride = Ride.objects.create(order=order, entry=entry)
        make(division, by)  # a run that waits does not count
        Ride.objects.filter(pk=ride.pk).update(state=Ride.State.DONE)
        with pytest.raises(OrderRefused, match="cannot be made anew"):
            make(division, by)


class TestStale:
    """What was on the screen no longer holds: nothing is done."""

    def test_any_change_makes_the_version_another(self, division, by):
        order = make(division, by)
        seen = [order_version(order)]
        order = publish_order(order=order, public=True, version=seen[-1], by=by)
        seen.append(order_version(order))
        seen.append(order_version(change(order, "B", Move.OUT, by)))
        seen.append(order_version(change(order, "D", Move.UP, by)))
        assert len(set(seen)) == 4

    def test_refused_after_somebody_else_changed_it(self, division, by):
        order = published(division, by)
        seen = order_version(order)
        change(order, "G", Move.UP, by)
        b = Entry.objects.get(rider__family_name="B").pk
        with pytest.raises(StaleOrder):
            change_order(order=order, entry_id=b, move=Move.OUT, version=seen, by=by)
        with pytest.raises(StaleOrder):
            publish_order(order=order, public=False, version=seen, by=by)
        with pytest.raises(StaleOrder):
            make(division, by, version=seen)
        assert heats(order) == ["ABC", "DE", "GF"]
        assert RunningOrder.objects.get().published_at is not None
