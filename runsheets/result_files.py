"""A result as rows for a spreadsheet."""

import csv
from io import StringIO

from riders.spreadsheets import guarded
from runsheets.results import Result


def result_csv(result: Result) -> bytes:
    """The result as CSV in UTF-8: a row for each rider, cells safe from being formulas."""
    out = StringIO()
    rows = csv.writer(out, lineterminator="\r\n")
    by_heat = any(group.heat is not None for group in result.groups)
    head = ["Place", "Bib", "Rider", "State", "Total", *result.labels, "Points off", "Note"]
    rows.writerow([guarded(each) for each in [*(["Heat"] if by_heat else []), *head, "Result"]])
    posted = "official" if result.is_official else "provisional"
    for group in result.groups:
        for row in group.rows:
            cells = [
                *([str(group.heat)] if by_heat else []),
                row.place,
                "" if row.bib is None else str(row.bib),
                row.entry.public_name,
                row.standing.status.value,
                row.total,
                *(figure for _, figure in row.figures),
                row.points_off,
                row.standing.note,
                posted,
            ]
            rows.writerow([guarded(cell) for cell in cells])
    return out.getvalue().encode("utf-8-sig")
