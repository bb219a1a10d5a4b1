"""The main roads by keyboard alone: Tab, Enter, Space, the arrow keys and letters.

Nothing is clicked, focused by script or reached by address after the page for signing in, and
at every stop of the Tab key the focus is drawn and in sight (WCAG 2.2: 2.1.1, 2.4.3, 2.4.7,
2.4.11).
"""

import re

import pytest
from playwright.sync_api import Page, expect

from events.models import Edition
from riders.models import Declaration
from runsheets.demo.loading import PASSWORD as DEMO_PASSWORD
from runsheets.models import Mark, RiddenTrick, Ride, Slot
from tests.browser.conftest import DESK, PHONE
from tests.browser.ease import HERE
from tests.browser.test_every_page import CUP, demo
from tests.factories import PASSWORD, EditionFactory, RiderFactory

__all__ = ["demo"]  # a fixture
MOST_STOPS = 300
# What a stop is called: its label or the words on it, and its name in the form.
NAME = """() => {
  const each = document.activeElement;
  const labels = [...(each.labels || [])].map((label) => label.textContent);
  const group = each.type === 'radio' ? each.closest('fieldset')?.querySelector('legend') : null;
  const said = labels.length ? labels.join(' ') : (each.textContent || each.value || '');
  const words = [group?.textContent, said].filter(Boolean).join(': ');
  return words.replace(/\\s+/g, ' ').trim() + (each.name ? ` [${each.name}]` : '');
}"""


class Keys:
    """Somebody with a keyboard and no pointer; every stop has to be seen."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.stops = 0

    def to(self, wanted: str, back: bool = False) -> str:
        """Press Tab until a stop is called so (a pattern); returns what it is called."""
        seen = []
        for _ in range(MOST_STOPS):
            self.page.keyboard.press("Shift+Tab" if back else "Tab")
            name = self.page.evaluate(NAME)
            seen.append(name)
            if not self.page.evaluate("document.activeElement === document.body"):
                self.stops += 1
                assert self.page.evaluate(HERE) == [], self.page.url
            if re.search(wanted, name):
                return str(name)
        raise AssertionError(f"Tab does not lead to {wanted} at {self.page.url}: {seen[:80]}")

    def press(self, key: str = "Enter") -> None:
        self.page.keyboard.press(key)

    def type(self, words: str) -> None:
        self.page.keyboard.press("ControlOrMeta+A")
        self.page.keyboard.type(words)

    def follow(self, wanted: str, heading: str) -> None:
        """Go to a link or button, press Enter, and arrive."""
        self.to(wanted)
        self.press()
        expect(self.page.get_by_role("heading", level=1)).to_have_text(re.compile(heading))

    def sign_in(self, name: str, password: str) -> None:
        expect(self.page.locator("[name=username]")).to_be_focused()
        self.type(name)
        self.to("^Password")
        self.type(password)
        self.press()
        expect(self.page.get_by_role("button", name="Sign out")).to_be_visible()


@pytest.fixture
def edition(transactional_db) -> Edition:
    """Published rules of an event that takes entries."""
    rules = {
        "passes": {"count": 2, "length_m": 400, "tricks_expected": 2},
        "falls": {"allowed": 2, "counted_per": "run", "next_fall": "ends run"},
    }
    made: Edition = EditionFactory(data=rules)
    return made


@pytest.mark.parametrize("script", [True, False], ids=["script", "plain"])
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_from_signing_in_to_a_declared_run(edition, visit, size, script):
    """Sign in, find the event, enter, plan a run, mend a mistake, declare."""
    division, rider = edition.division, RiderFactory()
    keys = Keys(visit("/sign-in/", size=size, script=script))
    keys.sign_in(rider.user.username, PASSWORD)
    keys.follow("^Events$", "Know how")
    keys.follow(f"^{division.event.name}", division.event.name)
    keys.follow(f"^{division.name}", division.name)
    keys.follow("^Enter", f"Enter {division.name}")

    keys.to("Date of birth")
    keys.page.keyboard.type("04171998")  # month, day and year, as this browser asks for them
    keys.to("^Whom to call")
    keys.type("Ottokar Ferryman")
    keys.to("^Their phone")
    keys.type("+43 1 555 0142")
    keys.to("Enter this division")
    keys.press()
    # Sent without the tick: the summary has the focus, and its link leads to the field.
    expect(keys.page.locator("#faults")).to_be_focused()
    keys.to("Read the cautions")
    keys.press()
    expect(keys.page.locator("[name=acknowledged]")).to_be_focused()
    keys.press("Space")
    keys.follow("Enter this division", "Plan your run")

    plan(keys)
    assert Declaration.objects.get().notation == "HS backroll, TS backroll | Indy"
    assert keys.stops > 40


def plan(keys: Keys) -> None:
    """Side, tricks and chances; one trick is misspelt, found by the summary, and mended."""
    keys.to("You start on the")
    keys.press("ArrowDown")
    for row, trick, chance in (
        ("p1-1", "HS backroll", "90"), ("p1-2", "TS bakroll", "80"), ("p2-1", "indy", "100"),
    ):  # fmt: skip
        keys.to(rf"\[{row}-trick\]")
        keys.type(trick)
        keys.press("Escape")  # closes the list of names, where the browser opens one
        keys.to(rf"\[{row}-chance\]")
        keys.type(chance)
    keys.to("^Declare")
    keys.press()
    expect(keys.page.locator("#faults")).to_be_focused()
    keys.page.wait_for_timeout(150)  # a part that was swapped settles faster than people press
    keys.to("Did you mean|TS bakroll")
    keys.press()
    expect(keys.page.locator("[name=p1-2-trick]")).to_be_focused()
    keys.type("TS backroll")
    keys.press("Escape")
    keys.follow("^Declare", "Your run is declared")


def test_the_table_marks_a_ride(demo, visit):
    """From signing in to a saved ride with marks, by keyboard alone."""
    slot = _not_ridden()
    keys = Keys(visit("/sign-in/", size={"width": 768, "height": 1024}))
    keys.sign_in("table", DEMO_PASSWORD)
    keys.follow("^Table$", "Table")
    event = slot.order.division.event
    keys.follow(f"^{event.name}", event.name)
    keys.follow("the running order of .*Qualifying", "Running order")
    keys.follow(f"^Open heat {slot.heat.number} ", str(slot.heat))
    keys.follow(f"^Run 1.*{slot.entry.rider.family_name}", slot.entry.rider.name)

    rows = 0
    while "[m-" not in (name := keys.to(r"\[[tb]-\d+-\d+\]|\[m-")):
        if "not declared" not in name:
            keys.press("ArrowRight")  # from open to landed
            rows += 1
    marks = keys.page.locator(".ride-mark").count()
    with keys.page.expect_response("**/table/rides/**"):
        for _ in range(marks):
            keys.type("7,5")
            keys.press()
    expect(keys.page.get_by_text("Saved.")).to_be_visible()

    mine = {"ride__order": slot.order, "ride__entry": slot.entry}
    assert Mark.objects.filter(**mine).count() == marks > 0
    landed = RiddenTrick.objects.filter(outcome=RiddenTrick.Outcome.LANDED, **mine)
    assert landed.count() == rows > 0
    keys.to("^How far the run is")
    keys.page.keyboard.type("Ridden")
    keys.to("^Save$")
    with keys.page.expect_response("**/table/rides/**"):
        keys.press()
    expect(keys.page.locator("#ride-form")).to_be_visible()
    ride = Ride.objects.get(order=slot.order, entry=slot.entry)
    assert ride.state == Ride.State.DONE


def _not_ridden() -> Slot:
    """A rider of the demo's contest on the water who has not ridden yet."""
    slots = Slot.objects.filter(order__division__event__slug=CUP, scratched_at=None)
    done = Ride.objects.exclude(state=Ride.State.NOT_STARTED).values("entry")
    found = slots.exclude(entry__in=done).first()
    assert found is not None
    return found
