"""Letters, and every page that a link in a letter opens, in a browser."""

import pytest
from django.contrib.auth.models import User
from django.core import mail
from django.core.management import call_command
from playwright.sync_api import Page, expect

from events.models import Letter
from events.post import link_for, send
from tests.browser.conftest import DESK, PHONE
from tests.browser.test_every_page import CLUB, sign_in
from tests.events.letters import KEY_TEXT

sizes = pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
NEW = "reed-harbour-18"


@pytest.fixture
def demo(transactional_db):
    """The demo, with its rider's account."""
    call_command("load_demo", verbosity=0)
    return User.objects.get(username="rider")


@pytest.fixture
def served(settings):
    """A site with a mail server; what it takes lands in `mail.outbox`."""
    settings.POST_IS_SENT = True


def newest_link(page: Page, about: str) -> str:
    """The path of the link in the newest letter of that kind, once it was sent."""
    for _ in range(100):
        found = [each for each in mail.outbox if about in each.subject]
        if found:
            line = next(line for line in found[-1].body.splitlines() if "/key/" in line)
            return "/" + line.split("/", 3)[3]
        page.wait_for_timeout(50)
    raise AssertionError(f"No letter about {about!r}")


def ask(page: Page, address: str) -> None:
    page.goto(address)
    page.locator("[name=who]").fill("rider@example.org")
    page.get_by_role("button", name="Send me a link").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Look for a letter")


def heading(page: Page, words: str) -> None:
    expect(page.get_by_role("heading", level=1)).to_have_text(words)


@sizes
def test_a_letter_is_read_and_passed_on(demo, visit, accessible, size):
    letter = send(to=demo.email, subject="You are entered", text=KEY_TEXT, person=demo)
    page = visit("/", size=size)
    sign_in(page, "organiser")
    page.goto(f"/organise/clubs/{CLUB}/post/{letter.pk}/")
    accessible(page)
    expect(page.locator(".letter")).to_contain_text("[link, hidden")

    page.get_by_role("button", name="Show the link").click()
    expect(page.locator(".letter")).to_contain_text("/key/in/abc")
    accessible(page)
    page.get_by_role("button", name="I passed it on by hand").click()
    expect(page.locator(".badge")).to_have_text("Passed on by hand")
    accessible(page)


@sizes
def test_a_letter_that_failed(demo, visit, accessible, size, served):
    club = demo.rider.entries.first().division.event.club
    letter = send(to="", subject="The rules have changed", text="Hello", club=club)
    page = visit("/", size=size)
    sign_in(page, "organiser")
    page.goto(f"/organise/clubs/{CLUB}/post/?state=failed")
    accessible(page)
    page.get_by_role("link", name=letter.subject).click()
    expect(page.get_by_role("main")).to_contain_text("There is no e-mail address")
    accessible(page)


@sizes
def test_in_by_a_link_that_works_once(demo, visit, accessible, size, served):
    page = visit("/", size=size)
    ask(page, "/sign-in/link/?next=/riding/log/")
    link = newest_link(page, "A link to sign in")
    page.goto(link)
    heading(page, "Sign in as Mika Sundelöf")
    accessible(page)
    page.get_by_role("button", name="Yes, sign me in").click()
    expect(page).to_have_url(f"{page.url.split('/riding/')[0]}/riding/log/")

    page.get_by_role("button", name="Sign out").click()
    answer = page.request.get(link)  # a browser would note the 410 as an error
    assert answer.status == 410
    assert "This link works no more" in answer.text()


@sizes
def test_in_by_an_entry_mail_and_proving_who_it_is(demo, visit, accessible, size, served):
    page = visit("/", size=size)
    page.goto("/" + link_for(demo, "/riding/").split("/", 3)[3])
    page.get_by_role("button", name="Yes, sign me in").click()
    heading(page, "Mika Sundelöf")
    page.goto("/account/")
    expect(page.get_by_role("main")).to_contain_text("You came by the link in an entry mail")
    accessible(page)

    page.get_by_role("link", name="Change my password").click()
    heading(page, "Sign in by a link")
    expect(page.locator(".message--warning")).to_contain_text("surer that it is you")
    accessible(page)


@sizes
def test_a_new_password_by_a_link(demo, visit, accessible, size, served):
    page = visit("/", size=size)
    ask(page, "/password/forgotten/")
    page.goto(newest_link(page, "A link to set a password"))
    heading(page, "Choose a new password")
    accessible(page)
    for field in ("new_password1", "new_password2"):
        page.locator(f"[name={field}]").fill("12345")
    page.get_by_role("button", name="Keep this password").click()
    expect(page.locator(".has-error [name=new_password1]")).to_be_visible()
    accessible(page)

    for field in ("new_password1", "new_password2"):
        page.locator(f"[name={field}]").fill(NEW)
    page.get_by_role("button", name="Keep this password").click()
    expect(page.locator(".message--success")).to_contain_text("Your new password holds")
    demo.refresh_from_db()
    assert demo.check_password(NEW)


@sizes
def test_another_address_is_confirmed(demo, visit, accessible, size, served):
    page = visit("/", size=size)
    sign_in(page, "rider")
    page.goto("/account/e-mail/")
    page.locator("[name=email]").fill("mika@example.org")
    page.get_by_role("button", name="Use this address").click()
    expect(page.locator(".message--success")).to_contain_text("Look for a letter")

    page.goto(newest_link(page, "Confirm your new address"))
    heading(page, "Is mika@example.org yours?")
    accessible(page)
    page.get_by_role("button", name="Yes, use this address").click()
    expect(page.locator(".message--success")).to_contain_text("mika@example.org now")


@sizes
def test_erasing_asks_for_a_word(demo, visit, accessible, size):
    page = visit("/", size=size)
    sign_in(page, "rider")
    page.goto("/account/erase/")
    page.locator("[name=word]").fill("yes")
    page.get_by_role("button", name="Erase my data for good").click()
    expect(page.locator(".field-error").first).to_contain_text("Nothing was erased")
    accessible(page)

    page.locator("[name=word]").fill("erase")
    page.get_by_role("button", name="Erase my data for good").click()
    expect(page.locator(".message--success")).to_contain_text("Your data is erased")
    expect(page.get_by_role("link", name="Sign in")).to_be_visible()
    assert not User.objects.filter(username="rider").exists()
    assert not Letter.objects.filter(to="rider@example.org").exists()
