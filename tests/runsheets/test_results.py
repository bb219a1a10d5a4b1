"""From marks to places, and what the table does with a result."""

from copy import deepcopy
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from events.models import Act
from riders.log_models import LandingDay
from riders.models import Entry
from runsheets.models import Mark, RiddenTrick, Ride, RoundResult
from runsheets.result_acts import (
    ResultRefused,
    make_official,
    note_protest,
    post_result,
    rule_protest,
    take_back,
)
from runsheets.results import order_of, result_of
from tests.factories import UserFactory
from tests.runsheets.result_desk import MARKS, RULES, heat_of_five, ride_all

pytestmark = pytest.mark.django_db


@pytest.fixture
def by(db):
    return UserFactory()


@pytest.fixture
def division(by):
    return heat_of_five(by)


@pytest.fixture
def order(division, by):
    return ride_all(division, by)


def places(division):
    result = result_of(division, order_of(division, "Qualifying"))
    return [(row.place, row.entry.rider.family_name, row.total) for row in result.rows]


def closed(order) -> None:
    """Let the time for protests run out."""
    past = timezone.now() - timedelta(minutes=31)
    RoundResult.objects.filter(order=order).update(posted_at=past)


class TestStandings:
    def test_worked_by_hand(self, division, order) -> None:
        # 31.2 + 30 + 29.7 = 90.9 and 30.2 + 31 + 29.7 = 90.9; execution parts them.
        assert places(division) == [
            ("1", "Adlersee", "90.90"),
            ("2", "Brandquist", "90.90"),
            ("3", "Ćwierk", "81.00"),
            ("4", "Dubrava", "75.00"),
            ("5", "Eskola", "60.00"),
        ]

    def test_a_missing_mark_keeps_a_rider_waiting(self, division, order) -> None:
        Mark.objects.filter(ride__entry__rider__family_name="Eskola").first().delete()

        result = result_of(division, order_of(division, "Qualifying"))

        assert [each.entry.rider.family_name for each in result.waiting] == ["Eskola"]
        assert result.waiting[0].run.sentence == "1 of 6 marks is missing."
        assert not result.is_complete

    def test_points_off_and_states(self, division, order) -> None:
        rides = {ride.entry.rider.family_name: ride for ride in order.rides.all()}
        Ride.objects.filter(pk=rides["Adlersee"].pk).update(points_off=10)
        Ride.objects.filter(pk=rides["Ćwierk"].pk).update(state=Ride.State.DISQUALIFIED)
        Ride.objects.filter(pk=rides["Dubrava"].pk).update(state=Ride.State.NOT_STARTED)

        assert places(division) == [
            ("1", "Brandquist", "90.90"),
            ("2", "Adlersee", "80.90"),
            ("3", "Eskola", "60.00"),
            ("4", "Dubrava", ""),
            ("", "Ćwierk", ""),
        ]

    def test_a_re_ride_that_is_granted_is_waited_for(self, division, order) -> None:
        first = order.rides.get(entry__rider__family_name="Adlersee")
        Ride.objects.create(
            order=order, entry=first.entry, number=2, repeats=first, reason="Rope broke"
        )

        result = result_of(division, order_of(division, "Qualifying"))

        assert [each.entry.rider.family_name for each in result.waiting] == ["Adlersee"]

    def test_a_re_ride_not_started_leaves_the_run(self, division, order) -> None:
        first = order.rides.get(entry__rider__family_name="Adlersee")
        Ride.objects.create(
            order=order, entry=first.entry, number=2, repeats=first, reason="Rope broke",
            state=Ride.State.NOT_STARTED,
        )  # fmt: skip

        result = result_of(division, order_of(division, "Qualifying"))

        assert places(division)[0] == ("1", "Adlersee", "90.90")
        assert result.rows[0].standing.note.startswith("The re-ride was not started")
        assert result.is_complete

    def test_queries_stay_flat(self, division, order, django_assert_max_num_queries) -> None:
        with django_assert_max_num_queries(9):
            result_of(division, order_of(division, "Qualifying"))


class TestFalls:
    """A tie-break by fewer falls counts what the table wrote down."""

    @pytest.fixture
    def order(self, by):
        rules = deepcopy(RULES)
        rules["judging"]["tie_breaks"] = ["fewer falls"]
        return ride_all(heat_of_five(by, rules), by, MARKS | {"Brandquist": MARKS["Adlersee"]})

    def write(self, order, by, name, *outcomes):
        ride = order.rides.get(entry__rider__family_name=name)
        for place, outcome in enumerate(outcomes, start=1):
            RiddenTrick.objects.create(
                ride=ride, pass_no=1, place=place, planned="Tantrum", outcome=outcome,
                changed_by=by,
            )  # fmt: skip

    def rows(self, order):
        return result_of(order.division, order_of(order.division, "Qualifying")).rows

    def test_fewer_is_ahead(self, order, by) -> None:
        self.write(order, by, "Adlersee", "fallen", "changed, fallen", "landed")
        self.write(order, by, "Brandquist", "landed", "fallen", "not reached")

        first = self.rows(order)[0]

        assert first.entry.rider.family_name == "Brandquist"
        assert first.standing.note.endswith("on falls (1 to 2).")
        assert len(first.standing.judges) == 2

    def test_nothing_written_is_not_no_falls(self, order, by) -> None:
        self.write(order, by, "Adlersee", "landed", "")

        first, second, *_ = self.rows(order)

        assert (first.place, second.place) == ("1", "1")
        assert "falls are not counted" in first.standing.note


class TestPosting:
    def test_not_while_marks_are_missing(self, division, by) -> None:
        with pytest.raises(ResultRefused, match="missing"):
            post_result(order=order_of(division, "Qualifying"), by=by)
        assert not RoundResult.objects.exists()

    def test_twice_is_once(self, order, by) -> None:
        assert post_result(order=order, by=by) == post_result(order=order, by=by)
        assert Act.objects.filter(what__contains="provisional result").count() == 1

    def test_official_waits_for_the_protest_time(self, order, by) -> None:
        post_result(order=order, by=by)
        with pytest.raises(ResultRefused, match="Protests are taken until"):
            make_official(order=order, by=by)
        closed(order)

        assert make_official(order=order, by=by).official_at

    def test_a_reason_goes_into_the_audit_trail(self, order, by) -> None:
        post_result(order=order, by=by)

        make_official(order=order, by=by, reason="All five riders agreed")

        assert Act.objects.filter(what__contains="All five riders agreed").exists()

    def test_an_open_protest_stands_in_the_way(self, order, by) -> None:
        post_result(order=order, by=by)
        closed(order)
        entry = order.slots.first().entry
        protest = note_protest(order=order, entry=entry, about="The gate was closed", by=by)
        with pytest.raises(ResultRefused, match="no ruling"):
            make_official(order=order, by=by)
        with pytest.raises(ValidationError):
            rule_protest(order=order, protest_id=protest.pk, ruling=" ", by=by)

        rule_protest(order=order, protest_id=protest.pk, ruling="Denied", by=by)

        assert make_official(order=order, by=by).official_at
        with pytest.raises(ResultRefused, match="official"):
            note_protest(order=order, entry=entry, about="Again", by=by)

    def test_one_step_back_at_a_time(self, order, by) -> None:
        post_result(order=order, by=by)
        make_official(order=order, by=by, reason="Agreed")
        with pytest.raises(ResultRefused, match="Write the reason"):
            take_back(order=order, by=by, reason="")

        take_back(order=order, by=by, reason="A mark was mistyped")
        assert RoundResult.objects.get().official_at is None
        take_back(order=order, by=by, reason="Another one too")
        assert not RoundResult.objects.exists()


class TestLog:
    def ridden(self, order, by):
        ride = order.rides.get(entry__rider__family_name="Adlersee")
        Entry.objects.filter(pk=ride.entry_id).update(logs_attempts=True)
        tricks = [
            ("HS Backroll", RiddenTrick.Outcome.LANDED, ""),
            ("HS Backroll", RiddenTrick.Outcome.FALLEN, ""),
            ("TS FS 180", RiddenTrick.Outcome.CHANGED, "HS Tantrum"),
            ("TS FS 360", RiddenTrick.Outcome.NOT_REACHED, ""),
        ]
        for place, (planned, outcome, actual) in enumerate(tricks):
            RiddenTrick.objects.create(
                ride=ride, pass_no=1, place=place, planned=planned, outcome=outcome,
                actual=actual, changed_by=by,
            )  # fmt: skip
        return ride

    def logged(self):
        lines = LandingDay.objects.order_by("trick")
        return [(each.trick, each.landed, each.tried, each.setting) for each in lines]

    def test_official_fills_it_and_taking_back_empties_it(self, order, by) -> None:
        self.ridden(order, by)
        post_result(order=order, by=by)
        assert self.logged() == []

        make_official(order=order, by=by, reason="Agreed")
        assert [line[1:] for line in self.logged()] == [(1, 2, "contest"), (1, 1, "contest")]

        take_back(order=order, by=by, reason="A trick was mistyped")
        assert self.logged() == []

    def test_a_correction_counts_once(self, order, by) -> None:
        ride = self.ridden(order, by)
        post_result(order=order, by=by)
        make_official(order=order, by=by, reason="Agreed")
        take_back(order=order, by=by, reason="It was landed")
        ride.tricks.filter(outcome="fallen").update(outcome="landed")

        make_official(order=order, by=by, reason="Corrected")

        assert [line[1:3] for line in self.logged()] == [(2, 2), (1, 1)]

    def test_nobody_else_is_logged(self, order, by) -> None:
        self.ridden(order, by)
        Entry.objects.update(logs_attempts=False)
        post_result(order=order, by=by)

        make_official(order=order, by=by, reason="Agreed")

        assert self.logged() == []
