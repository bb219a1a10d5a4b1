"""Every page enlarged, on the narrowest window, with wide text, and with targets for thumbs.

WCAG 2.2: 1.4.4 resize text, 1.4.10 reflow, 1.4.12 text spacing, 2.5.8 target size (measured
by axe-core, whose rule knows the exceptions).
"""

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.ease import PAGES, cut_off, cut_off_when_spaced, fuller, walk
from tests.browser.test_every_page import demo

__all__ = ["demo"]  # a fixture
NARROWEST = {"width": 320, "height": 640}  # 1280 px at 400 %, as 1.4.10 has it
DOUBLED = {"width": 640, "height": 400}  # 1280 by 800 px at 200 %
TARGETS = {"runOnly": {"type": "rule", "values": ["target-size"]}}


@pytest.mark.parametrize("who", PAGES)
def test_enlarged(demo, visit, who):
    """Nothing is cut off and nothing scrolls sideways, also with wide text.

    Whatever is pressed is 24 by 24 px, or has that room around it.
    """
    page = visit("/", size=NARROWEST)
    axe = Axe()
    wrong = []
    for name in walk(page, who, fuller(demo)):
        small = axe.run(page, options=TARGETS)
        wrong += [f"{name}: {small.generate_report()}"] if small.violations_count else []
        for size in (NARROWEST, DOUBLED):
            page.set_viewport_size(size)
            for look in (cut_off, cut_off_when_spaced):
                said = look(page)
                wrong += [f"{name}, {size['width']} px, {look.__name__}: {s}" for s in said]
        page.set_viewport_size(NARROWEST)

    assert wrong == [], "\n".join(wrong)


def test_text_alone_at_double_size(demo, visit):
    """Readers who enlarge only the text: the planner and the rules at 32 px letters."""
    page = visit("/", size={"width": 1280, "height": 800})
    for address in ("/", "/sign-in/", f"{PAGES['public']['division']}"):
        page.goto(address)
        page.evaluate(
            """() => { const sheet = new CSSStyleSheet();
            sheet.replaceSync('html { font-size: 200% }'); document.adoptedStyleSheets = [sheet]; }"""
        )
        assert cut_off(page) == []


def test_the_looks_see_what_is_wrong(visit):
    """Else the tests above would pass on anything."""
    page = visit("/", size=NARROWEST)
    assert cut_off(page) == []
    page.evaluate(
        """() => {
        const sheet = new CSSStyleSheet();
        sheet.replaceSync('.lead { width: 40rem; max-width: none !important; height: 1.2em; overflow: hidden; }'
          + '.site-footer p { width: 400px; } .site-nav a { min-height: 0; line-height: 1; }'
          + '.site-nav ul { display: block; } .site-nav li { height: 12px; font-size: 10px }');
        document.adoptedStyleSheets = [sheet];
    }"""
    )
    said = cut_off(page)
    assert any("px wide" in each for each in said)
    assert Axe().run(page, options=TARGETS).violations_count
