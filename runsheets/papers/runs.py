"""The papers with declared runs: the judges' run sheets and the scribe's sheet. Pure."""

from datetime import datetime
from typing import Any

from events.rules.answers import reminders
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark
from riders.pictures.words import shorthand
from runsheets.papers.facts import HeatFacts, RiderFacts, RoundFacts
from runsheets.papers.paper import (
    PAPER,
    Block,
    Facts,
    JudgedRun,
    Kind,
    Paper,
    Scope,
    Snapshot,
    Strips,
    Words,
    WrittenRun,
)
from runsheets.papers.said import run_said, seat
from runsheets.sheets import (
    BlankRun,
    RiderSheet,
    Starter,
    course_strips,
    mark_labels,
    sheet_rows,
)

FALLS = mark("Falls")
FALL_BOXES_IF_UNKNOWN = 3
NOBODY = mark("There is nobody in this heat yet.")
PRINT_AGAIN = mark("Print the sheets again once riders are in it.")


def run_sheets(round_: RoundFacts, heat: HeatFacts, *, per_judge: bool = True) -> Paper:
    """The run sheets of a heat: one set for each judge, or one with a line for the name.

    A judge ticks what was landed, counts falls, and fills in a box for each criterion.
    """
    rules = round_.rules
    said = reminders(rules)
    marks = mark_labels([(c.name or _("Mark"), c.weight) for c in rules.judging.criteria or ()])
    sheets = rider_sheets(heat, rules)
    falls = fall_boxes(rules)
    blocks: list[Block] = [Strips(course_strips(rules)), Facts(said)]
    blocks += [JudgedRun(s, marks, falls, key) for key, s in sheets.items()] or [_nobody()]
    judges = round_.judges if per_judge else ()
    paper = {**round_.common, "judges": ", ".join(judges), "marks": ", ".join(marks)}
    return _paper(round_, heat, Kind.RUN_SHEETS, blocks, sheets, paper, judges)


def scribe_sheet(round_: RoundFacts, heat: HeatFacts) -> Paper:
    """The sheet of whoever writes down what is ridden: planned, ridden, landed or fell."""
    sheets = rider_sheets(heat, round_.rules)
    written = [WrittenRun(sheet, key) for key, sheet in sheets.items()]
    blocks: list[Block] = [*written] or [_nobody()]
    return _paper(round_, heat, Kind.SCRIBE, blocks, sheets, round_.common)


def _nobody() -> Words:
    return Words(_(NOBODY), (_(PRINT_AGAIN),))


def rider_sheets(heat: HeatFacts, rules: Format) -> dict[str, RiderSheet]:
    """The rows of those who ride in a heat, by their keys."""
    starters = [
        Starter(
            order=rider.order,
            name=rider.name,
            bib=rider.bib,
            stance=rider.stance,
            club=rider.club,
            run=rider.run,
            notes=(rider.run_note,) if rider.run_note else (),
        )
        for rider in heat.riding
    ]
    sheets = sheet_rows(starters, BlankRun.of(rules), shorthand)
    return {rider.key: sheet for rider, sheet in zip(heat.riding, sheets, strict=True)}


def fall_boxes(rules: Format) -> int:
    """How many boxes for falls: the allowed ones and the next; three where not stated."""
    allowed = rules.falls.allowed
    return FALL_BOXES_IF_UNKNOWN if allowed is None else min(allowed + 1, 8)


def _paper(
    round_: RoundFacts,
    heat: HeatFacts,
    kind: Kind,
    blocks: list[Block],
    sheets: dict[str, RiderSheet],
    paper: dict[str, str],
    copies: tuple[str, ...] = (),
) -> Paper:
    said = reminders(round_.rules)
    falls = next((text for label, text in said if label == _(FALLS)), "")
    rules = dict(said) if kind is Kind.RUN_SHEETS else {_(FALLS): falls}
    riders = {rider.key: _said(rider, heat, sheets.get(rider.key)) for rider in heat.riders}
    return Paper(
        scope=Scope(round_.division_key, round_.round, kind, heat.number),
        heading=round_.heading(kind, heat),
        blocks=tuple(blocks),
        snapshot=Snapshot({**paper, **rules}, riders),
        running=_("Falls: {sentence}").format(sentence=falls) if falls else "",
        copies=copies,
        moments=moments(round_, heat),
    )


def _said(rider: RiderFacts, heat: HeatFacts, sheet: RiderSheet | None) -> dict[str, Any]:
    """What stands there of a rider; a scratched one has no sheet."""
    run = run_said(sheet) if sheet else {}
    note = sheet.note if sheet else ""
    return seat(rider, heat, stance=rider.stance, club=rider.club, run=run, note=note)


def moments(round_: RoundFacts, *heats: HeatFacts) -> dict[str, datetime]:
    """When what is on a paper last changed, as far as that is known."""
    riders = {
        rider.key: rider.changed_at
        for heat in heats
        for rider in heat.riders
        if rider.changed_at is not None
    }
    edition = {PAPER: round_.published_at} if round_.published_at else {}
    return {**riders, **edition}
