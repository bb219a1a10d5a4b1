"""Files with bad rows: the preview's summary comes first and leads to each row."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from events.faults import ROWS_NAMED
from tests.factories import DivisionFactory, OfficialFactory, RiderFactory
from tests.operation.test_refusals import Refused


def log_page(client, rows: int):
    client.force_login(RiderFactory().user)
    lines = [
        "trick,day,landed,tried",
        *["HS backroll,2026-07-18,9,10", *["no such,x,9,1"] * rows],
    ]
    return client.post("/riding/log/import/", {"file": csv("\n".join(lines))})


def entries_page(client, rows: int):
    event = DivisionFactory().event
    client.force_login(OfficialFactory(club=event.club).user)
    lines = ["Given name,Family name,Division", *["Runa,Moss,no such division"] * rows]
    return client.post(f"/table/{event.slug}/entries/import/", {"file": csv("\n".join(lines))})


def csv(text: str) -> SimpleUploadedFile:
    return SimpleUploadedFile("rows.csv", text.encode())


@pytest.mark.parametrize("send", [log_page, entries_page])
@pytest.mark.parametrize("rows", [1, ROWS_NAMED + 3])
def test_each_bad_row_is_led_to(db, client, send, rows):
    html = send(client, rows).text

    page = Refused(html)
    assert page.first == "faults"
    assert re.search(r"<title>\s*Error: ", html)
    assert len(page.links) == min(rows, ROWS_NAMED)
    assert set(page.links) <= set(page.ids)
    assert all(link.startswith("row-") for link in page.links)
    assert ("3 more rows; all of them are listed below." in html) is (rows > ROWS_NAMED)


@pytest.mark.parametrize("send", [log_page, entries_page])
def test_a_file_that_cannot_be_read_leads_to_the_field(db, client, send, monkeypatch):
    page = Refused(client.get("/").text)
    assert page.first != "faults"

    monkeypatch.setitem(globals(), "csv", lambda _: SimpleUploadedFile("rows.csv", b"\x00\x01"))
    html = send(client, 1).text

    page = Refused(html)
    assert page.first == "faults"
    assert page.links == ["id_file"]
