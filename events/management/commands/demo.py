"""`manage.py demo`: a working site with an invented event, on this computer only."""

import errno
import os
import socket
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandParser

HOST = "127.0.0.1"
DEFAULT_PORT = 8000


def port_problem(port: int) -> str:
    """What to do about a `port` no server can listen on here; nothing ("") if one can."""
    if not 1 <= port <= 65535:
        return f"There is no port {port}: choose one from 1024 to 65535 with --port."
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        if os.name == "posix":  # a port just left is free; elsewhere this would share it
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError as error:
            if error.errno == errno.EADDRINUSE:
                return (
                    f"Port {port} is taken by another program: stop that one, or choose "
                    f"another port, for example --port {port % 65535 + 1}."
                )
            return (
                f"Port {port} cannot be used ({error.strerror}): choose one from 1024 to "
                "65535 with --port."
            )
    return ""


class Command(BaseCommand):
    """Prepares the database, the demo event and the fonts, then serves until stopped."""

    help = "Loads the demo event and serves the site on this computer."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--port", type=int, default=DEFAULT_PORT, help="default 8000")

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.PRODUCTION:
            raise SystemExit(
                "The demo has accounts whose password everybody knows, so it is not served "
                "where PRODUCTION is true: start the site with its own server."
            )
        port = options["port"]
        problem = port_problem(port)
        if problem:
            raise SystemExit(problem)
        call_command("migrate", verbosity=0, interactive=False)
        call_command("build_fonts", stdout=self.stdout, stderr=self.stderr)
        call_command("build_translations", verbosity=0)
        call_command("load_demo", stdout=self.stdout, stderr=self.stderr)
        self.stdout.write(f"\nBuoyline is at http://{HOST}:{port}/  (Ctrl+C stops it)\n")
        self.stdout.flush()
        os.environ.setdefault("DJANGO_RUNSERVER_HIDE_WARNING", "true")
        call_command("runserver", f"{HOST}:{port}", use_reloader=False, skip_checks=False)
