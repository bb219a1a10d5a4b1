"""A result as rows for a spreadsheet."""

from django.utils import translation

from riders.spreadsheets import file_of
from runsheets.results import Result

ENDINGS = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


def result_rows_file(result: Result, ending: str) -> bytes:
    """The result as a file, `ending` csv or xlsx: a row for each rider.

    In CSV figures stand as on the page; in XLSX they are numbers, to go on counting with.
    """
    by_heat = any(group.heat is not None for group in result.groups)
    with translation.override("en"):  # the names of columns are part of the format
        labels = result.labels
    names = ["Place", "Bib", "Rider", "State", "Total", *labels, "Points off"]
    names = [*(["Heat"] if by_heat else []), *names, "Note", "Tie decided", "Result"]
    rows = _rows(result, by_heat=by_heat, as_numbers=ending == "xlsx")
    return file_of(names, rows, ending, "Result")


def _rows(result: Result, *, by_heat: bool, as_numbers: bool) -> list[list[object]]:
    def figure(text: str) -> object:
        return float(text) if text and as_numbers else text

    ties = result.tie_sentences
    posted = "official" if result.is_official else "provisional"
    return [
        [
            *([figure(str(group.heat))] if by_heat else []),
            figure(row.place),
            figure("" if row.bib is None else str(row.bib)),
            row.entry.public_name,
            row.standing.status.value,
            figure(row.total),
            *(figure(each) for _, each in row.figures),
            figure(row.points_off),
            row.standing.note,
            ties.get(row.entry.pk, ""),
            posted,
        ]
        for group in result.groups
        for row in group.rows
    ]
