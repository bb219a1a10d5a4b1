"""Every page of the demo in a browser: accessible, no wider than a phone, without JavaScript."""

import pytest
from django.contrib.auth.models import User
from django.core.management import call_command
from django.urls import URLPattern, get_resolver
from playwright.sync_api import Page, expect

from events.models import Division, Event, Venue
from riders.models import Declaration, Entry
from runsheets.demo.loading import PASSWORD
from runsheets.models import AskedPack, DayPlan, Slot
from tests.browser.conftest import DESK, PHONE

EVENT = "two-wakes-weekend"
OPEN = "ternvale-open"
CUP = "reed-bank-cup"
CLUB = "ternvale-boat-riders"

PUBLIC = {
    "home": "/",
    "event": f"/events/{EVENT}/",
    "division": f"/events/{EVENT}/advanced/?round=Final",
    "times": f"/times/{EVENT}/",
    "running-order": f"/running-order/{EVENT}/",
    "results": f"/results/{CUP}/",
    "result": f"/results/{CUP}/advanced/?round=Qualifying",
    "trick-list": "/tricks/?family=tantrum",
    "first-steps": "/first-steps/",
    "first-steps-of": "/first-steps/rider/",
    "for-webmasters": "/for-webmasters/",
    "event-box": f"/box/{EVENT}/",
    "division-box": f"/box/{EVENT}/advanced/?round=Final",
    "offline": "/offline/",
    "sign-in": "/sign-in/",
    "sign-up": "/join/",
    "sign-in-link": "/sign-in/link/",
    "sign-in-link-sent": "/sign-in/link/sent/",
    "password-forgotten-sent": "/password/forgotten/sent/",
}
ORGANISER = {
    "organise-home": "/organise/",
    "club-new": "/organise/clubs/new/",
    "club-people": f"/organise/clubs/{CLUB}/people/",
    "post": f"/organise/clubs/{CLUB}/post/",
    "club-tricks": f"/organise/clubs/{CLUB}/tricks/",
    "venue-new": f"/organise/clubs/{CLUB}/venues/new/",
    "venue-edit": "/organise/venues/{venue}/",
    "event-new": f"/organise/clubs/{CLUB}/events/new/",
    "event-from-earlier": f"/organise/clubs/{CLUB}/events/from-earlier/",
    "event-organise": f"/organise/events/{EVENT}/",
    "box-lines": f"/organise/events/{EVENT}/box/",
    "event-edit": f"/organise/events/{EVENT}/edit/",
    "division-new": f"/organise/events/{EVENT}/divisions/new/",
    "division-edit": "/organise/divisions/{division}/",
    "table-lots": "/table/divisions/{division}/lots/",
    "table-entries-import": f"/table/{EVENT}/entries/import/",
    "format-edit": "/organise/divisions/{division}/format/",
    "format-preview": "/organise/divisions/{division}/format/preview/",
    "format-text": "/organise/divisions/{division}/format/text/",
}
TABLE = {
    "table-home": "/table/",
    "table-event": f"/table/{EVENT}/",
    "table-days": f"/table/{EVENT}/days/",
    "table-day-new": f"/table/{EVENT}/days/new/",
    "table-day": f"/table/{EVENT}/days/{{day}}/",
    "table-judges": f"/table/{CUP}/judges/",
    "table-heat": "/table/heats/{heat}/",
    "table-ride": "/table/rides/{ride_order}/{ride_entry}/",
    "table-bibs": f"/table/{EVENT}/bibs/",
    "table-entries": f"/table/{EVENT}/entries/",
    "table-entry": "/table/entries/{ride_entry}/",
    "table-entry-new": f"/table/{EVENT}/entries/new/?division={{division}}&email=late@example.org",
    "dock-home": "/dock/",
    "check-in": f"/dock/{EVENT}/",
    "table-readiness": f"/table/{EVENT}/readiness/",
    "re-checks": "/organise/divisions/{division}/re-checks/",
    "table-print": f"/table/{EVENT}/print/",
    "table-pack": "/table/packs/{pack}/",
    "table-order": "/table/divisions/{division}/order/",
    "table-result": "/table/divisions/{cup_division}/result/?round=Qualifying",
}
RIDER = {
    "riding-home": "/riding/",
    "dock": "/riding/dock/",
    "account": "/account/",
    "account-address": "/account/e-mail/",
    "account-erase": "/account/erase/",
    "password": "/password/",
    "rider-edit": "/riding/me/",
    "enter": "/riding/enter/{open_division}/",
    "own-tricks": "/riding/tricks/",
    "withdraw": "/riding/entries/{entry}/withdraw/",
    "plan": "/riding/entries/{entry}/plan/",
    "receipt": "/riding/declared/{declaration}/",
    "suggest": "/riding/entries/{entry}/suggest/?goal=expected landed&clean=20",
    "next-trick": "/riding/entries/{entry}/next/?pass=2",
    "log-home": "/riding/log/",
    "log-set": "/riding/log/set/",
    "log-add": "/riding/log/add/",
    "log-import": "/riding/log/import/",
    "coach": "/riding/coach/",
    "compare": "/riding/compare/",
    "share": "/riding/entries/{entry}/share/",
    "variants": "/riding/entries/{entry}/variants/",
    "copy-plan": "/riding/entries/{entry}/copy/",
}
# Addresses that are no page of their own: files, buttons, fragments, and pages that need a
# step before them, which their own tests take.
NO_PAGE = {
    "site-worker", "web-manifest", "language", "units", "openapi-json", "api-events", "api-event", "api-rules",
    "api-editions", "api-edition", "api-running-orders", "api-times", "api-results",
    "key-role", "invitation", "invitation-again", "invitation-end",
    "health", "times-feed", "result-file", "table-day-remove",
    "table-ride-again",
    "letter", "letter-again", "key-once", "key-in", "key-password", "key-email", "account-data",
    "account-links-end", "account-out", "password-forgotten", "sign-out", "edition-text", "event-public", "format-strip", "format-publish", "event-from-earlier-confirm",
    "format-start", "table-sheets", "table-rows", "paper", "table-pack-file", "dock-card", "own-trick-remove",
    "table-entries-import-confirm", "table-entries-template", "table-entries-export",
    "table-entry-act", "check-in-act", "club-trick-remove", "club-person-remove",
    "apply-suggestion", "add-trick", "log-undo", "log-setting", "log-set-trick", "log-edit",
    "log-delete", "log-export", "log-import-confirm", "log-trick", "shared-plan",
    "shared-keep", "coach-plan", "coach-let-go", "share-stop", "share-take-back",
    "variant-use", "variant-remove",
}  # fmt: skip


def test_no_address_is_forgotten():
    """A new address needs a row here."""
    names = {
        pattern.name
        for include in get_resolver().url_patterns
        for pattern in getattr(include, "url_patterns", [include])
        if isinstance(pattern, URLPattern)
    }

    assert names == {*PUBLIC, *ORGANISER, *TABLE, *RIDER, *NO_PAGE}


@pytest.fixture
def demo(transactional_db) -> dict[str, int]:
    """The demo, and the numbers that addresses need."""
    call_command("load_demo", verbosity=0)
    entry = Entry.objects.get(rider__user__username="rider", division__event__slug=OPEN)
    declared = Declaration.objects.filter(entry__rider=entry.rider).first()
    return {
        "division": Division.objects.get(event__slug=EVENT, slug="advanced").pk,
        "open_division": Division.objects.get(event__slug=OPEN, slug="advanced").pk,
        "cup_division": Division.objects.get(event__slug=CUP).pk,
        "pack": AskedPack.objects.create(
            event=Event.objects.get(slug=EVENT), size="a4",
            asked_by=User.objects.get(username="table"),
        ).pk,
        "day": DayPlan.objects.filter(event__slug=EVENT).first().pk,
        **_slot(),
        "venue": Venue.objects.get().pk,
        "entry": entry.pk,
        "declaration": declared.pk if declared else 0,
    }  # fmt: skip


def _slot() -> dict[str, int]:
    """The numbers of a rider's place in a running order that is being ridden."""
    slot = Slot.objects.filter(order__division__event__slug=CUP).first()
    return {"heat": slot.heat_id, "ride_order": slot.order_id, "ride_entry": slot.entry_id}


def sign_in(page: Page, who: str) -> None:
    """Sign in as one of the demo's people."""
    page.goto("/sign-in/")
    page.locator("[name=username]").fill(who)
    page.locator("[name=password]").fill(PASSWORD)
    page.get_by_role("main").get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize(
    ("who", "pages"),
    [(None, PUBLIC), ("organiser", ORGANISER), ("table", TABLE), ("rider", RIDER)],
    ids=["public", "organiser", "table", "rider"],
)
def test_every_page(demo, visit, accessible, who, pages, size):
    """One heading of the first rank, no violation, no sideways scrolling."""
    page = visit("/", size=size)
    if who:
        sign_in(page, who)
    for address in pages.values():
        answer = page.goto(address.format(**demo))

        assert answer is not None
        assert answer.status == 200, f"{answer.status} at {address}"
        expect(page.get_by_role("heading", level=1)).to_have_count(1)
        accessible(page)


def test_the_planner_without_javascript(demo, visit):
    """The same form with a Check button gives the same page."""
    page = visit("/", size=PHONE, script=False)
    sign_in(page, "rider")
    page.goto(RIDER["plan"].format(**demo))
    page.locator("[name=p1-1-trick]").fill("HS bakroll")
    page.get_by_role("button", name="Check", exact=True).last.click()
    expect(page.locator("#row-p1-1")).to_contain_text("Did you mean HS backroll")
    page.locator("[name=p1-1-trick]").fill("HS backroll")
    page.get_by_role("button", name="Move trick 1 of pass 1 down").click()
    expect(page.locator("[name=p1-2-trick]")).to_have_value("HS backroll")
    page.get_by_role("button", name="Declare this run").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Your run is declared")


def test_the_planner_by_keyboard(demo, visit):
    """From the top of the page to a checked row with Tab, letters and Enter alone."""
    page = visit("/")
    sign_in(page, "rider")
    page.goto(RIDER["plan"].format(**demo))
    page.keyboard.press("Tab")
    expect(page.locator(".skip-link")).to_be_focused()
    page.keyboard.press("Enter")
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.name") == "p1-1-trick":
            break
    page.keyboard.press("Control+A")
    page.keyboard.type("HS FS 540")
    expect(page.locator("#bar-verdict")).to_contain_text("Breaks")
    page.keyboard.press("Enter")
    expect(page.locator("[name=p1-1-trick]")).to_have_value("HS FS 540")
