"""The landing log as a CSV file, written and read.

How a file is laid out, and kept from being run as a formula, is in `riders.spreadsheets`.
"""

import csv
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.core import signing
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from riders.log_forms import LineForm
from riders.log_models import LandingDay
from riders.log_services import FIELDS, Line
from riders.log_words import TrickReader
from riders.models import Rider
from riders.spreadsheets import EMPTY, FileProblem, guarded, rows_of_text, unguarded

ROWS_MOST = 5000
NEEDED = FIELDS[:4]
SALT = "riders.log_csv"
KEPT_FOR = 24 * 60 * 60  # s: a preview can be confirmed for a day

NOT_UTF8 = gettext_lazy(
    "This file is not UTF-8 text. Save it as “CSV UTF-8” in your spreadsheet."
)
NO_COLUMN = gettext_lazy(
    "The first row must name the columns {needed}; setting and note may "
    "follow. It lacks {missing}."
)
TWICE = gettext_lazy("The first row names the column {name} twice. Rename one of the two.")


@dataclass(frozen=True)
class BadRow:
    """A row that cannot be taken in: its number as a spreadsheet shows it, and why."""

    number: int
    problems: list[tuple[str, str, str]]
    """For each bad cell its column, what stands in it, and a sentence."""


@dataclass
class Upload:
    """What a file holds."""

    lines: list[Line] = field(default_factory=list)
    bad: list[BadRow] = field(default_factory=list)


def write_csv(lines: Iterable[LandingDay]) -> str:
    """The lines as CSV text with a row of names, in the order given."""
    import pandas as pd  # slow to import, and only needed here

    rows = [
        (guarded(each.trick), each.day.isoformat(), each.landed, each.tried, each.setting,
         guarded(each.note))
        for each in lines
    ]  # fmt: skip
    table = pd.DataFrame(rows, columns=list(FIELDS))
    return str(table.to_csv(index=False, lineterminator="\r\n", quoting=csv.QUOTE_MINIMAL))


def read_csv(content: bytes, reader: TrickReader) -> Upload:
    """The lines of a file, and every row and cell that cannot be read.

    UTF-8 with or without a byte order mark, commas or semicolons, columns in any order.
    Rows without any cell are skipped. Raises FileProblem where no row can be told.
    """
    rows = _cells(content)
    place = _columns(rows[0] if rows else [])
    upload = Upload()
    for number, row in enumerate(rows[1:], start=2):
        if not any(cell.strip() for cell in row):
            continue
        _take(upload, number, {name: row[at] for name, at in place.items()}, reader)
    if not upload.lines and not upload.bad:
        raise FileProblem(_(EMPTY))
    return upload


def _cells(content: bytes) -> list[list[str]]:
    """Every row as text cells."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileProblem(str(NOT_UTF8)) from error
    return rows_of_text(text, ROWS_MOST)


def _columns(head: list[str]) -> dict[str, int]:
    """Where each column of the log stands."""
    names = [cell.strip().casefold() for cell in head]
    for name in FIELDS:
        if names.count(name) > 1:
            raise FileProblem(TWICE.format(name=name))
    missing = [name for name in NEEDED if name not in names]
    if missing:
        needed = ", ".join(NEEDED)
        raise FileProblem(NO_COLUMN.format(needed=needed, missing=", ".join(missing)))
    return {name: names.index(name) for name in FIELDS if name in names}


def _take(upload: Upload, number: int, cells: dict[str, str], reader: TrickReader) -> None:
    data = {name: unguarded(cell.strip()) for name, cell in cells.items()}
    data["setting"] = data.get("setting", "").casefold() or LandingDay.Setting.PRACTICE
    form = LineForm(data, reader=reader)
    if form.is_valid():
        upload.lines.append(Line(**{name: form.cleaned_data[name] for name in FIELDS}))
        return
    problems = [
        (name, data.get(name, ""), " ".join(errors)) for name, errors in form.errors.items()
    ]
    upload.bad.append(BadRow(number, problems))


def sealed(lines: Iterable[Line], rider: Rider) -> str:
    """The lines as a signed text, for the form that confirms them."""
    plain: list[list[Any]] = [
        [each.day.isoformat() if name == "day" else getattr(each, name) for name in FIELDS]
        for each in lines
    ]
    return signing.dumps(plain, salt=f"{SALT}.{rider.pk}", compress=True)


def unsealed(text: str, rider: Rider) -> list[Line]:
    """The lines that were sealed for this rider; raises django's BadSignature otherwise."""
    plain = signing.loads(text, salt=f"{SALT}.{rider.pk}", max_age=KEPT_FOR)
    return [Line(trick, date.fromisoformat(day), *rest) for trick, day, *rest in plain]
