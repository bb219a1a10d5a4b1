"""`manage.py restore FILE`: put a backup in place, on an empty site or over another."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from events.project.archive import BackupError
from events.project.restore import restore_backup


class Command(BaseCommand):
    """Restores a backup wholly, or changes nothing."""

    help = "Restores a backup, of this or an earlier version, from SQLite or PostgreSQL."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="a file that `backup` wrote")
        parser.add_argument(
            "--replace", action="store_true", help="give up what the site holds now"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        path = options["file"].expanduser().absolute()
        try:
            manifest = restore_backup(path, replace=options["replace"])
        except BackupError as reason:
            raise CommandError(str(reason)) from reason
        rows = sum(table["rows"] for table in manifest["tables"].values())
        self.stdout.write(
            f"Restored the backup of {manifest['made']}: {rows} rows, {manifest['files']} "
            "files. Everybody has to sign in again."
        )
