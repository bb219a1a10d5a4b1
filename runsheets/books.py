"""From what is stored to the rows of run sheets."""

import hashlib
from dataclasses import replace
from datetime import datetime

from events.models import Division, Edition
from events.rules.answers import reminders
from events.rules.findings import is_legal
from events.rules.format import Format
from events.rules.legality import legality
from events.rules.run import Run
from riders.models import Declaration, Entry
from riders.services import declared_run
from runsheets.lineup import Lineup, declarations, lineup, rounds_of
from runsheets.sheets import (
    BlankRun,
    RiderSheet,
    SheetBook,
    SheetHeading,
    Starter,
    course_strips,
    mark_labels,
    sheet_rows,
)

NO_ORDER = "alphabetical, no running order yet"
NOT_PLACED = "Not in the running order"
CODE_LENGTH = 6


def sheet_book(
    division: Division, edition: Edition, round_name: str, printed_at: datetime
) -> SheetBook:
    """The run sheets of a division in one round, by the edition in force.

    Riders who are not in the running order come last, alphabetically. In a later round
    that has a running order only those in it ride. `printed_at` carries the event's zone.
    """
    line = lineup(division, round_name)
    rules = edition.effective(round_name or None)
    runs = declarations(division, round_name)
    later = round_name != rounds_of(division)[0]
    riding = line.ordered if later and line.order else line.everybody
    read = {pk: declared_run(runs[pk]) for pk in (e.pk for e in riding) if pk in runs}
    sheets = sheet_rows(_starters(riding, line, read), BlankRun.of(rules))
    noted = tuple(
        replace(sheet, note=_joined(sheet.note, _place_note(entry, line), _run_note(
            runs.get(entry.pk), read.get(entry.pk), edition, rules, round_name)))
        for entry, sheet in zip(riding, sheets, strict=True)
    )  # fmt: skip
    said = reminders(rules)
    return SheetBook(
        heading=SheetHeading(
            event=division.event.name,
            division=division.name,
            round=_joined(round_name, "" if line.order else NO_ORDER),
            edition_no=edition.number,
            printed_at=printed_at.astimezone(division.event.zone),
            venue=division.event.venue.name,
            code=_code(noted),
        ),
        riders=noted,
        reminders=said,
        strips=course_strips(rules),
        marks=mark_labels([(c.name or "Mark", c.weight) for c in rules.judging.criteria or ()]),
    )


def _starters(entries: list[Entry], line: Lineup, runs: dict[int, Run]) -> list[Starter]:
    return [
        Starter(
            order=number,
            name=entry.rider.name,
            bib=str(line.bibs.get(entry.rider_id, "")),
            stance=entry.rider.get_foot_display(),
            club=entry.rider.club_name,
            run=runs.get(entry.pk),
        )
        for number, entry in enumerate(entries, start=1)
    ]


def _place_note(entry: Entry, line: Lineup) -> str:
    return NOT_PLACED if line.order and entry in line.missing else ""


def _run_note(
    declaration: Declaration | None,
    run: Run | None,
    edition: Edition,
    rules: Format,
    round_name: str,
) -> str:
    """What to know of a run that was checked against an older edition than the one in force."""
    if declaration is None or run is None or declaration.edition.number == edition.number:
        return ""
    said = f"Declared under edition {declaration.edition.number}"
    if is_legal(legality(run, rules, edition.division.name, round_name or None)):
        return said
    return f"{said}; breaks a rule of edition {edition.number}"


def _code(sheets: tuple[RiderSheet, ...]) -> str:
    """The same for printings that say the same of every rider."""
    return hashlib.sha256(repr(sheets).encode()).hexdigest()[:CODE_LENGTH].upper()


def _joined(*texts: str) -> str:
    return ", ".join(text for text in texts if text)
