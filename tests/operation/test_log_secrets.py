"""Addresses that let somebody in never reach the log, whoever writes the line."""

import io
import logging.config
import subprocess
import sys

import pytest
from django.test import Client

from events.project.logs import log_settings
from tests.operation.conftest import BASE

TOKEN = "WzIwLCJhYmMiXQ:1xWY:c2VjcmV0"


@pytest.fixture
def said():
    """What is written to the log; afterwards logging is as it was."""
    stream = io.StringIO()
    wanted = log_settings(level="INFO", shape="line")
    wanted["handlers"]["console"]["stream"] = stream
    logging.config.dictConfig(wanted)
    yield stream
    logging.config.dictConfig(log_settings(level="INFO", shape="line"))


@pytest.mark.django_db
def test_a_link_that_is_over(client, said):
    assert client.get(f"/key/in/{TOKEN}/").status_code == 410

    assert "Gone: /key/(hidden)" in said.getvalue()
    assert TOKEN not in said.getvalue()


@pytest.mark.django_db
def test_a_link_that_still_works_in_a_form_out_of_date(said):
    Client(enforce_csrf_checks=True).post(f"/key/once/{TOKEN}/")

    assert "Forbidden" in said.getvalue()
    assert TOKEN not in said.getvalue()


@pytest.mark.parametrize("path", ["/key/email/{}/", "/shared/{}/", "/shared/{}/keep/?x=1"])
def test_a_line_of_anything_else(said, path):
    logging.getLogger("riders").warning('"GET %s HTTP/1.1" %s', path.format(TOKEN), 200)

    assert TOKEN not in said.getvalue()
    assert 'HTTP/1.1" 200' in said.getvalue()


def test_other_lines_stay_as_they_are(said):
    logging.getLogger("events").info("GET %s", "/events/lake/open/")

    assert said.getvalue().endswith("GET /events/lake/open/\n")


def test_a_mail_server_that_is_set_to_nothing_is_none(production):
    """As environment files write it that name every setting."""
    code = "from django.conf import settings; print(settings.POST_IS_SENT)"
    done = subprocess.run(
        [sys.executable, "-c", code],
        env=production | {"EMAIL_URL": "", "DJANGO_SETTINGS_MODULE": "events.project.settings"},
        cwd=BASE,
        capture_output=True,
        text=True,
    )

    assert (done.stdout.strip(), done.returncode) == ("False", 0), done.stderr
