"""The print page and the page of a paper in a browser."""

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from events.models import Event
from runsheets.models import Printing
from runsheets.papers.codes import spaced
from runsheets.papers.paper import Kind
from runsheets.printing import Choice, make_pack, record_printings
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_every_page import EVENT, demo, sign_in  # noqa: F401


def print_dock_lists() -> Printing:
    """Record a printing of the demo's dock lists."""
    event = Event.objects.get(slug=EVENT)
    pack = make_pack(event, Choice(kinds=(Kind.DOCK,)), timezone.now())
    by = event.club.officials.first().user
    record_printings(event=event, papers=pack.papers, by=by, at=pack.at)
    return Printing.objects.filter(kind="dock 1").first()


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize("script", [True, False], ids=["script", "plain"])
def test_a_code_typed_leads_to_the_paper(demo, visit, accessible, size, script):  # noqa: F811
    """By the form alone; the paper says that it holds, then that it does not."""
    printing = print_dock_lists()
    page = visit("/", size=size, script=script)
    sign_in(page, "table")
    page.goto(f"/table/{EVENT}/print/")
    page.locator("[name=code]").fill("K7Q")
    page.get_by_role("button", name="Look it up").click()
    expect(page.locator("[name=code]")).to_have_value("K7Q")
    if script:
        accessible(page)
    page.locator("[name=code]").fill(spaced(printing.code).lower())
    page.get_by_role("button", name="Look it up").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Still current")
    if script:
        accessible(page)
    Printing.objects.filter(pk=printing.pk).update(
        rows={"paper": {"edition": "0"}}, code="00000000"
    )
    page.goto("/paper/0000-0000/")
    expect(page.get_by_role("heading", level=1)).to_have_text("Out of date")
    if script:
        accessible(page)
