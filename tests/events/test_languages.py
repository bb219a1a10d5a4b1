"""The language that pages and letters are in: chosen at the foot of a page, remembered."""

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse
from django.utils import translation

from events.languages import language_of, languages_of, on_paper, written_to
from events.models import LanguageChoice
from riders.erasing import erase
from riders.own_data import own_data
from tests.events.markup import page, text_of
from tests.factories import PASSWORD, RiderFactory, UserFactory

pytestmark = pytest.mark.django_db
COOKIE = settings.LANGUAGE_COOKIE_NAME


def choose(client: Client, language: str, where: str = "/"):
    return client.post(reverse("language"), {"next": where, "language": language})


def html_language(client: Client, **headers: str) -> str:
    answer = client.get("/", headers=headers)
    return answer.content.decode().partition('<html lang="')[2].partition('"')[0]


def test_english_until_somebody_or_the_browser_chooses(client: Client) -> None:
    assert html_language(client) == "en-gb"
    assert html_language(client, **{"accept-language": "fr, en-US;q=0.5"}) == "en-gb"
    assert html_language(client, **{"accept-language": "de-CH, en;q=0.5"}) == "de"


def test_a_choice_goes_before_what_the_browser_asks(client: Client) -> None:
    answer = choose(client, "de", "/for-webmasters/?x=1")
    assert (answer.status_code, answer.url) == (302, "/for-webmasters/?x=1")
    assert html_language(client, **{"accept-language": "en"}) == "de"
    choose(client, "en-gb")
    assert html_language(client, **{"accept-language": "de"}) == "en-gb"


def test_the_answer_says_that_it_differs(client: Client) -> None:
    answer = client.get("/")
    assert answer["Content-Language"] == "en-gb"
    assert {"Accept-Language", "Cookie"} <= set(answer["Vary"].split(", "))


def test_another_language_is_refused_with_a_sentence(client: Client) -> None:
    answer = choose(client, "xx")
    assert COOKIE not in answer.cookies
    assert "Choose a language from the list. Nothing is changed." in text_of(page(client, "/"))


def test_no_other_site_is_gone_on_to(client: Client) -> None:
    assert choose(client, "de", "https://elsewhere.example/").url == "/"
    assert client.get(reverse("language")).status_code == 405


@pytest.mark.parametrize("address", ["/api/openapi.json", "/box/nowhere/"])
def test_what_any_cache_may_keep_asks_the_browser_alone(client: Client, address: str) -> None:
    choose(client, "de")
    answer = client.get(address, headers={"accept-language": "en"})
    assert answer["Content-Language"] == "en-gb"
    assert "Accept-Language" in answer["Vary"]
    assert "Cookie" not in answer["Vary"]


def test_the_account_remembers_it_for_other_devices(client: Client) -> None:
    user = UserFactory()
    client.force_login(user)
    choose(client, "de")
    elsewhere = Client()
    elsewhere.post(reverse("sign-in"), {"username": user.get_username(), "password": PASSWORD})
    assert html_language(elsewhere) == "de"


def test_letters_and_papers_follow_their_readers(settings) -> None:
    reader, other = UserFactory(), UserFactory()
    LanguageChoice.objects.create(user=reader, language="de")
    LanguageChoice.objects.create(user=other, language="xx")  # no longer offered
    assert [language_of(reader), language_of(other), language_of(None)] == [
        "de", "en-gb", "en-gb",
    ]  # fmt: skip
    assert languages_of([reader.pk, other.pk]) == {reader.pk: "de"}
    with translation.override("de"), on_paper():
        assert translation.get_language() == "en-gb"
    with written_to(reader):
        assert translation.get_language() == "de"


def test_it_is_told_and_erased_with_the_rest() -> None:
    user = RiderFactory().user
    LanguageChoice.objects.create(user=user, language="de")
    assert own_data(user)["language choices"][0]["language"] == "de"
    erase(user)
    assert not LanguageChoice.objects.exists()
