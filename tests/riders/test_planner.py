"""The planner as a rider uses it: rows, checks, drafts, and everything that can go wrong."""

import pytest
from pytest_django.asserts import assertContains, assertNotContains

from riders.models import LandingRecord, PlannedRun
from tests.factories import EditionFactory, EntryFactory
from tests.riders.conftest import fields

HTMX = {"HX-Request": "true"}


class TestPage:
    def test_a_new_plan_has_the_expected_rows(self, desk):
        page = desk.client.get(desk.url)

        assertContains(page, 'name="p1-3-trick"')
        assertNotContains(page, 'name="p1-4-trick"')
        assertContains(page, 'name="b2-1-trick"')

    def test_without_rules_there_is_nothing_to_plan_yet(self, db, client):
        entry = EntryFactory()
        client.force_login(entry.rider.user)

        page = client.get(f"/riding/entries/{entry.pk}/plan/")

        assertContains(page, "The rules are not published yet")

    def test_somebody_elses_plan_is_not_found(self, desk, client):
        client.force_login(EntryFactory(division=desk.division).rider.user)

        assert client.get(desk.url).status_code == 404
        assert client.post(desk.url, {}).status_code == 404

    def test_a_stranger_is_asked_to_sign_in(self, desk, client):
        client.logout()

        assert client.get(desk.url).url.startswith("/sign-in/")


class TestCheck:
    def test_findings_stand_beside_their_rows(self, desk):
        page = desk.post("HS backroll; HS backroll", "Indy")

        row = page.content.decode().split('id="at-p1-2"')[1].split("</li>")[0]
        assert "A trick may be done once only." in row
        assertContains(page, "This run breaks one rule.")

    def test_figures_are_the_exact_ones(self, desk):
        """Two tricks of 4 in 5 each: 16 in 25 land both."""
        page = desk.post("HS backroll 4/5", "Indy 4/5")

        assertContains(page, "64 %")
        assertContains(page, "In 100 contests you would land everything about 64 times.")

    def test_a_change_brings_the_check_and_every_row(self, desk):
        data = {"passes": "1", "p1-rows": "2", "p1-1-trick": "HS backroll", "p1-2-trick": "x"}

        page = desk.client.post(desk.url, data, headers=HTMX)

        assertNotContains(page, "<html")
        assertContains(page, 'id="at-p1-1" hx-swap-oob="true"')
        assertContains(page, 'id="bar-verdict"')

    def test_the_plan_is_kept_at_every_change(self, desk):
        desk.client.post(desk.url, {"passes": "1", "p1-rows": "1", "p1-1-trick": "HS bak"}, headers=HTMX)

        page = desk.client.get(desk.url)

        assertContains(page, 'value="HS bak"')

    def test_the_strip_shows_the_run(self, desk):
        assertContains(desk.post("HS backroll", "Indy"), "<svg", count=None)

    def test_tricks_that_are_not_counted_are_left_out_of_what_is_landed(self, desk):
        """The repeat is ridden for nothing: of two tricks at 4 in 5 each 0.8 count."""
        data = {**desk.edition.data, "repeats": {"rule": "first counts", "per": "run"}}
        EditionFactory(division=desk.division, number=2, data=data)

        page = desk.post("HS backroll 4/5; HS backroll 4/5", "")

        assertContains(page, "Figures of what you land leave out 1 trick that is ridden but not "
                       "counted.")  # fmt: skip
        assertContains(page, "0.8<small> of 2</small>")
        assertContains(page, "64 %")

    def test_a_back_up_counts_if_the_first_was_missed(self, desk):
        """0.8 + 0.2 x 0.8 = 0.96"""
        data = {**desk.edition.data, "repeats": {"rule": "once unless not landed", "per": "run"}}
        EditionFactory(division=desk.division, number=2, data=data)

        page = desk.post("HS backroll 4/5; HS backroll 4/5", "")

        assertContains(page, "Whether 1 trick counts depends on the tricks before")
        assertContains(page, "1.0<small> of 2</small>")

    def test_side_changes_the_route(self, desk):
        """From the port side a rider with the left foot forward crosses for a heelside trick."""
        assertContains(desk.post("HS backroll", "", side="port"), "so a crossing is needed")
        assertNotContains(desk.post("HS backroll", ""), "crossing is needed")


class TestRecords:
    def test_a_record_is_remembered_for_the_trick(self, desk):
        desk.post("HS backroll 4/5", "switch HS FS 180 60%")

        records = LandingRecord.objects.order_by("trick")
        assert [(r.trick, r.landed, r.tried, r.chance) for r in records] == [
            ("HS backroll", 4, 5, None),
            ("switch HS FS 180", None, None, 0.6),
        ]

    def test_a_remembered_record_fills_in(self, desk):
        LandingRecord.objects.create(rider=desk.entry.rider, trick="HS backroll", landed=1, tried=2)

        page = desk.post("HS backroll", "")

        assertContains(page, "From your record: 1 landed of 2 tried.")
        assertContains(page, "50 %")

    def test_a_new_record_replaces_the_old(self, desk):
        desk.post("HS backroll 4/5", "")
        desk.post("HS backroll 90%", "")

        (record,) = LandingRecord.objects.all()
        assert (record.landed, record.tried, record.chance) == (None, None, 0.9)

    def test_a_double_up_shares_the_record_of_its_trick(self, desk):
        desk.post("HS backroll 4/5", "Indy", bonus="Tantrum 1/4")

        assert set(LandingRecord.objects.values_list("trick", flat=True)) == {
            "HS backroll", "Tantrum",
        }  # fmt: skip


class TestMistakes:
    @pytest.mark.parametrize(
        ("row", "sentence"),
        [
            ({"trick": "HS bakroll"}, "Did you mean HS backroll"),
            ({"trick": "HS backroll", "landed": "6", "tried": "5"}, "6 landed of 5 tried cannot be"),
            ({"trick": "HS backroll", "chance": "1.2"}, "whole number of per cent"),
            ({"trick": "HS backroll", "chance": "120"}, "whole number of per cent"),
            ({"trick": "HS backroll", "landed": "four", "tried": "5"}, "Write a whole number"),
            ({"trick": "HS backroll", "landed": "4"}, "Say also how many times you tried."),
            ({"trick": "HS backroll", "tried": "4"}, "Say also how many you landed."),
            ({"trick": "HS backroll", "landed": "4", "tried": "5", "chance": "80"}, "not both"),
            ({"landed": "4", "tried": "5"}, "Say which trick this is."),
            ({"trick": "HS backroll, Indy"}, "one trick in each row"),
            ({"trick": "HS backroll | Indy"}, "one trick in each row"),
            ({"trick": "<b>Indy</b>"}, "not understood"),
        ],
    )
    def test_a_sentence_and_nothing_lost(self, desk, row, sentence):
        data = {f"p1-1-{key}": value for key, value in row.items()}
        data |= {"passes": "1", "p1-rows": "1", "action": "save"}

        page = desk.client.post(desk.url, data)

        assertContains(page, sentence)
        for value in row.values():
            assertContains(page, f'value="{value}"'.replace("<", "&lt;").replace(">", "&gt;").replace('"&', '"&'))
        assertNotContains(page, "<b>Indy</b>")

    def test_200_rows_are_refused_politely_and_kept(self, desk):
        data = {"passes": "1", "p1-rows": "200", "action": "declare"}
        data |= {f"p1-{n}-trick": f"HS backroll {n}" for n in range(1, 201)}

        page = desk.client.post(desk.url, data)

        assertContains(page, "At most 60 tricks can be planned in one run.")
        assertContains(page, 'value="HS backroll 200"')

    @pytest.mark.parametrize(
        "junk",
        [
            {"passes": "-1"},
            {"passes": "99999999999"},
            {"passes": "²", "p1-rows": "1"},
            {"passes": "1", "p1-rows": "1e9"},
            {"passes": "1", "p1-rows": "1", "p1-1-trick": "\x00\x00"},
            {"passes": "1", "p1-rows": "1", "p1-row": "up-99"},
            {"passes": "1", "p1-row": "remove-1", "p1-rows": "0"},
            {"passes": "12", "side": "'; drop table"},
            {"passes": "1", "b1-rows": "3", "b1-1-name": "x", "b1-1-trick": "Indy"},
            {"passes": "1", "action": "declare", "edition": "²"},
            {"passes": "1", "round": "No such round"},
            {"passes": "1", "p1-rows": "1", "p1-1-trick": "x" * 5000, "p1-1-landed": "9" * 99},
        ],
    )
    def test_junk_never_breaks_the_page(self, desk, junk):
        assert desk.client.post(desk.url, junk).status_code == 200
        assert desk.client.get(desk.url).status_code == 200


class TestButtons:
    def rows(self, page):
        html = page.content.decode()
        return [
            html.split(f'name="p1-{n}-trick"')[1].split(">")[0].split('value="')[1].split('"')[0]
            if 'value="' in html.split(f'name="p1-{n}-trick"')[1].split(">")[0] else ""
            for n in range(1, html.count('id="row-p1-') + 1)
        ]  # fmt: skip

    def test_up(self, desk):
        page = desk.post("HS backroll; Indy; Raley", "", action="", **{"p1-row": "up-3"})

        assert self.rows(page) == ["HS backroll", "Raley", "Indy"]
        assertContains(page, 'id="row-p1-2" tabindex="-1" autofocus')

    def test_down(self, desk):
        page = desk.post("HS backroll; Indy; Raley", "", action="", **{"p1-row": "down-1"})

        assert self.rows(page) == ["Indy", "HS backroll", "Raley"]

    def test_remove(self, desk):
        page = desk.post("HS backroll; Indy; Raley", "", action="", **{"p1-row": "remove-2"})

        assert self.rows(page) == ["HS backroll", "Raley"]

    def test_add_a_picked_trick(self, desk):
        more = {"p1-add": "1", "p1-pick": "Mute"}

        page = desk.post("HS backroll", "", action="", **more)

        assert self.rows(page) == ["HS backroll", "Mute"]

    def test_a_row_keeps_its_record_when_it_moves(self, desk):
        page = desk.post("HS backroll; Indy 3/4", "", action="", **{"p1-row": "up-2"})

        assertContains(page, 'name="p1-1-landed" value="3"')

    def test_a_move_by_script_swaps_the_planner(self, desk):
        data = {"passes": "1", "p1-rows": "2", "p1-1-trick": "Indy", "p1-2-trick": "Mute", "p1-row": "up-2"}

        page = desk.client.post(desk.url, data, headers=HTMX)

        assert page.headers["HX-Retarget"] == "#planner"
        assertNotContains(page, "<html")


class TestQueries:
    def count(self, desk, django_assert_max_num_queries, *passes):
        with django_assert_max_num_queries(100) as asked:
            data = {"passes": "2", "p1-rows": "0", "p2-rows": "0"}
            for n, text in enumerate(passes, start=1):
                rows = text.split("; ")
                data[f"p{n}-rows"] = str(len(rows))
                data |= {f"p{n}-{i}-trick": row for i, row in enumerate(rows, start=1)}
            desk.client.post(desk.url, data, headers=HTMX)
        return len(asked)

    def test_the_instant_check_is_flat_in_tricks(self, desk, django_assert_max_num_queries):
        self.count(desk, django_assert_max_num_queries, "Indy", "Mute")  # the plan is made
        few = self.count(desk, django_assert_max_num_queries, "Indy", "Mute")
        many = self.count(
            desk, django_assert_max_num_queries,
            "Indy; Raley; HS backroll; Tantrum; HS FS 180", "Mute; TS backroll; HS FS 360; Method",
        )  # fmt: skip

        assert few == many <= 16


def test_own_plans_only_in_the_draft(desk):
    desk.post("HS backroll", "Indy", action="save")

    assert PlannedRun.objects.get().entry == desk.entry


class TestRoundsThatChanged:
    """A new edition may drop the round that a page on screen still speaks of."""

    def rename(self, desk):
        data = {**desk.edition.data, "rounds": [{"name": "Heats"}, {"name": "Final"}]}
        EditionFactory(division=desk.division, number=2, data=data)

    def test_a_button_keeps_both_plans(self, desk):
        self.rename(desk)
        desk.post("Indy", "", action="save", round="Heats", edition="2")

        page = desk.post("Raley", "", action="save", round="Gone", edition="1")

        assertContains(page, "this is now your plan for Heats")
        (kept,) = desk.entry.variants.all()
        assert kept.name == "before the rounds changed"
        assert kept.rows["passes"][0]["tricks"][0]["trick"] == "Indy"
        plan = PlannedRun.objects.get(round_name="Heats")
        assert plan.rows["passes"][0]["tricks"][0]["trick"] == "Raley"

    def test_a_change_alone_overwrites_nothing(self, desk):
        self.rename(desk)
        desk.post("Indy", "", action="save", round="Heats", edition="2")

        desk.client.post(desk.url, fields("Raley", "", action="", round="Gone"), headers=HTMX)

        plan = PlannedRun.objects.get(round_name="Heats")
        assert plan.rows["passes"][0]["tricks"][0]["trick"] == "Indy"

    def test_nothing_is_declared_for_a_round_that_is_gone(self, desk):
        self.rename(desk)

        page = desk.post("Indy", "Raley", action="declare", round="Gone", edition="2")

        assertContains(page, "this is now your plan for Heats")
        assert not desk.entry.declarations.exists()
