"""A new edition: every declared run is checked again, nothing altered, all of it shown."""

import pytest
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from events.models import Act, Division, Official
from riders.models import Declaration, Entry
from riders.re_checks import re_check
from tests.factories import EntryFactory, OfficialFactory, RiderFactory, UserFactory
from tests.riders.re_declaring import ONE_INVERT, declared, fresh, publish


class TestReCheck:
    def test_a_run_that_breaks_the_new_rules_and_one_that_holds(self, desk):
        other = EntryFactory(division=desk.division)
        breaks = declared(desk.entry, "HS backroll, TS backroll | Indy")
        holds = declared(other, "HS backroll, Mute | Indy")
        publish(desk.division, limits=[ONE_INVERT])

        found = {each.declaration: each for each in re_check(fresh(desk.division))}

        assert set(found) == {breaks, holds}
        assert found[holds].still_legal
        assert not found[breaks].still_legal
        assert len(found[breaks].broken) == 1
        assert "No more than one invert" in found[breaks].broken[0]
        said = " ".join(each.sentence for each in found[breaks].differences)
        assert "No more than one invert" in said
        assert "No more than two inverts" in said

    def test_nothing_is_altered(self, desk):
        run = declared(desk.entry, "HS backroll, TS backroll | Indy")
        before = Declaration.objects.values().get()

        publish(desk.division, limits=[ONE_INVERT])

        assert Declaration.objects.values().get() == before
        assert run.edition.number == 1

    def test_only_runs_in_force_of_riders_with_a_place(self, desk):
        declared(desk.entry, "HS backroll | Indy")
        newest = declared(desk.entry, "HS backroll | Mute")
        gone = EntryFactory(division=desk.division)
        declared(gone, "HS backroll | Indy")
        Entry.objects.filter(pk=gone.pk).update(state=Entry.State.WITHDRAWN)
        publish(desk.division, limits=[])

        assert [each.declaration for each in re_check(fresh(desk.division))] == [newest]

    def test_who_declares_again_is_no_longer_listed(self, desk):
        declared(desk.entry, "HS backroll | Indy")
        publish(desk.division, limits=[])

        declared(Entry.objects.get(pk=desk.entry.pk), "HS backroll | Indy", edition=2)

        assert re_check(fresh(desk.division)) == []

    def test_all_that_changed_since_the_run_was_declared(self, desk):
        declared(desk.entry, "HS backroll | Indy")
        publish(desk.division, limits=[])
        publish(desk.division, falls={"allowed": 2})

        (found,) = re_check(fresh(desk.division))

        said = " ".join(each.sentence for each in found.differences)
        assert "two inverts" in said
        assert "two falls" in said.lower()

    def test_a_rule_that_is_broken_twice_in_the_same_way_is_told_once(self, desk):
        publish(desk.division, repeats={"rule": "free"})
        entry = Entry.objects.get(pk=desk.entry.pk)
        declared(entry, "HS backroll, Indy | HS backroll", edition=2)
        banned = {**ONE_INVERT, "say": "No inverts", "most": 0}
        publish(desk.division, limits=[banned])

        (found,) = re_check(fresh(desk.division))

        (sentence,) = found.broken
        assert "No inverts" in sentence

    def test_only_what_concerns_the_round(self, desk):
        rounds = [{"name": "Qualifying"}, {"name": "Final"}]
        publish(desk.division, rounds=rounds)
        entry = Entry.objects.get(pk=desk.entry.pk)
        declared(entry, "HS backroll | Indy", "Qualifying", 2)
        declared(entry, "HS backroll | Mute", "Final", 2)
        publish(
            desk.division,
            overrides=[
                {"when": {"round": "Final"}, "set": {"passes": {"count": 1}, "double_ups": []}}
            ],
        )

        found = {each.declaration.round_name: each for each in re_check(fresh(desk.division))}

        assert found["Qualifying"].differences == ()
        assert found["Qualifying"].still_legal
        assert found["Final"].differences
        assert found["Final"].broken == ("Pass 2 is one too many: a run has one pass.",)

    def test_rounds_that_come_and_go(self, desk):
        declared(desk.entry, "HS backroll | Indy")
        publish(desk.division, rounds=[{"name": "Qualifying"}])
        (found,) = re_check(fresh(desk.division))
        assert found.broken == (
            "The rules have rounds now, Qualifying: declare a run for each.",
        )

        entry = Entry.objects.get(pk=desk.entry.pk)
        declared(entry, "HS backroll | Indy", "Qualifying", 2)
        publish(desk.division, rounds=[{"name": "Final"}])
        said = {each.broken[0] for each in re_check(fresh(desk.division))}
        assert any("no round “Qualifying” any more" in each for each in said)

    def test_before_any_edition(self, db):
        assert re_check(EntryFactory().division) == []

    def test_one_question_however_many_riders(self, desk, django_assert_num_queries):
        for count in (1, 8):
            for entry in EntryFactory.create_batch(count, division=desk.division):
                declared(
                    entry, "HS backroll | Indy", edition=fresh(desk.division).edition.number
                )
            publish(desk.division, limits=[{**ONE_INVERT, "most": count}])
            division = (
                Division.objects.select_related("event")
                .prefetch_related("editions")
                .get(pk=desk.division.pk)
            )
            with django_assert_num_queries(1):
                assert len(re_check(division)) >= count


@pytest.fixture
def page(desk) -> str:
    """The page for an organiser, after an edition that one of two runs breaks."""
    declared(desk.entry, "HS backroll, TS backroll | Indy")
    other = EntryFactory(
        division=desk.division,
        rider=RiderFactory(family_name="Ashby", user=UserFactory(email="")),
    )
    declared(other, "HS backroll | Indy")
    publish(desk.division, limits=[ONE_INVERT])
    desk.client.force_login(OfficialFactory(club=desk.division.event.club).user)
    return reverse("re-checks", args=[desk.division.pk])


class TestPage:
    def test_who_has_not_declared_again_and_whose_run_breaks_a_rule(self, desk, page):
        answer = desk.client.get(page)

        assertContains(answer, "1 of 2 runs breaks the rules now")
        assertContains(answer, "No more than one invert")
        assertContains(answer, "Still holds")
        assertContains(answer, "has no e-mail address")
        assertContains(answer, desk.entry.rider.user.email)
        said = answer.content.decode()
        assert said.index(str(desk.entry.rider)) < said.index(
            "Ashby"
        )  # who breaks a rule first

    def test_the_table_sees_no_address(self, desk, page):
        club = desk.division.event.club
        desk.client.force_login(OfficialFactory(club=club, role=Official.Role.TABLE).user)

        answer = desk.client.get(page)

        assertContains(answer, str(desk.entry.rider))
        assertNotContains(answer, desk.entry.rider.user.email)

    def test_nobody_else(self, desk, page):
        desk.client.force_login(desk.entry.rider.user)
        assert desk.client.get(page).status_code == 403
        desk.client.logout()
        assert desk.client.get(page).status_code == 302

    def test_the_organiser_finds_it(self, desk, page):
        event = desk.client.get(reverse("event-organise", args=[desk.division.event.slug]))

        assertContains(event, page)
        assertContains(event, "Published edition 2")
        assert Act.objects.filter(what__startswith="Published edition 2").count() == 1

    def test_the_number_of_questions(self, desk, page, django_assert_num_queries):
        for count in (0, 6):
            for entry in EntryFactory.create_batch(count, division=desk.division):
                Declaration.objects.filter(entry=desk.entry).update()
                first = Declaration.objects.get(entry=desk.entry)
                Declaration.objects.create(
                    entry=entry,
                    number=1,
                    edition=first.edition,
                    notation=first.notation,
                    tricks=first.tricks,
                    check_result={},
                )
            with django_assert_num_queries(7):
                desk.client.get(page)

    def test_before_anything_is_published(self, client, db):
        division = EntryFactory().division
        client.force_login(OfficialFactory(club=division.event.club).user)

        assertContains(
            client.get(reverse("re-checks", args=[division.pk])), "No rules are published yet"
        )
