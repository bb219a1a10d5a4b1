"""Making a backup: one zip file with every table and every file, taken while the site runs."""

import json
import os
import sqlite3
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection, transaction
from django.utils import timezone

from events.project import archive


@contextmanager
def standing_still() -> Iterator[None]:
    """Read the database as it is now, while others go on writing."""
    if connection.vendor == "sqlite":
        with tempfile.TemporaryDirectory(dir=settings.STATE_DIR, prefix="backup-") as folder:
            path = Path(folder) / "copy.sqlite3"
            connection.ensure_connection()
            with closing(sqlite3.connect(path)) as copied:
                connection.connection.backup(copied)
            with archive.standing_in(NAME=str(path)):
                yield
        return
    from django.db.backends.postgresql.psycopg_any import IsolationLevel

    options = connection.settings_dict.get("OPTIONS", {})
    level = {"isolation_level": IsolationLevel.REPEATABLE_READ}
    with archive.standing_in(OPTIONS={**options, **level}), transaction.atomic():
        yield


def write_tables(into: zipfile.ZipFile) -> dict[str, Any]:
    """Write every table; return what the manifest says of them."""
    nodes = archive.applied()
    tables: dict[str, Any] = {}
    for model in archive.kept_models(archive.apps_after(set(nodes))):
        label, rows = model._meta.label_lower, 0
        with into.open(f"tables/{label}.jsonl", "w", force_zip64=True) as file:
            for line in archive.rows_as_lines(model):
                file.write(line.encode() + b"\n")
                rows += 1
        fields = [field.attname for field in archive.columns(model)]
        tables[label] = {"fields": fields, "rows": rows}
    return {"migrations": nodes, "tables": tables}


def write_media(into: zipfile.ZipFile) -> int:
    """Write every kept file; return how many there are."""
    root = Path(settings.MEDIA_ROOT)
    files = sorted(path for path in root.rglob("*") if path.is_file() and not path.is_symlink())
    for path in files:
        into.write(path, archive.MEDIA + path.relative_to(root).as_posix())
    return len(files)


def make_backup(target: Path) -> dict[str, Any]:
    """Write a backup to `target`, which appears complete or not at all.

    Only its owner can read it: it holds personal data and password hashes, but no key and no
    session. Returns the manifest. Raises BackupError where `target` exists or cannot be
    written.
    """
    if target.exists():
        raise archive.BackupError(f"{target} is there already: choose another name.")
    draft = target.with_name(f".{target.name}.{os.getpid()}")
    try:
        handle = os.open(draft, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w+b") as file:
            with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as into:
                with standing_still():
                    said = write_tables(into)
                manifest = {
                    "format": archive.FORMAT,
                    "made": timezone.now().isoformat(timespec="seconds"),
                    "database": connection.vendor,
                    **said,
                    "files": write_media(into),
                }
                into.writestr(archive.MANIFEST, json.dumps(manifest, indent=1))
            file.flush()
            os.fsync(file.fileno())
        os.link(draft, target)  # unlike a rename, this refuses to replace a file
    except FileExistsError as error:
        raise archive.BackupError(f"{target} is there already: choose another name.") from error
    except OSError as error:
        raise archive.BackupError(
            f"{target} cannot be written ({error.strerror}): choose a folder that is there, "
            "that you may write to, and that has room."
        ) from error
    finally:
        draft.unlink(missing_ok=True)
    return manifest
