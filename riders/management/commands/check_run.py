"""Check a run in notation against a format file, on the command line and without a database."""

import json
import sys
from argparse import ArgumentParser
from dataclasses import replace
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, no_translations

from events.rules.loading import FormatError, effective, load_format
from events.rules.notation import NotationError, read_run
from events.rules.places import open_questions, unknown_names
from riders.planning.check import check
from riders.planning.report import as_json, as_text
from riders.planning.route import Foot, Side
from riders.planning.whatif import follow

ILLEGAL, UNREADABLE = 1, 2


class Command(BaseCommand):
    """Print what a check finds; exit code 0 legal, 1 illegal, 2 unreadable."""

    help = "Check a run against a format file. Exit code 0: legal, 1: illegal, 2: unreadable."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Describe the arguments."""
        parser.add_argument("format", metavar="FORMAT.toml", help="the format, as TOML")
        parser.add_argument(
            "run", metavar="NOTATION", help='the run, such as "HS backroll 4/5 | Tantrum"'
        )
        feet, sides = [str(foot) for foot in Foot], [str(side) for side in Side]
        parser.add_argument("--stance", choices=feet, default="left", help="forward foot")
        parser.add_argument("--side", choices=sides, default="starboard", help="at the start")
        parser.add_argument("--division", help="division, where the format differs by it")
        parser.add_argument("--round", help="round, where the format differs by it")
        parser.add_argument("--boat", help="boat, where the format differs by it")
        parser.add_argument("--json", action="store_true", help="print JSON")

    @no_translations  # like the other commands; scripts may read what it prints
    def handle(self, *args: Any, **options: Any) -> None:
        """Read both, check, print."""
        try:
            text = Path(options["format"]).read_text(encoding="utf-8")
            where = (options["division"], options["round"], options["boat"])
            whole = load_format(text)
            format = effective(whole, *where)
            run = read_run(options["run"])
        except OSError as error:
            message = f"The format file cannot be read: {error.strerror}: {options['format']}"
            raise CommandError(message, returncode=UNREADABLE) from error
        except UnicodeDecodeError as error:
            message = f"The format file is not UTF-8 text: {options['format']}"
            raise CommandError(message, returncode=UNREADABLE) from error
        except (FormatError, NotationError) as error:
            raise CommandError(str(error), returncode=UNREADABLE) from error
        if unknown := unknown_names(whole, *where):
            raise CommandError("\n".join(unknown), returncode=UNREADABLE)
        result = check(
            run,
            format,
            foot=Foot(options["stance"]),
            side=Side(options["side"]),
            division=options["division"],
            round=options["round"],
        )
        result = replace(result, findings=(*open_questions(whole, *where), *result.findings))
        story = None
        if run.has_marks:
            story = follow(run, format, result.route, options["round"], options["division"])
        if options["json"]:
            self.stdout.write(json.dumps(as_json(result, story), ensure_ascii=False, indent=2))
        else:
            self.stdout.write(as_text(result, story))
        if not result.is_legal:
            sys.exit(ILLEGAL)
