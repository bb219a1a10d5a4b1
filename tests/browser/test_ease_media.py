"""Every page in the dark scheme and as it is printed, by axe.

The light scheme is looked at by test_every_page.py; here also for the pages in states that the
demo alone does not have.
"""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.browser.ease import MORE, PAGES, fuller, walk
from tests.browser.test_every_page import CLUB, demo, sign_in

__all__ = ["demo"]  # a fixture
MEDIA = {
    "light": {"color_scheme": "light", "media": "screen"},
    "dark": {"color_scheme": "dark", "media": "screen"},
    "print": {"color_scheme": "light", "media": "print"},
}


@pytest.mark.parametrize("who", PAGES)
def test_light_dark_and_print(demo, visit, accessible, who):
    """No violation in any of them."""
    page = visit("/", size=PHONE)
    wrong = []
    for name in walk(page, who, fuller(demo)):
        for medium, settings in MEDIA.items():
            if medium == "light" and name not in MORE[who]:
                continue
            page.emulate_media(**settings)
            try:
                accessible(page)
            except AssertionError as error:
                wrong.append(f"{name}, {medium}: {error}")
        page.emulate_media(**MEDIA["light"])

    assert wrong == [], "\n".join(wrong)


def test_the_states_are_there(demo, visit):
    """The tie, the tricks, the papers and the invitations stand on the pages walked."""
    numbers = fuller(demo)
    page = visit("/", size=PHONE)
    words = {
        "table": {
            "tie": "People have to decide this tie",
            "paper": "K7Q2",
            "old paper": "date",
        },
        "public": {"result with tricks": "What was ridden", "invitation": "Will you"},
        "organiser": {"people invited": "Invited, no answer yet", "letter": "Will you"},
    }
    for who, wanted in words.items():
        page.context.clear_cookies()
        for name in walk(page, who, numbers):
            if name in wanted:
                assert wanted[name] in page.locator("main").inner_text(), name


@pytest.mark.parametrize("address", ["/nowhere/", "/key/role/none/", "/key/once/none/"])
def test_pages_that_say_no(transactional_db, browser, live_server, accessible, address):
    """Where a page is not found or a link is over; the browser logs these, so not by `visit`."""
    page = browser.new_page(base_url=live_server.url, viewport=PHONE, reduced_motion="reduce")
    page.goto(address)
    for settings in MEDIA.values():
        page.emulate_media(**settings)
        accessible(page)
    page.close()


REFUSED = {
    "public": {"/sign-in/": "Sign in", "/join/": "Make my account"},
    "organiser": {
        f"/organise/clubs/{CLUB}/people/": "Give this role",
        f"/organise/clubs/{CLUB}/venues/new/": "Save the venue",
    },
    "table": {"/table/divisions/{cup_division}/result/?round=Qualifying": "Keep the decision"},
    "rider": {
        "/riding/enter/{open_division}/": "Enter this division",
        "/account/erase/": "Erase my data for good",
    },
}


@pytest.mark.parametrize("script", [True, False], ids=["script", "plain"])
@pytest.mark.parametrize("who", REFUSED)
def test_refused_forms(demo, visit, accessible, who, script):
    """Sent empty: the summary is focused, its links lead to the fields, in light and dark."""
    numbers = fuller(demo)
    page = visit("/", size=PHONE, script=script)
    if who != "public":
        sign_in(page, who)
    for address, button in REFUSED[who].items():
        page.goto(address.format(**numbers))
        if "enter" in address and not page.get_by_role("button", name=button).count():
            continue  # the demo's rider is entered there already
        page.get_by_role("button", name=button).first.click()
        summary = page.locator("#faults")
        expect(summary).to_be_focused()
        expect(page).to_have_title(re.compile("^Error: "))
        if script:
            for settings in MEDIA.values():
                page.emulate_media(**settings)
                accessible(page)
            page.emulate_media(**MEDIA["light"])
        for link in summary.get_by_role("link").all():
            target = (link.get_attribute("href") or "")[1:]
            link.click()
            expect(page.locator(f"[id='{target}']")).to_be_in_viewport()
