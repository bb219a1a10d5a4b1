"""The box of rules in a real browser: in a page of another site, narrow, dark, and printed."""

import threading
from collections.abc import Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.test_every_page import EVENT, ORGANISER, demo, sign_in
from tests.browser.test_offline import phone, whose

__all__ = ["demo", "phone"]  # fixtures
NARROW = {"width": 280, "height": 600}
BOXES = {"event": f"/box/{EVENT}/", "division": f"/box/{EVENT}/advanced/"}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_box_at_280_px(demo, live_server, browser, accessible, scheme):
    """No violation, nothing wider than the frame, on screen and on paper, also with nothing."""
    page = browser.new_page(
        viewport=NARROW, color_scheme=scheme, base_url=live_server.url, reduced_motion="reduce"
    )
    for address in (*BOXES.values(), "/box/none/nothing-here/"):
        page.goto(address)
        accessible(page)
        page.emulate_media(media="print")
        accessible(page)
        page.emulate_media(media="screen")
    page.close()


class Quiet(SimpleHTTPRequestHandler):
    """Serves files without a line for each."""

    def log_message(self, format: str, *args: object) -> None:
        pass


@pytest.fixture
def club_site(tmp_path: Path) -> Iterator[tuple[Path, str]]:
    """A site of its own: a folder, and the address at which it is served."""
    with ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(tmp_path))) as site:
        threading.Thread(target=site.serve_forever, daemon=True).start()
        yield tmp_path, f"http://127.0.0.1:{site.server_port}/"
        site.shutdown()


def test_another_site_may_frame_a_box_and_nothing_else(demo, browser, live_server, club_site):
    """Scripts are off inside, as a careful club may set it: a box needs none."""
    folder, address = club_site
    pages = {**BOXES, "page": f"/events/{EVENT}/"}
    lines = "".join(
        f'<iframe title="{name}" sandbox src="{live_server.url}{at}"></iframe>'
        for name, at in pages.items()
    )
    (folder / "index.html").write_text(f"<!doctype html><title>Club</title>{lines}")
    page = browser.new_page(viewport=NARROW)
    page.goto(address)

    expect(page.frame_locator("[title=division]").locator("h1")).to_have_text("Advanced")
    expect(page.frame_locator("[title=event]").locator(".box-list a").first).to_be_visible()
    assert page.frame_locator("[title=page]").locator("#divisions").count() == 0
    page.close()


def test_the_preview_leaves_saved_pages_alone(phone):
    """A box is the same for everybody: the device goes on keeping what it has of a person."""
    phone.goto(BOXES["division"])
    sign_in(phone, "organiser")
    phone.goto(f"/events/{EVENT}/")
    kept = whose(phone)
    phone.goto(ORGANISER["box-lines"])
    phone.get_by_text("See the box").nth(1).click()

    inside = phone.frame_locator("iframe >> nth=1")
    expect(inside.get_by_text("of the rules")).to_be_visible()
    inside.get_by_role("link", name="All divisions").click()
    expect(inside.locator(".box-list a").first).to_be_visible()
    assert len(kept) == 2, "public pages and the person's own"
    assert whose(phone) == kept
