"""The code of a paper: made of what stands on it, and read back however it is typed."""

from dataclasses import replace
from datetime import timedelta

import pytest

from events.rules.notation import read_run
from runsheets.papers.boat import boat_sheet
from runsheets.papers.codes import LETTERS, code_of, read_code, spaced
from runsheets.papers.lists import announcer_list, dock_list
from runsheets.papers.paper import Kind, read_snapshot
from runsheets.papers.rules import rules_sheet
from runsheets.papers.runs import run_sheets, scribe_sheet
from tests.runsheets.paper_desk import ADA, BEN, HEAT, heat_with, round_of

PAPERS = {
    Kind.RUN_SHEETS: lambda: run_sheets(round_of(), HEAT),
    Kind.SCRIBE: lambda: scribe_sheet(round_of(), HEAT),
    Kind.DOCK: lambda: dock_list(round_of(), HEAT),
    Kind.BOAT: lambda: boat_sheet(round_of()),
    Kind.ANNOUNCER: lambda: announcer_list(round_of(), HEAT),
    Kind.RULES: lambda: rules_sheet(round_of()),
}


class TestCodes:
    @pytest.mark.parametrize("kind", PAPERS)
    def test_the_same_rows_give_the_same_code(self, kind):
        assert PAPERS[kind]().code == PAPERS[kind]().code

    def test_every_paper_has_a_code_of_its_own(self):
        assert len({make().code for make in PAPERS.values()}) == len(PAPERS)

    @pytest.mark.parametrize(
        ("kind", "changes"),
        [
            (Kind.SCRIBE, {"riders": (replace(ADA, run=read_run("Ollie")), BEN)}),
            (Kind.DOCK, {"riders": (replace(BEN, order=1), replace(ADA, order=2))}),
            (Kind.DOCK, {"start": HEAT.start + timedelta(minutes=5)}),
            (Kind.ANNOUNCER, {"riders": (replace(ADA, bib="13"), BEN)}),
            (Kind.RUN_SHEETS, {"riders": (ADA,)}),
        ],
    )
    def test_what_stands_there_changes_the_code(self, kind, changes):
        make = {
            Kind.SCRIBE: scribe_sheet, Kind.DOCK: dock_list,
            Kind.ANNOUNCER: announcer_list, Kind.RUN_SHEETS: run_sheets,
        }[kind]  # fmt: skip
        heat = heat_with(ADA, BEN)
        assert make(round_of(), heat).code != make(round_of(), replace(heat, **changes)).code

    def test_an_edition_changes_every_code(self):
        for make in (run_sheets, scribe_sheet, dock_list, announcer_list):
            assert make(round_of(), HEAT).code != make(round_of(edition_no=4), HEAT).code

    def test_codes_read_back_however_they_are_typed(self):
        code = code_of("x")
        assert len(code) == 8
        assert set(code) <= set(LETTERS)
        assert read_code(spaced(code)) == read_code(f" {code.lower()} ") == code
        assert read_code("O1il-k7q2") == "0111K7Q2"

    @pytest.mark.parametrize("typed", ["", "  -", "K7Q2", "K7Q2-9XM!", "K7Q2-9XMFF"])
    def test_other_codes_are_refused_with_a_sentence(self, typed):
        with pytest.raises(ValueError, match="foot of the paper"):
            read_code(typed)

    @pytest.mark.parametrize("kind", PAPERS)
    def test_a_snapshot_reads_back(self, kind):
        snapshot = PAPERS[kind]().snapshot
        assert read_snapshot(snapshot.as_data()) == snapshot
