"""`manage.py build_translations`: compile the translations for the site to read."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from events.project.catalogues.files import compile_into, languages


class Command(BaseCommand):
    """Without it the site speaks English only."""

    help = "Compiles the translations into the local state folder."
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        made = [
            compile_into(settings.BASE_DIR, settings.STATE_DIR, language)
            for language in languages(settings.BASE_DIR)
        ]
        if options["verbosity"] > 1:
            self.stdout.write(f"Translations compiled: {len(made)}.")
