"""`manage.py backup FILE`: everything the site holds, in one file."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from events.project.archive import BackupError
from events.project.backup import make_backup


class Command(BaseCommand):
    """Writes a backup while the site runs."""

    help = "Writes every table and file to one zip file, while the site runs."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="the zip file to write; it must not exist")

    def handle(self, *args: Any, **options: Any) -> None:
        target = options["file"].expanduser().absolute()
        try:
            manifest = make_backup(target)
        except BackupError as reason:
            raise CommandError(str(reason)) from reason
        rows = sum(table["rows"] for table in manifest["tables"].values())
        self.stdout.write(
            f"Backup written to {target}: {len(manifest['tables'])} tables, {rows} rows, "
            f"{manifest['files']} files. It holds personal data: keep it where only the club's "
            "officials can read it, and on another computer. The key is not in it."
        )
