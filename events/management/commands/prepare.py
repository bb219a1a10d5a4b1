"""`manage.py prepare`: everything between a new version and the first visitor."""

from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandParser


class Command(BaseCommand):
    """Makes the fonts, brings the database up to date, collects the files, and looks at all."""

    help = "Makes fonts, migrates, collects static files and runs doctor; safe to run again."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--without-doctor",
            action="store_true",
            help="leave out the look at the end, where a mail server that is away for a "
            "moment must not keep the site from starting",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("build_fonts", stdout=self.stdout, stderr=self.stderr)
        call_command("build_translations", verbosity=0)
        call_command("migrate", interactive=False, verbosity=0)
        if settings.PRODUCTION:  # they name the fonts, so these were made first
            call_command("collectstatic", interactive=False, verbosity=0)
        if not options["without_doctor"]:
            call_command("doctor", stdout=self.stdout, stderr=self.stderr)
