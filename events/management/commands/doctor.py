"""`manage.py doctor`: whether this site can run, and what to do if it cannot."""

from typing import Any

from django.core.management.base import BaseCommand

from events.project.checkup import all_looks


class Command(BaseCommand):
    """Prints one line per look; ends with 1 if any found a fault."""

    help = "Looks at everything the site needs; ends with 1 if something is wrong or unsafe."
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        faults = 0
        for look in all_looks():
            faults += look.grade == "fault"
            self.stdout.write(f"{look.grade:<7} {look.subject:<13} {look.sentence}")
        if faults:
            self.stderr.write(f"\n{faults} to put right before the site is used.")
            raise SystemExit(1)
        self.stdout.write("\nThe site can run.")
