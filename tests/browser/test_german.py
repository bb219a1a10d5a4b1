"""Every page of the demo in German on a phone: accessible, and no wider than the phone.

German words are longer than the English ones that the pages were laid out with.
"""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.browser.test_every_page import (  # noqa: F401
    ORGANISER,
    PUBLIC,
    RIDER,
    TABLE,
    demo,
    sign_in,
)


@pytest.mark.parametrize(
    ("who", "pages"),
    [(None, PUBLIC), ("organiser", ORGANISER), ("table", TABLE), ("rider", RIDER)],
    ids=["public", "organiser", "table", "rider"],
)
def test_every_page_in_german(demo, visit, accessible, who, pages):  # noqa: F811
    """The language is said in the page, nothing is cut or wider, and axe finds nothing."""
    page = visit("/", size=PHONE)
    if who:
        sign_in(page, who)
    page.set_extra_http_headers({"Accept-Language": "de"})  # boxes ask nothing else
    for address in pages.values():
        page.goto(address.format(**demo))

        expect(page.locator("html")).to_have_attribute("lang", "de")
        expect(page.get_by_role("heading", level=1)).to_have_count(1)
        accessible(page)
