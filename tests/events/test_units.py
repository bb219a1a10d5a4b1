"""The units that a visitor reads figures in: chosen at the foot of a page, remembered."""

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from events.models import Division, UnitsChoice
from events.rules.loading import as_data, load_format
from events.rules.run import Run
from events.services import publish_edition
from events.units import COOKIE
from riders.erasing import erase
from riders.own_data import own_data
from riders.rows import PassRows, Row, Sheet
from riders.services import keep_plan
from tests.events.markup import page, queries_of, text_of
from tests.factories import PASSWORD, DivisionFactory, EntryFactory, UserFactory

pytestmark = pytest.mark.django_db

FEET = {"length": "ft", "speed": "mph", "mass": "lb"}
RULES = """
[passes]
count = 1
length_m = 370
ended_by = "marker"

[boat]
speed = "36 km/h"
rope = "65 ft"

[route]
trick_m = 200
turn_m = 0
cross_m = 0
"""


def with_rules() -> Division:
    """A public division whose course, speed and rope are stated."""
    division = DivisionFactory(draft=as_data(load_format(RULES)))
    publish_edition(division=division, by=UserFactory())
    return Division.objects.get(pk=division.pk)


def choose(client: Client, where: str = "/", **units: str):
    return client.post(reverse("units"), {"next": where, **units})


def test_as_published_until_somebody_chooses(client: Client) -> None:
    words = text_of(page(client, with_rules().get_absolute_url()))
    assert "The pass is 370 m long." in words
    assert "The rope is 65 ft long" in words
    assert "as published)" not in words
    assert "Units: as published" in words


def test_a_choice_is_shown_on_the_page_it_was_made_on(client: Client) -> None:
    division = with_rules()
    where = f"{division.get_absolute_url()}?round=x"
    answer = choose(client, where, **FEET)
    assert (answer.status_code, answer.url) == (302, where)
    words = text_of(page(client, where))
    assert "The pass is 1214 ft (370 m as published) long." in words
    assert "22.4 mph (36 km/h as published)" in words
    assert "The rope is 65 ft long" in words
    assert "Units: ft, mph, lb" in words
    assert "Figures are shown so: ft, mph, lb." in words


def test_nothing_published_changes(client: Client) -> None:
    division = with_rules()
    choose(client, **FEET)
    page(client, division.get_absolute_url())
    edition = Division.objects.get(pk=division.pk).edition
    assert edition is not None
    assert edition.format == load_format(RULES)
    text = client.get(reverse("edition-text", args=[division.event.slug, division.slug, 1]))
    assert 'speed = "36 km/h"' in text.content.decode()


def test_back_to_as_published(client: Client) -> None:
    choose(client, **FEET)
    assert client.cookies[COOKIE].value == "ft.mph.lb"
    choose(client, length="", speed="", mass="")
    assert client.cookies[COOKIE].value == ""
    assert "Units: as published" in text_of(page(client, "/"))


@pytest.mark.parametrize("wrong", ["furlong", "m ", "mph", "\N{SNOWMAN}", "ft" * 500])
def test_what_is_no_unit_changes_nothing(client: Client, wrong: str) -> None:
    choose(client, **FEET)
    choose(client, length=wrong, speed="km/h", mass="kg")
    words = text_of(page(client, "/"))
    assert "Choose each unit from its list. Nothing is changed." in words
    assert "Units: ft, mph, lb" in words


def test_junk_in_the_cookie_is_as_published(client: Client) -> None:
    client.cookies[COOKIE] = "<b>.;,"
    assert "Units: as published" in text_of(page(client, "/"))


@pytest.mark.parametrize(
    "away", ["", "https://elsewhere.example/", "//elsewhere.example", "x:y"]
)
def test_nobody_is_sent_to_another_site(client: Client, away: str) -> None:
    assert choose(client, away, **FEET).url == "/"


def test_only_a_sent_form_changes_units(client: Client) -> None:
    assert client.get(reverse("units"), FEET).status_code == 405
    strict = Client(enforce_csrf_checks=True)
    assert strict.post(reverse("units"), FEET).status_code == 403


def test_after_a_refused_form_one_goes_back_to_the_page_it_was_on(client: Client) -> None:
    """The answer to a sent form has no address of its own to go back to."""
    sign_in = reverse("sign-in")
    answer = client.post(sign_in, {}, headers={"referer": f"http://testserver{sign_in}?next=/"})
    assert f'name="next" value="http://testserver{sign_in}?next=/"' in answer.content.decode()
    answer = client.post(sign_in, {}, headers={"referer": "http://elsewhere.example/"})
    assert 'name="next" value="/"' in answer.content.decode()


def test_the_account_keeps_it_for_other_devices(client: Client) -> None:
    user: User = UserFactory()
    client.force_login(user)
    choose(client, **FEET)
    other = Client()
    other.post(reverse("sign-in"), {"username": user.username, "password": PASSWORD})
    assert other.cookies[COOKIE].value == "ft.mph.lb"
    assert "Units: ft, mph, lb" in text_of(page(other, "/"))


def test_a_device_s_choice_stays_where_the_account_has_none(client: Client) -> None:
    user: User = UserFactory()
    choose(client, **FEET)
    client.post(reverse("sign-in"), {"username": user.username, "password": PASSWORD})
    assert "Units: ft, mph, lb" in text_of(page(client, "/"))


def test_the_account_page_offers_it(client: Client) -> None:
    client.force_login(UserFactory())
    choose(client, speed="mph")
    html = client.get(reverse("account")).content.decode()
    assert html.count('<option value="mph" selected>') == 2  # on the page and at its foot


def test_one_keeps_and_takes_one_s_choice_along(client: Client) -> None:
    user: User = UserFactory()
    client.force_login(user)
    choose(client, **FEET)
    choose(client, speed="mph")
    assert [each.units for each in UnitsChoice.objects.all()] == ["-.mph.-"]
    assert {"units": "-.mph.-"}.items() <= own_data(user)["units choices"][0].items()
    erase(user)
    assert not UnitsChoice.objects.exists()


def test_pages_ask_no_more_for_it(client: Client) -> None:
    user: User = UserFactory()
    client.force_login(user)
    where = with_rules().get_absolute_url()
    before = queries_of(client, where)
    choose(client, **FEET)
    page(client, where)  # tells what was chosen
    assert queries_of(client, where) == before


def test_caches_are_told_that_pages_differ_by_cookie(client: Client) -> None:
    answer = client.get(with_rules().get_absolute_url())
    assert "Cookie" in answer.headers["Vary"]


def test_a_box_in_another_site_is_the_same_for_everybody(client: Client) -> None:
    division = with_rules()
    box = reverse("division-box", args=[division.event.slug, division.slug])
    before = client.get(box)
    choose(client, **FEET)
    after = client.get(box)
    assert before.content == after.content
    assert "Cookie" not in after.headers.get("Vary", "")


def test_the_page_for_no_reception_has_no_form(client: Client) -> None:
    """It is fetched without cookies, so that its form could not be sent."""
    assert 'action="/units/"' not in client.get(reverse("offline")).content.decode()
    assert 'action="/units/"' in client.get("/").content.decode()


def test_the_planner_speaks_of_the_rider_s_units_and_keeps_metres(client: Client) -> None:
    """Two tricks of 200 m need 400 m, 1312.3 ft; the course is 370 m, 1213.9 ft."""
    entry = EntryFactory(division=with_rules())
    client.force_login(entry.rider.user)
    sheet = Sheet(passes=[PassRows([Row(trick="HS backroll"), Row(trick="Tantrum")])])
    keep_plan(entry=entry, round_name="", sheet=sheet, run=Run(()))
    where = reverse("plan", args=[entry.pk])
    assert "Pass 1 needs 400 m with everything landed; the course is 370 m long." in text_of(
        page(client, where)
    )
    before = queries_of(client, where)
    choose(client, **FEET)
    words = text_of(page(client, where))
    assert (
        "Pass 1 needs 1312 ft with everything landed; the course is 1214 ft long (370 m)."
        in words
    )
    assert "Pass 1: left to right, 1214 ft (370 m)" in words
    assert queries_of(client, where) == before


def test_what_is_declared_is_kept_as_published(client: Client) -> None:
    entry = EntryFactory(division=with_rules())
    client.force_login(entry.rider.user)
    choose(client, **FEET)
    client.post(
        reverse("plan", args=[entry.pk]),
        {"passes": "1", "p1-rows": "2", "b1-rows": "0", "p1-1-trick": "HS backroll",
         "p1-2-trick": "Tantrum", "edition": "1", "action": "declare"},
    )  # fmt: skip
    (declared,) = entry.declarations.all()
    said = " ".join(each["message"] for each in declared.check_result["findings"])
    assert "370 m" in said
    assert " ft" not in said
