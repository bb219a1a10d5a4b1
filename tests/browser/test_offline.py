"""Pages kept on the device, read with the network gone, in a real browser with its worker."""

import time
from collections.abc import Iterator
from io import BytesIO

import pytest
from django.conf import settings
from django.core.management import call_command
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader

from events.offline import KeepMiddleware
from runsheets.demo.loading import PASSWORD
from tests.browser.conftest import PHONE
from tests.browser.test_every_page import EVENT, sign_in

RULES = f"/events/{EVENT}/intermediate/"
READY = "navigator.serviceWorker.ready.then(() => true)"
CACHES = (
    "caches.keys().then((names) => names.filter((name) => name.startsWith('buoyline-pages-')))"
)
NOT_KEPT_PAGE = (
    "caches.match('/offline/', { ignoreVary: true }).then((found) => found ? found.text() : '')"
)


@pytest.fixture
def phone(transactional_db, browser: Browser, live_server) -> Iterator[Page]:
    """The demo's front page on a phone whose worker has begun."""
    call_command("load_demo", verbosity=0)
    context = browser.new_context(
        viewport=PHONE, base_url=live_server.url, reduced_motion="reduce"
    )
    context.set_default_timeout(15_000)
    page = context.new_page()
    page.goto("/")
    assert page.evaluate(READY)
    until(page, "navigator.serviceWorker.controller !== null")
    yield page
    context.close()


def until(page: Page, is_so: str) -> None:
    """Wait for a condition; the page's own waiting would need what the policy forbids."""
    for _ in range(100):
        if page.evaluate(is_so):
            return
        page.wait_for_timeout(100)
    pytest.fail(f"Never came true: {is_so}")


def lose_reception(page: Page) -> None:
    page.context.set_offline(True)


def whose(page: Page) -> list[str]:
    """The caches of saved pages, without the common beginning."""
    return sorted(name.removeprefix("buoyline-pages-") for name in page.evaluate(CACHES))


def keep_for_the_dock(page: Page) -> None:
    page.goto("/riding/dock/")
    page.get_by_role("button", name="Keep for the dock").click()
    expect(page.locator("[data-keep-said]")).to_contain_text("pages are kept on this device")


def test_public_rules_that_were_read_are_read_again_without_reception(phone, accessible):
    phone.goto(RULES)
    online = phone.get_by_role("main").inner_text()
    expect(phone.locator("#saved-copy")).to_be_hidden()
    lose_reception(phone)

    phone.goto(RULES)

    said = phone.locator("#saved-copy").inner_text()
    assert said.startswith("Saved copy of ")
    assert said.endswith(", you are offline.")
    assert phone.get_by_role("main").inner_text() == online
    accessible(phone)


def test_the_first_page_of_all_is_kept_too(phone):
    until(phone, "caches.match('/').then(Boolean)")
    lose_reception(phone)

    phone.goto("/")

    expect(phone.get_by_role("heading", level=1)).to_have_text("Know how it will be ridden")


def test_a_page_that_was_never_opened_says_so_and_lists_the_kept_ones(phone, accessible):
    phone.goto(RULES)
    lose_reception(phone)

    phone.goto("/tricks/")

    expect(phone.get_by_role("heading", level=1)).to_have_text("You are offline")
    accessible(phone)
    phone.get_by_role("link", name="Intermediate, Two Wakes Weekend").click()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Intermediate")


def test_all_of_it_is_in_the_language_that_was_chosen(phone):
    """Also what was fetched for the worker, in a browser that asks for another language."""
    cookie = {"name": settings.LANGUAGE_COOKIE_NAME, "value": "de", "url": phone.url}
    phone.context.add_cookies([cookie])
    phone.goto(RULES)
    until(phone, f"{NOT_KEPT_PAGE}.then((html) => html.includes('<html lang=\"de\">'))")
    lose_reception(phone)

    phone.goto("/tricks/")
    expect(phone.locator("html")).to_have_attribute("lang", "de")

    phone.goto(RULES)
    copy = phone.locator("#saved-copy")
    said, at = (copy.get_attribute(f"data-{name}") for name in ("offline", "time"))
    expect(copy).to_have_text(said.replace("{time}", at))


def test_everything_for_the_dock(phone, accessible):
    sign_in(phone, "rider")
    keep_for_the_dock(phone)
    accessible(phone)
    lose_reception(phone)
    links = phone.locator("a[data-keep]:not([href*='.pdf'])")
    addresses = links.evaluate_all("links => links.map((link) => link.href)")
    assert {"declared", "plan", "times", "running-order"} <= {
        part for each in addresses for part in each.split("/")
    }

    for address in addresses:
        phone.goto(address)
        expect(phone.locator("#saved-copy")).to_contain_text("you are offline")
        expect(phone.get_by_role("heading", level=1)).not_to_have_text("You are offline")

    phone.goto("/riding/")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Mika Sundelöf")


def test_the_dock_card_is_a_whole_pdf(phone):
    sign_in(phone, "rider")
    keep_for_the_dock(phone)
    card = phone.get_by_role("link", name="Dock card (PDF)").first.get_attribute("href")
    kept = """async (url) => Array.from(new Uint8Array(
      await (await caches.match(url, { ignoreVary: true })).arrayBuffer()))"""
    data = bytes(phone.evaluate(kept, card))
    lose_reception(phone)

    answer = phone.goto(card)

    assert answer.from_service_worker
    assert answer.headers["content-type"] == "application/pdf"
    assert len(PdfReader(BytesIO(data)).pages) == 1


def test_signing_out_empties_what_was_kept(phone):
    sign_in(phone, "rider")
    keep_for_the_dock(phone)
    phone.wait_for_function(f"async () => (await {CACHES}).length === 2")

    phone.get_by_role("button", name="Sign out").click()
    expect(phone.get_by_role("link", name="Sign in")).to_be_visible()

    assert whose(phone) == ["nobody"]
    lose_reception(phone)
    phone.goto("/riding/")
    expect(phone.get_by_role("heading", level=1)).to_have_text("You are offline")
    expect(phone.locator("main")).not_to_contain_text("Mika")


def test_a_session_that_ended_elsewhere_empties_it_at_the_next_page(phone):
    sign_in(phone, "rider")
    keep_for_the_dock(phone)
    phone.context.clear_cookies()

    phone.goto("/tricks/")

    until(phone, f"{CACHES}.then((names) => names.length === 1)")
    assert whose(phone) == ["nobody"]


def test_the_next_person_on_the_same_phone_sees_nothing_of_the_first(phone):
    sign_in(phone, "rider")
    keep_for_the_dock(phone)
    (mine,) = set(whose(phone)) - {"nobody"}
    phone.context.clear_cookies()

    sign_in(phone, "organiser")
    phone.goto("/riding/")

    assert mine not in whose(phone)
    lose_reception(phone)
    phone.goto("/riding/dock/")
    expect(phone.locator("main")).not_to_contain_text("Declared run")


def test_pages_about_other_people_are_never_kept(phone):
    sign_in(phone, "organiser")
    for address in (f"/table/{EVENT}/entries/", "/organise/", "/account/"):
        phone.goto(address)
    kept = phone.evaluate(
        """async () => {
          const urls = [];
          for (const name of await caches.keys())
            for (const request of await (await caches.open(name)).keys()) urls.push(request.url);
          return urls;
        }"""
    )

    assert not [url for url in kept if "/table/" in url or "/organise" in url]
    assert not [url for url in kept if "/account" in url]
    lose_reception(phone)
    phone.goto(f"/table/{EVENT}/entries/")
    expect(phone.get_by_role("heading", level=1)).to_have_text("You are offline")


def test_what_was_typed_stays_when_a_form_cannot_be_sent(phone):
    phone.goto("/sign-in/link/")
    phone.locator("[name=who]").fill("rider@example.org")
    lose_reception(phone)

    phone.get_by_role("button", name="Send me a link").click()

    expect(phone.locator("#trouble")).to_contain_text("You are offline, so nothing is sent")
    expect(phone.locator("[name=who]")).to_have_value("rider@example.org")


def test_a_site_on_the_same_computer_needs_no_network(phone):
    """A laptop on the dock without any network takes itself for offline."""
    phone.goto("/sign-in/")
    phone.evaluate("Object.defineProperty(navigator, 'onLine', { get: () => false })")
    phone.locator("[name=username]").fill("rider")
    phone.locator("[name=password]").fill(PASSWORD)

    phone.get_by_role("main").get_by_role("button", name="Sign in").click()

    expect(phone.get_by_role("button", name="Sign out")).to_be_visible()


def test_a_site_that_is_slow_is_answered_for(phone, monkeypatch):
    phone.goto(RULES)
    quick = KeepMiddleware.__call__

    def slow(self, request):
        if request.path == RULES:
            time.sleep(9)
        return quick(self, request)

    monkeypatch.setattr(KeepMiddleware, "__call__", slow)
    begun = time.monotonic()

    phone.goto(RULES)

    assert 5 < time.monotonic() - begun < 8.9
    expect(phone.locator("#saved-copy")).to_contain_text("the site does not answer")


def test_emptying_by_hand(phone):
    sign_in(phone, "rider")
    keep_for_the_dock(phone)

    phone.get_by_role("button", name="Empty what is kept").click()

    expect(phone.locator("[data-keep-said]")).to_contain_text("Nothing is kept")
    expect(phone.locator("[data-keep-time]").first).to_have_text("not kept")
    lose_reception(phone)
    phone.goto("/riding/")
    expect(phone.get_by_role("heading", level=1)).to_have_text("You are offline")


def test_back_with_reception_the_page_is_the_present_one(phone):
    phone.goto(RULES)
    lose_reception(phone)
    phone.goto(RULES)
    phone.context.set_offline(False)
    expect(phone.locator("#saved-copy")).to_contain_text("There is reception again")

    phone.goto(RULES)

    expect(phone.locator("#saved-copy")).to_be_hidden()


def test_without_a_worker_all_is_as_before(transactional_db, visit, accessible):
    """The dock's page is then a page of links."""
    call_command("load_demo", verbosity=0)
    page = visit("/", size=PHONE, script=False)
    sign_in(page, "rider")
    page.goto("/riding/dock/")

    expect(page.get_by_role("button", name="Keep for the dock")).to_have_count(0)
    expect(page.locator("main")).to_contain_text("This browser does not keep pages")
    page.get_by_role("link", name="Declared run").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Your run is declared")


def test_a_phone_can_install_it(phone):
    """Chromium itself says what the manifest lacks (DevTools protocol)."""
    session = phone.context.new_cdp_session(phone)
    told = session.send("Page.getAppManifest")

    assert told["errors"] == []
    missing = session.send("Page.getInstallabilityErrors")["installabilityErrors"]
    # A test's window is a private one, and those install nothing.
    assert [each["errorId"] for each in missing] == ["in-incognito"]
