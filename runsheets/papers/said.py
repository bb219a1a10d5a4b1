"""What a paper says of a rider, as plain values to compare a later printing with. Pure."""

from typing import Any

from runsheets.papers.facts import HeatFacts, RiderFacts
from runsheets.sheets import RiderSheet


def seat(rider: RiderFacts, heat: HeatFacts, **more: Any) -> dict[str, Any]:
    """Who it is and where in the order; `more` is what this paper says beside that."""
    said = {
        "name": rider.name,
        "bib": rider.bib,
        "place": rider.order,
        "heat": heat.number,
        "scratched": rider.scratched,
    }
    return {**said, **more}


def run_said(sheet: RiderSheet) -> dict[str, list[str]]:
    """The declared tricks of each pass and each extra, in their order."""
    said = {}
    for each in sheet.passes:
        said[each.heading] = [line.text for line in each.lines if line.text]
        for line in each.bonus:
            if line.text:
                said.setdefault(f"{each.heading}, {line.label}", []).append(line.text)
    return {heading: tricks for heading, tricks in said.items() if tricks}
