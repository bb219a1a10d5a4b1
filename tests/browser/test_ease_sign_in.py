"""Signing in asks for nothing that has to be remembered, copied by hand or solved.

WCAG 2.2: 3.3.8 accessible authentication (programs may fill in and paste; a link by mail is
another way), 1.3.5 identify input purpose, 3.3.7 redundant entry.
"""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.factories import PASSWORD, UserFactory

# What programs that keep passwords and addresses look for (HTML Living Standard, autofill).
PURPOSES = {
    "/sign-in/": {"username": "username", "password": "current-password"},
    "/sign-in/link/": {"who": "username"},
    "/password/forgotten/": {"who": "username"},
    "/join/": {
        "given_name": "given-name",
        "family_name": "family-name",
        "email": "email",
        "password": "new-password",
    },
}


@pytest.mark.parametrize("address", PURPOSES)
def test_programs_can_fill_it_in(transactional_db, visit, address):
    page = visit(address, size=PHONE)
    for name, purpose in PURPOSES[address].items():
        expect(page.locator(f"main [name={name}]")).to_have_attribute("autocomplete", purpose)


def test_own_password_and_address(transactional_db, visit):
    user = UserFactory()
    page = visit("/sign-in/?next=/password/", size=PHONE)
    page.locator("[name=username]").fill(user.username)
    page.locator("[name=password]").fill(PASSWORD)
    page.keyboard.press("Enter")
    expect(page.locator("[name=old_password]")).to_have_attribute(
        "autocomplete", "current-password"
    )
    for name in ("new_password1", "new_password2"):
        expect(page.locator(f"[name={name}]")).to_have_attribute("autocomplete", "new-password")
    page.goto("/account/e-mail/")
    expect(page.locator("[name=email]")).to_have_attribute("autocomplete", "email")


def test_a_password_can_be_pasted(transactional_db, visit):
    """Copied in one field, pasted in the other, and it signs in."""
    user = UserFactory()
    page = visit("/sign-in/", size=PHONE)
    page.locator("[name=username]").fill(PASSWORD)
    page.locator("[name=username]").press("ControlOrMeta+A")
    page.keyboard.press("ControlOrMeta+C")
    page.locator("[name=password]").press("ControlOrMeta+V")
    expect(page.locator("[name=password]")).to_have_value(PASSWORD)
    page.locator("[name=username]").fill(user.username)

    page.keyboard.press("Enter")

    expect(page.get_by_role("button", name="Sign out")).to_be_visible()


def test_another_way_than_a_password(transactional_db, visit):
    """A link by mail stands beside the password, and nothing has to be solved."""
    page = visit("/sign-in/", size=PHONE)
    page.get_by_role("link", name="Have a link sent").click()

    expect(page.locator("main input:not([type=hidden]):not([type=submit])")).to_have_count(1)
