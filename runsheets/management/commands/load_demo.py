"""`manage.py load_demo`: an invented club with three events, to look around in."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.urls import reverse

from runsheets.demo.loading import PASSWORD, DemoError, is_loaded, load
from runsheets.demo.plot import read_story

WHAT = {
    "organiser": "runs the club and its events",
    "table": "makes running orders and prints run sheets",
    "rider": "plans and declares runs",
}


class Command(BaseCommand):
    """Loads the demo once; run again, it changes nothing and says how to sign in."""

    help = "Loads an invented club, three events and their riders; never on a site in use."

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.PRODUCTION:
            raise CommandError(
                "The demo has accounts whose password everybody knows, so it is not loaded "
                "where PRODUCTION is true."
            )
        story = read_story()
        if is_loaded(story):
            self.stdout.write("The demo is here already; nothing was changed.")
        else:
            try:
                load(story)
            except DemoError as error:
                raise CommandError(str(error)) from error
            self.stdout.write("The demo is loaded. Everything in it is invented.")
        self.stdout.write(f"Sign in at {reverse('sign-in')} with the password {PASSWORD} as")
        for person in story["people"]:
            name = person["username"]
            self.stdout.write(
                f"  {name:<10} {person['given']} {person['family']}, who {WHAT[name]}"
            )
