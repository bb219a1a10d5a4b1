"""`manage.py build_fonts`: make the web fonts of the headings."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from events.project.fonts import FontsUnavailable, build_web_fonts


class Command(BaseCommand):
    """Makes the fonts that are missing; without them headings use the system's font."""

    help = "Makes the web fonts for headings in the local state folder, where missing."
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        folder = settings.GENERATED_STATIC_DIR / "fonts"
        try:
            made = build_web_fonts(folder)
        except (FontsUnavailable, OSError) as reason:
            self.stderr.write(f"Headings will use the system's font: {reason}.")
            return
        if options["verbosity"] > 1 or made:
            self.stdout.write(f"Web fonts made in {folder}: {len(made)}.")
