"""The coach's table: keeping shared plans, and what happens when sharing ends."""

from datetime import timedelta

import pytest
import time_machine
from pytest_django.asserts import assertContains, assertNotContains

from riders.models import CoachLink, LandingRecord, OwnTrick, PlannedRun, PlanShare, Rider
from riders.share_services import keep_share, make_link, take_back
from tests.factories import EditionFactory, EntryFactory, RiderFactory, UserFactory

TABLE = "/riding/coach/"


@pytest.fixture
def link(desk) -> str:
    """The address of the desk's plan, shared."""
    desk.post("HS backroll 4/5; Indy 4/5", "Raley 50%", action="save")
    _, token = make_link(entry=desk.entry, round_name="")
    return f"/shared/{token}/"


@pytest.fixture
def coach(db) -> Rider:
    """Somebody with a rider's page of their own."""
    return RiderFactory(given_name="Joos", family_name="Ried")


class TestKeeping:
    def test_success(self, desk, link, coach, client):
        client.force_login(coach.user)
        assertContains(client.get(link), "Keep it in my coach’s table")

        answer = client.post(f"{link}keep/")

        assert answer.url == TABLE
        page = client.get(TABLE)
        for words in (desk.entry.rider.name, str(desk.division), "Planned", "no rule broken", "32 %"):
            assertContains(page, words)
        assertContains(client.get(link), "your coach’s table")

    def test_twice_is_once(self, link, coach, client):
        client.force_login(coach.user)
        for _ in range(2):
            client.post(f"{link}keep/")

        assert CoachLink.objects.count() == 1

    def test_a_stranger_signs_in_and_comes_back(self, link, coach, client):
        client.logout()
        page = client.get(link)
        assertContains(page, f"/sign-in/?next={link}keep/")

        asked = client.post(f"{link}keep/")
        assert asked.url.startswith("/sign-in/")
        answer = client.post(
            f"/sign-in/?next={link}keep/",
            {"username": coach.user.username, "password": "quiet-harbour-17"},
            follow=True,
        )

        assert answer.redirect_chain[-1][0] == link
        assert not CoachLink.objects.exists()  # only a pressed button keeps

    def test_a_person_without_a_name_is_asked_for_it(self, link, client):
        client.force_login(UserFactory())

        assert client.post(f"{link}keep/").url.startswith("/riding/me/?next=")

    def test_ones_own_plan_is_not_kept(self, desk, link):
        page = desk.client.post(f"{link}keep/", follow=True)

        assertContains(page, "This is your own plan")
        assert not CoachLink.objects.exists()

    def test_the_rider_sees_the_name_and_no_address(self, desk, link, coach):
        keep_share(share=PlanShare.objects.get(), coach=coach)

        page = desk.client.get(f"/riding/entries/{desk.entry.pk}/share/")

        assertContains(page, "Joos Ried")
        assertNotContains(page, coach.user.email)


class TestEnd:
    @pytest.fixture
    def kept(self, link, coach, client) -> CoachLink:
        kept = keep_share(share=PlanShare.objects.get(), coach=coach)
        client.force_login(coach.user)
        return kept

    def ended(self, client, kept) -> bool:
        page = client.get(TABLE)
        assertContains(page, "is no longer shared")
        assertNotContains(page, f"{TABLE}{kept.pk}/\"")
        assertNotContains(page, "Planned")
        return client.get(f"{TABLE}{kept.pk}/").status_code == 404

    def test_stopped_for_everybody(self, desk, kept, client, coach):
        client.force_login(desk.entry.rider.user)
        client.post(f"/riding/shares/{kept.share_id}/stop/")

        client.force_login(coach.user)
        assert self.ended(client, kept)

    def test_taken_back_from_one(self, desk, kept, client, coach):
        """The one loses the plan and the link with it; another keeper goes on."""
        other = keep_share(share=kept.share, coach=RiderFactory())
        client.force_login(desk.entry.rider.user)
        client.post(f"/riding/keepers/{kept.pk}/end/")
        assertNotContains(client.get(f"/riding/entries/{desk.entry.pk}/share/"), "Joos Ried</h3>")

        client.force_login(coach.user)
        assert self.ended(client, kept)
        assert PlanShare.objects.get().token_hash is None
        client.force_login(other.coach.user)
        assert client.get(f"{TABLE}{other.pk}/").status_code == 200

    def test_a_new_link_given_to_the_same_person_opens_it_again(self, desk, kept, client):
        take_back(keeper=kept)
        _, token = make_link(entry=desk.entry, round_name="")

        client.post(f"/shared/{token}/keep/")

        assertNotContains(client.get(TABLE), "no longer shared")
        assert client.get(f"{TABLE}{kept.pk}/").status_code == 200

    def test_the_note_can_be_put_away(self, kept, client):
        take_back(keeper=kept)

        client.post(f"{TABLE}{kept.pk}/let-go/")

        assertNotContains(client.get(TABLE), "no longer shared")


class TestTable:
    def test_the_next_deadline_comes_first(self, desk, link, coach, client):
        later = EntryFactory(rider=RiderFactory(given_name="Later"), division=EditionFactory().division)
        later.division.event.declare_by = desk.division.event.declare_by + timedelta(hours=1)
        later.division.event.save()
        share, _ = make_link(entry=later, round_name="")
        keep_share(share=share, coach=coach)
        keep_share(share=PlanShare.objects.get(entry=desk.entry), coach=coach)
        client.force_login(coach.user)

        page = client.get(TABLE).content.decode()

        assert page.index(desk.entry.rider.name) < page.index("Later")
        assert "Nothing planned yet" in page

    def test_states(self, desk, link, coach, client):
        keep_share(share=PlanShare.objects.get(), coach=coach)
        with time_machine.travel(desk.division.deadline() + timedelta(seconds=1), tick=False):
            client.force_login(coach.user)
            assertContains(client.get(TABLE), "Late: nothing declared")

        client.force_login(desk.entry.rider.user)
        desk.post("HS backroll; Indy", "Raley", action="declare")
        desk.post("HS backroll; HS backroll", "Indy", action="save")

        client.force_login(coach.user)
        page = client.get(TABLE)
        assertContains(page, "Declared, run number 1; the plan differs")
        assertContains(page, "breaks one rule")

    def test_queries_are_flat(self, desk, link, coach, client, django_assert_max_num_queries):
        def count() -> int:
            with django_assert_max_num_queries(40) as asked:
                assert client.get(TABLE).status_code == 200
            return len(asked)

        keep_share(share=PlanShare.objects.get(), coach=coach)
        client.force_login(coach.user)
        few = count()
        rows = PlannedRun.objects.get().rows
        for number in range(5):
            entry = EntryFactory(division=EditionFactory().division)
            PlannedRun.objects.create(entry=entry, round_name="", rows=rows)
            LandingRecord.objects.create(rider=entry.rider, trick="Indy", landed=1, tried=2)
            OwnTrick.objects.create(
                rider=entry.rider, name=f"Reed {number}", family="spin", approach="either"
            )
            share, _ = make_link(entry=entry, round_name="")
            keep_share(share=share, coach=coach)

        assert count() == few

    def test_empty(self, desk):
        assertContains(desk.client.get(TABLE), "You keep no plan yet.")
