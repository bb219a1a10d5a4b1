"""Every stop of the keyboard on every page: drawn, and not behind a part that stays put.

WCAG 2.2: 2.4.7 focus visible, 2.4.11 focus not obscured, 2.4.13 in part (a line of 2 px).
Measured where it is tightest: a phone, and a window at 200 %.
"""

import pytest

from tests.browser.conftest import PHONE
from tests.browser.ease import FORCED, MOVES, PAGES, fuller, hidden_focus, walk
from tests.browser.test_every_page import demo

__all__ = ["demo"]  # a fixture
DOUBLED = {"width": 640, "height": 400}


@pytest.mark.parametrize("who", PAGES)
def test_the_focus_is_seen(demo, visit, who):
    """Forwards and backwards through the whole page, then so with the reader's own colours.

    With forced colours lines stay and what is chosen shows. Nothing moves for those who asked
    for less motion (2.3.3), as every context here does.
    """
    page = visit("/", size=PHONE)
    wrong = []
    for name in walk(page, who, fuller(demo)):
        found = []
        for size in (PHONE, DOUBLED):
            page.set_viewport_size(size)
            found += hidden_focus(page)
        page.set_viewport_size(PHONE)
        page.emulate_media(forced_colors="active", reduced_motion="reduce")
        found += [*page.evaluate(FORCED), *page.evaluate(MOVES), *hidden_focus(page)]
        page.emulate_media(forced_colors="none", reduced_motion="reduce")
        wrong += [f"{name}: {said}" for said in found]

    assert wrong == [], "\n".join(wrong)


def test_the_looks_see_what_is_wrong(visit):
    """Else the tests above would pass on anything."""
    page = visit("/", size=PHONE)
    page.evaluate(
        """() => {
        const sheet = new CSSStyleSheet();
        sheet.replaceSync('.site-nav a:focus-visible { outline: none }'
          + 'main { animation: turn 2s infinite } .site-nav [aria-current] { border: 0 }'
          + '@keyframes turn { to { opacity: .9 } }'
          + '.site-footer { position: fixed; inset: 0; z-index: 20; background: white }');
        document.adoptedStyleSheets = [sheet];
    }"""
    )
    said = hidden_focus(page)
    assert any("not drawn" in each for each in said)
    assert any("behind something" in each for each in said)
    assert page.evaluate(MOVES)
