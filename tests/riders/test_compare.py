"""Plans side by side, and named variants of a plan."""

import pytest
from pytest_django.asserts import assertContains, assertNotContains

from events.models import Edition
from events.rules.findings import Finding, Grade
from riders.compare import choices_of, choose, compared, sorted_out
from riders.models import PlannedRun, PlanVariant
from riders.share_services import keep_variant, replace_plan, use_variant
from tests.factories import EditionFactory, EntryFactory

COMPARE = "/riding/compare/"


def variants_url(entry) -> str:
    return f"/riding/entries/{entry.pk}/variants/"


@pytest.fixture
def planned(desk):
    """The desk with a plan and a bolder variant of it."""
    desk.post("HS backroll 1/2; Indy 1/2", "Raley 1/2", bonus="Tantrum 1/2", action="save")
    keep_variant(entry=desk.entry, round_name="", name="bold")
    desk.post("HS backroll; Indy", "", action="save")
    return desk


def keys() -> list[str]:
    return [f"p{PlannedRun.objects.get().pk}", f"v{PlanVariant.objects.get().pk}"]


class TestCompare:
    def test_two_side_by_side(self, planned):
        """Two tricks of one half each are clean in 1 of 4 runs, four in 1 of 16."""
        page = planned.client.get(COMPARE, {"plan": keys()})

        for words in (
            "25 %", "6 %", "1. The plan", "2. Bold", "HS backroll, Indy",
            "HS backroll, Indy | Raley + double-up Tantrum", "none in the figures",
        ):  # fmt: skip
            assertContains(page, words)
        assert page.content.count(b"course-strip\"") == 2
        assert page.content.count(b"checked") >= 2

    def test_findings_are_counted_by_grade(self, planned):
        planned.post("HS backroll; HS backroll", "Indy", action="save")
        plan = compared(choices_of(planned.entry.rider)[0])

        assert plan.counts[0] == 1  # the grade that breaks a rule comes first
        assert plan.is_legal is False
        assert sum(plan.counts) == len(plan.findings)
        assertContains(planned.client.get(COMPARE, {"plan": keys()}), "Breaks a rule")

    def test_nothing_chosen_offers_the_list(self, planned):
        page = planned.client.get(COMPARE)

        assertContains(page, "Choose up to four plans")
        for key in keys():
            assertContains(page, f'value="{key}"')

    def test_no_plan_at_all(self, desk):
        assertContains(desk.client.get(COMPARE), "You have no plan with a trick in it yet.")

    def test_a_fifth_plan_is_refused_with_a_sentence(self, planned):
        rows = PlannedRun.objects.get().rows
        for name in "abcd":
            PlanVariant.objects.create(entry=planned.entry, name=name, rows=rows)
        asked = [choice.key for choice in choices_of(planned.entry.rider)]
        assert len(asked) == 6

        page = planned.client.get(COMPARE, {"plan": asked[:5]})

        assertContains(page, "At most four plans can be compared.")
        assert page.content.count(b'course-strip"') == 4
        assertNotContains(planned.client.get(COMPARE, {"plan": asked[:4]}), "At most four")

    @pytest.mark.parametrize("junk", ["", "x", "p", "p0", "v999", "p\x00", "p" + "9" * 50, "²"])
    def test_junk_is_answered_with_a_sentence(self, planned, junk):
        page = planned.client.get(COMPARE, {"plan": [junk, keys()[0]]})

        assertContains(page, "is not there any more: choose from the list")
        assertContains(page, "1. The plan")

    def test_somebody_elses_plan_is_not_there(self, planned, client):
        asked = keys()
        client.force_login(EntryFactory().rider.user)

        page = client.get(COMPARE, {"plan": asked})

        assertContains(page, "is not there any more")
        assertNotContains(page, "HS backroll")

    def test_the_same_plan_twice_is_one(self, planned):
        choices = choices_of(planned.entry.rider)

        chosen, troubles = choose(choices, [choices[0].key] * 6)

        assert (len(chosen), troubles) == (1, [])

    def test_rows_that_cannot_be_read(self, planned):
        planned.post("HS bakroll", "", action="save")

        page = planned.client.get(COMPARE, {"plan": keys()})

        assertContains(page, "No trick can be read.")
        assertContains(page, "One row cannot be read.")

    def test_queries_are_flat_in_plans_to_choose_from(
        self, planned, django_assert_max_num_queries
    ):
        def count() -> int:
            with django_assert_max_num_queries(40) as asked:
                planned.client.get(COMPARE, {"plan": two})
            return len(asked)

        two = keys()
        few = count()
        rows = PlannedRun.objects.get().rows
        for _ in range(4):
            entry = EntryFactory(rider=planned.entry.rider, division=EditionFactory().division)
            PlannedRun.objects.create(entry=entry, rows=rows)
            PlanVariant.objects.create(entry=entry, name="safe", rows=rows)
        assert count() == few
        two += [choice.key for choice in choices_of(planned.entry.rider)][:2]
        assert count() == few

    def test_findings_are_sorted_out_by_kind_and_place(self):
        """Another number in the sentence is the same finding; another place is not."""
        two = Finding("limit", Grade.RULE, "third; at most two", pass_no=1, position=3)
        one = Finding("limit", Grade.RULE, "third; at most one", pass_no=1, position=3)
        early = Finding("limit", Grade.RULE, "second; at most one", pass_no=1, position=2)
        repeat = Finding("repeat", Grade.RULE, "once only", pass_no=1, position=2)

        assert sorted_out([repeat, two], [early, one]) == ([early], [repeat], [one])
        assert sorted_out([two, two], [two]) == ([], [two], [two])
        assert sorted_out([], []) == ([], [], [])


class TestVariants:
    def test_keep(self, planned):
        page = planned.client.post(variants_url(planned.entry), {"name": "  safe   one "}, follow=True)

        kept = PlanVariant.objects.get(name="safe one")
        assert kept.rows == PlannedRun.objects.get().rows
        assertContains(page, "The plan is kept as the variant safe one.")

    @pytest.mark.parametrize(
        ("name", "sentence"),
        [
            ("", "Give the variant a name."),
            ("  ", "Give the variant a name."),
            ("Bold", "You have a variant called Bold here already"),
            ("x" * 81, "at most 80 characters"),
            ("a\x00b", "Null characters are not allowed"),
        ],
    )
    def test_mistakes(self, planned, name, sentence):
        page = planned.client.post(variants_url(planned.entry), {"name": name})

        assertContains(page, sentence)
        assert PlanVariant.objects.count() == 1

    def test_an_empty_plan_is_not_kept(self, desk):
        page = desk.client.post(variants_url(desk.entry), {"name": "safe"})

        assertContains(page, "There is nothing in this plan yet: plan a trick first.")
        assertContains(page, 'value="safe"')

    def test_use_keeps_the_replaced_plan(self, planned):
        before = PlannedRun.objects.get().rows
        bold = PlanVariant.objects.get()

        page = planned.client.post(f"/riding/variants/{bold.pk}/use/", follow=True)

        assert PlannedRun.objects.get().rows == bold.rows
        assert PlanVariant.objects.get(name="before bold").rows == before
        assertContains(page, "kept as the variant before bold")
        assertContains(page, 'value="Raley"')

    def test_back_and_forth_loses_and_repeats_nothing(self, planned):
        bold = PlanVariant.objects.get()
        use_variant(variant=bold, round_name="")
        old = PlanVariant.objects.get(name="before bold")
        use_variant(variant=old, round_name="")
        use_variant(variant=bold, round_name="")

        assert PlanVariant.objects.count() == 2

    def test_what_is_undone_is_kept_as_after(self, planned):
        replaced = replace_plan(
            entry=planned.entry, round_name="", rows=PlanVariant.objects.get().rows, before="a mend"
        )
        # The plan that stood before it is named so; going on from there it changes again.
        planned.post("Mute", "", action="save")

        page = planned.client.post(f"/riding/variants/{replaced.pk}/use/", follow=True)

        assertContains(page, "before a mend is your plan now.")
        assertContains(page, "kept as the variant after a mend.")
        after = PlanVariant.objects.get(name="after a mend")
        assert use_variant(variant=after, round_name="") == replaced

    def test_a_name_of_an_earlier_before_is_not_overwritten(self, planned):
        bold = PlanVariant.objects.get()
        use_variant(variant=bold, round_name="")
        planned.post("Mute", "", action="save")
        use_variant(variant=bold, round_name="")

        names = set(PlanVariant.objects.values_list("name", flat=True))
        assert names == {"bold", "before bold", "before bold 2"}

    def test_a_long_name_has_room_for_before(self, planned):
        PlanVariant.objects.update(name="x" * 80)
        use_variant(variant=PlanVariant.objects.get(), round_name="")
        planned.post("Mute", "", action="save")
        use_variant(variant=PlanVariant.objects.get(name="x" * 80), round_name="")

        assert PlanVariant.objects.count() == 3
        assert max(map(len, PlanVariant.objects.values_list("name", flat=True))) == 80

    def test_remove_leaves_the_plan(self, planned):
        before = PlannedRun.objects.get().rows

        planned.client.post(f"/riding/variants/{PlanVariant.objects.get().pk}/remove/")

        assert not PlanVariant.objects.exists()
        assert PlannedRun.objects.get().rows == before

    def test_each_round_has_its_own(self, planned):
        rounds = {"rounds": [{"name": "Qualifying"}, {"name": "Final"}]}
        Edition.objects.create(
            division=planned.division, number=2, data={**planned.edition.data, **rounds},
            published_by=planned.edition.published_by,
        )  # fmt: skip
        planned.post("Mute", "", round="Final", action="save")

        answer = planned.client.post(variants_url(planned.entry) + "?round=Final", {"name": "bold"})

        assert answer.url.endswith("?round=Final")
        assert PlanVariant.objects.get(round_name="Final").name == "bold"

    def test_what_was_planned_before_the_rules_named_rounds_is_not_lost(self, planned):
        rounds = {"rounds": [{"name": "Qualifying"}, {"name": "Final"}]}
        EditionFactory(division=planned.division, number=2, data={**planned.edition.data, **rounds})
        old = PlanVariant.objects.get(round_name="")

        page = planned.client.get(variants_url(planned.entry) + "?round=Final")
        assertContains(page, "before the rules named rounds", count=2)  # the variant, the plan
        answer = planned.client.post(f"/riding/variants/{old.pk}/use/?round=Final")

        assert answer.url.endswith("/plan/?round=Final")
        assert PlannedRun.objects.get(round_name="Final").rows == old.rows
        copied = planned.client.get(f"/riding/entries/{planned.entry.pk}/copy/?round=")
        assertContains(copied, f"?round=&amp;to={planned.entry.pk}&amp;to_round=Qualifying")
        gone = planned.client.post(f"/riding/variants/{old.pk}/use/?round=Moon")
        assert gone.status_code == 404
