"""Tables of text cells in files of a spreadsheet, out and in. Pure Python and pandas.

CSV follows RFC 4180: quotes doubled, lines ended by CR LF. A spreadsheet would run a cell
that begins like a formula; such a cell gets an apostrophe in front, which reading takes away.
"""

import csv
import re
from collections.abc import Iterable
from io import BytesIO, StringIO
from itertools import islice
from zipfile import BadZipFile, ZipFile

from events.rules.language import gettext as _
from events.rules.language import mark

COLUMNS_READ = 24
UNPACKED_MOST = 20 * 1024 * 1024  # bytes that an XLSX file may hold once unpacked
SEPARATORS = (",", ";", "\t")

# The wide signs are formulas too in some spreadsheets.
_FORMULA = re.compile(r"'*[=+\-@\t\r\n＝＋－＠]")
_MIDNIGHT = re.compile(r"(\d{4}-\d\d-\d\d) 00:00:00")

NOT_CSV = mark(
    "This file cannot be read as a CSV table. Save it as “CSV UTF-8” in your spreadsheet."
)
NOT_XLSX = mark("This file cannot be read as an XLSX table. Save it again, or as “CSV UTF-8”.")
UNPACKED = mark(
    "This XLSX file holds too much. Save only the sheet of rows, or save it as CSV."
)
EMPTY = mark("There is no row in this file.")
TOO_MANY = mark("This file has more than {most} rows. Take it in by parts.")


class FileProblem(ValueError):
    """A file that cannot be read at all; the sentence says what to do."""


def guarded(cell: str) -> str:
    """The cell with an apostrophe in front where a spreadsheet would see a formula."""
    return f"'{cell}" if _FORMULA.match(cell) else cell


def unguarded(cell: str) -> str:
    """The cell as it was before `guarded`."""
    return cell[1:] if cell.startswith("'") and _FORMULA.match(cell) else cell


def text_of(content: bytes) -> str:
    """The text of a file in UTF-16 or UTF-8 with or without a mark, else in Latin-1."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        encodings = ["utf-16"]
    elif content[:1] == b"\x00":
        encodings = ["utf-16-be"]
    elif content[1:2] == b"\x00":
        encodings = ["utf-16-le"]
    else:
        encodings = ["utf-8-sig", "latin-1"]
    for encoding in encodings:
        try:
            return content.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise FileProblem(_(NOT_CSV))


def rows_of_text(text: str, most: int) -> list[list[str]]:
    """Every row as `COLUMNS_READ` text cells, the row of names first.

    Commas, semicolons or tabs, whichever the first line has most of. Raises FileProblem for
    what is no table, is empty, or has more than `most` rows below the names.
    """
    if "\x00" in text:
        raise FileProblem(_(NOT_CSV))
    if not text.strip():
        raise FileProblem(_(EMPTY))
    import pandas as pd  # slow to import, and only needed here

    head = text.lstrip("\r\n").partition("\n")[0]
    try:
        table = pd.read_csv(
            StringIO(text, newline=""), sep=max(SEPARATORS, key=head.count),
            header=None, names=list(range(COLUMNS_READ)), index_col=False,
            dtype=str, na_filter=False, skip_blank_lines=False, nrows=most + 2,
            engine="python", on_bad_lines=lambda cells: cells[:COLUMNS_READ],
        )  # fmt: skip
    except (ValueError, csv.Error) as error:  # what pandas raises are ValueErrors
        raise FileProblem(_(NOT_CSV)) from error
    if table.empty:
        raise FileProblem(_(EMPTY))
    if len(table) > most + 1:
        raise FileProblem(_(TOO_MANY).format(most=most))
    rows: list[list[str]] = table.fillna("").astype(str).values.tolist()
    return rows


def rows_of_file(content: bytes, most: int) -> list[list[str]]:
    """The rows of a CSV file, or of the first sheet of an XLSX file; see `rows_of_text`."""
    if not content.startswith(b"PK\x03\x04"):
        return rows_of_text(text_of(content), most)
    try:
        with ZipFile(BytesIO(content)) as parts:
            if sum(part.file_size for part in parts.infolist()) > UNPACKED_MOST:
                raise FileProblem(_(UNPACKED))
    except BadZipFile as error:
        raise FileProblem(_(NOT_XLSX)) from error
    try:
        rows = _sheet(content, most + 2)
    except Exception as error:  # a broken file raises whatever its broken part does
        raise FileProblem(_(NOT_XLSX)) from error
    if not rows:
        raise FileProblem(_(EMPTY))
    if len(rows) > most + 1:
        raise FileProblem(_(TOO_MANY).format(most=most))
    return rows


def _sheet(content: bytes, most: int) -> list[list[str]]:
    """The first rows of the first sheet, without empty ones at the end.

    Only the columns that are read are laid out: a cell at the far right of each row would
    else make thousands of empty ones for every row.
    """
    from openpyxl import load_workbook  # slow to import, and only needed here

    book = load_workbook(BytesIO(content), read_only=True, data_only=True, keep_links=False)
    sheet = book.worksheets[0]
    sheet.reset_dimensions()  # what the file says of its size need not be so
    found = islice(sheet.iter_rows(max_col=COLUMNS_READ), most)
    rows = [[_cell_text(cell.value, cell.data_type) for cell in row] for row in found]
    while rows and not any(rows[-1]):
        rows.pop()
    return rows


def _cell_text(value: object, kind: str) -> str:
    """What stands in a cell; nothing where a formula went wrong."""
    if value is None or kind == "e":
        return ""
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return _MIDNIGHT.sub(r"\1", str(value))


def file_of(
    names: list[str], rows: Iterable[Iterable[object]], ending: str, sheet: str
) -> bytes:
    """The rows below their names as a file, `ending` csv (UTF-8 with a mark) or xlsx.

    Texts are `guarded`; numbers stay numbers.
    """
    import pandas as pd  # slow to import, and only needed here

    safe = [[guarded(cell) if isinstance(cell, str) else cell for cell in row] for row in rows]
    table = pd.DataFrame(safe, columns=names, dtype=object).fillna("")
    out = BytesIO()
    if ending == "xlsx":
        table.to_excel(out, index=False, sheet_name=sheet)
    else:
        text = table.to_csv(index=False, lineterminator="\r\n", quoting=csv.QUOTE_MINIMAL)
        out.write(text.encode("utf-8-sig"))
    return out.getvalue()
