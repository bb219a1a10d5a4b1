"""Limits on tries: by address and by account, shared by all workers, told in a page."""

import threading
from datetime import timedelta

import pytest
from django.contrib.auth import get_user_model
from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.test import RequestFactory
from django.utils import timezone

from events import limits
from events.limit_models import Tally
from events.limits import address_of, limited

pytestmark = pytest.mark.django_db
PASSWORD = "a-long-word-of-its-own"


@pytest.fixture
def rider():
    return get_user_model().objects.create_user("rider@club.example", password=PASSWORD)


def sign_in(client, password=PASSWORD, name="rider@club.example", **extra):
    return client.post("/sign-in/", {"username": name, "password": password}, **extra)


def test_an_account_cannot_be_guessed_for_long(client, rider):
    for _ in range(10):
        assert sign_in(client, "wrong").status_code == 200
    refused = sign_in(client)

    assert refused.status_code == 429
    assert 3500 < int(refused.headers["Retry-After"]) <= 3600
    assert "Please wait 60 minutes" in refused.content.decode()
    assert "_auth_user_id" not in client.session


def test_another_spelling_is_the_same_account(client, rider):
    for _ in range(10):
        sign_in(client, "wrong", name=" Rider@Club.Example")

    assert sign_in(client, "wrong").status_code == 429


def test_others_and_other_addresses_go_on(client, rider):
    """A stranger's tries do not lock the rider out at home."""
    for _ in range(11):
        sign_in(client, "wrong", REMOTE_ADDR="203.0.113.9")

    assert sign_in(client, "wrong", name="other", REMOTE_ADDR="203.0.113.9").status_code == 200
    assert sign_in(client, REMOTE_ADDR="198.51.100.4").status_code == 302


def test_many_addresses_together_are_stopped_as_well(client, rider):
    answers = [
        sign_in(client, "wrong", REMOTE_ADDR=f"203.0.113.{n}").status_code for n in range(101)
    ]

    assert answers == [200] * 100 + [429]


def test_one_address_with_many_names_is_stopped(client):
    answers = [sign_in(client, "wrong", name=f"name{n}").status_code for n in range(101)]

    assert answers == [200] * 100 + [429]


def test_success_costs_nothing(client, rider):
    """A whole club signs in from one address."""
    for _ in range(30):
        assert sign_in(client).status_code == 302
        client.post("/sign-out/")

    assert not Tally.objects.filter(count__gt=0).exists()


def test_after_an_hour_it_begins_anew(client, rider, time_machine):
    time_machine.move_to("2026-06-06 10:00Z", tick=False)
    for _ in range(11):
        sign_in(client, "wrong")
    time_machine.shift(timedelta(minutes=59, seconds=30))
    refused = sign_in(client)
    assert refused.status_code == 429
    assert "Please wait a minute" in refused.content.decode()
    time_machine.shift(timedelta(seconds=30))

    assert sign_in(client).status_code == 302


def test_joining_is_limited(client):
    answers = [client.post("/join/", {}).status_code for _ in range(61)]

    assert answers == [200] * 60 + [429]
    assert client.get("/join/").status_code == 200


def test_limits_can_be_switched_off(client, settings):
    settings.RATE_LIMITS = False

    assert {client.post("/join/", {}).status_code for _ in range(61)} == {200}
    assert not Tally.objects.exists()


def test_neither_addresses_nor_names_are_kept(client, rider):
    sign_in(client, "wrong", REMOTE_ADDR="203.0.113.9")

    kept = "".join(Tally.objects.values_list("key", flat=True))
    assert set(kept) <= set("0123456789abcdef")
    assert Tally.objects.count() == 3


def test_old_tallies_are_swept_away(client):
    old = timezone.now() - timedelta(hours=3)
    Tally.objects.bulk_create(Tally(key=f"old{n}", count=1, until=old) for n in range(250))
    client.post("/join/", {}, REMOTE_ADDR="203.0.113.9")
    client.post("/join/", {}, REMOTE_ADDR="203.0.113.10")

    assert Tally.objects.filter(key__startswith="old").count() == 0
    assert Tally.objects.count() == 2


@pytest.mark.parametrize(
    ("remote", "forwarded", "trusted", "address"),
    [
        ("203.0.113.9", "", False, "203.0.113.9"),
        ("203.0.113.9", "198.51.100.4", False, "203.0.113.9"),
        ("127.0.0.1", "192.0.2.66, 198.51.100.4", True, "198.51.100.4"),
        ("127.0.0.1", "", True, "unknown"),
        ("2001:db8:1:2:aaaa::1", "", False, "2001:db8:1:2::/64"),
        ("::ffff:203.0.113.9", "", False, "203.0.113.9"),
        ("", "", False, "unknown"),
    ],
)
def test_whose_tries_they_are(settings, remote, forwarded, trusted, address):
    """Only what our own proxy wrote is believed; the documentation addresses of RFC 5737/3849."""
    settings.TRUST_PROXY = trusted
    request = RequestFactory().post("/", REMOTE_ADDR=remote, HTTP_X_FORWARDED_FOR=forwarded)

    assert address_of(request) == address


@pytest.mark.django_db(transaction=True)
def test_tries_at_the_same_moment_are_all_counted():
    """No more get through than are allowed, however many arrive together."""
    through: list[int] = []

    @limited("together", per_hour=5)
    def view(request: HttpRequest) -> HttpResponse:
        through.append(1)
        return HttpResponse()

    def send() -> None:
        try:
            view(RequestFactory().post("/"))
        finally:
            connection.close()

    threads = [threading.Thread(target=send) for _ in range(16)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert len(through) == 5
    assert Tally.objects.get().count == 16


def test_a_counted_try_costs_few_queries(django_assert_num_queries):
    limits._count("once")
    with django_assert_num_queries(4):  # a savepoint or transaction around two
        limits._count("once")
