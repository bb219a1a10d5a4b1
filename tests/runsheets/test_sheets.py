"""What stands on a run sheet, as rows."""

from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest

from events.rules.loading import load_format
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.trick import Edge, Family, Stance, Trick
from runsheets.papers.heading import SheetHeading
from runsheets.sheets import (
    BlankRun,
    CourseStrip,
    Line,
    Starter,
    StripMark,
    course_strips,
    mark_labels,
    sheet_rows,
)

ROLL = Trick("hs-backroll", "HS backroll", Family.BACKROLL, Edge.HEELSIDE, invert=True)
SPIN = Trick("360", "360", Family.SPIN, rotation=360)
BLANK = BlankRun(2, 5, ((), ("double-up",)))


def heading(**changes) -> SheetHeading:
    values = {
        "event": "Lake Arden Open",
        "division": "Open Women",
        "round": "Qualifying",
        "edition_no": 3,
        "printed_at": datetime(2026, 6, 6, 8, 5, tzinfo=UTC),
    }
    return SheetHeading(**(values | changes))


def rows(run: Run | None, blank: BlankRun = BLANK, **options):
    return sheet_rows([Starter(4, "Ada Moss", "12", run=run)], blank, **options)[0]


def test_declared_tricks_are_numbered_in_each_pass():
    """Numbers start afresh in each pass, in declared order, in notation."""
    switch = PlannedTrick(SPIN, stance=Stance.SWITCH)
    run = Run((Pass((PlannedTrick(ROLL), switch)), Pass((PlannedTrick(SPIN),))))
    first, second = rows(run).passes
    assert first.heading == "Pass 1"
    assert first.lines == (Line("1", "HS backroll"), Line("2", "switch 360"))
    assert second.lines == (Line("1", "360"),)
    assert rows(run).note == ""


def test_chances_records_and_falls_never_reach_the_rows():
    """Whatever the wording does with a trick, it is not shown what is the rider's own."""
    private = [
        PlannedTrick(ROLL, landed=9, tried=13),
        PlannedTrick(ROLL, chance=0.37),
        PlannedTrick(ROLL, fell=True),
    ]
    bonus = PlannedTrick(ROLL, bonus="double-up", landed=7, tried=11)
    sheet = rows(Run((Pass(tuple(private), (bonus,)),)), wording=repr)
    assert {line.text for each in sheet.passes for line in each.lines if line.text} == {
        repr(PlannedTrick(ROLL))
    }
    assert sheet.passes[0].bonus[0].text == repr(PlannedTrick(ROLL, bonus="double-up"))
    in_notation = rows(Run((Pass(tuple(private), (bonus,)),)))
    assert {line.text for line in in_notation.passes[0].lines} == {"HS backroll"}


def test_bonus_tricks_carry_the_name_of_the_bonus():
    run = Run((Pass((PlannedTrick(ROLL),), (PlannedTrick(SPIN, bonus="double-up"),)),))
    assert rows(run).passes[0].bonus == (Line("Double-up", "360"),)


def test_an_extra_that_was_not_declared_leaves_a_line_to_write_on():
    run = Run((Pass((PlannedTrick(ROLL),)), Pass((PlannedTrick(SPIN),))))
    assert rows(run).passes[1].bonus == (Line("Double-up"),)


def test_a_declared_extra_is_not_offered_twice():
    bonus = (PlannedTrick(SPIN, bonus="double-up"),)
    run = Run((Pass((PlannedTrick(ROLL),)), Pass((PlannedTrick(SPIN),), bonus)))
    assert rows(run).passes[1].bonus == (Line("Double-up", "360"),)


def test_without_a_declared_run_the_lines_are_empty_and_it_says_so():
    sheet = rows(None)
    assert sheet.note == "No run declared"
    assert [len(each.lines) for each in sheet.passes] == [5, 5]
    assert {line.text for each in sheet.passes for line in each.lines} == {""}
    assert [line.label for line in sheet.passes[0].lines] == ["1", "2", "3", "4", "5"]


def test_a_pass_that_was_not_declared_gets_blank_lines():
    sheet = rows(Run((Pass((PlannedTrick(ROLL),)),)))
    assert [len(each.lines) for each in sheet.passes] == [1, 5]


def test_more_declared_passes_than_the_format_has_are_all_printed():
    run = Run((Pass((PlannedTrick(ROLL),)),) * 4)
    assert [each.heading for each in rows(run).passes] == [f"Pass {n}" for n in (1, 2, 3, 4)]


def test_the_blank_run_follows_the_format():
    rules = load_format(
        "[passes]\ncount = 2\ntricks_expected = 6\n[[double_ups]]\nafter_pass = 2\n"
    )
    assert BlankRun.of(rules) == BlankRun(2, 6, ((), ("double-up",)))


def test_the_blank_run_of_an_open_format_has_five_lines():
    assert BlankRun.of(load_format("")) == BlankRun(1, 5, ((),))


@pytest.mark.parametrize(
    ("zone", "printed"),
    [
        (UTC, "6 June 2026, 08:05 UTC"),
        (ZoneInfo("Europe/Vienna"), "6 June 2026, 08:05 CEST (+02:00)"),
        (ZoneInfo("America/Sao_Paulo"), "6 June 2026, 08:05 UTC-03:00"),
        (timezone(timedelta(hours=5, minutes=45)), "6 June 2026, 08:05 UTC+05:45"),
    ],
)
def test_the_time_of_printing_names_its_zone(zone, printed):
    """Offsets of summer 2026 from the IANA time zone database."""
    assert heading(printed_at=datetime(2026, 6, 6, 8, 5, tzinfo=zone)).printed == printed


def test_a_time_without_a_zone_is_refused():
    with pytest.raises(ValueError, match="time zone"):
        heading(printed_at=datetime(2026, 6, 6, 8, 5))


@pytest.mark.parametrize(
    ("criteria", "labels"),
    [
        ([], ("Mark",)),
        ([("Execution", 60), ("Variety", 40)], ("Execution 60 %", "Variety 40 %")),
        ([("Execution", 0.6), ("Variety", 0.4)], ("Execution 60 %", "Variety 40 %")),
        ([("Execution", 2), ("Variety", 1.5)], ("Execution × 2", "Variety × 1.5")),
        ([("Overall", None)], ("Overall",)),
    ],
)
def test_mark_boxes_show_the_weights(criteria, labels):
    assert mark_labels(criteria) == labels


def test_course_strips_show_cutoffs_in_metres_from_the_start():
    """Three quarters of 400 m are 300 m; the marker stands in the second pass only."""
    rules = load_format(
        "[passes]\ncount = 2\nlength_m = [400]\nended_by = 'marker'\n"
        "[[pickup_cutoffs]]\npass = 2\nat_fraction = 0.75\n"
        "[[double_ups]]\nafter_pass = 2\ncutoff_m = 300\n"
    )
    assert course_strips(rules) == (
        CourseStrip(
            "Each pass",
            400,
            (
                StripMark(300, "Pass 2: no pick-up past here"),
                StripMark(300, "Pass 2: no double-up after a fall past here"),
            ),
        ),
    )


def test_passes_of_different_length_have_a_strip_each():
    rules = load_format("[passes]\ncount = 3\nlength_m = [400, 300, 400]\n")
    assert [(s.title, s.length_m) for s in course_strips(rules)] == [
        ("Passes 1 and 3", 400),
        ("Pass 2", 300),
    ]


def test_a_course_of_unknown_length_has_no_strip():
    assert course_strips(load_format("[passes]\ncount = 2\n")) == ()
