"""What stands on each paper, as rows."""

from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from events.rules.figures import Rounding
from events.rules.notation import read_run, read_trick
from events.rules.units import Amount
from riders.planning.route import Foot
from runsheets.papers.boat import CAUTIONS, boat_sheet, both_units, turn_for
from runsheets.papers.lists import NOBODY, announcer_list, dock_list
from runsheets.papers.pack import EventFacts, papers_of
from runsheets.papers.paper import (
    Boxes,
    Caution,
    Facts,
    JudgedRun,
    Listing,
    Square,
    Words,
    WrittenRun,
)
from runsheets.papers.rules import rules_sheet
from runsheets.papers.runs import run_sheets, scribe_sheet
from runsheets.papers.table import table_of
from tests.runsheets.paper_desk import ADA, BEN, CLEO, DAN, HEAT, heat_with, round_of


def one(paper, kind):
    return next(block for block in paper.blocks if isinstance(block, kind))


def cells(paper) -> list[tuple[object, ...]]:
    return [row.cells for row in one(paper, Listing).rows]


class TestRunSheets:
    def test_marks_falls_and_riders_who_ride(self):
        runs = [b for b in run_sheets(round_of(), HEAT).blocks if isinstance(b, JudgedRun)]

        assert [(r.sheet.order, r.sheet.name) for r in runs] == [
            (1, "Ada Moreau"), (2, "Ben Ostrander"), (4, "Dan Øst"),
        ]  # fmt: skip
        assert {run.marks for run in runs} == {("Execution 60 %", "Variety 40 %")}
        assert {run.falls for run in runs} == {2}  # the allowed one, and the one that ends it

    def test_three_boxes_for_falls_where_the_rules_do_not_say(self):
        paper = run_sheets(round_of(rules="[passes]\ncount = 1"), HEAT)
        assert one(paper, JudgedRun).falls == 3

    def test_a_set_for_each_judge(self):
        judges = ("Ottla Brand", "Pim Deakin")
        assert run_sheets(round_of(judges=judges), HEAT).copies == judges
        assert run_sheets(round_of(judges=judges), HEAT, per_judge=False).copies == ()
        assert run_sheets(round_of(), HEAT).copies == ()

    def test_the_falls_stand_on_every_page(self):
        said = "Falls: One fall allowed: the second ends your run."
        assert run_sheets(round_of(), HEAT).running == said
        assert scribe_sheet(round_of(), HEAT).running == said

    def test_what_is_remembered_of_a_run(self):
        paper = scribe_sheet(round_of(), HEAT)
        assert paper.snapshot.riders["11"]["run"] == {
            "Pass 1": ["HS backroll", "TS FS 180", "HS FS 360"],
            "Pass 2": ["Tantrum", "Half cab"],
            "Pass 2, Double-up": ["HS backroll"],
        }
        assert paper.snapshot.riders["14"]["note"] == "No run declared"

    def test_nobody_in_a_heat(self):
        assert one(run_sheets(round_of(), heat_with()), Words).heading == (
            "There is nobody in this heat yet."
        )


class TestDock:
    def test_rows(self):
        assert cells(dock_list(round_of(), HEAT)) == [
            ("1", "12", "Ada Moreau\nLeft foot forward", Boxes(), Boxes(), Boxes(("yes", "no"))),
            ("2", "7", "Ben Ostrander\nRight foot forward", Boxes(ticked=True), Boxes(), "not needed"),
            ("3", "9", "Cleo Varga\nLeft foot forward  ·  scratched", Boxes(), Boxes(), "age not known: ask"),
            ("4", "–", "Dan Øst\nRight foot forward", Boxes(), Boxes(), "age not known: ask"),
        ]  # fmt: skip
        assert [row.struck for row in one(dock_list(round_of(), HEAT), Listing).rows] == [
            False, False, True, False,
        ]  # fmt: skip

    def test_ready_thirty_minutes_before_the_start(self):
        """A rule book of 2024 asks riders to be ready 30 minutes before the posted start
        (WWA rule book, opening pages)."""
        facts = dict(one(dock_list(round_of(), HEAT), Facts).rows)
        assert facts == {"Heat starts": "10:00.", "Ready by": "09:30, 30 min before the start."}

    def test_ready_by_over_the_change_of_the_clocks(self):
        """On 29 March 2026 clocks in Vienna go from 02:00 to 03:00 (IANA tz database):
        half an hour before 03:15 is 01:45."""
        start = datetime(2026, 3, 29, 3, 15, tzinfo=ZoneInfo("Europe/Vienna"))
        facts = dict(one(dock_list(round_of(), replace(HEAT, start=start)), Facts).rows)
        assert facts["Ready by"].startswith("01:45,")

    def test_without_a_time_there_is_room_for_one(self):
        paper = dock_list(round_of(rules=""), replace(HEAT, start=None))
        facts = dict(one(paper, Facts).rows)
        assert facts["Heat starts"] == "__:__."
        assert facts["Ready by"] == "__:__. The rules do not say how early."

    def test_a_check_in_does_not_make_the_list_old(self):
        there = replace(ADA, is_checked_in=True)
        before, after = heat_with(ADA, BEN), heat_with(there, BEN)
        assert dock_list(round_of(), before).code == dock_list(round_of(), after).code

    def test_life_vests_and_propellers(self):
        said = " ".join(one(dock_list(round_of(), HEAT), Caution).sentences)
        for word in ("life vest", "guardian", "propeller", "Local law"):
            assert word in said


class TestAnnouncer:
    def test_no_declared_run_is_on_it(self):
        paper = announcer_list(round_of(), HEAT)
        assert cells(paper)[0] == (
            "1",
            "12",
            "Ada Moreau\nLeft foot forward",
            "Reedlake Riders",
        )
        assert "backroll" not in repr(paper)
        other = announcer_list(round_of(), heat_with(replace(ADA, run=None), BEN, CLEO, DAN))
        assert paper.code == other.code

    def test_nobody(self):
        assert one(announcer_list(round_of(), heat_with()), Listing).empty == NOBODY


class TestBoat:
    def test_facts(self):
        """22.4 mph and 65.6 ft: 1 mile = 1609.344 m and 1 ft = 0.3048 m exactly
        (international yard and pound agreement, 1959)."""
        facts = dict(one(boat_sheet(round_of()), Facts).rows)
        assert facts["Speed"] == "36 km/h (22.4 mph), riders may ask for another."
        assert facts["Rope"] == "20 m (65.6 ft) with handle, one rope for everybody."
        assert facts["Ballast"] == (
            "Bow: 150 kg (330.7 lb); rear lockers: 300 kg (661.4 lb). In all 450 kg. "
            "Never above the capacity plate."
        )
        assert facts["Warm-up"] == "One lap before pass 1."
        assert "320 m" in facts["Cutoff"] or "320 m" in str(one(boat_sheet(round_of()), Facts))

    @pytest.mark.parametrize(
        ("amount", "said"),
        [
            (Amount(22.5, "mph"), "22.5 mph (36.2 km/h)"),
            (Amount(75, "ft"), "75 ft (22.9 m)"),
            (Amount(400, "lb"), "400 lb (181.4 kg)"),
        ],
    )
    def test_both_units(self, amount, said):
        assert both_units(amount) == said

    def test_a_limit_is_never_rounded_outwards(self):
        """35 km/h is 21.748 mph and 37 km/h 22.991 mph (1 mile = 1609.344 m exactly)."""
        assert both_units(Amount(35, "km/h"), Rounding.LEAST) == "35 km/h (21.8 mph)"
        assert both_units(Amount(37, "km/h"), Rounding.MOST) == "37 km/h (22.9 mph)"

    @pytest.mark.parametrize(
        ("trick", "foot", "turn"),
        [
            ("HS backroll", Foot.LEFT, ("turn RIGHT", "heelside, own stance")),
            ("HS backroll", Foot.RIGHT, ("turn LEFT", "heelside, own stance")),
            ("TS backroll", Foot.LEFT, ("turn LEFT", "toeside, own stance")),
            ("TS backroll", Foot.RIGHT, ("turn RIGHT", "toeside, own stance")),
            ("switch HS 360", Foot.LEFT, ("turn LEFT", "heelside, switch")),
            ("switch TS FS 360", Foot.LEFT, ("turn RIGHT", "toeside, switch")),
        ],
    )
    def test_the_boat_turns_to_the_side_the_trick_needs(self, trick, foot, turn):
        """Heelside in own stance wants a right turn for a left-foot-forward rider, left for
        a right-foot-forward one; toeside or switch swaps it (the driver has to know the
        forward foot before a double-up: a boat maker's guide to driving one; the sides
        themselves are derived)."""
        assert turn_for(read_trick(trick), foot) == turn

    def test_riders_with_wishes_and_turns(self):
        assert cells(boat_sheet(round_of())) == [
            ("1", "12", "Ada Moreau\nLeft foot forward", "22 m rope, please",
             "turn RIGHT\nheelside, own stance, after pass 2"),
            ("2", "7", "Ben Ostrander\nRight foot forward", "–",
             "turn LEFT\nheelside, own stance, after pass 2"),
            ("3", "9", "Cleo Varga\nLeft foot forward  ·  scratched", "–", ""),
            ("4", "–", "Dan Øst\nRight foot forward", "–", "ask the rider"),
        ]  # fmt: skip

    def test_the_trick_itself_is_not_told(self):
        """The crew is not the table: it learns where to turn, and no more."""
        assert "backroll" not in repr(boat_sheet(round_of()))

    def test_without_a_double_up_there_is_no_such_column(self):
        plain = heat_with(replace(ADA, run=read_run("Ollie")))
        paper = boat_sheet(round_of(plain, rules="[passes]\ncount = 2"))
        assert [c.label for c in one(paper, Listing).columns][-1] == "asks for"

    def test_cautions(self):
        assert one(boat_sheet(round_of()), Caution).sentences == CAUTIONS
        said = " ".join(CAUTIONS)
        for word in ("capacity plate", "observer", "neutral", "life vest", "Local law"):
            assert word in said

    def test_what_is_not_stated_says_so(self):
        facts = dict(one(boat_sheet(round_of(rules="")), Facts).rows)
        for label in ("Boat", "Speed", "Rope", "Ballast", "Crew", "Warm-up", "Pick-up"):
            assert facts[label] == "Not stated: ask the organiser."


class TestRules:
    def test_questions_and_the_way_to_the_page(self):
        address = "https://club.example/events/reed-cup/advanced/"
        paper = rules_sheet(round_of(address=address, differs=("In the round “Final”: x.",)))
        assert one(paper, Square).address == address
        said = {b.heading: b.sentences for b in paper.blocks if isinstance(b, Words)}
        assert "One fall allowed: the second ends your run." in " ".join(
            said["How many falls, and what does the next one do?"]
        )
        assert said["What differs in some rounds or boats?"] == ("In the round “Final”: x.",)

    def test_without_a_public_page_there_is_no_square(self):
        assert not [b for b in rules_sheet(round_of()).blocks if isinstance(b, Square)]


def test_a_pack_is_handed_out_kind_by_kind_in_riding_order():
    late = round_of(replace(HEAT, turn=(2,)), division_key=1, division="First")
    early = round_of(replace(HEAT, turn=(1,)), division_key=2, division="Second")
    papers = papers_of(EventFacts((late, early), (late, early)))
    assert [(p.scope.kind.value, p.heading.division) for p in papers] == [
        (kind, name)
        for kind in ("run sheets", "scribe", "dock", "boat", "announcer")
        for name in ("Second", "First")
    ] + [("rules", "First"), ("rules", "Second")]


def test_the_scribe_has_every_rider_who_rides():
    blocks = scribe_sheet(round_of(), HEAT).blocks
    assert [b.sheet.name for b in blocks if isinstance(b, WrittenRun)] == [
        "Ada Moreau", "Ben Ostrander", "Dan Øst",
    ]  # fmt: skip


def test_the_table_for_a_spreadsheet():
    names, rows = table_of(EventFacts((round_of(),), ()))
    assert names == [
        "division", "round", "heat", "order", "bib", "name", "stance", "club",
        "pass 1", "after pass 1", "pass 2", "after pass 2", "note",
    ]  # fmt: skip
    assert rows[0] == {
        "division": "Advanced", "round": "Qualifying", "heat": 1, "order": 1, "bib": 12,
        "name": "Ada Moreau", "stance": "Left foot forward", "club": "Reedlake Riders",
        "pass 1": "HS backroll, TS FS 180, HS FS 360", "after pass 1": "",
        "pass 2": "Tantrum, Half cab", "after pass 2": "Double-up: HS backroll", "note": "",
    }  # fmt: skip
    assert rows[2]["note"] == "Scratched"
    assert rows[3]["note"] == "No run declared"
