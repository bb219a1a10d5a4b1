"""Entries as a table in a file: its columns, reading with tolerant headings, writing.

Pure Python. What stands in the cells is judged by `riders.entry_import`.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from events.rules.answers_words import joined
from events.rules.language import gettext as _
from events.rules.language import mark
from riders.spreadsheets import EMPTY, FileProblem, file_of, rows_of_file, unguarded

ROWS_MOST = 500
CELL_MOST = 300  # characters of a cell that are kept; more than any column takes

# Each column by what it is called in the file, and by other usual headings.
COLUMNS = {
    "given_name": ("Given name", "first name", "forename"),
    "family_name": ("Family name", "last name", "surname"),
    "email": ("E-mail", "mail", "e-mail address"),
    "division": ("Division", "category", "class"),
    "born_on": ("Birth date", "date of birth", "born", "born on", "birthday"),
    "sex": ("Sex", "gender"),
    "foot": ("Stance", "foot", "forward foot"),
    "club_name": ("Club", "team"),
    "guardian": ("Guardian", "guardian name"),
    "guardian_phone": ("Guardian phone",),
    "consented": ("Guardian consents", "consent"),
    "is_named": ("Name may be public", "name public"),
    "emergency_name": ("Emergency contact", "emergency name"),
    "emergency_phone": ("Emergency phone",),
    "fee": ("Fee", "payment"),
    "rank": ("Rank", "ranking"),
    "wishes": ("Wishes", "wishes for the boat"),
    "state": ("State", "status"),
}
TITLES = {name: said[0] for name, said in COLUMNS.items()}
NEEDED = ("given_name", "family_name")
PRIVATE = frozenset(
    {"email", "born_on", "guardian", "guardian_phone", "consented", "is_named",
     "emergency_name", "emergency_phone"}
)  # fmt: skip
EXAMPLE = {
    "given_name": "Runa", "family_name": "Example", "email": "runa@example.org",
    "born_on": "2012-05-30", "sex": "Woman", "foot": "Left", "guardian": "Alva Example",
    "guardian_phone": "555-0100", "consented": "yes", "is_named": "yes",
    "emergency_name": "Alva Example", "emergency_phone": "555-0100", "fee": "Due",
}  # fmt: skip

LACKS = mark(
    "The first row must name the columns. It lacks {missing}: take the template below."
)
TWICE = mark("The first row names the column {name} twice. Rename one of the two.")


@dataclass
class EntryTable:
    """The rows of a file: each its number as a spreadsheet shows it, and its cells."""

    rows: list[tuple[int, dict[str, str]]] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    """Headings that are no column of ours; their cells are not read."""


def _plain(heading: str) -> str:
    return re.sub(r"[^a-z]", "", heading.casefold())


HEADINGS = {_plain(each): name for name, said in COLUMNS.items() for each in said}


def read_entries(content: bytes) -> EntryTable:
    """The rows of a CSV or XLSX file; rows without any cell are skipped.

    Raises FileProblem where no row can be told.
    """
    rows = rows_of_file(content, ROWS_MOST)
    place, unknown = _columns(rows[0])
    found = EntryTable(unknown=unknown)
    for number, row in enumerate(rows[1:], start=2):
        cells = {name: unguarded(row[at].strip())[:CELL_MOST] for name, at in place.items()}
        if any(cells.values()):
            found.rows.append((number, cells))
    if not found.rows:
        raise FileProblem(_(EMPTY))
    return found


def _columns(head: list[str]) -> tuple[dict[str, int], list[str]]:
    place: dict[str, int] = {}
    unknown = []
    for at, heading in enumerate(head):
        name = HEADINGS.get(_plain(heading))
        if name is None:
            if heading.strip():
                unknown.append(heading.strip()[:80])
        elif name in place:
            raise FileProblem(_(TWICE).format(name=TITLES[name]))
        else:
            place[name] = at
    missing = [TITLES[name] for name in NEEDED if name not in place]
    if missing:
        raise FileProblem(_(LACKS).format(missing=joined(missing)))
    return place, unknown


def write_entries(
    lines: Iterable[dict[str, object]], ending: str, *, private: bool = True
) -> bytes:
    """The lines as a file, `ending` csv or xlsx; without contacts and births if not private."""
    names = [name for name in COLUMNS if private or name not in PRIVATE]
    rows = [[line.get(name, "") for name in names] for line in lines]
    return file_of([TITLES[name] for name in names], rows, ending, "Entries")
