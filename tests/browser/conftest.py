"""A real Chromium; every test here is skipped, with the reason, where there is none."""

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, sync_playwright

from events.project.fonts import build_web_fonts

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
PHONE = {"width": 360, "height": 760}
DESK = {"width": 1280, "height": 800}

Visit = Callable[..., Page]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Everything in this folder needs a browser."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session", autouse=True)
def web_fonts() -> None:
    """The fonts that every page asks for; a fresh clone has none yet."""
    build_web_fonts(settings.GENERATED_STATIC_DIR / "fonts")


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One Chromium for the whole run."""
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        missing = "Chromium is not installed: apt install chromium"
        pytest.fail(missing) if os.environ.get("CI") else pytest.skip(missing)
    # The browser's own event loop runs in this thread; Django's checks of it do not apply.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=FLAGS)
        yield browser
        browser.close()
    os.environ.pop("DJANGO_ALLOW_ASYNC_UNSAFE", None)


# A check that a newer one replaces is given up on purpose, and htmx logs that as an error.
GIVEN_UP = ("htmx:sendAbort", "htmx:afterRequest")


def is_trouble(said: ConsoleMessage) -> bool:
    """Whether a line in the browser's console is an error of the site."""
    return said.type == "error" and not said.text.startswith(GIVEN_UP)


@pytest.fixture
def visit(browser: Browser, live_server) -> Iterator[Visit]:
    """Open a page of the site in a context of its own; fail on any error in its console."""
    contexts: list[BrowserContext] = []
    errors: list[str] = []

    def open_page(path: str = "/", *, size: dict[str, int] = DESK, script: bool = True) -> Page:
        context = browser.new_context(
            viewport=size,
            java_script_enabled=script,
            base_url=live_server.url,
            reduced_motion="reduce",  # so that no colour is measured half way
        )
        context.set_default_timeout(15_000)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.on(
            "console",
            lambda said: errors.append(said.text) if is_trouble(said) else None,
        )
        page.goto(path)
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert errors == [], "\n".join(errors)


@pytest.fixture
def accessible() -> Callable[[Page], None]:
    """Fail on any violation that axe finds, and on a page wider than its window."""
    axe = Axe()

    def check(page: Page) -> None:
        found = axe.run(page)
        assert found.violations_count == 0, found.generate_report()
        wider = "document.documentElement.scrollWidth > document.documentElement.clientWidth"
        assert not page.evaluate(wider), f"{page.url} is wider than its window"

    return check
