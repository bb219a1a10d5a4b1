"""Choosing units at the foot of a page: by keyboard, on a phone, without JavaScript."""

from django.core.management import call_command
from playwright.sync_api import expect

from events.models import Division
from tests.browser.conftest import PHONE
from tests.browser.test_every_page import EVENT, sign_in

RULES = f"/events/{EVENT}/advanced/"


def test_by_keyboard_without_javascript_on_a_phone(transactional_db, visit):
    call_command("load_demo", verbosity=0)
    page = visit(RULES, size=PHONE, script=False)
    page.locator(".units summary").focus()
    page.keyboard.press("Enter")
    for name, unit in (("Lengths", "ft"), ("Speeds", "mph"), ("Weights", "lb")):
        page.get_by_label(name).select_option(unit)
    page.get_by_role("button", name="Show figures so").press("Enter")
    expect(page).to_have_url(f"{page.url.split('/events/')[0]}{RULES}")
    expect(page.locator("#passes")).to_contain_text("1312 ft (400 m as published)")
    expect(page.locator(".messages")).to_contain_text("ft, mph, lb")


def test_the_open_form_is_accessible_and_fits(transactional_db, visit, accessible):
    call_command("load_demo", verbosity=0)
    page = visit(RULES, size=PHONE)
    page.locator(".units summary").click()
    expect(page.get_by_label("Lengths")).to_be_visible()
    accessible(page)


def test_unsaved_words_are_asked_about_first(transactional_db, visit):
    """Another form's button leaves the page: what is typed in a guarded one is not lost."""
    call_command("load_demo", verbosity=0)
    page = visit("/sign-in/")
    sign_in(page, "organiser")
    division = Division.objects.get(event__slug=EVENT, slug="advanced")
    page.goto(f"/organise/divisions/{division.pk}/format/")
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    field = page.locator("form[data-guard] input[type=text]:visible").first
    field.fill("Half typed")
    page.locator(".units summary").click()
    page.locator(".units").get_by_role("button").click(no_wait_after=True)
    page.wait_for_timeout(1000)
    assert asked == ["beforeunload"]
    expect(field).to_have_value("Half typed")
