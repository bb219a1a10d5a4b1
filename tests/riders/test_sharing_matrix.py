"""Who may open what of shared plans and variants: every person at every address."""

import pytest
from pytest_django.asserts import assertNotContains

from events.models import Official
from riders.models import CoachLink, PlannedRun, PlanShare, PlanVariant
from riders.share_services import keep_share, make_link
from tests.factories import (
    EditionFactory,
    EntryFactory,
    OfficialFactory,
    RiderFactory,
    UserFactory,
)


class Cast:
    """Everybody who may knock, and everything they may knock at."""

    def __init__(self, desk) -> None:
        self.desk = desk
        self.share, self.token = make_link(entry=desk.entry, round_name="")
        self.keeper = keep_share(share=self.share, coach=RiderFactory())
        self.variant = PlanVariant.objects.create(
            entry=desk.entry, name="safe", rows=desk.entry.plans.get().rows
        )
        self.target = EntryFactory(rider=desk.entry.rider, division=EditionFactory().division)
        club = desk.division.event.club
        roles = Official.Role
        self.people = {
            "anonymous": None,
            "owner": desk.entry.rider.user,
            "coach": self.keeper.coach.user,
            "other rider": RiderFactory().user,
            "no rider": UserFactory(),
            "organiser": OfficialFactory(
                club=club, role=roles.ORGANISER, user=RiderFactory().user
            ).user,
            "table": OfficialFactory(
                club=club, role=roles.TABLE, user=RiderFactory().user
            ).user,
        }
        entry = desk.entry.pk
        self.pages = {
            "shared": f"/shared/{self.token}/",
            "coach": "/riding/coach/",
            "kept plan": f"/riding/coach/{self.keeper.pk}/",
            "let go": f"/riding/coach/{self.keeper.pk}/let-go/",
            "share": f"/riding/entries/{entry}/share/",
            "stop": f"/riding/shares/{self.share.pk}/stop/",
            "take back": f"/riding/keepers/{self.keeper.pk}/end/",
            "compare": f"/riding/compare/?plan=p{desk.entry.plans.get().pk}",
            "variants": f"/riding/entries/{entry}/variants/",
            "use": f"/riding/variants/{self.variant.pk}/use/",
            "remove": f"/riding/variants/{self.variant.pk}/remove/",
            "copy": f"/riding/entries/{entry}/copy/",
            "copy check": f"/riding/entries/{entry}/copy/?to={self.target.pk}",
        }


READ = ("shared", "coach", "kept plan", "share", "compare", "variants", "copy", "copy check")
WRITE = ("let go", "share", "stop", "take back", "variants", "use", "remove", "copy check")
PERSONAL = ("coach", "compare")  # everybody has one of their own


def may(person: str, page: str) -> bool:
    """Who is let in where."""
    if page == "shared":
        return True
    if page in PERSONAL:
        return person not in ("anonymous", "no rider")
    if page in ("kept plan", "let go"):
        return person == "coach"
    return person == "owner"


PEOPLE = ("anonymous", "owner", "coach", "other rider", "no rider", "organiser", "table")


class TestWhoMayWhat:
    """A matrix: every person at every address."""

    def visit(self, cast, person, client):
        user = cast.people[person]
        client.logout() if user is None else client.force_login(user)
        return client

    @pytest.mark.parametrize("page", READ)
    @pytest.mark.parametrize("person", PEOPLE)
    def test_read(self, planned, client, person, page):
        """The link opens the plan to everybody; all else is its owner's, or the coach's."""
        cast = Cast(planned)

        answer = self.visit(cast, person, client).get(cast.pages[page])

        if may(person, page):
            assert answer.status_code == 200
        elif person == "anonymous":
            assert answer.url.startswith("/sign-in/")
        elif person == "no rider":
            assert answer.url.startswith("/riding/me/")
        else:
            assert answer.status_code == 404
        if page in PERSONAL and person in ("other rider", "organiser", "table"):
            assertNotContains(answer, planned.entry.rider.name)
            assertNotContains(answer, "HS backroll")

    @pytest.mark.parametrize("page", WRITE)
    @pytest.mark.parametrize("person", PEOPLE)
    def test_write(self, planned, client, person, page):
        """Nothing changes unless it is one's own to change."""
        cast = Cast(planned)
        before = self.state()

        self.visit(cast, person, client).post(cast.pages[page], {"name": "mine"})

        assert (self.state() != before) == may(person, page)

    def state(self):
        plans = PlanVariant.objects.order_by("pk").values_list("entry", "name", "pk")
        shares = PlanShare.objects.order_by("pk").values_list("token_hash", "ended_at")
        links = CoachLink.objects.order_by("pk").values_list("pk", "taken_back_at")
        moments = PlannedRun.objects.order_by("pk").values_list("pk", "updated_at")
        return [list(each) for each in (plans, shares, links, moments)]

    @pytest.mark.parametrize("page", ["let go", "stop", "take back", "use", "remove"])
    def test_acts_are_not_done_by_following_a_link(self, planned, client, page):
        cast = Cast(planned)
        before = self.state()
        for person in ("owner", "coach"):
            assert self.visit(cast, person, client).get(cast.pages[page]).status_code in (
                404,
                405,
            )
        assert self.state() == before

    @pytest.mark.parametrize(
        "address",
        [
            "/riding/coach/{}/", "/riding/coach/{}/let-go/", "/riding/shares/{}/stop/",
            "/riding/keepers/{}/end/", "/riding/entries/{}/share/", "/riding/entries/{}/variants/",
            "/riding/variants/{}/use/", "/riding/variants/{}/remove/", "/riding/entries/{}/copy/",
        ],
    )  # fmt: skip
    @pytest.mark.parametrize("junk", ["0", "999999", "9" * 40, "x", "-1", "²"])
    def test_junk_ids_are_not_found(self, desk, address, junk):
        for method in (desk.client.get, desk.client.post):
            assert method(address.format(junk)).status_code in (404, 405)
