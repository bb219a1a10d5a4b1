"""Sharing a plan by a link: what it shows, who may do what, and when it ends."""

from datetime import timedelta
from hashlib import sha256

import pytest
import time_machine
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains

from events.lake_days import today_at
from riders.models import CoachLink, PlanShare, PlanVariant
from riders.share_services import keep_share, make_link, stop_sharing, take_back
from tests.factories import (
    EditionFactory,
    EntryFactory,
    RiderFactory,
)


def share_url(entry) -> str:
    return f"/riding/entries/{entry.pk}/share/"


@pytest.fixture
def link(planned) -> str:
    """The address of the shared plan."""
    _, token = make_link(entry=planned.entry, round_name="")
    return f"/shared/{token}/"


class TestMakingALink:
    def test_the_link_is_shown_once_and_only_its_hash_is_stored(self, planned):
        page = planned.client.post(share_url(planned.entry))

        token = page.content.decode().split("/shared/")[1].split("/")[0]
        share = PlanShare.objects.get()
        assert len(token) == 32  # 24 bytes, base64
        assert share.token_hash == sha256(token.encode()).hexdigest()
        assertNotContains(planned.client.get(share_url(planned.entry)), "/shared/")
        assert planned.client.get(f"/shared/{token}/").status_code == 200

    def test_a_new_link_ends_the_old_one_and_keepers_stay(self, planned, link):
        keeper = keep_share(share=PlanShare.objects.get(), coach=RiderFactory())

        planned.client.post(share_url(planned.entry))

        assert planned.client.get(link).status_code == 404
        assert PlanShare.objects.count() == 1
        assert CoachLink.objects.get(pk=keeper.pk).is_live

    def test_a_link_after_the_sharing_expired_brings_nobody_back(self, planned):
        """Whose leave ended gets it again only by a new link."""
        today = today_at(planned.division.event)
        share, _ = make_link(entry=planned.entry, round_name="", expires_on=today)
        keeper = keep_share(share=share, coach=RiderFactory())

        with time_machine.travel(timezone.now() + timedelta(days=2), tick=False):
            new, _ = make_link(entry=planned.entry, round_name="")

            assert new != share
            assert not CoachLink.objects.get(pk=keeper.pk).is_live

    @pytest.mark.parametrize(
        ("day", "sentence"),
        [
            ("2001-01-01", "This day is over: choose today or a later day."),
            ("9999-12-31", "Choose a day within the next two years"),
            ("31 of July", "Write the day as year-month-day"),
            ("0000-00-00", "Write the day as year-month-day"),
        ],
    )
    def test_mistakes(self, planned, day, sentence):
        page = planned.client.post(share_url(planned.entry), {"expires_on": day})

        assertContains(page, sentence)
        assertContains(page, f'value="{day}"')
        assert not PlanShare.objects.exists()

    def test_without_rules_there_is_nothing_to_share(self, desk):
        entry = EntryFactory(rider=desk.entry.rider)

        assertContains(desk.client.get(share_url(entry)), "The rules are not published yet")
        assertContains(desk.client.post(share_url(entry)), "The rules are not published yet")

    def test_an_unknown_round_is_not_found(self, desk):
        assert desk.client.get(share_url(desk.entry) + "?round=Moon").status_code == 404
        assert desk.client.post(share_url(desk.entry) + "?round=Moon").status_code == 404

    def test_each_round_has_a_share_of_its_own(self, desk):
        rounds = {"rounds": [{"name": "Qualifying"}, {"name": "Final"}]}
        EditionFactory(division=desk.division, number=2, data={**desk.edition.data, **rounds})

        page = desk.client.post(share_url(desk.entry) + "?round=Final")

        assert PlanShare.objects.get().round_name == "Final"
        assertContains(page, "Final")
        assertContains(desk.client.get(share_url(desk.entry)), "not shared with anybody")

    def test_a_share_of_a_round_that_is_no_more_can_be_stopped(self, planned, link):
        rounds = {"rounds": [{"name": "Final"}]}
        EditionFactory(
            division=planned.division, number=2, data={**planned.edition.data, **rounds}
        )
        share = PlanShare.objects.get()

        page = planned.client.get(share_url(planned.entry))
        assertContains(page, f"/riding/shares/{share.pk}/stop/")
        assert planned.client.get(link).status_code == 200

        answer = planned.client.post(f"/riding/shares/{share.pk}/stop/")
        assert answer.url == share_url(planned.entry) + "?round=Final"
        assert planned.client.get(link).status_code == 404


class TestSharedPage:
    def test_shows_the_plan_as_typed(self, link, client):
        client.logout()

        page = client.get(link)

        assertContains(page, "HS backroll")
        assertContains(page, "4 landed of 5 tried")
        assertContains(page, "50 %")
        assertContains(page, "HS bakroll")
        assertContains(page, "One row cannot be read")
        assertContains(page, "<svg")
        assertContains(page, "Checked under edition 1")
        assertContains(page, "Not declared yet")
        assertContains(page, "32 %")  # 4/5 x 4/5 x 1/2 are landed in 8 of 25 runs

    def test_findings_stand_under_their_rows(self, planned, link, client):
        planned.post("HS backroll; HS backroll", "Indy", action="save")

        page = client.get(link)

        assertContains(page, "This run breaks one rule.")
        assertContains(page, "A trick may be done once only.")

    def test_says_what_was_declared_and_whether_the_plan_still_is_that(self, planned, link):
        planned.post("HS backroll; Indy", "Raley", action="declare")
        assertContains(planned.client.get(link), "The plan below is the declared run.")

        planned.post("HS backroll; Mute", "Raley", action="save")

        page = planned.client.get(link)
        assertContains(page, "Declared: run number 1")
        assertContains(page, "differs from the declared run")

    def test_no_contact_and_no_other_plan(self, planned, link, client):
        rider, user = planned.entry.rider, planned.entry.rider.user
        other = EntryFactory(rider=rider, division=EditionFactory().division)
        planned.entry.guardian = "Ada Seegrund"
        planned.entry.save()
        PlanVariant.objects.create(entry=planned.entry, name="Secret idea", rows={})
        client.logout()

        page = client.get(link)

        assertContains(page, rider.name)
        for private in (
            user.email, user.username, "Ada Seegrund", "Secret idea", str(other.division.event),
        ):  # fmt: skip
            assertNotContains(page, private)

    def test_an_empty_plan(self, desk, client):
        _, token = make_link(entry=desk.entry, round_name="")

        assertContains(client.get(f"/shared/{token}/"), "Nothing is planned yet.")

    def test_too_many_rows(self, planned, link):
        data = {"passes": [{"tricks": [{"trick": "Indy"}] * 61, "bonus": []}]}
        planned.entry.plans.update(rows=data)

        assertContains(planned.client.get(link), "too many rows to be checked")

    def test_typed_text_is_escaped(self, planned, link):
        planned.post("<script>alert(1)</script>", "", action="save")

        assertNotContains(planned.client.get(link), "<script>alert")

    def test_queries_are_flat_in_tricks(self, planned, link, django_assert_max_num_queries):
        def count() -> int:
            with django_assert_max_num_queries(30) as asked:
                planned.client.get(link)
            return len(asked)

        few = count()
        planned.post(
            "Indy; Raley; HS backroll; Tantrum", "Mute; TS backroll; Method", action="save"
        )

        assert count() == few


class TestHeaders:
    def closed(self, answer) -> bool:
        return (
            "noindex" in answer.headers["X-Robots-Tag"]
            and answer.headers["Cache-Control"] == "private, no-store"
        )

    @pytest.mark.parametrize("known", [True, False])
    def test_a_link_is_told_to_nobody(self, link, client, known):
        answer = client.get(link if known else "/shared/nothing/")

        assert answer.status_code == (200 if known else 404)
        assert answer.headers["Referrer-Policy"] == "no-referrer"
        assert self.closed(answer)

    def test_a_signed_in_visitor_can_send_its_forms(self, link, client):
        """Under no-referrer a browser sends a form without its origin, which is refused."""
        meta = '<meta name="referrer" content="same-origin">'
        assertContains(client.get(link), meta)
        client.logout()
        assertNotContains(client.get(link), meta)

    def test_pages_around_it_are_closed_as_well(self, planned):
        assert self.closed(planned.client.get(share_url(planned.entry)))
        assert self.closed(planned.client.get("/riding/coach/"))


class TestEnd:
    def test_stopped(self, planned, link):
        share = PlanShare.objects.get()

        answer = planned.client.post(f"/riding/shares/{share.pk}/stop/")

        assert answer.url == share_url(planned.entry)
        page = planned.client.get(link)
        assert page.status_code == 404
        assertContains(page, "This plan is not shared", status_code=404)

    def test_the_last_day_counts_to_its_end_at_the_lake(self, planned, client):
        zone = planned.division.event.zone
        day = today_at(planned.division.event) + timedelta(days=2)
        share, token = make_link(entry=planned.entry, round_name="", expires_on=day)
        client.logout()

        with time_machine.travel(share.expires_at - timedelta(seconds=1), tick=False):
            assert client.get(f"/shared/{token}/").status_code == 200
        with time_machine.travel(share.expires_at + timedelta(seconds=1), tick=False):
            assert client.get(f"/shared/{token}/").status_code == 404
        local = share.expires_at.astimezone(zone)
        assert (local.date(), local.hour, local.minute) == (day, 23, 59)

    @pytest.mark.parametrize("junk", ["x", "%00", "é", "../..", "a" * 3000, "%ff", "' OR 1=1"])
    def test_junk_is_not_found(self, db, client, junk):
        assert client.get(f"/shared/{junk}/").status_code == 404
        client.force_login(RiderFactory().user)
        assert client.post(f"/shared/{junk}/keep/").status_code == 404

    def test_a_share_without_a_link_in_force_opens_for_no_token(self, planned, client):
        share, _ = make_link(entry=planned.entry, round_name="")
        take_back(keeper=keep_share(share=share, coach=RiderFactory()))

        assert PlanShare.objects.get().token_hash is None
        assert client.get("/shared/None/").status_code == 404

    def test_ending_twice_is_no_trouble(self, planned, link):
        share = PlanShare.objects.get()
        stop_sharing(share=share)
        ended = PlanShare.objects.get().ended_at

        assert planned.client.post(f"/riding/shares/{share.pk}/stop/").status_code == 302
        assert PlanShare.objects.get().ended_at == ended
