"""The page of one ride: by keyboard alone, and while the connection is lost."""

from collections.abc import Iterator

import pytest
from django.core.management import call_command
from playwright.sync_api import Browser, Page, expect

from events.models import Event
from runsheets.models import Judge, Mark, RiddenTrick, Slot
from tests.browser.test_every_page import EVENT, sign_in

TABLET = {"width": 768, "height": 1024}


def open_ride(page: Page) -> Page:
    """The page of the first rider of the demo, with a panel of two."""
    call_command("load_demo", verbosity=0)
    event = Event.objects.get(slug=EVENT)
    for number, name in enumerate(("Ines Halvard", "Tomas Quell"), start=1):
        Judge.objects.get_or_create(event=event, number=number, defaults={"name": name})
    slot = Slot.objects.filter(order__division__event=event).first()
    page.goto("/")
    sign_in(page, "table")
    page.goto(f"/table/rides/{slot.order_id}/{slot.entry_id}/")
    return page


@pytest.fixture
def ride(transactional_db, visit) -> Page:
    """The page on a tablet; an error in the console fails the test."""
    return open_ride(visit("/", size=TABLET))


@pytest.fixture
def ride_outside(transactional_db, browser: Browser, live_server) -> Iterator[Page]:
    """The same where the connection may fail, which the browser itself logs as an error."""
    context = browser.new_context(viewport=TABLET, base_url=live_server.url)
    context.set_default_timeout(15_000)
    yield open_ride(context.new_page())
    context.close()


def of_event(model):
    return model.objects.filter(ride__order__division__event__slug=EVENT)


def first_mark(page: Page):
    return page.locator(".ride-mark").first


def test_by_keyboard_alone(ride, accessible):
    """Arrow keys choose what became of a trick, Enter goes from mark to mark and saves."""
    ride.locator("[name=t-1-1]").last.focus()
    ride.keyboard.press("ArrowRight")
    first_mark(ride).focus()
    marks = ride.locator(".ride-mark").count()
    for _ in range(marks):
        ride.keyboard.type("7,5")
        ride.keyboard.press("Enter")

    expect(ride.get_by_text("Saved.")).to_be_visible()
    assert of_event(RiddenTrick).get().outcome == RiddenTrick.Outcome.LANDED
    assert [float(mark.value) for mark in of_event(Mark)] == [7.5] * marks
    accessible(ride)


def test_a_press_goes_on_to_the_next_trick(ride):
    """By pointer and with Enter; the arrow keys stay in their trick."""
    focused = "document.activeElement.name"
    ride.locator("[name=t-1-1]").first.click(force=True)
    assert ride.evaluate(focused) == "t-1-2"
    ride.keyboard.press("ArrowRight")
    assert ride.evaluate(focused) == "t-1-2"
    ride.keyboard.press("Enter")
    assert ride.evaluate(focused) == "t-1-3"
    expect(ride.locator("#ride-status")).to_contain_text("Not saved yet")


def test_a_lost_connection(ride_outside):
    """What is typed is kept, outlives the page, and is sent when the connection is back."""
    ride = ride_outside
    ride.context.set_offline(True)
    first_mark(ride).fill("6")
    ride.get_by_role("button", name="Save", exact=True).click()
    expect(ride.locator("#ride-status")).to_contain_text("Not saved yet")
    assert not of_event(Mark).exists()

    ride.context.set_offline(False)

    expect(ride.get_by_text("Saved.")).to_be_visible()
    assert float(of_event(Mark).get().value) == 6


def test_what_was_typed_outlives_the_page(ride):
    """Closed before it was saved, it is there again."""
    first_mark(ride).fill("8")
    ride.reload()

    expect(first_mark(ride)).to_have_value("8")
    expect(ride.locator("#ride-status")).to_contain_text("not saved yet")
