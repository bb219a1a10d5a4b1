"""The page of what a rider wants on the dock."""

from datetime import timedelta

from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from events.lake_days import today_at
from events.models import Event
from riders.models import Entry
from tests.factories import DivisionFactory, EditionFactory, EntryFactory
from tests.riders.re_declaring import declared

PAGE = "/riding/dock/"


def open_to_all(event: Event) -> None:
    event.is_public = True
    event.save()


class TestWhatItLists:
    def test_a_run_that_is_declared_and_one_that_is_planned(self, desk):
        open_to_all(desk.division.event)
        assertNotContains(desk.client.get(PAGE), "Declared run")
        run = declared(desk.entry, "HS backroll | Indy")

        page = desk.client.get(PAGE)

        event, division = desk.division.event, desk.division
        for address in (
            reverse("receipt", args=[run.pk]),
            reverse("plan", args=[desk.entry.pk]),
            reverse("dock-card", args=[desk.entry.pk]) + "?round=",
            division.get_absolute_url(),
            reverse("times", args=[event.slug]),
            reverse("running-order", args=[event.slug]),
            event.get_absolute_url(),
        ):
            assertContains(page, f'<a data-keep href="{address}">')

    def test_each_address_leads_to_a_page_that_may_be_kept(self, desk):
        open_to_all(desk.division.event)
        declared(desk.entry, "HS backroll | Indy")
        links = desk.client.get(PAGE).text.split('data-keep href="')[1:]

        for link in links:
            answer = desk.client.get(link.split('"')[0].replace("&amp;", "&"))
            assert answer.status_code == 200
            assert answer["Buoyline-Keep"] == "yes"

    def test_an_event_that_is_not_public_has_no_public_pages(self, desk):
        Event.objects.update(is_public=False)

        page = desk.client.get(PAGE)

        assertContains(page, reverse("plan", args=[desk.entry.pk]))
        assertNotContains(page, reverse("times", args=[desk.division.event.slug]))

    def test_rules_that_are_not_published_have_no_plan(self, desk):
        entry = EntryFactory(rider=desk.entry.rider, division=DivisionFactory())

        assertNotContains(desk.client.get(PAGE), reverse("plan", args=[entry.pk]))

    def test_what_is_over_or_given_up_is_not_listed(self, desk):
        Entry.objects.update(state=Entry.State.WITHDRAWN)
        assertContains(desk.client.get(PAGE), "no event that is still to come")

        Entry.objects.update(state=Entry.State.RIDING)
        yesterday = today_at(desk.division.event) - timedelta(days=1)
        Event.objects.update(first_day=yesterday, last_day=yesterday)
        assertContains(desk.client.get(PAGE), "no event that is still to come")

    def test_the_event_of_the_last_day_is(self, desk):
        today = today_at(desk.division.event)
        Event.objects.update(first_day=today - timedelta(days=1), last_day=today)

        assertContains(desk.client.get(PAGE), reverse("plan", args=[desk.entry.pk]))


def test_nobody_but_riders(client, db):
    assertRedirects(client.get(PAGE), f"/sign-in/?next={PAGE}")


def test_as_many_questions_for_one_entry_as_for_many(desk, django_assert_num_queries):
    for count in (1, 5):
        for _ in range(count):
            edition = EditionFactory(data=desk.division.edition.data)
            entry = EntryFactory(rider=desk.entry.rider, division=edition.division)
            declared(entry, "HS backroll | Indy")
        with django_assert_num_queries(7):
            desk.client.get(PAGE)
