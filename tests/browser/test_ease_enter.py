"""The entry form asks a guardian only of riders under age, where a script runs."""

from datetime import date

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from riders.eligibility import age_on
from riders.models import Entry
from tests.browser.conftest import PHONE
from tests.factories import PASSWORD, DivisionFactory, RiderFactory

GUARDIAN = ("guardian", "guardian_phone", "consented", "is_named")
ADULT = 18
FIRST_DAY = date(timezone.now().year + 1, 6, 15)


@pytest.fixture
def enter(transactional_db, visit):
    """Opens the form for a rider of whom nothing is known yet."""
    division = DivisionFactory(event__adult_age=ADULT, event__first_day=FIRST_DAY)
    name = RiderFactory().user.username

    def opened(script: bool = True) -> Page:
        page = visit("/sign-in/", size=PHONE, script=script)
        page.locator("[name=username]").fill(name)
        page.locator("[name=password]").fill(PASSWORD)
        page.get_by_role("main").get_by_role("button", name="Sign in").click()
        page.goto(f"/riding/enter/{division.pk}/")
        return page

    return opened


def say_born(page: Page, born: date) -> None:
    page.get_by_label("Date of birth").fill(born.isoformat())
    page.keyboard.press("Tab")


def assert_asked(page: Page, asked: bool) -> None:
    for name in GUARDIAN:
        expect(page.locator(f"#div_id_{name}")).to_be_visible(visible=asked)


def test_hidden_for_who_is_of_age_and_back(enter, accessible):
    page = enter()
    assert_asked(page, True)

    say_born(page, date(1990, 4, 17))

    assert_asked(page, False)
    said = page.get_by_role("status").filter(has_text="Of age on the first day")
    expect(said).to_be_visible()
    accessible(page)
    say_born(page, date(FIRST_DAY.year - 12, 4, 17))
    assert_asked(page, True)
    expect(said).to_be_hidden()


@pytest.mark.parametrize(("month", "day"), [(6, 14), (6, 15), (6, 16), (1, 1), (12, 31)])
def test_the_border_is_the_sites_own(enter, month, day):
    """Of age on the first day or not, as the service counts it."""
    page = enter()
    born = date(FIRST_DAY.year - ADULT, month, day)

    say_born(page, born)

    assert_asked(page, age_on(born, FIRST_DAY) < ADULT)


def test_what_is_filled_in_stays_in_sight(enter):
    """Nothing is sent that the rider does not see."""
    page = enter()
    page.get_by_label("Guardian’s full name").fill("Wendelin Quietwater")

    say_born(page, date(1990, 4, 17))

    assert_asked(page, True)


def test_what_is_missing_stays_in_sight(enter):
    """A young rider sent without a guardian: the summary leads to fields that are there."""
    page = enter()
    say_born(page, date(FIRST_DAY.year - 12, 4, 17))
    page.get_by_role("button", name="Enter this division").click()

    expect(page.locator("#faults")).to_be_focused()
    assert_asked(page, True)
    say_born(page, date(1990, 4, 17))
    assert_asked(page, True)


def test_who_is_of_age_enters(enter):
    page = enter()
    say_born(page, date(1990, 4, 17))
    page.get_by_label("Whom to call in an emergency").fill("Ottokar Ferryman")
    page.get_by_label("Their phone number").fill("+43 1 555 0142")
    page.get_by_label("I have read the cautions").check()
    page.get_by_role("button", name="Enter this division").click()

    page.wait_for_url("**/riding/**")
    assert Entry.objects.get().guardian == ""


def test_all_stays_without_a_script(enter):
    page = enter(script=False)

    say_born(page, date(1990, 4, 17))

    assert_asked(page, True)
