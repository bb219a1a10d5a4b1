"""The whole road in a browser: an organiser publishes, a rider declares, the table prints."""

import io
import re
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from riders.models import Declaration
from tests.browser.conftest import PHONE

PASSWORD = "quiet-harbour-17"


def join(page: Page, given: str, family: str, email: str) -> None:
    """Make an account."""
    page.goto("/join/")
    page.get_by_label("Given name").fill(given)
    page.get_by_label("Family name").fill(family)
    page.get_by_label("E-mail").fill(email)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Make my account").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(f"{given} {family}")


def press(page: Page, name: str) -> None:
    """Press a button or follow a link in the page's content."""
    content = page.locator("main")
    button = content.get_by_role("button", name=name)
    (button if button.count() else content.get_by_role("link", name=name)).first.click()


def make_event(page: Page) -> None:
    """A club, its lake, an event in three weeks, and a division."""
    page.goto("/organise/")
    press(page, "Make a club")
    page.get_by_label("Name").fill("Reedlake Boat Riders")
    press(page, "Make the club")
    page.goto("/organise/")
    press(page, "Add a venue")
    page.get_by_label("Name").fill("Long Reed")
    page.get_by_label("Course length").fill("400")
    page.get_by_label("Direction").fill("North to south")
    press(page, "Save the venue")
    page.goto("/organise/")
    press(page, "Add an event")
    day = timezone.localdate() + timedelta(days=21)
    page.get_by_label("Name").fill("Reed Cup")
    page.get_by_label("Venue").select_option(label="Long Reed")
    page.get_by_label("First day").fill(day.isoformat())
    page.get_by_label("Last day").fill(day.isoformat())
    page.get_by_label("Time zone").fill("Europe/Zurich")
    fill_moment(page, "entries_close", day - timedelta(days=7))
    fill_moment(page, "declare_by", timezone.localdate() - timedelta(days=1))
    press(page, "Save the event")
    expect(page.locator("main")).to_contain_text("lies in the past")
    expect(page.get_by_label("Name")).to_have_value("Reed Cup")
    fill_moment(page, "declare_by", day - timedelta(days=1))
    press(page, "Save the event")
    press(page, "Add a division")
    page.get_by_label("Name").fill("Intermediate")
    press(page, "Save the division")


def fill_moment(page: Page, name: str, day) -> None:
    page.locator(f"[name={name}]").fill(f"{day.isoformat()}T20:00")


def publish(page: Page) -> None:
    """Fill the format from an example, change it, look at it, publish it, open the event."""
    if not page.get_by_role("heading", level=1).inner_text().startswith("Format"):
        page.get_by_role("link", name="Intermediate", exact=True).click()
    if not page.locator("[name=source]").is_visible():
        page.get_by_text("Start from an example").click()
    page.locator("[name=source]").select_option(label="Club day, intermediate")
    press(page, "Start from this")
    page.locator("[name=falls-allowed]").fill("one")
    press(page, "Save draft")
    expect(page.get_by_role("alert").first).to_contain_text("This must be a number")
    expect(page.locator("[name=falls-allowed]")).to_have_value("one")
    page.locator("[name=falls-allowed]").fill("2")
    press(page, "Save draft")
    press(page, "Preview")
    expect(page.locator("main")).to_contain_text("Two falls allowed: the third ends your run.")
    press(page, "Publish edition 1")


@pytest.mark.django_db(transaction=True)
def test_the_whole_road(visit, accessible):
    """Everything that the product exists for, as its users do it."""
    organiser = visit("/")
    join(organiser, "Ottilie", "Seegrund", "ottilie@example.org")
    make_event(organiser)
    publish(organiser)
    organiser.goto("/organise/events/reed-cup/")
    press(organiser, "Open it to everybody")
    accessible(organiser)

    stranger = visit("/", size=PHONE)
    stranger.get_by_role("link", name="Reed Cup").click()
    stranger.get_by_role("link", name="Intermediate").click()
    for sentence in (
        "A run has two passes.",
        "Two falls allowed: the third ends your run.",
        "There is a double-up after pass 2.",
        "No: each trick may be done only once.",
        "At most two inverts",
        "ask the organiser",
    ):
        expect(stranger.locator("main")).to_contain_text(sentence)
    accessible(stranger)

    rider = visit("/", size=PHONE)
    join(rider, "Zoë", "Łąkowska", "zoe@example.org")
    rider.goto("/events/reed-cup/intermediate/")
    press(rider, "Enter")
    accessible(rider)
    rider.get_by_label("Date of birth").fill("1998-04-17")
    rider.get_by_label("Whom to call in an emergency").fill("Mira Łąkowska")
    rider.get_by_label("Their phone number").fill("+41 00 555 01 23")
    rider.get_by_label(re.compile("I have read the cautions")).check()
    press(rider, "Enter this division")
    plan_and_declare(rider, accessible)

    organiser.goto("/table/reed-cup/")
    accessible(organiser)
    print_sheets(organiser)


def plan_and_declare(page: Page, accessible) -> None:
    """Type a run with a mistake in it, see the check without a reload, mend it, declare."""
    expect(page.get_by_role("heading", level=1)).to_have_text("Plan your run")
    page.evaluate("window.stays = true")
    page.locator("[name=p1-1-trick]").fill("HS backroll")
    page.locator("[name=p1-1-landed]").fill("9")
    page.locator("[name=p1-1-tried]").fill("10")
    page.locator("[name=p1-2-trick]").fill("HS backroll")
    expect(page.locator("#at-p1-2")).to_contain_text("A trick may be done once only.")
    page.locator("[name=p1-2-trick]").fill("TS bakroll")
    expect(page.locator("#at-p1-2")).to_contain_text("Did you mean TS backroll")
    page.locator("[name=p1-2-trick]").fill("TS backroll")
    page.locator("[name=p1-2-chance]").fill("80")
    page.locator("[name=p2-1-trick]").fill("indy")
    page.locator("[name=p2-1-chance]").fill("100")
    expect(page.locator("#check")).to_contain_text("Nothing in this run breaks a rule.")
    expect(page.locator("#check .figure-value").first).to_have_text("72 %")
    expect(page.locator("#check svg.course-strip")).to_be_visible()
    page.get_by_role("button", name="Move trick 2 of pass 1 up").focus()
    page.keyboard.press("Enter")
    expect(page.locator("[name=p1-1-trick]")).to_have_value("TS backroll")
    assert page.evaluate("window.stays"), "the page was loaded anew"
    accessible(page)
    page.get_by_role("button", name="Declare this run").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Your run is declared")
    accessible(page)
    assert Declaration.objects.get().notation == "TS backroll, HS backroll | Indy"


def print_sheets(page: Page) -> None:
    """The sheet of the declared run, from the table's page."""
    link = page.get_by_role("link", name=re.compile("A4")).first
    answer = page.request.get(link.get_attribute("href"))
    assert answer.headers["content-type"] == "application/pdf"
    text = PdfReader(io.BytesIO(answer.body())).pages[0].extract_text()
    for words in (
        "Reed Cup",
        "Intermediate",
        "Zoë Łąkowska",
        "TS backroll",
        "Two falls allowed",
    ):
        assert words in text
