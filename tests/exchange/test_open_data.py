"""What holds for every answer of the JSON interface: open to other sites, and always JSON."""

import pytest
from django.http import HttpResponse
from django.test import RequestFactory
from django.urls import reverse

from events.project.open_data import OpenDataMiddleware
from tests.factories import EventFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("method", "path", "status", "said"),
    [
        ("get", "/api/nothing", 404, "openapi.json"),
        ("get", "/api/", 404, "openapi.json"),
        ("get", "/api/events/%00", 404, "openapi.json"),
        ("get", "/api/events/none", 404, "not open to the public"),
        ("get", "/api/events?limit=many", 400, "limit: "),
        ("get", "/api/events?limit=101", 400, "less than or equal to 100"),
        ("get", "/api/events?offset=-1", 400, "offset: "),
        ("post", "/api/events", 405, "ask with GET"),
        ("delete", "/api/events", 405, "ask with GET"),
    ],
)
def test_a_mistake_is_told_in_a_sentence(client, method, path, status, said) -> None:
    answer = getattr(client, method)(path)

    assert answer.status_code == status
    assert answer["Content-Type"].startswith("application/json")
    assert said in answer.json()["detail"]
    assert answer["Access-Control-Allow-Origin"] == "*"


def test_too_much_or_too_often_is_json_too(client, settings) -> None:
    settings.MAX_REQUEST_BYTES = 10
    large = client.post("/api/events", {"text": "much more than ten characters"})
    page = HttpResponse("<h1>Too often</h1>", status=429, headers={"Retry-After": "90"})
    often = OpenDataMiddleware(lambda request: page)(RequestFactory().get("/api/events"))

    assert large.status_code == 413
    assert "GET" in large.json()["detail"]
    assert (often.status_code, often["Retry-After"]) == (429, "90")
    assert b"too often" in often.content


def test_a_fault_of_ours_is_json_with_a_reference(client, monkeypatch) -> None:
    client.raise_request_exception = False
    monkeypatch.setattr("events.models.EventQuerySet.public", lambda self: 1 / 0)

    answer = client.get("/api/events")

    assert answer.status_code == 500
    assert answer.json()["reference"] == answer["X-Request-ID"]


def test_a_mistake_elsewhere_stays_a_page(client) -> None:
    answer = client.get("/events/none/")

    assert answer["Content-Type"].startswith("text/html")
    assert "Access-Control-Allow-Origin" not in answer


def test_head_is_get_without_its_body(client) -> None:
    """RFC 9110, section 9.3.2: the same headers as to GET, no content."""
    EventFactory()
    head, get = client.head("/api/events"), client.get("/api/events")

    assert (head.status_code, head.content) == (200, b"")
    assert head["ETag"] == get["ETag"]


def test_a_browser_asks_first_whether_it_may_send_a_tag(client) -> None:
    """Fetch Standard: If-None-Match is no safelisted header, so a script's needs leave."""
    answer = client.options("/api/events", headers={"Origin": "https://club.example"})

    assert answer.status_code == 204
    assert answer["Access-Control-Allow-Origin"] == "*"
    assert "If-None-Match" in answer["Access-Control-Allow-Headers"]
    assert "POST" not in answer["Access-Control-Allow-Methods"]
    assert "Access-Control-Allow-Credentials" not in answer


def test_the_description_is_open_and_tagged_as_well(client) -> None:
    at = reverse("openapi-json")
    first = client.get(at)
    again = client.get(at, headers={"If-None-Match": first["ETag"]})

    assert first["Access-Control-Allow-Origin"] == "*"
    assert again.status_code == 304
    assert {method for path in first.json()["paths"].values() for method in path} == {"get"}
    assert b"://" not in first.content.replace(b"http://testserver", b"")
