"""Error pages, their reference, and the same reference in the log."""

import io
import json
import logging
import logging.config
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import DataError
from django.http import HttpResponse
from django.test import Client

from events.project import errors, references
from events.project.logs import log_settings
from events.project.middleware import NulMiddleware
from tests.factories import OfficialFactory

pytestmark = pytest.mark.django_db
REFERENCE = re.compile(r"\b[BCDFGHJKMPQRTVWX2346789]{4}-[BCDFGHJKMPQRTVWX2346789]{4}\b")


def reference_on(response) -> str:
    """The reference that the page tells, which is also in its header."""
    found = set(REFERENCE.findall(response.content.decode()))
    assert found == {response.headers["X-Request-ID"]}
    return found.pop()


@pytest.fixture
def quiet() -> Client:
    """A client that gets the page for an error instead of the error."""
    return Client(raise_request_exception=False)


@pytest.fixture
def broken(monkeypatch) -> str:
    """An address whose view fails."""

    def fail(*args: object, **kwargs: object) -> None:
        raise RuntimeError("the inside of the site")

    monkeypatch.setattr("events.views.tricks.render", fail)
    return "/tricks/"


def test_our_own_fault_tells_a_reference_and_nothing_inside(quiet, broken):
    answer = quiet.get(broken)

    assert answer.status_code == 500
    assert "Something went wrong on our side" in answer.content.decode()
    assert "the inside of the site" not in answer.content.decode()
    reference_on(answer)


def test_every_request_has_another_reference(client):
    seen = {client.get("/sign-in/").headers["X-Request-ID"] for _ in range(5)}

    assert len(seen) == 5
    assert references.current_reference() in seen


def test_a_page_for_errors_that_fails_itself_still_answers(quiet, broken, monkeypatch):
    def fail(*args: object) -> None:
        raise ValueError("a template is broken")

    monkeypatch.setattr(errors, "render_to_string", fail)
    answer = quiet.get(broken)

    assert answer.status_code == 500
    assert answer.content.decode().startswith("Something went wrong on our side. Reference: ")
    reference_on(answer)


@pytest.mark.parametrize(
    ("status", "words", "ask"),
    [
        (404, "There is no page here", lambda c: c.get("/nothing/here/")),
        (405, "only takes a form", lambda c: c.get("/sign-out/")),
        (400, "could not be read", lambda c: c.post("/join/", {"a": "x" * 3_000_000})),
        (413, "too large to send", lambda c: c.post("/join/", {"a": "x" * 6_000_000})),
        (
            400,
            "could not be read",
            lambda c: c.post(
                "/join/", {f"file{n}": SimpleUploadedFile("a.csv", b"x") for n in range(26)}
            ),
        ),
    ],
    ids=["nothing", "button", "text", "size", "files"],
)
def test_pages_of_mistakes(quiet, status, words, ask):
    answer = ask(quiet)

    assert answer.status_code == status
    assert words in answer.content.decode()
    assert answer.content.decode().count("<h1>") == 1
    reference_on(answer)


def test_somebody_elses_page(client):
    club = OfficialFactory().club
    client.force_login(OfficialFactory().user)
    answer = client.get(f"/organise/clubs/{club.slug}/people/")

    assert answer.status_code == 403
    reference_on(answer)


def test_a_form_out_of_date(caplog):
    strict = Client(enforce_csrf_checks=True)
    answer = strict.post("/join/", {"email": "rider@club.example"})

    assert answer.status_code == 403
    assert "This form is out of date" in answer.content.decode()
    reference_on(answer)


def test_a_host_that_is_not_ours(client):
    answer = client.get("/", headers={"host": "elsewhere.example"})

    assert answer.status_code == 400
    reference_on(answer)


@pytest.fixture
def written(monkeypatch):
    """Read the log in one of its shapes; afterwards logging is as it was."""
    streams = []

    def start(shape: str) -> io.StringIO:
        stream = io.StringIO()
        streams.append(stream)
        wanted = log_settings(level="INFO", shape=shape)
        wanted["handlers"]["console"]["stream"] = stream
        logging.config.dictConfig(wanted)
        return stream

    yield start
    logging.config.dictConfig(log_settings(level="INFO", shape="line"))


def test_the_log_in_lines_carries_the_reference(quiet, broken, written):
    stream = written("line")
    answer = quiet.get(broken)

    first = stream.getvalue().splitlines()[0]
    assert f" ERROR django.request {answer.headers['X-Request-ID']}: " in first
    assert "RuntimeError: the inside of the site" in stream.getvalue()


def test_the_log_as_json_is_one_object_a_line(quiet, broken, written, settings):
    settings.LOG_REQUESTS = True
    stream = written("json")
    answer = quiet.get(broken)

    lines = [json.loads(line) for line in stream.getvalue().splitlines()]
    assert {line["reference"] for line in lines} == {answer.headers["X-Request-ID"]}
    failed, request = lines
    assert failed["level"] == "ERROR"
    assert "the inside of the site" in failed["exc_info"]
    assert (request["method"], request["route"], request["status"]) == ("GET", "/tricks/", 500)
    assert request["ms"] > 0


def test_secret_addresses_and_health_are_not_logged(client, written, settings):
    """A shared plan is read by whoever knows its address, so the log names its route only."""
    settings.LOG_REQUESTS = True
    stream = written("line")
    logging.getLogger("django.request").setLevel("ERROR")
    client.get("/health/")
    client.get("/events/a-secret-word/?who=rider@club.example")
    logging.getLogger("django.request").setLevel("NOTSET")

    assert len(stream.getvalue().splitlines()) == 1
    assert "GET /events/<slug:event>/ 404" in stream.getvalue()
    assert "secret" not in stream.getvalue()
    assert "rider@" not in stream.getvalue()


class TestNul:
    """The character NUL: PostgreSQL cannot store it, so it is refused on any database."""

    def test_in_an_address(self, client, db):
        answer = client.get("/events/reed%00cup/")
        assert answer.status_code == 404

    def test_in_a_form(self, client, db):
        """Fields check it; the page is shown again."""
        answer = client.post("/sign-in/", {"username": "a\0b", "password": "c\0d"})
        assert answer.status_code == 200

    def test_as_the_database_refuses_it(self, rf):
        watch = NulMiddleware(lambda request: HttpResponse())
        refused = DataError("PostgreSQL text fields cannot contain NUL (0x00) bytes")

        assert watch.process_exception(rf.post("/"), refused).status_code == 400
        assert watch.process_exception(rf.post("/"), DataError("value too long")) is None
