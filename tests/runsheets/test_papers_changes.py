"""What changed between two printings, in sentences, and which sheets are printed again."""

from dataclasses import replace
from datetime import UTC, datetime

from events.rules.notation import read_run
from runsheets.papers.changes import changes, nth
from runsheets.papers.facts import RoundFacts
from runsheets.papers.heading import SheetHeading, when_printed
from runsheets.papers.lists import announcer_list, dock_list
from runsheets.papers.pack import EventFacts, Printed, papers_of, reprint
from runsheets.papers.paper import JudgedRun, Kind, Snapshot, Words
from runsheets.papers.runs import scribe_sheet
from tests.runsheets.paper_desk import ADA, AT, BEN, CLEO, DAN, HEAT, heat_with, round_of

LATER = datetime(2026, 6, 6, 9, 40, tzinfo=UTC)
KINDS = {Kind.RUN_SHEETS, Kind.DOCK}
COVER = SheetHeading("Reed Cup", "What changed", "", 0, LATER)


def said(then, now) -> list[str]:
    return [each.sentence for each in changes(then.snapshot, now.snapshot)]


def scribe(*riders, **changes):
    return scribe_sheet(round_of(), heat_with(*riders, **changes))


def with_run(rider, notation):
    return replace(rider, run=read_run(notation) if notation else None)


class TestSentences:
    def test_one_trick_for_another(self):
        now = with_run(
            ADA,
            "HS backroll, TS FS 180, HS backroll | Tantrum, Half cab + double-up HS backroll",
        )
        assert said(scribe(ADA, BEN), scribe(now, BEN)) == [
            "Bib 12 Ada Moreau: pass 1 trick 3 was HS FS 360, is now HS backroll."
        ]

    def test_another_double_up_and_a_trick_less(self):
        now = with_run(ADA, "HS backroll, TS FS 180 | Tantrum, Half cab + double-up Tantrum")
        assert said(scribe(ADA), scribe(now)) == [
            "Bib 12 Ada Moreau: pass 1 was HS backroll, TS FS 180, HS FS 360, "
            "is now HS backroll, TS FS 180.",
            "Bib 12 Ada Moreau: pass 2, Double-up was HS backroll, is now Tantrum.",
        ]

    def test_a_first_run_and_one_that_is_gone(self):
        first = said(scribe(DAN), scribe(with_run(DAN, "Ollie | Indy")))
        assert first[0] == "Dan Øst: declared a run, Pass 1: Ollie; Pass 2: Indy."
        gone = said(scribe(BEN), scribe(with_run(BEN, "")))
        assert gone[0] == "Bib 7 Ben Ostrander: has no declared run any more."

    def test_moves_bibs_and_names(self):
        moved = replace(ADA, order=5)
        assert said(
            dock_list(round_of(), heat_with(ADA)), dock_list(round_of(), heat_with(moved))
        ) == ["Bib 12 Ada Moreau: moved from 1st to 5th in heat 1."]
        other = heat_with(replace(ADA, order=6), number=2, name="Heat 2")
        assert "Bib 12 Ada Moreau: moved from 1st in heat 1 to 6th in heat 2." in said(
            dock_list(round_of(), heat_with(ADA)), dock_list(round_of(), other)
        )
        assert said(scribe(ADA), scribe(replace(ADA, bib="14"))) == [
            "Bib 14 Ada Moreau: had bib 12, now has bib 14."
        ]
        assert said(scribe(DAN), scribe(replace(DAN, bib="3", name="Dan Oest"))) == [
            "Bib 3 Dan Oest: was named Dan Øst.", "Bib 3 Dan Oest: had no bib, now has bib 3.",
        ]  # fmt: skip

    def test_new_scratched_and_gone(self):
        assert said(scribe(ADA), scribe(ADA, BEN)) == [
            "Bib 7 Ben Ostrander: new, 2nd in heat 1."
        ]
        assert said(scribe(ADA, BEN), scribe(ADA, replace(BEN, scratched=True))) == [
            "Bib 7 Ben Ostrander: scratched."
        ]
        assert said(scribe(ADA, CLEO), scribe(ADA, replace(CLEO, scratched=False)))[0] == (
            "Bib 9 Cleo Varga: no longer scratched."
        )
        assert said(scribe(ADA, BEN), scribe(ADA)) == [
            "Bib 7 Ben Ostrander: no longer on the sheet."
        ]

    def test_an_edition_and_the_judges(self):
        then = scribe_sheet(round_of(), HEAT)
        assert said(then, scribe_sheet(round_of(edition_no=4), HEAT)) == [
            "Edition 3 of the rules is now edition 4."
        ]
        assert changes(Snapshot({"judges": ""}), Snapshot({"judges": "Ottla Brand"}))[0].sentence == (
            "The list of judges was nothing, is now “Ottla Brand”."
        )  # fmt: skip

    def test_nothing_changed(self):
        assert said(scribe(ADA, BEN), scribe(ADA, BEN)) == []

    def test_places_in_figures(self):
        assert [nth(n) for n in (1, 2, 3, 4, 11, 12, 13, 21, 22, 101, 111)] == [
            "1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "22nd", "101st", "111th",
        ]  # fmt: skip

    def test_a_printing_of_today_is_told_by_its_hour(self):
        assert when_printed(AT, LATER) == "08:05"
        assert when_printed(AT, datetime(2026, 6, 7, 8, 5, tzinfo=UTC)) == "6 June 2026, 08:05"


def facts(*rounds: RoundFacts) -> EventFacts:
    return EventFacts(rounds, rounds)


def printed(papers) -> dict:
    return {p.scope: Printed(p.scope, p.code, p.snapshot, AT) for p in papers}


def again(then, now, wanted=None):
    last = printed(papers_of(facts(then), KINDS))
    papers = papers_of(facts(replace(now, printed_at=LATER)), KINDS)
    scopes = {p.scope for p in papers if wanted is None or p.scope.kind is wanted}
    return reprint(papers, last, scopes, COVER)


def told(result) -> dict[str, tuple[str, ...]]:
    return {b.heading: b.sentences for b in result.cover.blocks if isinstance(b, Words)}


class TestReprint:
    def test_nothing_changed(self):
        result = again(round_of(), round_of())
        assert (result.papers, result.outdated, result.cover) == ([], [], None)

    def test_a_run_declared_anew_reprints_that_rider_alone(self):
        now = heat_with(ADA, with_run(BEN, "Ollie | Method"), CLEO, DAN)
        result = again(round_of(), round_of(now))
        assert [p.scope.kind for p in result.papers] == [Kind.RUN_SHEETS]
        sheet = result.papers[0]
        assert [b.sheet.name for b in sheet.blocks if isinstance(b, JudgedRun)] == [
            "Ben Ostrander"
        ]
        assert sheet.heading.replaces == (
            "Replaces the sheet printed 08:05, for these riders only"
        )
        assert told(result)["Advanced  ·  Qualifying"] == (
            "Bib 7 Ben Ostrander: pass 2 trick 1 was Indy, is now Method.",
            "Bib 7 Ben Ostrander: pass 2, Double-up was HS backroll, is now nothing.",
        )

    def test_an_edition_reprints_everything_whole(self):
        result = again(round_of(), round_of(edition_no=4))
        assert [p.scope.kind for p in result.papers] == [Kind.RUN_SHEETS, Kind.DOCK]
        assert len([b for b in result.papers[0].blocks if isinstance(b, JudgedRun)]) == 3
        assert (
            "Edition 3 of the rules is now edition 4."
            in told(result)["Advanced  ·  Qualifying"]
        )

    def test_a_move_between_heats_is_one_sentence(self):
        first, second = (
            heat_with(ADA, BEN),
            replace(HEAT, number=2, name="Heat 2", riders=(DAN,)),
        )
        then = round_of(first, second)
        now = round_of(
            replace(first, riders=(ADA,)),
            replace(second, riders=(replace(BEN, order=3), DAN)),
        )
        result = again(then, now)
        assert told(result)["Advanced  ·  Qualifying"] == (
            "Bib 7 Ben Ostrander: moved from 2nd in heat 1 to 3rd in heat 2.",
        )
        # Of heat 1 no run sheet is left to print: only Ben went.
        assert [(p.scope.kind, p.scope.heat) for p in result.papers] == [
            (Kind.RUN_SHEETS, 2), (Kind.DOCK, 1), (Kind.DOCK, 2),
        ]  # fmt: skip
        assert len(result.outdated) == 4

    def test_a_heat_that_is_gone_is_named(self):
        second = replace(HEAT, number=2, name="Heat 2", riders=(DAN,))
        result = again(round_of(heat_with(ADA), second), round_of(heat_with(ADA)))
        assert told(result)["No longer ridden like this: throw these sheets away"] == (
            "Run sheets, Advanced, Qualifying, heat 2, printed 08:05.",
            "Dock starter’s list, Advanced, Qualifying, heat 2, printed 08:05.",
        )

    def test_a_later_start_names_the_heat(self):
        later = replace(HEAT, start=HEAT.start.replace(minute=20))
        result = again(round_of(), round_of(later))
        assert told(result)["Advanced  ·  Qualifying"] == (
            "Heat 1: Heat starts was “10:00”, is now “10:20”.",
            "Heat 1: Ready by was “09:30, 30 min before the start”, "
            "is now “09:50, 30 min before the start”.",
        )

    def test_what_was_never_printed_says_so(self):
        papers = papers_of(facts(round_of()), KINDS)
        result = reprint(papers, {}, {p.scope for p in papers}, COVER)
        assert len(result.papers) == 2
        assert told(result) == {
            "Sheets that follow": (
                "Run sheets, Advanced  ·  Qualifying  ·  Heat 1: not printed before.",
                "Dock starter’s list, Advanced  ·  Qualifying  ·  Heat 1: not printed before.",
            )
        }

    def test_only_what_is_wanted_is_printed(self):
        result = again(round_of(), round_of(edition_no=4), wanted=Kind.DOCK)
        assert [p.scope.kind for p in result.papers] == [Kind.DOCK]

    def test_the_announcer_hears_of_no_run(self):
        then = announcer_list(round_of(), heat_with(ADA))
        now = announcer_list(round_of(), heat_with(with_run(ADA, "Ollie")))
        assert said(then, now) == []
