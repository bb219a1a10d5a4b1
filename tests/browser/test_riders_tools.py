"""Riders' further tools in a browser: the log between sets, suggestions, sharing with a coach."""

import re

import pytest
from django.core.management import call_command
from playwright.sync_api import expect

from riders.models import Entry, LandingDay
from tests.browser.conftest import PHONE
from tests.browser.test_every_page import OPEN, sign_in


@pytest.fixture
def plan(transactional_db) -> str:
    """The address of the demo rider's plan in the open event."""
    call_command("load_demo", verbosity=0)
    entry = Entry.objects.get(rider__user__username="rider", division__event__slug=OPEN)
    return f"/riding/entries/{entry.pk}/plan/"


@pytest.mark.parametrize("script", [True, False], ids=["script", "plain"])
def test_the_log_between_sets(plan, visit, accessible, script):
    """Taps count, also fast ones; the last can be taken back; the planner reads them."""
    page = visit("/", size=PHONE, script=script)
    sign_in(page, "rider")
    page.goto("/riding/log/set/")
    landed = page.get_by_role("button", name=re.compile(r"Landed \+1\W+HS backroll$"))
    fell = page.get_by_role("button", name=re.compile(r"Fell \+1\W+HS backroll$"))
    assert landed.bounding_box()["height"] >= 64
    for button in (landed, landed, fell):
        button.click()
    expect(page.locator(".tap").filter(has_text="HS backroll").first).to_contain_text(
        "Today 2 of 3"
    )
    page.get_by_role("button", name="Undo the last tap").click()
    expect(page.locator(".tap").filter(has_text="HS backroll").first).to_contain_text(
        "Today 2 of 2"
    )

    assert [(day.landed, day.tried) for day in LandingDay.objects.all()] == [(2, 2)]
    if script:
        accessible(page)
        line = LandingDay.objects.get().pk
        for address in ("tricks/HS backroll/", f"lines/{line}/", f"lines/{line}/delete/"):
            page.goto(f"/riding/log/{address}")
            accessible(page)


def test_a_file_is_looked_at_before_it_is_taken_in(plan, visit, accessible):
    """Every bad cell is named, and nothing is written before it is confirmed."""
    page = visit("/", size=PHONE)
    sign_in(page, "rider")
    page.goto("/riding/log/import/")
    text = (
        "trick,day,landed,tried,setting,note\n"
        "HS backroll,2026-05-02,4,5,practice,calm\n"
        "HS bakroll,2026-05-02,6,5,practice,\n"
    )
    sent = {"name": "log.csv", "mimeType": "text/csv", "buffer": text.encode()}
    page.locator("input[type=file]").set_input_files(sent)
    page.locator("main input[type=submit], main button[type=submit]").first.click()
    expect(page.get_by_role("main")).to_contain_text("HS bakroll")
    accessible(page)

    assert not LandingDay.objects.exists()


def test_a_copied_plan_says_what_the_other_rules_change(plan, visit, accessible):
    """Before anything is copied."""
    page = visit("/", size=PHONE)
    sign_in(page, "rider")
    page.goto(plan)
    page.get_by_role("link", name="Copy").click()
    page.get_by_role("main").get_by_role("link", name=re.compile("Two Wakes")).click()
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    accessible(page)


def test_suggestions_are_taken_over_and_taken_back(plan, visit):
    """One click makes a suggestion the plan, another takes it back."""
    page = visit("/")
    sign_in(page, "rider")
    page.goto(plan)
    before = page.locator("[name=p2-3-trick]").input_value()
    page.get_by_role("button", name="Suggest").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Suggestions for your run")
    drop = page.get_by_role("row").filter(has_text=f"Drop {before}")
    drop.get_by_role("button", name="Use this").click()
    expect(page.locator("[name=p2-3-trick]")).to_have_count(0)
    page.get_by_role("button", name="Undo").click()
    page.goto(plan)
    expect(page.locator("[name=p2-3-trick]")).to_have_value(before)


def test_a_finding_is_mended_by_a_click(plan, visit):
    """The button beside a finding changes the run so that it is gone."""
    page = visit("/")
    sign_in(page, "rider")
    page.goto(plan)
    page.locator("[name=p1-2-trick]").fill("HS FS 540")
    page.locator("[name=p1-2-trick]").press("Tab")  # else the click leaves the field as well
    finding = page.locator("#at-p1-2 .finding--rule")
    expect(finding).to_contain_text("is not allowed")
    page.wait_for_load_state("networkidle")  # no check is under way that draws it again
    finding.get_by_role("button", name=re.compile("Mend this")).click()
    expect(page.get_by_role("button", name="Undo")).to_be_visible()
    expect(page.locator("#check")).to_contain_text("Nothing in this run breaks a rule.")


def test_a_coach_reads_a_shared_plan_until_it_is_stopped(plan, visit, accessible):
    """A link is made, opened without an account, kept by a coach, and stopped."""
    rider = visit("/")
    sign_in(rider, "rider")
    rider.goto(plan)
    rider.get_by_role("link", name="Share").click()
    rider.get_by_role("button", name="Make a link").click()
    link = rider.locator("#link").input_value()
    accessible(rider)

    stranger = visit(link, size=PHONE)
    expect(stranger.get_by_role("heading", level=1)).to_have_text("Plan of Mika Sundelöf")
    accessible(stranger)

    coach = visit("/")
    sign_in(coach, "table")
    coach.goto(link)
    coach.get_by_role("button", name="Keep it in my coach’s table").click()
    if coach.get_by_label("Given name").count():
        coach.get_by_label("Given name").fill("Barnabás")
        coach.get_by_label("Family name").fill("Tóközi")
        coach.get_by_role("button", name="Save").click()
        coach.goto(link)
        coach.get_by_role("button", name="Keep it in my coach’s table").click()
    coach.goto("/riding/coach/")
    expect(coach.get_by_role("main")).to_contain_text("Mika Sundelöf")
    accessible(coach)

    rider.goto(plan)
    rider.get_by_role("link", name="Share").click()
    rider.get_by_role("button", name="Stop sharing with everybody").click()
    coach.goto("/riding/coach/")
    expect(coach.get_by_role("main")).to_contain_text("no longer shared")
