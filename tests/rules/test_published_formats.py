"""Formats that were published, each as a file: what they say, and what follows for runs.

The files name their source. These are tests of what a format can hold, not of what those
bodies enforce today.
"""

import re

import pytest

from events.rules.answers import answers, exceptions, reminders
from events.rules.contradictions import contradictions
from events.rules.findings import Grade, is_legal
from events.rules.format import Format
from events.rules.loading import as_toml, effective, load_format
from events.rules.words import (
    AdvanceFrom,
    AgeOn,
    Beyond,
    OutOfOrder,
    RidingOrder,
    Ties,
    WhoSets,
)
from tests.rules.published import FILES, FOLDER, codes, divisions, look, published, told_of


@pytest.mark.parametrize("name", FILES)
class TestEveryFile:
    def test_names_its_source(self, name):
        """The first words say where the format was published."""
        text = (FOLDER / f"{name}.toml").read_text("utf-8")

        assert re.match(r"# Source: \S+", text)

    def test_round_trips(self, name):
        """Written out and read back it is the same format."""
        format = published(name)

        assert load_format(as_toml(format)) == format

    def test_holds_together(self, name):
        """No contradictions, in any division."""
        format = published(name)

        for division in divisions(format):
            assert contradictions(effective(format, division)) == []

    def test_riders_can_read_it(self, name):
        """Questions, answers, exceptions and reminders can be made in every division."""
        format = published(name)

        assert len(exceptions(format)) == len(format.overrides)
        for division in divisions(format):
            there = effective(format, division)
            for answer in answers(there):
                assert answer.sentences
                assert all(sentence.endswith((".", "”", "?")) for sentence in answer.sentences)
            assert all(label and sentence for label, sentence in reminders(there))

    def test_a_run_can_be_checked(self, name):
        """A run is checked in every division, and what is open never makes it illegal."""
        format = published(name)

        for division in divisions(format):
            found = look(name, "Surface FS 180, One-wake jump | Ollie", division)
            broken = {f.code for f in found if f.grade is Grade.RULE}
            assert broken <= {"limit-least", "limit-most"}


def test_every_source_is_here():
    """Every published format that was read has a file."""
    assert len(FILES) >= 17


class TestClubTournament:
    """SLSBC club tournament rules, 2022."""

    def test_falls(self):
        told = told_of("club_tournament_2022", "falls")

        assert told[0] == "One fall allowed: the second means that nothing later counts."

    def test_what_it_leaves_open(self):
        """Nothing is said of limits, repeats or numbers: nothing is illegal, all is asked."""
        found = look("club_tournament_2022", "HS backroll, HS backroll | Tantrum")

        assert is_legal(found)
        assert [f.code for f in found] == [
            "tricks-unstated", "repeats-unstated", "limits-unstated",
        ]  # fmt: skip


class TestThreeCriteria:
    """Olympic Council of Asia, discipline page."""

    def test_weights_make_a_hundred(self):
        criteria = published("three_criteria").judging.criteria

        assert [each.weight for each in criteria] == [33.3, 33.4, 33.3]
        assert sum(each.weight for each in criteria) == pytest.approx(100)
        assert published("three_criteria").passes.count == 2


class TestAnyNumber:
    """World Wake Association rule book, Judging: no least and no most number of tricks."""

    @pytest.mark.parametrize("number", [1, 5, 40])
    def test_any_number_of_tricks(self, number):
        found = look("any_number_of_tricks", ", ".join(["HS backroll"] * number))

        assert codes(found) == []
        assert not {"tricks-unstated", "too-many-tricks"} & {f.code for f in found}


class TestOldRulebooks:
    """IWSF: the rule numbers 17 to 22 of 2006, and the rules of 2001 and 2013."""

    def test_every_title_has_a_place(self):
        """Format, course, double-up, obstacles, boat speed and rope length, falls (2006)."""
        format = Format()

        assert hasattr(format, "passes")  # competition format
        assert hasattr(format.passes, "length_m")  # course
        assert hasattr(format, "double_ups")
        assert hasattr(format.falls, "obstacle_allowed")
        assert hasattr(format.boat, "speed")
        assert hasattr(format.boat, "rope")
        assert hasattr(format.falls, "allowed")

    def test_riders_and_speed_of_2001(self):
        format = published("world_championship_2001")

        assert format.division.age_on is AgeOn.NEW_YEAR
        assert format.division.riders_least == 6
        assert format.boat.speed_rule is WhoSets.RIDER
        assert "six" in " ".join(told_of("world_championship_2001", "who"))

    def test_eligibility_of_2013(self):
        """At least three riders; one category for each rider; by age except open."""
        format = published("eligibility_2013")

        assert (format.division.riders_least, format.division.several) == (3, False)
        assert effective(format, "Juniors").division.age_most is not None
        assert effective(format, "Open").division.age_most is None
        assert effective(format, "Open").division.several is False


class TestOrders:
    """Swiss Pro Tricks: who rides when, who goes on, how long to protest."""

    def test_orders_and_ties(self):
        first, second, _ = published("ranking_orders").rounds

        assert first.order is RidingOrder.RANKING
        assert second.order is RidingOrder.REVERSE
        assert (second.advance, second.ties) == (6, Ties.ALL_ADVANCE)
        assert second.advance_from is AdvanceFrom.ROUND
        assert published("ranking_orders").judging.tie_breaks == ("ranking",)
        assert published("ranking_orders").clock.protest_min == 15

    def test_the_sheet_at_the_dock_is_told(self):
        """What no value holds is told in words."""
        assert told_of("ranking_orders", "notes") == (
            "Driver's sheet: Hand in your speed and ballast at the dock.",
        )

    def test_riders_read_it(self):
        told = " ".join(told_of("ranking_orders", "rounds"))

        assert "best last" in told
        assert "reverse" in told


class TestTutorial:
    """tutorialspoint: one fall, in some cases two."""

    def test_a_number_that_varies_is_not_stated(self):
        assert published("tutorial_rules").falls.allowed is None
        assert told_of("tutorial_rules", "falls")[0].endswith("ask the organiser.")


class TestInterClub:
    """Inter-club page, Belgium: the rules alone; falls are told in the planning tests."""

    def test_five_tricks_are_a_guide(self):
        found = look("inter_club", ", ".join(["HS backroll"] * 9) + " | Tantrum")

        assert codes(found) == []

    def test_obstacles_have_allowances_of_their_own(self):
        falls = effective(published("inter_club"), "With obstacles").falls

        assert (falls.allowed, falls.water_allowed, falls.obstacle_allowed) == (2, 1, 1)


class TestFirstTimeCounts:
    """Ontario contests, as a boating course tells them."""

    @pytest.mark.parametrize("first", ["HS backroll", "HS backroll x"])
    def test_a_trick_again_is_legal_and_not_counted(self, first):
        """Even if the first was missed."""
        found = look("first_time_counts", f"{first}, Tantrum | HS backroll")

        assert is_legal(found)
        assert codes(found) == [("repeat-uncounted", "uncounted", 2, 1)]

    def test_a_new_trick_counts(self):
        assert codes(look("first_time_counts", "HS backroll | TS backroll")) == []


FIVE = "HS backroll, TS FS 180, Raley, HS FS 360, Tantrum"
OTHERS = "TS backroll, HS FS 180, TS FS 360, Scarecrow, HS BS 180"
FREESTYLE = "freestyle_25_seconds"


class TestFreestyle:
    """Brazilian freestyle rules, archived."""

    def test_five_and_five(self):
        assert codes(look(FREESTYLE, f"{FIVE} | {OTHERS}", "Open", "Final")) == []

    def test_the_sixth_in_a_pass_is_not_counted(self):
        found = look(FREESTYLE, f"{FIVE}, Krypt | {OTHERS}", "Open", "Final")

        assert codes(found) == [("too-many-tricks", "uncounted", 1, 6)]
        assert is_legal(found)

    def test_a_grab_makes_no_new_trick(self):
        found = look(FREESTYLE, "HS backroll, Tantrum | HS backroll indy", "Open", "Final")

        assert codes(found) == [("repeat-uncounted", "uncounted", 2, 1)]

    def test_the_style_trick_is_a_sixth(self):
        run = f"{FIVE} | {OTHERS} + style trick: Indy"

        for division, round in (("Open", "Final"), ("Novice", "Preliminary")):
            assert codes(look(FREESTYLE, run, division, round)) == []

    def test_the_style_trick_comes_after_pass_2_only(self):
        found = look(FREESTYLE, f"{FIVE} + style trick: Indy | {OTHERS}", "Open", "Final")

        assert codes(found) == [("double-up-not-offered", "rule", 1, 6)]

    def test_style_trick_and_double_up_break_a_rule(self):
        run = f"{FIVE} | {OTHERS} + style trick: Indy + double-up krypt"

        assert codes(look(FREESTYLE, run, "Open", "Final")) == [
            ("double-up-excluded", "rule", 2, 7)
        ]

    @pytest.mark.parametrize(
        ("division", "round", "offered"),
        [
            ("Open", "Final", True),
            ("Open", "Preliminary", False),
            ("Novice", "Final", False),
        ],
    )
    def test_the_double_up_is_for_the_open_final(self, division, round, offered):
        found = look(FREESTYLE, f"{FIVE} | {OTHERS} + double-up krypt", division, round)

        assert is_legal(found) is offered
        wanted = [] if offered else [("double-up-not-offered", "rule", 2, 6)]
        assert codes(found) == wanted

    def test_its_condition_is_told(self):
        found = look(FREESTYLE, f"{FIVE} | {OTHERS} + double-up krypt", "Open", "Final")

        told = [f.message for f in found if f.code == "double-up-conditional"]
        assert told == ["The double-up is offered only without a fall in pass 2."]

    def test_the_order_is_binding(self):
        found = look(FREESTYLE, FIVE, "Open", "Final")

        assert published(FREESTYLE).declared_order.out_of_order is OutOfOrder.NOT_COUNTED
        assert "order-binding" in {f.code for f in found}


class TestWildcard:
    """A camp's advice on contests, 2015: passes of 30 s, one wildcard trick after pass 2."""

    def test_the_wildcard(self):
        """Any trick, from any take-off, but not after pass 1."""
        assert codes(look("wildcard_2015", "Indy | Mute + wildcard: Krypt")) == []
        assert codes(look("wildcard_2015", "Indy + wildcard: Krypt | Mute")) == [
            ("double-up-not-offered", "rule", 1, 2)
        ]

    def test_thirty_seconds_at_the_speed_of_the_boat(self):
        """23 mph is 10.28 m/s, so 30 s are about 308 m (trade arithmetic)."""
        format = published("wildcard_2015")
        with_speed = load_format(as_toml(format) + '\n[boat]\nspeed = "23 mph"\n')

        assert format.pass_length(1) is None
        assert with_speed.pass_length(2) == pytest.approx(308.5, abs=0.1)

    def test_a_missed_trick_may_be_tried_again(self):
        missed = look("wildcard_2015", "HS backroll x, Indy | HS backroll")
        landed = look("wildcard_2015", "HS backroll, Indy | HS backroll")

        assert "repeat-backup" not in {f.code for f in missed}
        assert "repeat-backup" in {f.code for f in landed}
        assert codes(missed) == codes(landed) == []


class TestEntriesAndClock:
    """Hong Kong nationals, 2017, and the WWA rule book, 2024."""

    def test_places_by_lot(self):
        division = published("places_by_lot_2017").division

        assert (division.first_come, division.beyond) == (5, Beyond.BY_LOT)
        assert division.age_on is AgeOn.FIRST_DAY
        told = told_of("places_by_lot_2017", "who")
        assert "Five places go to those who enter first." in told
        assert "If more enter, places are drawn by lot." in told

    def test_ready_half_an_hour_before(self):
        assert published("clock_2024").clock.ready_min == 30
        assert "30 minutes" in " ".join(told_of("clock_2024", "declare"))
