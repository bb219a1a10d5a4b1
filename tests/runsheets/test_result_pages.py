"""The pages of results: the table's, and what everybody sees."""

import csv
import io

import pytest
from django.urls import reverse
from pypdf import PdfReader

from events.models import Act, Official
from events.rules.words import RidingOrder
from runsheets.models import Protest, RoundResult
from runsheets.orders import make_order
from runsheets.result_acts import make_official, post_result
from tests.factories import EntryFactory, OfficialFactory, RiderFactory, UserFactory
from tests.runsheets.result_desk import MARKS, RideFactory, heat_of_five, mark, ride_all

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
        assert [(place, row.entry.rider.family_name) for place, row in ranking] == [
            (1, "Brandquist"), (2, "Adlersee"), (3, "Ćwierk"), (4, "Dubrava"), (5, "Eskola"),
        ]  # fmt: skip

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

    def test_queries(self, client, division, order, table, django_assert_max_num_queries):
        post_result(order=order, by=table)
        client.logout()
        with django_assert_max_num_queries(12):
            client.get(public(division))
