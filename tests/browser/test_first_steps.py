"""The tutorials are walked step by step, as they are written, and their pictures hold.

`WRITE_PICTURES=1 python3 manage.py test tests/browser/test_first_steps.py` takes them anew.
"""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime

import pytest
import time_machine
from playwright.sync_api import Browser, Page, expect

from events.first_steps import WHO, languages, tutorial
from tests.browser.conftest import DESK, PHONE
from tests.browser.first_steps_walk import SCALE, walk
from tests.browser.first_steps_world import PUBLISHED, entered, published
from tests.factories import PASSWORD

TABLET = {"width": 768, "height": 1024}

LOCALES = {"en": "en-GB", "de": "de-DE"}
"""What a browser asks for, by the language of the tutorial."""

Open = Callable[[dict[str, int]], Page]


@pytest.fixture(params=languages())
def language(request) -> str:
    """Each language of the tutorials, with the words of today's catalogues."""
    code: str = request.param
    return code


@pytest.fixture
def window(browser: Browser, live_server, language: str) -> Iterator[Open]:
    """A window at the first page, whose browser asks for the language; with the dots that a
    sharp picture needs."""
    contexts = []

    def open_window(size: dict[str, int]) -> Page:
        context = browser.new_context(
            viewport=size, base_url=live_server.url, device_scale_factor=SCALE,
            reduced_motion="reduce", color_scheme="light", locale=LOCALES[language],
        )  # fmt: skip
        context.set_default_timeout(15_000)
        contexts.append(context)
        page = context.new_page()
        page.goto("/")
        return page

    yield open_window
    for context in contexts:
        context.close()


def sign_in(page: Page, name: str) -> None:
    page.goto("/sign-in/")
    page.locator("[name=username]").fill(name)
    page.locator("[name=password]").fill(PASSWORD)
    page.locator("[name=password]").press("Enter")
    expect(page.locator("form[action='/sign-out/']")).to_be_visible()


def test_the_organiser_publishes(transactional_db, window, language):
    with time_machine.travel(datetime(2027, 5, 3, 9, tzinfo=UTC)):
        walk(tutorial("organiser", language), window(TABLET))


def test_the_rider_declares(transactional_db, window, language):
    with time_machine.travel(PUBLISHED):
        published()
    with time_machine.travel(datetime(2027, 5, 20, 17, tzinfo=UTC)):
        walk(tutorial("rider", language), window(PHONE))


def test_the_table_notes_the_first_run(transactional_db, window, language):
    with time_machine.travel(PUBLISHED):
        table = entered()
    with time_machine.travel(datetime(2027, 6, 12, 7, tzinfo=UTC)):
        page = window(TABLET)
        sign_in(page, table.username)
        walk(tutorial("table", language), page)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_the_pages_are_accessible(transactional_db, visit, accessible, size, scheme):
    page = visit("/", size=size)
    page.emulate_media(color_scheme=scheme)
    page.get_by_role("link", name="First steps").first.click()
    accessible(page)
    for who in WHO:
        page.goto(f"/first-steps/{who}/")
        accessible(page)
        for picture in page.locator("main img").all():
            picture.scroll_into_view_if_needed()
            page.wait_for_function(
                "one => one.complete && one.naturalWidth > 0", arg=picture.element_handle()
            )


def test_the_pages_without_javascript(transactional_db, visit):
    """The same steps and the same pictures."""
    page = visit("/first-steps/", size=PHONE, script=False)
    for who in WHO:
        page.goto("/first-steps/")
        page.get_by_role("link", name=tutorial(who).title).click()
        expect(page.locator("main .first-step")).to_have_count(len(tutorial(who).steps))
        pictured = [each for each in tutorial(who).steps if each.picture]
        expect(page.locator("main img")).to_have_count(len(pictured))
