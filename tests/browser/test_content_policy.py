"""The content policy in a real browser: nothing of ours is blocked, what is foreign is."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.browser.test_every_page import (
    ORGANISER,
    PUBLIC,
    RIDER,
    TABLE,
    demo,
    sign_in,
)

__all__ = ["demo"]  # a fixture
WATCH = """
window.blocked = [];
document.addEventListener('securitypolicyviolation', (event) => window.blocked.push(
    event.violatedDirective + ' ' + event.blockedURI + ' ' + (event.sourceFile || '')));
"""


@pytest.mark.parametrize(
    ("who", "pages"),
    [(None, PUBLIC), ("organiser", ORGANISER), ("table", TABLE), ("rider", RIDER)],
    ids=["public", "organiser", "table", "rider"],
)
def test_no_page_breaks_the_policy(demo, visit, who, pages):
    """A violation is also an error in the console, on which `visit` fails."""
    page = visit("/", size=PHONE)
    page.context.add_init_script(WATCH)
    if who:
        sign_in(page, who)
    for address in pages.values():
        page.goto(address.format(**demo))
        assert page.evaluate("window.blocked") == [], address


def test_instant_checks_run_under_the_policy(demo, visit):
    """The check at every change, buttons that swap the page, and pictures that open."""
    page = visit("/", size=PHONE)
    page.context.add_init_script(WATCH)
    sign_in(page, "rider")
    page.goto(RIDER["plan"].format(**demo))
    page.locator("[name=p1-1-trick]").fill("HS FS 540")
    page.locator("[name=p1-1-trick]").press("Tab")
    expect(page.locator("#bar-verdict")).to_contain_text("Breaks")
    page.get_by_role("button", name="Move trick 1 of pass 1 down").click()
    expect(page.locator("[name=p1-2-trick]")).to_have_value("HS FS 540")
    for summary in page.locator("details > summary").all():
        if summary.is_visible():
            summary.click()

    assert page.evaluate("window.blocked") == []


def test_what_is_foreign_is_blocked(live_server, browser):
    """The policy works: a script, a style and a handler in the page do nothing."""
    page = browser.new_page()
    page.goto(f"{live_server.url}/sign-in/")
    page.evaluate(
        """() => {
        const script = document.createElement('script');
        script.textContent = 'window.ran = true';
        document.body.append(script);
        document.body.insertAdjacentHTML('beforeend',
            '<p id="styled" style="color: rgb(1, 2, 3)" onclick="window.ran = true">x</p>');
        document.getElementById('styled').click();
    }"""
    )

    assert page.evaluate("window.ran") is None
    assert (
        page.evaluate("getComputedStyle(document.getElementById('styled')).color")
        != "rgb(1, 2, 3)"
    )
    page.close()
