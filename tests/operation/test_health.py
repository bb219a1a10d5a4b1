"""The health address: right answers, no secrets, no session, few queries."""

import pytest
from django.contrib.sessions.models import Session
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

pytestmark = pytest.mark.django_db
WELL = {"healthy": True, "database": "ok", "migrations": "ok", "storage": "ok"}


def test_all_is_well(client, django_assert_max_num_queries):
    with django_assert_max_num_queries(4):
        answer = client.get("/health/")

    assert (answer.status_code, answer.json()) == (200, WELL)
    assert not answer.cookies
    assert "no-store" in answer.headers["Cache-Control"]
    assert not Session.objects.exists()


def test_a_database_older_than_the_code(client):
    ((_, newest),) = MigrationLoader(connection).graph.leaf_nodes("riders")
    MigrationRecorder(connection).record_unapplied("riders", newest)
    answer = client.get("/health/")

    assert answer.status_code == 503
    assert answer.json() == WELL | {"healthy": False, "migrations": "fails"}


def test_a_full_or_locked_disk(client, settings, tmp_path):
    settings.STATE_DIR = tmp_path / "taken away"
    answer = client.get("/health/")

    assert answer.status_code == 503
    assert answer.json() == WELL | {"healthy": False, "storage": "fails"}


def test_a_database_that_is_gone_is_told_without_its_address(client, monkeypatch, caplog):
    def refuse() -> None:
        raise OSError("cannot reach db.secret.example as club:word")

    monkeypatch.setattr(connection, "cursor", refuse)
    answer = client.get("/health/")

    assert answer.status_code == 503
    assert answer.json()["database"] == "fails"
    assert "secret" not in answer.content.decode()


def test_only_for_reading(client):
    assert client.post("/health/").status_code == 405
    assert client.head("/health/").status_code == 200
