"""The pages of results: the table's, and what everybody sees."""

import csv
import io
from copy import deepcopy

import pytest
from django.urls import reverse
from openpyxl import load_workbook
from pypdf import PdfReader

from events.models import Act, Official
from events.rules.words import RidingOrder
from runsheets.models import Protest, Ride, RoundResult
from runsheets.orders import make_order
from runsheets.result_acts import make_official, post_result
from tests.factories import EntryFactory, OfficialFactory, RiderFactory, UserFactory
from tests.runsheets.result_desk import (
    MARKS,
    RULES,
    JudgeFactory,
    RideFactory,
    heat_of_five,
    mark,
    ride_all,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def division(db):
    return heat_of_five(UserFactory())


@pytest.fixture
def table(division, client):
    official = OfficialFactory(club=division.event.club, role=Official.Role.TABLE)
    client.force_login(official.user)
    return official.user


@pytest.fixture
def order(division, table):
    return ride_all(division, table)


def address(division):
    return reverse("table-result", args=[division.pk]) + "?round=Qualifying"


def public(division, name="result", *more):
    return reverse(name, args=[division.event.slug, division.slug, *more])


class TestTable:
    def test_live_and_waiting(self, client, division, table) -> None:
        text = client.get(address(division)).text

        assert "Not posted" in text
        assert "Adlersee, run 1: Not marked yet." in text

    def test_post_then_official(self, client, division, order) -> None:
        assert client.post(address(division), {"act": "post"}).status_code == 302
        text = client.post(address(division), {"act": "official", "reason": ""}).text
        assert "Protests are taken until" in text

        client.post(address(division), {"act": "official", "reason": "Everybody agreed"})

        assert RoundResult.objects.get().official_at
        assert Act.objects.filter(what__contains="Everybody agreed").exists()

    def test_missing_marks_are_said(self, client, division, table) -> None:
        text = client.post(address(division), {"act": "post"}, follow=True).text

        assert "Marks or runs are missing" in text

    def test_a_protest_keeps_what_was_typed(self, client, division, order, table) -> None:
        post_result(order=order, by=table)
        typed = {"act": "protest", "rider": "", "about": "The gate was closed"}

        text = client.post(address(division), typed).text

        assert "Choose the rider who protests." in text
        assert "The gate was closed" in text
        entry = order.slots.first().entry
        client.post(address(division), typed | {"rider": entry.pk})
        protest = Protest.objects.get()
        client.post(address(division), {"act": "rule", "protest": protest.pk, "ruling": "No"})
        assert Protest.objects.get().ruling == "No"

    @pytest.mark.parametrize(
        "typed", [{"act": "?"}, {}, {"act": "rule", "protest": "x"}, {"act": "back"}]
    )
    def test_strange_input_is_answered(self, client, division, order, typed) -> None:
        assert client.post(address(division), typed).status_code == 200

    def test_others_are_kept_out(self, client, division) -> None:
        client.force_login(UserFactory())

        assert client.get(address(division)).status_code == 403

    def test_queries_stay_flat(
        self, client, division, order, table, django_assert_max_num_queries
    ) -> None:
        for _ in range(6):
            entry = EntryFactory(division=division, rider=RiderFactory())
            heat = order.heats.first()
            heat.slots.create(order=order, entry=entry, position=entry.pk + 50)
            mark(RideFactory(order=order, entry=entry), table, *[("20", "20", "20")] * 2)
        post_result(order=order, by=table)
        with django_assert_max_num_queries(12):
            client.get(address(division))


class TestPublic:
    def test_nothing_before_it_is_posted(self, client, division, order) -> None:
        client.logout()

        assert client.get(public(division)).status_code == 404
        assert client.get(public(division, "result-file", "csv")).status_code == 404
        every = client.get(reverse("results", args=[division.event.slug])).text
        assert "No result is posted yet." in every

    def test_provisional_then_official(self, client, division, order, table) -> None:
        post_result(order=order, by=table)
        client.logout()

        text = client.get(public(division)).text
        assert "Provisional" in text
        assert "Protests until" in text
        assert "90.90" in text

        make_official(order=order, by=table, reason="Agreed")
        text = client.get(public(division)).text
        assert "Official" in text
        assert "Provisional" not in text

    def test_ranking_over_the_rounds(
        self, client, division, order, table, django_assert_max_num_queries
    ) -> None:
        post_result(order=order, by=table)
        ids = [s.entry_id for s in order.slots.select_related("entry__rider")][:2]
        final = make_order(
            division=division, round_name="Final", method=RidingOrder.REVERSE, by=table,
            entries=ids, ranking=ids,
        )  # fmt: skip
        swapped = {"Adlersee": MARKS["Eskola"], "Brandquist": MARKS["Dubrava"]}
        post_result(order=ride_all(division, table, swapped, "Final"), by=table)

        with django_assert_max_num_queries(12):
            ranking = client.get(public(division)).context["ranking"]

        assert final.round_name == "Final"
        assert [(each.place, each.row.entry.rider.family_name) for each in ranking] == [
            (1, "Brandquist"), (2, "Adlersee"), (3, "Ćwierk"), (4, "Dubrava"), (5, "Eskola"),
        ]  # fmt: skip

    def test_disqualified_in_the_final_there_is_no_place(
        self, client, division, order, table
    ) -> None:
        """Freestyle wiki of the International Ski Federation, rule 3056: no rank in the
        competition, and those of the qualification move up."""
        post_result(order=order, by=table)
        ids = [s.entry_id for s in order.slots.all()][:3]
        make_order(
            division=division, round_name="Final", method=RidingOrder.REVERSE, by=table,
            entries=ids, ranking=ids,
        )  # fmt: skip
        final = ride_all(division, table, MARKS, "Final")
        out = final.rides.filter(entry__rider__family_name="Adlersee")
        out.update(state=Ride.State.DISQUALIFIED)
        post_result(order=final, by=table)

        page = client.get(public(division))

        ranking = [
            (each.place, each.row.entry.rider.family_name, each.note)
            for each in page.context["ranking"]
        ]
        assert ranking == [
            (1, "Brandquist", ""), (2, "Ćwierk", ""), (3, "Dubrava", ""), (4, "Eskola", ""),
            (None, "Adlersee", "Disqualified in Final."),
        ]  # fmt: skip
        assert "Whoever is disqualified in their last round has no place" in page.text

    def test_who_goes_on_is_told_with_the_reason(self, client, division, order, table) -> None:
        post_result(order=order, by=table)

        for page in (public(division), address(division)):
            text = client.get(page).text
            assert "Who goes on to the Final" in text
            assert "Among the first three." in text
            assert "Not among the first three." in text

    def test_a_round_that_is_not_there(self, client, division, order, table) -> None:
        post_result(order=order, by=table)

        assert client.get(public(division) + "?round=Nowhere").status_code == 404

    def test_rows_for_a_spreadsheet(self, client, division, order, table) -> None:
        entry = order.slots.first().entry
        entry.rider.given_name = "=1+1"
        entry.rider.save()
        post_result(order=order, by=table)

        data = client.get(public(division, "result-file", "csv")).getvalue()

        rows = list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))
        assert rows[0]["Rider"] == "'=1+1 Adlersee"
        assert rows[0]["Total"] == "90.90"
        assert [row["Place"] for row in rows] == ["1", "2", "3", "4", "5"]

    def test_on_paper(self, client, division, order, table) -> None:
        post_result(order=order, by=table)

        data = client.get(public(division, "result-file", "pdf")).getvalue()

        text = PdfReader(io.BytesIO(data)).pages[0].extract_text()
        assert "Provisional" in text
        assert "Ćwierk" in text
        assert "90.90" in text

    def test_no_other_ending(self, client, division, order, table) -> None:
        post_result(order=order, by=table)

        assert client.get(public(division, "result-file", "exe")).status_code == 404
        strange = public(division, "result-file", "pdf") + "?paper=napkin"
        assert client.get(strange).status_code == 200

    @pytest.mark.parametrize(("paper", "size"), [("a4", (842, 595)), ("letter", (792, 612))])
    def test_two_papers(self, client, division, order, table, paper, size) -> None:
        post_result(order=order, by=table)
        at = public(division, "result-file", "pdf") + f"?paper={paper}"

        page = PdfReader(io.BytesIO(client.get(at).getvalue())).pages[0]

        assert (round(page.mediabox.width), round(page.mediabox.height)) == size
        text = " ".join(page.extract_text().split())
        assert "Goes on: " in text
        assert "Judges: 1 Osk Veldmar, 2 Pim Harrow." in text

    def test_a_title_that_the_heading_face_cannot_write(self, client, division, table) -> None:
        """Cyrillic is in the bold face, and not in the one of headings."""
        division.name = "Начинающие"
        division.save()
        post_result(order=ride_all(division, table), by=table)

        data = client.get(public(division, "result-file", "pdf")).getvalue()

        assert "Начинающие" in PdfReader(io.BytesIO(data)).pages[0].extract_text()

    @pytest.mark.parametrize(("judges", "beside"), [(4, True), (15, False)])
    def test_a_large_panel_breaks_no_figure(self, client, table, judges, beside) -> None:
        """Judges who have no room for a column stand in a line below the rider."""
        rules = deepcopy(RULES)
        rules["judging"]["panel"] = judges
        division = heat_of_five(table, rules)
        for number in range(3, judges + 1):
            JudgeFactory(event=division.event, number=number)
        marks = {name: [each[0]] * judges for name, each in MARKS.items()}
        post_result(order=ride_all(division, table, marks), by=table)

        at = public(division, "result-file", "pdf") + "?paper=letter"
        pages = PdfReader(io.BytesIO(client.get(at).getvalue())).pages

        lines = [line.strip() for page in pages for line in page.extract_text().splitlines()]
        assert ("Judge 3 60.00" in " ".join(lines)) is not beside
        assert {"Execution", "Intensity", "Composition"} <= set(lines)
        assert sum(line.count("60.00") for line in lines) == judges + 1

    @pytest.mark.parametrize("many", [0, 1, 60])
    def test_nobody_one_and_sixty(self, client, division, table, many) -> None:
        """The first page is never left empty, and every rider is on some page."""
        order = division.orders.get()
        heat = order.heats.get()
        order.slots.all().delete()
        for number in range(many):
            entry = EntryFactory(division=division, rider=RiderFactory())
            heat.slots.create(order=order, entry=entry, position=number + 1)
            mark(RideFactory(order=order, entry=entry), table, *[("20", "20", "20")] * 2)
        RoundResult.objects.create(order=order, by=table)

        data = client.get(public(division, "result-file", "pdf")).getvalue()

        texts = [page.extract_text() for page in PdfReader(io.BytesIO(data)).pages]
        first = "Nobody can be ranked yet." if not many else "60.00"
        assert first in texts[0]
        assert sum(text.count("60.00") for text in texts) == 3 * many
        assert (len(texts) > 1) is (many == 60)

    def test_figures_are_numbers_in_a_workbook(self, client, division, order, table) -> None:
        post_result(order=order, by=table)

        data = client.get(public(division, "result-file", "xlsx")).getvalue()

        sheet = load_workbook(io.BytesIO(data)).active
        head, first, *_ = sheet.iter_rows(values_only=True)
        row = dict(zip(head, first, strict=True))
        assert (row["Place"], row["Total"], row["Judge 1"]) == (1, 90.9, 90.9)
        assert row["Rider"].endswith("Adlersee")
        assert not row["Points off"]

    def test_queries(self, client, division, order, table, django_assert_max_num_queries):
        post_result(order=order, by=table)
        client.logout()
        with django_assert_max_num_queries(12):
            client.get(public(division))
