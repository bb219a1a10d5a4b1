"""Copying a plan to another entry or round of the same rider."""

from datetime import timedelta

import pytest
import time_machine
from django.core.exceptions import ValidationError
from pytest_django.asserts import assertContains, assertNotContains

from events.rules.loading import as_data, load_format
from riders.models import PlannedRun, PlanVariant
from riders.share_services import copy_plan
from tests.factories import EditionFactory, EntryFactory
from tests.riders.conftest import RULES, fields

STRICT = RULES.replace('rule = "once"', 'rule = "free"').replace("most = 2", "most = 1")


@pytest.fixture
def planned(desk):
    """The desk with a repeated trick, two inverts and a row that cannot be read."""
    desk.post("HS backroll 4/5; HS backroll; Tantrum; HS bakroll", "Indy", side="port", action="save")
    return desk


@pytest.fixture
def target(planned):
    """Another entry of the rider, where repeats are free and one invert is allowed."""
    edition = EditionFactory(data=as_data(load_format(STRICT)))
    return EntryFactory(rider=planned.entry.rider, division=edition.division)


def copy_url(desk, target=None) -> str:
    to = f"?to={target.pk}" if target else ""
    return f"/riding/entries/{desk.entry.pk}/copy/{to}"


class TestChoose:
    def test_every_other_entry_with_rules(self, planned, target):
        without_rules = EntryFactory(rider=planned.entry.rider)
        somebody_elses = EntryFactory(division=EditionFactory().division)

        page = planned.client.get(copy_url(planned))

        assertContains(page, str(target.division))
        assertContains(page, f"?to={target.pk}")
        assertNotContains(page, f"?to={planned.entry.pk}")
        assertNotContains(page, str(without_rules.division.event))
        assertNotContains(page, str(somebody_elses.division.event))

    def test_nothing_to_copy(self, desk):
        assertContains(desk.client.get(copy_url(desk)), "There is nothing in this plan to copy yet")

    def test_nowhere_to_copy_to(self, planned):
        assertContains(planned.client.get(copy_url(planned)), "You have no other entry or round")

    def test_another_round_of_the_same_entry(self, planned):
        rounds = {"rounds": [{"name": "Qualifying"}, {"name": "Final"}]}
        EditionFactory(division=planned.division, number=2, data={**planned.edition.data, **rounds})
        planned.post("Mute", "", round="Qualifying", action="save")
        page = planned.client.get(copy_url(planned) + "?round=Qualifying")
        assertContains(page, f"?round=Qualifying&amp;to={planned.entry.pk}&amp;to_round=Final")

        address = f"{copy_url(planned)}?round=Qualifying&to={planned.entry.pk}&to_round=Final"
        answer = planned.client.post(address)

        assert answer.url.endswith("?round=Final")
        rows = PlannedRun.objects.get(round_name="Final").rows
        assert rows == PlannedRun.objects.get(round_name="Qualifying").rows


class TestWhatChanges:
    def test_findings_before_and_after_and_the_rules(self, planned, target):
        """The repeat breaks a rule here only, the second invert there only."""
        page = planned.client.get(copy_url(planned, target))

        html = page.content.decode()
        new = html.split("New there")[1].split("<h2>")[0]
        gone = html.split("No longer a matter there")[1].split("<h2>")[0]
        differ = html.split("How the rules differ")[1]
        assert "No more than two inverts" in new
        assert "A trick may be done once only." in gone
        assert "epeat" in differ
        assert "was" in differ
        assert "Now" in differ
        assertContains(page, "One row cannot be read. It is copied as typed.")
        assert not PlannedRun.objects.filter(entry=target).exists()

    def test_the_same_rules(self, planned):
        edition = EditionFactory(data=planned.edition.data)
        target = EntryFactory(rider=planned.entry.rider, division=edition.division)

        page = planned.client.get(copy_url(planned, target))

        assertContains(page, "The rules are the same.")
        assertContains(page, "Nothing new is found about this run.")

    def test_a_passed_deadline_is_said(self, planned, target):
        with time_machine.travel(target.division.deadline() + timedelta(seconds=1), tick=False):
            planned.client.force_login(planned.entry.rider.user)
            assertContains(planned.client.get(copy_url(planned, target)), "The deadline there has passed")


class TestCopy:
    def test_every_row_arrives_as_typed(self, planned, target):
        answer = planned.client.post(copy_url(planned, target))

        assert answer.url == f"/riding/entries/{target.pk}/plan/"
        source = PlannedRun.objects.get(entry=planned.entry)
        assert PlannedRun.objects.get(entry=target).rows == source.rows
        page = planned.client.get(answer.url)
        assertContains(page, 'value="HS bakroll"')
        assertContains(page, 'value="port" checked')
        assert not PlanVariant.objects.exists()

    def test_the_plan_that_was_there_is_kept_as_a_variant(self, planned, target):
        planned.client.post(
            f"/riding/entries/{target.pk}/plan/", fields("Mute", "", action="save")
        )
        before = PlannedRun.objects.get(entry=target).rows
        assertContains(planned.client.get(copy_url(planned, target)), "There is a plan there already.")

        page = planned.client.post(copy_url(planned, target), follow=True)

        variant = PlanVariant.objects.get()
        assert (variant.entry, variant.rows) == (target, before)
        assert variant.name.startswith("before the copy from ")
        assertContains(page, "kept as the variant before the copy from")

    def test_twice_is_the_same_as_once(self, planned, target):
        for _ in range(2):
            planned.client.post(copy_url(planned, target))

        assert not PlanVariant.objects.exists()

    def test_more_passes_than_the_target_has(self, planned, target):
        """Rows of a pass that the target does not have are kept and reported."""
        edition = EditionFactory(data={"passes": {"count": 1, "length_m": 400}})
        short = EntryFactory(rider=planned.entry.rider, division=edition.division)

        page = planned.client.post(copy_url(planned, short), follow=True)

        assertContains(page, 'name="p2-1-trick" value="Indy"')

    def test_a_new_record_is_not_made_by_copying(self, planned, target):
        before = list(planned.entry.rider.records.values_list("trick", "landed", "tried"))

        planned.client.post(copy_url(planned, target))

        assert list(planned.entry.rider.records.values_list("trick", "landed", "tried")) == before


class TestMistakes:
    @pytest.mark.parametrize("junk", ["", "x", "0", "-1", "9" * 40, "²", "%00"])
    def test_junk_targets_are_not_found(self, planned, junk):
        for method in (planned.client.get, planned.client.post):
            assert method(f"{copy_url(planned)}?to={junk}").status_code == 404

    def test_an_unknown_round_is_not_found(self, planned, target):
        assert planned.client.get(copy_url(planned, target) + "&to_round=Moon").status_code == 404

    def test_the_plan_itself_is_not_found(self, planned):
        assert planned.client.post(copy_url(planned, planned.entry)).status_code == 404

    def test_without_rules_there_is_no_plan_to_copy_to(self, planned):
        bare = EntryFactory(rider=planned.entry.rider)

        assert planned.client.post(copy_url(planned, bare)).status_code == 404

    def test_somebody_elses_entry_is_not_found(self, planned):
        other = EntryFactory(division=EditionFactory().division)

        assert planned.client.post(copy_url(planned, other)).status_code == 404
        assert not PlannedRun.objects.filter(entry=other).exists()

    def test_an_empty_plan_never_replaces_one(self, desk, target, client):
        PlannedRun.objects.filter(entry=desk.entry).update(rows={"passes": []})

        page = desk.client.post(copy_url(desk, target))

        assertContains(page, "There is nothing in this plan to copy yet")
        assert not PlannedRun.objects.filter(entry=target).exists()

    def test_the_service_refuses_another_riders_entry(self, planned):
        other = EntryFactory(division=EditionFactory().division)

        with pytest.raises(ValidationError, match="your own entries only"):
            copy_plan(source=PlannedRun.objects.get(), entry=other, round_name="")
