"""Rows of all lists for a spreadsheet."""

import csv
import io

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from tests.runsheets.table_desk import entry_of

pytestmark = pytest.mark.django_db


class TestRows:
    def rows(self, client, division, ending):
        return client.get(reverse("table-rows", args=[division.event.slug, ending]))

    def test_csv_is_safe_in_a_spreadsheet(self, client, ordered):
        """A cell that begins like a formula gets an apostrophe (OWASP: CSV injection)."""
        rider = entry_of(ordered, "Ayer").rider
        rider.club_name = "=HYPERLINK(1)"
        rider.save()
        data = b"".join(self.rows(client, ordered, "csv").streaming_content)
        assert data.startswith(b"\xef\xbb\xbf")
        found = list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))
        assert found[0]["name"] == "Ilka Ayer"
        assert found[0]["pass 1"] == "HS backroll, Tantrum"
        assert found[0]["club"] == "'=HYPERLINK(1)"
        assert [row["order"] for row in found if row["round"] == "Qualifying"] == [
            "1",
            "2",
            "3",
        ]

    def test_xlsx(self, client, ordered):
        rider = entry_of(ordered, "Ayer").rider
        rider.club_name = "=1+1"
        rider.save()
        data = b"".join(self.rows(client, ordered, "xlsx").streaming_content)
        sheet = load_workbook(io.BytesIO(data)).active
        head = [cell.value for cell in sheet[1]]
        cell = sheet.cell(2, head.index("club") + 1)
        assert (cell.data_type, cell.value) == ("s", "'=1+1")
        assert sheet.cell(2, head.index("order") + 1).value == 1

    def test_another_kind_is_not_there(self, client, ordered):
        assert self.rows(client, ordered, "exe").status_code == 404
