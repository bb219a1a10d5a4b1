"""Days on paper: the order of a pack, planned starts, and how often the database is read."""

import pytest
from django.urls import reverse
from django.utils import timezone

from events.models import Event
from runsheets.models import DayPlan, Heat, Printing
from runsheets.papers.pack import KINDS
from runsheets.papers.paper import Kind
from runsheets.printing import Choice, changed, last_printings, make_pack, record_printings
from runsheets.schedule import schedule_of
from tests.factories import UserFactory
from tests.runsheets.big_event import big_event
from tests.runsheets.print_desk import code_of, page, printed

pytestmark = pytest.mark.django_db


class TestQueries:
    @pytest.mark.parametrize(("divisions", "riders"), [(2, 4), (2, 15), (6, 4)])
    def test_a_pack_reads_as_often_whatever_its_size(
        self, divisions, riders, django_assert_num_queries
    ):
        event = big_event(divisions, riders)
        event = Event.objects.select_related("venue", "club").get(pk=event.pk)
        with django_assert_num_queries(8):
            pack = make_pack(event, Choice(), timezone.now())
        assert len(pack.papers) > 4 * divisions
        record_printings(event=event, papers=pack.chosen, by=UserFactory(), at=timezone.now())
        with django_assert_num_queries(1):
            assert changed(pack).cover is None

    def test_the_page_and_the_paper(self, client, ordered, django_assert_max_num_queries):
        printed(client, ordered)
        with django_assert_max_num_queries(12):
            client.get(page(ordered))
        paper = reverse("paper", args=[code_of("boat")])
        with django_assert_max_num_queries(12):
            client.get(paper)

    def test_the_last_printing_of_each_paper(self, client, ordered):
        printed(client, ordered)
        printed(client, ordered)
        assert Printing.objects.count() == 12
        assert len(last_printings(ordered.event)) == 6
        assert {scope.kind for scope in last_printings(ordered.event)} == set(KINDS) - {
            Kind.CHANGES
        }


def test_days_decide_the_order_of_a_pack():
    """Heats on a day come in the order of that day, before those that are on none."""
    event = big_event(2, 5)
    DayPlan.objects.create(event=event, day=event.first_day, starts_at="09:00")
    last = Heat.objects.get(order__division__name="Division 1")
    Heat.objects.filter(pk=last.pk).update(day=event.first_day, place=1)
    pack = make_pack(event, Choice(kinds=(Kind.DOCK,)), timezone.now())
    assert [paper.heading.division for paper in pack.papers] == ["Division 1", "Division 0"]


def dock_starts(event: Event) -> list[str]:
    """When the heats of the qualifying round start, by the dock starter's lists."""
    pack = make_pack(event, Choice(kinds=(Kind.DOCK,)), timezone.now())
    own = [paper for paper in pack.papers if paper.scope.round == "Qualifying"]
    return [paper.snapshot.paper["Heat starts"] for paper in own]


class TestPlannedStarts:
    """The dock starter's list shows what the plan of the day says."""

    def test_as_on_the_page_of_days(self, ordered):
        event = ordered.event
        assert dock_starts(event) == ["__:__."]
        DayPlan.objects.create(event=event, day=event.first_day, starts_at="09:40")
        Heat.objects.update(day=event.first_day, place=1)
        event = Event.objects.get(pk=event.pk)
        assert dock_starts(event) == ["09:40."]
        day = schedule_of(event).days[0]
        assert f"{day.times.heats[0].planned_start:%H:%M}" == "09:40"

    def test_a_heat_that_begins_late_makes_no_list_old(self, ordered):
        DayPlan.objects.create(
            event=ordered.event, day=ordered.event.first_day, starts_at="09:40"
        )
        Heat.objects.update(day=ordered.event.first_day, place=1)
        event = Event.objects.get(pk=ordered.event_id)
        pack = make_pack(event, Choice(kinds=(Kind.DOCK,)), timezone.now())
        record_printings(event=event, papers=pack.chosen, by=UserFactory(), at=pack.at)
        Heat.objects.update(begun_at=timezone.now())
        again = make_pack(event, Choice(kinds=(Kind.DOCK,)), timezone.now())
        assert changed(again).cover is None

    def test_of_a_day_moved_by_the_plan_only_the_dock_starter_hears(self, ordered):
        """The time decides who is to be ready; on all other papers it is a help to find one's
        way, and no reason to print again."""
        plan = DayPlan.objects.create(
            event=ordered.event, day=ordered.event.first_day, starts_at="09:40"
        )
        Heat.objects.update(day=ordered.event.first_day, place=1)
        event = Event.objects.get(pk=ordered.event_id)
        pack = make_pack(event, Choice(), timezone.now())
        record_printings(event=event, papers=pack.chosen, by=UserFactory(), at=pack.at)
        DayPlan.objects.filter(pk=plan.pk).update(starts_at="11:00")
        event = Event.objects.get(pk=event.pk)
        pack = make_pack(event, Choice(), timezone.now())
        again = changed(pack)
        assert [paper.scope.kind for paper in again.papers] == [Kind.DOCK]
        sheets = [p for p in pack.chosen if p.scope.kind is Kind.RUN_SHEETS and p.scope.heat]
        assert sheets[0].heading.starts.endswith(", 11:00")
        assert again.cover is not None
        assert "11:00" in str(again.cover.blocks)
