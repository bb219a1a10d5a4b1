"""`manage.py prepare`: everything between a new version and the first visitor."""

from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand


class Command(BaseCommand):
    """Makes the fonts, brings the database up to date, collects the files, and looks at all."""

    help = "Makes fonts, migrates, collects static files and runs doctor; safe to run again."
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("build_fonts", stdout=self.stdout, stderr=self.stderr)
        call_command("migrate", interactive=False, verbosity=0)
        if settings.PRODUCTION:  # they name the fonts, so these were made first
            call_command("collectstatic", interactive=False, verbosity=0)
        call_command("doctor", stdout=self.stdout, stderr=self.stderr)
