"""`manage.py translations LANGUAGE`: the catalogues of a language, kept in step with the code.

manage.py translations de                                 refresh, and say what is missing
manage.py translations de --missing riders/ > part.po     what is still to be translated
manage.py translations de --take part.po                  take in what was translated
"""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

from events.project.catalogues.faults import faults
from events.project.catalogues.files import (
    as_bytes,
    one_at_a_time,
    path_of,
    read,
    refreshed,
    untranslated,
    write,
)
from events.project.catalogues.gathering import FOLDERS


class Command(BaseCommand):
    """For contributors and translators; a site does not need it."""

    help = "Brings the catalogues of a language in step with the code; see DEVELOPERS.md."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("language", help="the code of the language, such as de")
        parser.add_argument(
            "--missing",
            metavar="PATH",
            nargs="*",
            help="print what is not translated yet, of files whose path begins so",
        )
        parser.add_argument(
            "--take", metavar="FILE", type=Path, help="take translations from another file"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        language, base = options["language"], settings.BASE_DIR
        others = []
        if options["take"]:
            try:
                others = [read(options["take"].resolve(strict=True), language)]
            except (OSError, ValueError) as reason:
                raise CommandError(f"{options['take']} cannot be read: {reason}") from reason
        with one_at_a_time(base):
            for folder in FOLDERS:
                catalogue = refreshed(base, folder, language, *others)
                write(path_of(base, folder, language), as_bytes(catalogue))
        if options["missing"] is not None:
            self._print_missing(language, options["missing"] or [""])
            return
        call_command("build_translations", stdout=self.stdout)
        found = list(faults(base, language))
        self.stdout.write("\n".join([*found, f"{len(found)} faults."]))

    def _print_missing(self, language: str, paths: list[str]) -> None:
        for path in paths:
            for folder in FOLDERS:
                if not (path or folder).startswith(folder):
                    continue
                catalogue = read(path_of(settings.BASE_DIR, folder, language), language)
                self.stdout.write(as_bytes(untranslated(catalogue, path)).decode())
