"""Restoring a backup: wholly, or not at all."""

import json
import shutil
import sqlite3
import tempfile
import zipfile
from contextlib import closing
from pathlib import Path, PurePosixPath
from typing import Any

from django.apps import apps
from django.conf import settings
from django.contrib.contenttypes.models import ContentType
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import DatabaseError, connection, transaction
from django.db.migrations.executor import MigrationExecutor

from events.project import archive
from events.project.archive import BackupError, Node

Manifest = dict[str, Any]
MADE_BY_MIGRATE = {"contenttypes.contenttype", "auth.permission"}
BATCH = 500


def read_manifest(source: zipfile.ZipFile) -> Manifest:
    """What the backup says of itself. Raises BackupError if it is damaged or not ours."""
    try:
        broken = source.testzip()
        manifest = json.loads(source.read(archive.MANIFEST))
    except (KeyError, ValueError, zipfile.BadZipFile) as error:
        raise BackupError("This file is no backup of Buoyline: choose another.") from error
    if broken:
        raise BackupError(f"The backup is damaged at {broken}: use another copy.")
    if not isinstance(manifest, dict) or manifest.get("format") != archive.FORMAT:
        raise BackupError("The backup has a form that this version cannot read: update first.")
    known = MigrationExecutor(connection).loader.graph.nodes
    newer = [
        f"{app}.{name}" for app, name in manifest["migrations"] if (app, name) not in known
    ]
    if newer:
        raise BackupError(
            f"The backup was made by a newer version ({newer[0]} is not known here): install "
            "that version first."
        )
    return manifest


def data_here() -> dict[str, int]:
    """How many rows each table of the site has now, of those with any that people made."""
    nodes = archive.applied()
    counts = {
        model._meta.label_lower: model._base_manager.count()
        for model in archive.kept_models(archive.apps_after(set(nodes)))
        if model._meta.label_lower not in MADE_BY_MIGRATE
    }
    return {label: count for label, count in counts.items() if count}


def fill(source: zipfile.ZipFile, manifest: Manifest) -> None:
    """Build the tables as they were in an empty database, load the rows, and go on from there
    to the newest version."""
    nodes: set[Node] = {(app, name) for app, name in manifest["migrations"]}
    executor = MigrationExecutor(connection)
    executor.migrate(archive.ends(executor, nodes))
    models = archive.kept_models(archive.apps_after(nodes))
    missing = {model._meta.label_lower for model in models} ^ set(manifest["tables"])
    if missing:
        raise BackupError(
            f"The backup and its tables do not agree: {', '.join(sorted(missing))}."
        )
    with transaction.atomic():
        # Adding a column by a migration leaves PostgreSQL looking at its reference at once;
        # after a check all of them wait again, so that tables may come in any order.
        connection.check_constraints()
        with connection.cursor() as cursor:  # a migration may have written rows of its own
            for model in models:
                table = connection.ops.quote_name(model._meta.db_table)
                cursor.execute(f"DELETE FROM {table}")  # nosec B608
        for model in models:
            load(model, source, manifest["tables"][model._meta.label_lower])
        connection.check_constraints()
        with connection.cursor() as cursor:
            for statement in connection.ops.sequence_reset_sql(no_style(), models):
                cursor.execute(statement)
    ContentType.objects.clear_cache()  # the numbers of models are those of the backup now
    call_command("migrate", interactive=False, verbosity=0)


def load(model: Any, source: zipfile.ZipFile, said: dict[str, Any]) -> None:
    """Put the rows of one table in. Raises BackupError if they are not what was counted."""
    label = model._meta.label_lower
    fields = {field.attname: field for field in archive.columns(model)}
    if list(fields) != said["fields"]:
        raise BackupError(f"The columns of {label} are not those of its version.")
    count, waiting = 0, []
    with source.open(f"tables/{label}.jsonl") as file:
        for line in file:
            pairs = zip(fields.items(), json.loads(line), strict=True)
            waiting.append(
                model(**{name: archive.from_text(field, v) for (name, field), v in pairs})
            )
            count += 1
            if len(waiting) == BATCH:
                model._base_manager.bulk_create(waiting)
                waiting = []
    model._base_manager.bulk_create(waiting)
    if count != said["rows"]:
        raise BackupError(f"{label} has {count} rows and should have {said['rows']}.")


def restore_sqlite(source: zipfile.ZipFile, manifest: Manifest) -> None:
    """Build a new database beside the one in use, then copy it over in one step."""
    with tempfile.TemporaryDirectory(dir=settings.STATE_DIR, prefix="restore-") as folder:
        path = Path(folder) / "restored.sqlite3"
        with archive.standing_in(NAME=str(path)):
            fill(source, manifest)
        connection.ensure_connection()
        with closing(sqlite3.connect(path)) as built:
            built.backup(connection.connection)


def restore_in_place(source: zipfile.ZipFile, manifest: Manifest) -> None:
    """Drop our tables and build them anew in one transaction, as PostgreSQL can."""
    # Django and its packages name some tables after themselves and not after the app.
    ours = (*(f"{config.label}_" for config in apps.get_app_configs()), "django_")
    with transaction.atomic():
        with connection.cursor() as cursor:
            for name in connection.introspection.table_names(cursor):
                if name.startswith(ours):
                    cursor.execute(f"DROP TABLE {connection.ops.quote_name(name)} CASCADE")
        fill(source, manifest)


def unpack_media(source: zipfile.ZipFile, folder: Path) -> None:
    """Write the files of the backup below `folder`."""
    folder.mkdir()
    for item in source.infolist():
        path = PurePosixPath(item.filename)
        if item.is_dir() or path.parts[:1] != ("media",):
            continue
        if ".." in path.parts or path.is_absolute():
            raise BackupError(f"The backup names a file outside its folder: {item.filename}.")
        target = folder.joinpath(*path.parts[1:])
        target.parent.mkdir(parents=True, exist_ok=True)
        with source.open(item) as read, target.open("wb") as write:
            shutil.copyfileobj(read, write)


def swap_media(new: Path) -> None:
    """Put the folder `new` in the place of the files that are there."""
    root = Path(settings.MEDIA_ROOT)
    old = new.with_name("old")
    if root.exists():
        root.rename(old)
    new.rename(root)


def restore_backup(path: Path, *, replace: bool = False) -> Manifest:
    """Put the backup in the place of everything the site holds; return its manifest.

    Without `replace` the site must be empty. Raises BackupError, with nothing changed, if
    that is not so or the backup cannot be restored. Everybody has to sign in again.
    """
    try:
        with zipfile.ZipFile(path) as source:
            manifest = read_manifest(source)
            here = data_here()
            if here and not replace:
                told = ", ".join(
                    f"{count} of {label}" for label, count in sorted(here.items())[:4]
                )
                raise BackupError(
                    f"The site holds data ({told} and so on): make a backup of it, then add "
                    "--replace to put this one in its place."
                )
            with tempfile.TemporaryDirectory(dir=settings.STATE_DIR, prefix="restore-") as made:
                unpack_media(source, Path(made) / "media")
                if connection.vendor == "sqlite":
                    restore_sqlite(source, manifest)
                else:
                    restore_in_place(source, manifest)
                swap_media(Path(made) / "media")
    except (OSError, zipfile.BadZipFile) as error:
        raise BackupError(
            f"{path} cannot be read as a backup ({error}): choose another."
        ) from error
    except (DatabaseError, ValueError, TypeError, KeyError, sqlite3.Error) as error:
        raise BackupError(
            f"The backup does not fit together ({error}): nothing was changed."
        ) from error
    finally:
        ContentType.objects.clear_cache()
    return manifest
