"""All lists as one table for a spreadsheet: a row for each rider in each round. Pure."""

from events.rules.language import gettext as _
from events.rules.language import mark
from runsheets.papers.facts import HeatFacts, RiderFacts, RoundFacts
from runsheets.papers.pack import EventFacts
from runsheets.papers.runs import rider_sheets
from runsheets.sheets import RiderSheet

FIRST = ("division", "round", "heat", "order", "bib", "name", "stance", "club")
SCRATCHED = mark("Scratched")
Row = dict[str, str | int]


def table_of(facts: EventFacts) -> tuple[list[str], list[Row]]:
    """The names of the columns, and the rows in riding order.

    A column for each pass that anybody declared, then one for what follows it, such as a
    double-up; last a note. Numbers are numbers, everything else is text.
    """
    rows, passes = [], 0
    pairs = [(round_, heat) for round_ in facts.rounds for heat in round_.heats]
    for round_, heat in sorted(pairs, key=lambda pair: pair[1].turn):
        sheets = rider_sheets(heat, round_.rules)
        for rider in heat.riders:
            sheet = sheets.get(rider.key)
            rows.append(_row(round_, heat, rider, sheet))
            passes = max(passes, len(sheet.passes) if sheet else 0)
    more = [name for n in range(1, passes + 1) for name in (f"pass {n}", f"after pass {n}")]
    return [*FIRST, *more, "note"], rows


def _row(
    round_: RoundFacts, heat: HeatFacts, rider: RiderFacts, sheet: RiderSheet | None
) -> Row:
    row: Row = {
        "division": round_.division,
        "round": round_.round,
        "heat": heat.number or "",
        "order": rider.order or "",
        "bib": int(rider.bib) if rider.bib else "",
        "name": rider.name,
        "stance": rider.stance,
        "club": rider.club,
        "note": sheet.note if sheet else _(SCRATCHED),
    }
    for number, each in enumerate(sheet.passes if sheet else (), start=1):
        row[f"pass {number}"] = ", ".join(line.text for line in each.lines if line.text)
        bonus = [f"{line.label}: {line.text}" for line in each.bonus if line.text]
        row[f"after pass {number}"] = ", ".join(bonus)
    return row
