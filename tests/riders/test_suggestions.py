"""Suggestions, mends and what may follow: taken over by a click, taken back by a click."""

import re
from html import unescape

import pytest
from pytest_django.asserts import assertContains, assertNotContains

from events.rules.notation import read_run
from events.rules.run import Run
from riders.models import LandingRecord, PlannedRun, PlanVariant
from riders.rows import sheet_from_data
from tests.factories import EntryFactory
from tests.riders.conftest import fields


def words(desk) -> list[list[str]]:
    """The tricks of the plan as typed, pass by pass."""
    sheet = sheet_from_data(PlannedRun.objects.get().rows)
    return [[row.trick for row in each.tricks] for each in sheet.passes]


def suggest(desk, query: str = ""):
    return desk.client.get(f"/riding/entries/{desk.entry.pk}/suggest/?{query}")


def offered(page) -> list[str]:
    """The runs that the page offers, as lines."""
    return [
        unescape(line)
        for line in re.findall(r'name="run" value="([^"]*)"', page.content.decode())
    ]


class TestSuggest:
    def test_an_empty_plan(self, desk):
        assertContains(suggest(desk), "Plan some tricks first.")

    def test_without_chances(self, desk):
        desk.post("HS backroll; Indy", "")

        assertContains(suggest(desk), "a landing record or a chance first")

    def test_the_best_order_by_expected_landed(self, desk):
        """With one fall allowed the trick that is missed most belongs to the end."""
        desk.post("HS FS 360 20%; HS indy 90%", "TS indy 90%")

        page = suggest(desk, "goal=expected landed")

        assertContains(page, "No other order within the passes is better.")

    def test_every_offer_is_legal_and_can_be_used(self, desk):
        desk.post("HS backroll 4/5; HS FS 180 9/10; TS backroll 3/5", "Raley 2/5; TS indy 9/10")
        LandingRecord.objects.create(
            rider=desk.entry.rider, trick="HS indy", landed=19, tried=20
        )

        runs = offered(suggest(desk, "goal=clean&clean=60"))

        assert runs
        for line in runs:
            assert isinstance(read_run(line), Run)
            answer = desk.client.post(f"/riding/entries/{desk.entry.pk}/apply/", {"run": line})
            page = desk.client.get(answer.url)
            assertNotContains(page, "This run breaks")
            assertNotContains(page, "has-error")

    @pytest.mark.parametrize(
        "query", ["clean=0", "clean=100", "clean=x", "goal=fame", "goal=clean&clean=1"]
    )
    def test_odd_wishes(self, desk, query):
        desk.post("HS backroll 4/5", "Indy 4/5")

        assert suggest(desk, query).status_code == 200

    def test_a_wish_out_of_range_says_so(self, desk):
        desk.post("HS backroll 4/5", "Indy 4/5")

        page = suggest(desk, "clean=250")

        assertContains(page, "Write a whole number of per cent from 1 to 99.")
        assertContains(page, 'value="250"')

    def test_somebody_elses(self, desk, client):
        client.force_login(EntryFactory().rider.user)

        assert suggest(desk).status_code == 404


class TestApply:
    def apply(self, desk, run: str, **more: str):
        return desk.client.post(f"/riding/entries/{desk.entry.pk}/apply/", {"run": run, **more})

    def test_taken_over_and_taken_back(self, desk):
        desk.post("HS backroll 4/5; Indy 9/10", "Raley")

        answer = self.apply(desk, "Indy 9/10, HS backroll 4/5 | Raley", what="the best order")

        page = desk.client.get(answer.url)
        assertContains(page, "Undo: back to the plan before the best order")
        assert words(desk)[0] == ["Indy", "HS backroll"]
        desk.client.post(f"/riding/variants/{PlanVariant.objects.get().pk}/use/")
        assert words(desk)[0] == ["HS backroll", "Indy"]

    def test_rows_that_cannot_be_read_are_kept(self, desk):
        desk.post("HS backroll 4/5; HS bakroll; Indy 9/10", "Raley")

        self.apply(desk, "Indy 9/10, HS backroll 4/5 | Raley")

        assert words(desk)[0] == ["Indy", "HS backroll", "HS bakroll"]

    def test_a_run_that_cannot_be_read(self, desk):
        assert self.apply(desk, "HS bakroll").status_code == 404

    def test_nothing_is_declared(self, desk):
        self.apply(desk, "Indy | Raley")

        assert not desk.entry.declarations.exists()


class TestMend:
    def mend(self, desk, *passes: str, finding: str):
        return desk.post(*passes, action="", mend=finding)

    def test_a_trick_too_many_is_mended(self, desk):
        answer = self.mend(
            desk, "HS indy; TS indy; HS FS 180; switch HS FS 180; Raley; Tantrum", "",
            finding="too-many-tricks:1:6",
        )  # fmt: skip

        page = desk.client.get(answer.url)
        assertNotContains(page, "is one too many")
        assertContains(page, "Undo: back to the plan before a mend")

    def test_a_finding_that_is_gone(self, desk):
        page = self.mend(desk, "HS backroll", "", finding="repeat:1:9")

        assertContains(page, "Nothing simple mends this")

    @pytest.mark.parametrize("junk", ["", "::", "repeat", "x" * 500])
    def test_junk(self, desk, junk):
        assert self.mend(desk, "HS backroll", "", finding=junk).status_code == 200

    def test_a_button_stands_beside_what_can_be_mended(self, desk):
        page = desk.post("HS backroll; HS backroll", "")

        assertContains(page, 'name="mend" value="repeat:1:2"')


class TestNext:
    def test_reasons(self, desk):
        desk.post("HS backroll; Tantrum", "")

        page = desk.client.get(f"/riding/entries/{desk.entry.pk}/next/?pass=1")

        may, not_ = page.content.decode().split('id="not"')
        assert ">HS FS 180<" in may
        assert ">Raley<" in not_
        assert "No more than two inverts" in not_

    def test_add(self, desk):
        desk.post("HS backroll; ", "")

        desk.client.post(
            f"/riding/entries/{desk.entry.pk}/add/", {"pass": "1", "trick": "Indy"}
        )

        assert words(desk)[0] == ["HS backroll", "Indy"]

    @pytest.mark.parametrize("number", ["0", "9", "x", ""])
    def test_no_such_pass(self, desk, number):
        assert (
            desk.client.get(f"/riding/entries/{desk.entry.pk}/next/?pass={number}").status_code
            == 200
        )
        answer = desk.client.post(
            f"/riding/entries/{desk.entry.pk}/add/", {"pass": number, "trick": "Indy"}
        )
        assert answer.status_code == 404

    def test_nothing_and_too_many_are_refused(self, desk):
        address = f"/riding/entries/{desk.entry.pk}/add/"
        assert desk.client.post(address, {"pass": "1", "trick": " \x00 "}).status_code == 404
        desk.post("; ".join(["HS backroll"] * 60), "")

        page = desk.client.post(address, {"pass": "1", "trick": "Indy"}, follow=True)

        assertContains(page, "At most 60 tricks can be planned")
        assert "Indy" not in words(desk)[0]


def test_a_run_of_hundreds_of_tricks_is_no_suggestion(desk):
    run = ", ".join(["HS backroll"] * 301)

    answer = desk.client.post(f"/riding/entries/{desk.entry.pk}/apply/", {"run": run})

    assert answer.status_code == 404


def test_the_planner_tells_how_sure_its_figure_is(desk):
    """The same band as the page of suggestions; left out of the check at every change."""
    page = desk.post("HS backroll 4/5; TS FS 180 9/10", "")
    said = re.search(r"lies between (\d+ %) and (\d+ %) in nine", " ".join(page.text.split()))

    assert said
    suggestions = " ".join(suggest(desk).text.split())
    assert f"lies between {said[1]} and {said[2]} in nine" in suggestions
    typed = fields("HS backroll 4/5; TS FS 180 9/10", "", action="")
    instant = desk.client.post(desk.url, typed, headers={"HX-Request": "true"})
    assert "nine cases of ten" not in instant.text
    assert "Press Check to see how sure this is" in instant.text
