"""Who goes on, ties at the cut, and the reverse order of the final."""

import copy

import pytest
from django.urls import reverse
from django.utils import timezone

from events.models import Division, Official
from events.rules.words import RidingOrder
from riders.models import Entry
from runsheets.models import RunningOrder, Slot
from runsheets.next_round import before
from runsheets.orders import make_order
from runsheets.result_acts import post_result
from tests.factories import EntryFactory, OfficialFactory, RiderFactory, UserFactory
from tests.runsheets.result_desk import (
    MARKS,
    RULES,
    RideFactory,
    heat_of_five,
    mark,
    ride_all,
)

pytestmark = pytest.mark.django_db

LEVEL = MARKS | {
    "Dubrava": MARKS["Ćwierk"]
}  # level in every criterion: no tie-break parts them


@pytest.fixture
def by(db):
    return UserFactory()


def posted(by, marks=MARKS, **more):
    rules = copy.deepcopy(RULES)
    rules["rounds"][0] |= more
    division = heat_of_five(by, rules)
    post_result(order=ride_all(division, by, marks), by=by)
    return division


def names(rows):
    return [row.entry.rider.family_name for row in rows]


def test_nobody_before_the_result_is_posted(by) -> None:
    division = heat_of_five(by)
    ride_all(division, by)

    assert before(division, "Final") is None
    assert before(division, "Qualifying") is None


def test_the_best_three(by) -> None:
    onward = before(posted(by), "Final")

    assert names(onward.chosen) == ["Adlersee", "Brandquist", "Ćwierk"]
    assert onward.on_the_line == []


def test_a_tie_at_the_cut_lets_all_advance(by) -> None:
    """Swiss Pro Tricks event rules: all who are tied for the last place advance."""
    onward = before(posted(by, LEVEL), "Final")

    assert names(onward.chosen) == ["Adlersee", "Brandquist", "Ćwierk", "Dubrava"]


@pytest.mark.parametrize("ties", ["ride-off", "the judges decide"])
def test_a_tie_at_the_cut_is_for_people(by, ties) -> None:
    onward = before(posted(by, LEVEL, ties=ties), "Final")

    assert names(onward.chosen) == ["Adlersee", "Brandquist"]
    assert names(onward.on_the_line) == ["Ćwierk", "Dubrava"]
    assert onward.found.free == 1
    assert "1 place is free" in onward.said


def test_every_fate_comes_with_its_reason(by) -> None:
    onward = before(posted(by, LEVEL, ties="ride-off"), "Final")

    told = [(each.fate, each.reason, names(each.rows)) for each in onward.told]
    assert told == [
        ("goes on", "Among the first three.", ["Adlersee", "Brandquist"]),
        ("still to be decided", "Tied for the last place: a ride-off decides.",
         ["Ćwierk", "Dubrava"]),
        ("does not go on", "Not among the first three.", ["Eskola"]),
    ]  # fmt: skip


@pytest.mark.parametrize("scratched", [True, False])
def test_the_next_one_moves_up_for_who_withdrew(by, scratched) -> None:
    """Taken out of the running order, or out of the division: common practice, no source."""
    division = posted(by)
    if scratched:
        gone = Slot.objects.filter(entry__rider__family_name="Brandquist")
        gone.update(scratched_at=timezone.now())
    else:
        gone = Entry.objects.filter(rider__family_name="Brandquist")
        gone.update(state=Entry.State.WITHDRAWN)

    onward = before(division, "Final")

    assert names(onward.chosen) == ["Adlersee", "Ćwierk", "Dubrava"]
    assert "Moves up for a rider who withdrew." in [each.reason for each in onward.told]
    moved = next(row for row in onward.chosen if row.place == "4").entry.rider.name
    assert onward.said == f"Moved up because somebody withdrew: {moved}."


def test_a_tie_inside_the_cut_changes_nothing(by) -> None:
    onward = before(posted(by, LEVEL, ties="ride-off", advance=4), "Final")

    assert names(onward.chosen) == ["Adlersee", "Brandquist", "Ćwierk", "Dubrava"]
    assert onward.on_the_line == []


class TestLastChance:
    """Qualifying, last chance for the others, and a final of both (from memory)."""

    @pytest.fixture
    def division(self, by):
        rules = copy.deepcopy(RULES)
        chance = {"name": "Last chance", "kind": "last chance", "order": "alphabetical",
                  "advance": 1, "advance_from": "the round", "ties": "all advance"}  # fmt: skip
        rules["rounds"].insert(1, chance)
        rules["rounds"][0] |= {"advance": 2}
        division = heat_of_five(by, rules)
        post_result(order=ride_all(division, by, MARKS), by=by)
        return Division.objects.get(pk=division.pk)

    def test_it_takes_who_did_not_get_through(self, division) -> None:
        onward = before(division, "Last chance")

        assert names(onward.chosen) == ["Ćwierk", "Dubrava", "Eskola"]

    def test_the_final_takes_both_and_the_last_chance_ranks_behind(self, division, by) -> None:
        chosen = [row.entry.pk for row in before(division, "Last chance").chosen]
        order = make_order(
            division=division, round_name="Last chance", method=RidingOrder.ALPHABETICAL,
            entries=chosen, by=by,
        )  # fmt: skip
        marks = MARKS | {"Eskola": [("33", "33", "33")] * 2}  # the last one turns it round
        post_result(order=ride_all(division, by, marks, "Last chance"), by=by)

        onward = before(division, "Final")

        assert names(onward.chosen) == ["Adlersee", "Brandquist", "Eskola"]
        places = [onward.ranking[row.entry.pk] for row in onward.chosen]
        assert places == sorted(places)
        assert len(set(places)) == 3
        assert order.slots.count() == 3

    def test_a_tie_at_the_first_cut_waits_for_people(self, by) -> None:
        rules = copy.deepcopy(RULES)
        rules["rounds"].insert(1, {"name": "Last chance", "kind": "last chance", "advance": 1})
        rules["rounds"][0] |= {"ties": "ride-off"}
        division = heat_of_five(by, rules)
        post_result(order=ride_all(division, by, LEVEL), by=by)

        onward = before(Division.objects.get(pk=division.pk), "Last chance")

        assert names(onward.chosen) == ["Eskola"]
        assert names(onward.on_the_line) == ["Ćwierk", "Dubrava"]
        assert "Who of them does not go on rides here." in onward.said


class TestPage:
    @pytest.fixture
    def final(self, client, by):
        def address(division):
            club = division.event.club
            client.force_login(OfficialFactory(club=club, role=Official.Role.TABLE).user)
            return reverse("table-order", args=[division.pk]) + "?round=Final"

        return address

    def test_reverse_order_of_those_who_go_on(self, client, by, final) -> None:
        division = posted(by)
        page = final(division)
        form = client.get(page).context["form"]
        typed = {
            "method": "reverse of the last round", "seed": "", "version": "",
            "spread": form["spread"].value(), "riders": form["riders"].value(),
        }  # fmt: skip

        assert client.post(page, typed).status_code == 302

        order = RunningOrder.objects.get(division=division, round_name="Final")
        slots = order.slots.select_related("entry__rider")
        riding = [slot.entry.rider.family_name for slot in slots]
        assert riding == ["Ćwierk", "Brandquist", "Adlersee"]

    def test_not_offered_without_a_posted_result(self, client, by, final) -> None:
        division = heat_of_five(by)
        ride_all(division, by)

        text = client.get(final(division)).text

        assert "Reverse of the last round" not in text
        assert "is not posted yet" in text

    def test_queries_stay_flat_with_the_results_of_two_rounds_before(
        self, client, by, django_assert_max_num_queries
    ) -> None:
        """A final after a last chance reads both results, whatever the number of riders."""
        rules = copy.deepcopy(RULES)
        chance = {"name": "Last chance", "kind": "last chance", "order": "alphabetical",
                  "advance": 1, "advance_from": "the round", "ties": "all advance"}  # fmt: skip
        rules["rounds"].insert(1, chance)
        division = heat_of_five(by, rules)
        club = division.event.club
        client.force_login(OfficialFactory(club=club, role=Official.Role.TABLE).user)
        asked = []
        for more in (0, 12):
            order = RunningOrder.objects.get(division=division, round_name="Qualifying")
            heat = order.heats.get()
            for number in range(more):
                entry = EntryFactory(division=division, rider=RiderFactory())
                heat.slots.create(order=order, entry=entry, position=100 + number)
                mark(RideFactory(order=order, entry=entry), by, *[("20", "20", "20")] * 2)
            if not more:
                post_result(order=ride_all(division, by), by=by)
                riding = [row.entry.pk for row in before(division, "Last chance").chosen]
                make_order(
                    division=division, round_name="Last chance", by=by,
                    method=RidingOrder.ALPHABETICAL, entries=riding,
                )  # fmt: skip
                post_result(order=ride_all(division, by, MARKS, "Last chance"), by=by)
            for name in ("Last chance", "Final"):
                page = reverse("table-order", args=[division.pk]) + f"?round={name}"
                with django_assert_max_num_queries(12) as queries:
                    assert client.get(page).context["onward"].chosen
                asked.append((name, len(queries)))

        assert asked[:2] == asked[2:]
