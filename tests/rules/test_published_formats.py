"""Formats that were published, each as a file: what they say, and what follows for runs.

The files name their source. These are tests of what a format can hold, not of what those
bodies enforce today.
"""

import re
from pathlib import Path

import pytest

from events.rules.answers import answers, exceptions, reminders
from events.rules.contradictions import contradictions
from events.rules.findings import Finding, Grade, is_legal
from events.rules.format import Format
from events.rules.legality import legality
from events.rules.loading import as_toml, effective, load_format
from events.rules.notation import read_run
from events.rules.words import AgeOn, Beyond, OutOfOrder, RidingOrder, Ties, WhoSets

FOLDER = Path(__file__).parents[2] / "fixtures" / "published"
FILES = sorted(path.stem for path in FOLDER.glob("*.toml"))


def published(name: str) -> Format:
    """The format in a file."""
    return load_format((FOLDER / f"{name}.toml").read_text("utf-8"))


def look(
    name: str, notation: str, division: str | None = None, round: str | None = None
) -> list[Finding]:
    """What the rules find in a run under a published format."""
    format = effective(published(name), division, round)
    return legality(read_run(notation), format, division, round)


def codes(
    found: list[Finding], *grades: Grade
) -> list[tuple[str, str, int | None, int | None]]:
    """The findings of some grades in short; by default what breaks a rule or is not counted."""
    wanted = grades or (Grade.RULE, Grade.UNCOUNTED)
    return [(f.code, str(f.grade), f.pass_no, f.position) for f in found if f.grade in wanted]


def divisions(format: Format) -> list[str | None]:
    """Every division that an override names, and none."""
    return [None, *(name for each in format.overrides for name in each.divisions or ())]


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


def told_of(name: str, code: str, division: str | None = None) -> tuple[str, ...]:
    """The sentences of one answer of a published format."""
    (answer,) = [
        each for each in answers(effective(published(name), division)) if each.code == code
    ]
    return answer.sentences


class TestThreeCriteria:
    """Olympic Council of Asia, discipline page."""

    def test_weights_make_a_hundred(self):
        criteria = published("three_criteria").judging.criteria

        assert [each.weight for each in criteria] == [33.3, 33.4, 33.3]
        assert sum(each.weight for each in criteria) == pytest.approx(100)
        assert published("three_criteria").passes.count == 2


SPINS = "HS FS 180, TS FS 180"


class TestInvertsAndSpins:
    """Wake Utah, 2012: two and two for intermediate, four and four for advanced."""

    def look(self, notation, division):
        return codes(look("inverts_and_spins_2012", notation, division))

    def test_two_and_two_are_legal(self):
        assert self.look(f"HS backroll, {SPINS} | Tantrum", "Intermediate") == []

    def test_a_third_invert(self):
        found = self.look("HS backroll, Tantrum | Raley", "Intermediate")

        assert found == [("limit-most", "rule", 2, 1)]

    def test_a_third_spin(self):
        found = self.look(f"{SPINS}, HS FS 360 | Tantrum", "Intermediate")

        assert found == [("limit-most", "rule", 1, 3)]

    def test_advanced_has_four_and_four(self):
        four = f"HS backroll, Tantrum, Raley, TS backroll | {SPINS}, HS FS 360, TS FS 360"

        assert self.look(four, "Advanced") == []
        assert self.look(f"{four}, Scarecrow", "Advanced") == [("limit-most", "rule", 2, 5)]
        assert self.look(f"{four}, HS BS 180", "Advanced") == [("limit-most", "rule", 2, 5)]

    @pytest.mark.parametrize("division", ["Intermediate", "Advanced"])
    def test_no_trick_twice(self, division):
        found = self.look("HS backroll | HS backroll", division)

        assert found == [("repeat", "rule", 2, 1)]

    def test_an_inverted_spin_is_left_open(self):
        """Whether a spinning invert is a spin too is not said, so it is not decided."""
        found = look("inverts_and_spins_2012", f"{SPINS} | Mobe", "Intermediate")

        assert codes(found) == []
        assert ("limit-open", "unstated", None, None) in codes(found, Grade.UNSTATED)

    def test_other_divisions_are_left_open(self):
        found = look("inverts_and_spins_2012", "HS backroll | HS backroll", "Novice")

        assert {"limits-unstated", "repeats-unstated"} <= {f.code for f in found}


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


class TestInvertClasses:
    """Clark Lake, 2013: none; one to three; four or more."""

    @pytest.mark.parametrize(
        ("division", "inverts", "found"),
        [
            ("Intermediate", 0, []),
            ("Intermediate", 1, [("limit-most", "rule", 1, 1)]),
            ("Advanced", 0, [("limit-least", "rule", None, None)]),
            ("Advanced", 1, []),
            ("Advanced", 3, []),
            ("Advanced", 4, [("limit-most", "rule", 1, 4)]),
            ("Top class", 3, [("limit-least", "rule", None, None)]),
            ("Top class", 4, []),
            ("Top class", 5, []),
        ],
    )
    def test_a_number_of_inverts(self, division, inverts, found):
        five = ("HS backroll", "Tantrum", "Raley", "TS backroll", "Scarecrow")
        run = ", ".join([*five[:inverts], "HS FS 180"])

        assert codes(look("invert_classes_2013", run, division)) == found

    def test_too_few_may_be_the_wrong_class(self):
        found = look("invert_classes_2013", "HS FS 180 | TS FS 180", "Advanced")

        (few,) = [f for f in found if f.code == "limit-least"]
        assert "another division" in few.hint


class TestFourClasses:
    """Boardapalooza, 2007: inverts by class, and a double-up for all."""

    def test_an_inverted_double_up_of_a_novice(self):
        """Whether the limits bind it is not said: no yes, and no breach either."""
        run = "HS FS 180 | TS FS 180 + double-up tantrum"

        found = look("four_classes_2007", run, "Novice")

        assert codes(found) == []
        assert ("limit-open", "unstated", None, None) in codes(found, Grade.UNSTATED)

    def test_a_plain_double_up_of_a_novice(self):
        found = look(
            "four_classes_2007", "HS FS 180 | TS FS 180 + double-up HS FS 360", "Novice"
        )

        assert "limit-open" not in {f.code for f in found}

    @pytest.mark.parametrize(
        ("division", "most"), [("Novice", 0), ("Intermediate", 1), ("Advanced", 5)]
    )
    def test_one_too_many(self, division, most):
        six = ["HS backroll", "Tantrum", "Raley", "TS backroll", "Scarecrow", "Krypt"]

        assert (
            codes(look("four_classes_2007", ", ".join(six[:most] or ["Indy"]), division)) == []
        )
        assert codes(look("four_classes_2007", ", ".join(six[: most + 1]), division)) == [
            ("limit-most", "rule", 1, most + 1)
        ]

    def test_open_has_no_limit(self):
        six = "HS backroll, Tantrum, Raley, TS backroll, Scarecrow, Krypt"

        found = look("four_classes_2007", six, "Open")

        assert codes(found) == []
        assert "limits-unstated" not in {f.code for f in found}

    def test_four_criteria_of_one_to_ten(self):
        judging = published("four_classes_2007").judging

        assert len(judging.criteria) == 4
        assert (judging.mark_least, judging.mark_most) == (1, 10)


class TestInvertLadder:
    """Gravel Tour: none, two, five, free."""

    INVERTS = ["HS backroll", "Tantrum", "Raley", "TS backroll", "Scarecrow", "Krypt"]

    @pytest.mark.parametrize(
        ("division", "most"),
        [("Novice", 0), ("Youngest", 0), ("Intermediate", 2), ("Advanced", 5)],
    )
    def test_each_step(self, division, most):
        run = ", ".join([*self.INVERTS[: most + 1], "HS FS 180"])
        fewer = ", ".join([*self.INVERTS[:most], "HS FS 180"])

        assert codes(look("invert_ladder", fewer, division)) == []
        assert codes(look("invert_ladder", run, division)) == [
            ("limit-most", "rule", 1, most + 1)
        ]

    def test_open_is_free(self):
        assert codes(look("invert_ladder", ", ".join(self.INVERTS), "Open")) == []

    def test_three_inverts_over_two_passes_are_left_open(self):
        """Two in a pass or two in a run is not said: three over two passes is not decided."""
        found = look("invert_ladder", "HS backroll, Tantrum | Raley", "Intermediate")

        assert codes(found) == []
        assert ("limit-open", "unstated", None, None) in codes(found, Grade.UNSTATED)


class TestOneWakeBeginners:
    """Japan Wakeboard Association, 2020: off one wake, but for one straight air."""

    @pytest.mark.parametrize(
        ("run", "found"),
        [
            ("One-wake jump, One-wake HS FS 180", []),
            ("One-wake jump, HS wake jump", []),
            ("HS wake jump, Indy", [("limit-most", "rule", 1, 2)]),
            ("One-wake jump, HS FS 180", [("limit-most", "rule", 1, 2)]),
            ("HS backroll", [("limit-most", "rule", 1, 1)]),
        ],
    )
    def test_take_offs(self, run, found):
        assert codes(look("one_wake_beginners_2020", run, "Beginner")) == found

    def test_only_beginners(self):
        assert codes(look("one_wake_beginners_2020", "HS backroll", "Open")) == []


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
