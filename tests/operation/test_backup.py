"""Backups: every value of every table comes back, wholly or not at all."""

import json
import os
import threading
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from django.contrib.auth import get_user_model
from django.core.management import CommandError, call_command
from django.db import connection, models
from django.db.migrations.executor import MigrationExecutor

from events.models import Club, Edition
from events.project import archive
from events.project.archive import BackupError
from events.project.backup import make_backup
from events.project.restore import data_here, restore_backup

pytestmark = pytest.mark.django_db(transaction=True)


@contextmanager
def fresh_database(folder: Path) -> Iterator[None]:
    """An empty SQLite database in the place of the one of the tests."""
    changed = {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": str(folder / "fresh.sqlite3"),
        "OPTIONS": {"transaction_mode": "IMMEDIATE", "timeout": 20},
    }
    with archive.standing_in(**changed):
        yield


def everything() -> dict[str, list[list[object]]]:
    """Every row of every table that is kept, as the database gives it."""
    state = archive.apps_after(set(archive.applied()))
    return {
        model._meta.label_lower: [
            [archive.as_text(field, row) for field in archive.columns(model)]
            for row in model._base_manager.order_by("pk")
        ]
        for model in archive.kept_models(state)
    }


@pytest.fixture
def state(settings, tmp_path) -> Path:
    """A state folder of this test's own."""
    settings.STATE_DIR = tmp_path / "state"
    settings.MEDIA_ROOT = settings.STATE_DIR / "media"
    settings.STATE_DIR.mkdir()
    return settings.STATE_DIR


@pytest.fixture
def demo(state) -> Path:
    """A site with the demo and a kept file."""
    call_command("load_demo", verbosity=0)
    (state / "media" / "papers").mkdir(parents=True)
    (state / "media" / "papers" / "waiver.txt").write_text("sign here", "utf-8")
    return state


def test_every_table_comes_back_in_a_fresh_database(demo, tmp_path, settings):
    before = everything()
    call_command("backup", str(tmp_path / "b.zip"), verbosity=0)
    settings.MEDIA_ROOT = tmp_path / "elsewhere" / "media"
    settings.STATE_DIR = tmp_path / "elsewhere"
    settings.STATE_DIR.mkdir()

    with fresh_database(tmp_path):
        call_command("restore", str(tmp_path / "b.zip"), verbosity=0)
        after = everything()
        new = Club.objects.create(name="After the restore", slug="after")

    assert after == before
    assert sum(map(len, before.values())) > 500
    assert new.pk not in [row[0] for row in before["events.club"]]
    assert (settings.MEDIA_ROOT / "papers/waiver.txt").read_text("utf-8") == "sign here"


def test_in_place_with_replace(demo, tmp_path):
    before = everything()
    make_backup(tmp_path / "b.zip")
    Club.objects.create(name="Not in the backup", slug="later")
    (demo / "media" / "later.txt").write_text("later")

    restore_backup(tmp_path / "b.zip", replace=True)

    assert everything() == before
    assert not (demo / "media" / "later.txt").exists()
    Club.objects.create(name="Keys go on from there", slug="next")


def test_a_site_with_data_is_not_overwritten_unasked(demo, tmp_path):
    make_backup(tmp_path / "b.zip")
    before = everything()

    with pytest.raises(CommandError, match="add --replace"):
        call_command("restore", str(tmp_path / "b.zip"))
    assert everything() == before


def test_it_holds_neither_keys_nor_sessions_and_is_private(demo, tmp_path, client):
    client.force_login(get_user_model().objects.first())
    (demo / "secret-key.txt").write_text("the key")
    make_backup(tmp_path / "b.zip")

    with zipfile.ZipFile(tmp_path / "b.zip") as made:
        names = made.namelist()
    assert not [name for name in names if "session" in name or "key.txt" in name]
    assert "media/papers/waiver.txt" in names
    assert (tmp_path / "b.zip").stat().st_mode & 0o077 == 0


def test_values_that_are_easily_lost(state, tmp_path):
    """Microseconds, no value beside an empty one, letters of all kinds, nested data."""
    user = get_user_model().objects.create_user(
        "jürgen", first_name="", last_name="Ødegård\n\t✓"
    )
    with connection.cursor() as cursor:
        cursor.execute("SELECT COUNT(*) FROM django_migrations")
    assert user.date_joined.microsecond
    make_backup(tmp_path / "b.zip")
    restore_backup(tmp_path / "b.zip", replace=True)

    back = get_user_model().objects.get()
    assert back.date_joined == user.date_joined
    assert (back.last_login, back.first_name, back.last_name) == (None, "", "Ødegård\n\t✓")


def test_every_kind_of_field_goes_through_text():
    """Whatever fields the models have, a value survives JSON."""
    kinds = {
        type(field)
        for model in archive.kept_models(archive.apps_after(set(archive.applied())))
        for field in archive.columns(model)
    }
    assert models.JSONField in kinds
    assert not [kind for kind in kinds if issubclass(kind, models.FileField)]


def test_the_same_moment_while_others_write(demo, tmp_path, monkeypatch):
    """What is written while the backup runs is in it wholly or not at all: here, not."""
    written = threading.Event()

    def write() -> None:
        Club.objects.create(name="Meanwhile", slug="meanwhile")
        connection.close()
        written.set()

    plain = archive.kept_models

    def slow(state):
        if not written.is_set():
            thread = threading.Thread(target=write)
            thread.start()
            thread.join()
        return plain(state)

    monkeypatch.setattr(archive, "kept_models", slow)
    manifest = make_backup(tmp_path / "b.zip")

    assert Club.objects.filter(slug="meanwhile").exists()
    assert manifest["tables"]["events.club"]["rows"] == Club.objects.count() - 1


def spoil(path: Path, name: str, change) -> Path:
    """A copy of the backup in which one entry reads differently."""
    spoilt = path.with_name("spoilt.zip")
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(spoilt, "w") as target:
        for item in source.namelist():
            data = source.read(item)
            target.writestr(item, change(data) if item == name else data)
    return spoilt


def change_manifest(**changed):
    return lambda data: json.dumps({**json.loads(data), **changed}).encode()


@pytest.mark.parametrize(
    ("name", "change", "words"),
    [
        ("tables/events.club.jsonl", lambda data: b"", "should have"),
        ("tables/events.club.jsonl", lambda data: b"[1]\n", "does not fit together"),
        ("tables/events.club.jsonl", lambda data: b"not json\n", "does not fit together"),
        ("tables/auth.user.jsonl", lambda data: b"", "should have"),
        ("manifest.json", change_manifest(format=99), "update first"),
        (
            "manifest.json",
            change_manifest(migrations=[["events", "9999_later"]]),
            "newer version",
        ),
        ("manifest.json", lambda data: b"{", "no backup of Buoyline"),
    ],
)
def test_a_spoilt_backup_changes_nothing(demo, tmp_path, name, change, words):
    make_backup(tmp_path / "b.zip")
    before = everything()
    spoilt = spoil(tmp_path / "b.zip", name, change)

    with pytest.raises(BackupError, match=words):
        restore_backup(spoilt, replace=True)
    assert everything() == before
    assert (demo / "media/papers/waiver.txt").exists()


def test_a_row_that_points_nowhere_changes_nothing(demo, tmp_path):
    make_backup(tmp_path / "b.zip")
    before = everything()
    with zipfile.ZipFile(tmp_path / "b.zip") as made:
        fields = json.loads(made.read("manifest.json"))["tables"]["riders.bib"]["fields"]
    place = fields.index("rider_id")

    def point_nowhere(data: bytes) -> bytes:
        rows = [json.loads(line) for line in data.splitlines()]
        rows[0][place] = 987654
        return "\n".join(json.dumps(row) for row in rows).encode()

    spoilt = spoil(tmp_path / "b.zip", "tables/riders.bib.jsonl", point_nowhere)
    with pytest.raises(BackupError, match="nothing was changed"):
        restore_backup(spoilt, replace=True)
    assert everything() == before


def test_a_file_cut_off_changes_nothing(demo, tmp_path):
    make_backup(tmp_path / "b.zip")
    short = tmp_path / "short.zip"
    short.write_bytes((tmp_path / "b.zip").read_bytes()[:-300])
    before = everything()

    with pytest.raises(BackupError, match="cannot be read as a backup"):
        restore_backup(short, replace=True)
    assert everything() == before


def test_a_file_that_points_out_of_its_folder_is_refused(demo, tmp_path):
    make_backup(tmp_path / "b.zip")
    with zipfile.ZipFile(tmp_path / "b.zip", "a") as made:
        made.writestr("media/../../escaped.txt", "x")
    before = everything()

    with pytest.raises(BackupError, match="outside its folder"):
        restore_backup(tmp_path / "b.zip", replace=True)
    assert everything() == before
    assert not (tmp_path / "escaped.txt").exists()


def test_an_earlier_version_is_brought_up_to_date(state, tmp_path, settings):
    """A backup made before the last migrations is restored and then migrated."""
    older = [("events", "0003_fee_and_adult_age"), ("riders", "0003_landing_log")]
    with fresh_database(tmp_path):
        MigrationExecutor(connection).migrate(
            [*older, ("auth", "0012_alter_user_first_name_max_length")]
        )
        old = MigrationExecutor(connection).loader.project_state(older).apps
        old.get_model("events", "Club").objects.create(name="From before", slug="before")
        manifest = make_backup(tmp_path / "old.zip")
        assert "events.tally" not in manifest["tables"]
    (tmp_path / "fresh.sqlite3").unlink()

    with fresh_database(tmp_path):
        restore_backup(tmp_path / "old.zip")
        assert Club.objects.get().name == "From before"
        assert Edition.objects.count() == 0
        executor = MigrationExecutor(connection)
        assert executor.migration_plan(executor.loader.graph.leaf_nodes()) == []


def test_a_backup_that_is_there_is_not_replaced(state, tmp_path):
    (tmp_path / "b.zip").write_text("an older one")

    with pytest.raises(CommandError, match="is there already"):
        call_command("backup", str(tmp_path / "b.zip"))
    assert (tmp_path / "b.zip").read_text() == "an older one"


def test_a_folder_that_is_not_there_is_said(state, tmp_path):
    with pytest.raises(CommandError, match="choose a folder that is there"):
        call_command("backup", str(tmp_path / "nowhere" / "b.zip"))


def test_a_failure_half_way_leaves_no_file(demo, tmp_path, monkeypatch):
    def fail(*args: object) -> None:
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr("events.project.backup.write_media", fail)
    with pytest.raises(CommandError, match="No space left"):
        call_command("backup", str(tmp_path / "b.zip"))
    assert [path.name for path in tmp_path.iterdir()] == ["state"]


def test_an_empty_site_holds_nothing_that_people_made():
    assert data_here() == {}
