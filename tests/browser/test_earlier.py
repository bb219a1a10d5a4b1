"""Starting an event from an earlier year in a browser, from the choice to the new event."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESK, PHONE
from tests.events.earlier_year import AFTER, last_year, organiser_of
from tests.factories import PASSWORD, EntryFactory

TOML = b"[passes]\ncount = 2\nlenght_m = 300\n"
ROWS = b"Given name,Family name,E-mail\r\nRuna,Ashmere,runa@example\r\nTeo,Brack,teo@example.org\r\n"


def sign_in(page, user):
    page.goto("/sign-in/")
    page.locator("[name=username]").fill(user.username)
    page.locator("[name=password]").fill(PASSWORD)
    page.get_by_role("main").get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()


@pytest.fixture
def event(transactional_db):
    found = last_year()
    EntryFactory(division=found.divisions.first())
    return found


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_from_an_event(event, visit, accessible, size):
    """Without JavaScript: every page has no violation and fits."""
    page = visit("/", size=size, script=size == DESK)
    sign_in(page, organiser_of(event))
    page.goto("/organise/")
    page.get_by_role("link", name="Start from an earlier year").click()
    page.get_by_role("button", name="Look at what would be made").first.click()
    expect(page.locator("#faults")).to_contain_text("Earlier event: This field is required.")
    page.locator("[name=event-earlier]").select_option(str(event.pk))
    page.locator("[name=event-first_day]").fill(AFTER.isoformat())
    page.get_by_role("button", name="Look at what would be made").first.click()
    expect(page.locator(".verdict").first).to_have_text(
        "One event and two divisions would be made."
    )
    if size == DESK:
        accessible(page)
    page.get_by_role("button", name="Make this").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(f"Reed Cup {AFTER.year}")
    expect(page.get_by_role("link", name="First time", exact=True)).to_be_visible()


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_from_files(event, visit, accessible, size):
    page = visit("/", size=size)
    sign_in(page, organiser_of(event))
    page.goto(f"/organise/clubs/{event.club.slug}/events/from-earlier/")
    noon = f"{AFTER}T06:00"
    said = {"name": "Spring trial", "first_day": f"{AFTER}", "last_day": f"{AFTER}",
            "entries_close": noon, "declare_by": noon}  # fmt: skip
    for name, value in said.items():
        page.locator(f"[name=files-{name}]").fill(value)
    page.locator("[name=files-venue]").select_option(index=1)
    file = {"name": "spring-open-draft.toml", "mimeType": "application/toml", "buffer": TOML}
    page.locator("[name=files-formats]").set_input_files(files=[file])
    page.locator("[name=files-entries]").set_input_files(
        files=[{"name": "entries.csv", "mimeType": "text/csv", "buffer": ROWS}]
    )
    page.locator("[name=look-files]").click()
    expect(page.locator("#row-2")).to_contain_text("This is no e-mail address")
    expect(page.locator("#addresses")).to_have_value("teo@example.org")
    accessible(page)
    page.get_by_text("Choose something else").click()
    expect(page.locator("[name=files-name]")).to_have_value("Spring trial")
    accessible(page)
