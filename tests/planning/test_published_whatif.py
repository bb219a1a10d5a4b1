"""Published formats and runs with marked falls: what follows, as the sources say it.

The formats are files that name their source. The sources give positions as parts of the
pass; a trick is given a fifth of it here, so that five tricks start at 0, 20, 40, 60 and
80 per cent.
"""

from dataclasses import replace
from pathlib import Path

import pytest

from events.rules.format import Format
from events.rules.loading import effective, load_format
from events.rules.notation import read_run
from events.rules.staging import Route
from riders.planning.route import plan_route
from riders.planning.whatif import Ending, Story, follow

FOLDER = Path(__file__).parents[2] / "fixtures" / "published"
FIFTH = Route(trick_m=74, turn_m=0, cross_m=0)


def published(name: str, division: str | None = None, round: str | None = None) -> Format:
    """A published format with a fifth of 370 m for each trick."""
    format = load_format((FOLDER / f"{name}.toml").read_text("utf-8"))
    return replace(effective(format, division, round), route=FIFTH)


def tell(
    name: str, notation: str, division: str | None = None, round: str | None = None
) -> Story:
    """What follows from the falls that are marked in a run."""
    format, run = published(name, division, round), read_run(notation)
    return follow(run, format, plan_route(run, format), round, division)


def codes(story: Story) -> set[str]:
    return {finding.code for finding in story.findings}


CLEAN = "HS FS 180, Indy, HS backroll, Mute, Raley"
OTHER = "TS FS 180, Method, Tantrum, Tindy, Krypt"
INTER_CLUB = "inter_club"


def fallen(line: str, *numbers: int) -> str:
    """The line with falls marked on some of its tricks."""
    return ", ".join(
        f"{trick} x" if at in numbers else trick
        for at, trick in enumerate(line.split(", "), start=1)
    )


class TestInterClub:
    """Inter-club wake page on riding in a contest, Belgium (vzw-iwv.be/882)."""

    def test_one_fall_on_pass_1_then_clean_survives(self):
        story = tell(INTER_CLUB, f"{fallen(CLEAN, 2)} | {OTHER}")

        assert (story.ending, story.falls) == (Ending.TO_THE_END, 1)
        assert len(story.landed) == 9
        assert story.not_reached == ()

    def test_a_free_fall_in_the_run_in_and_one_more_survives(self):
        story = tell(INTER_CLUB, f"run-in x, {fallen(CLEAN, 3)} | {OTHER}")

        assert (story.ending, story.falls) == (Ending.TO_THE_END, 1)
        assert "fall-free" in codes(story)

    def test_a_second_fall_in_the_run_in_counts(self):
        story = tell(INTER_CLUB, f"run-in x, run-in x, {fallen(CLEAN, 3)} | {OTHER}")

        assert (story.ending, story.falls) == (Ending.FALLS, 2)

    def test_a_fall_in_the_turn_and_one_on_pass_2(self):
        """It ends there, and the rest cannot be reached."""
        story = tell(INTER_CLUB, f"{CLEAN}, turn x | {fallen(OTHER, 2)}")

        assert (story.ending, story.falls) == (Ending.FALLS, 2)
        missed = [(place.pass_no, place.position) for place in story.not_reached]
        assert missed == [(2, 3), (2, 4), (2, 5)]

    def test_a_first_fall_at_four_fifths_of_pass_2_ends_it(self):
        """Not picked up past the three-quarter marker, with one fall in all."""
        story = tell(INTER_CLUB, f"{CLEAN} | {fallen(OTHER, 5)}")

        assert (story.ending, story.falls) == (Ending.NOT_PICKED_UP, 1)

    def test_the_same_on_pass_1_is_picked_up(self):
        story = tell(INTER_CLUB, f"{fallen(CLEAN, 5)} | {OTHER}")

        assert (story.ending, story.falls) == (Ending.TO_THE_END, 1)
        assert story.not_reached == ()

    def test_a_first_fall_at_three_fifths_of_pass_2_is_picked_up(self):
        story = tell(INTER_CLUB, f"{CLEAN} | {fallen(OTHER, 4)}")

        assert story.ending is Ending.TO_THE_END

    def test_a_trick_begun_before_the_end_marker_counts(self):
        """A fifth and a little more for each: the fifth begins at 300 m and ends past 370."""
        format = replace(published(INTER_CLUB), route=Route(trick_m=75, turn_m=0, cross_m=0))
        run = read_run(f"{CLEAN} | {OTHER}")

        assert plan_route(run, format).dropped == ()

    @pytest.mark.parametrize(
        ("notation", "ending"),
        [
            ("50-50 x, Indy x, Mute | Method", Ending.TO_THE_END),
            ("50-50 x, FS boardslide x, Mute | Method", Ending.FALLS),
            ("Indy x, Mute x, 50-50 | Method", Ending.FALLS),
            ("50-50 x, Indy x, Mute | Method x", Ending.FALLS),
        ],
    )
    def test_obstacles_have_an_allowance_of_their_own(self, notation, ending):
        """One on the water, one on an obstacle; the third in all ends the run."""
        assert tell(INTER_CLUB, notation, "With obstacles").ending is ending

    def test_what_the_page_leaves_open_is_said(self):
        """How much course a pick-up costs is not on the page: the story is not certain."""
        story = tell(INTER_CLUB, f"{fallen(CLEAN, 2)} | {OTHER}")

        assert not story.certain
        assert "restart-unstated" in codes(story)


class TestFirstTimeCounts:
    """Ontario contests, as a boating course tells them (boatsmartexam.com)."""

    def test_the_first_fall_is_picked_up(self):
        story = tell("first_time_counts", f"{fallen(CLEAN, 5)} | {OTHER}")

        assert (story.ending, story.falls) == (Ending.TO_THE_END, 1)

    def test_the_second_ends_the_run(self):
        story = tell("first_time_counts", f"{fallen(CLEAN, 1)} | {fallen(OTHER, 1)}")

        assert (story.ending, story.falls) == (Ending.FALLS, 2)
        assert len(story.not_reached) == 4

    def test_a_first_fall_past_the_marker_of_pass_2(self):
        story = tell("first_time_counts", f"{CLEAN} | {fallen(OTHER, 5)}")

        assert story.ending is Ending.NOT_PICKED_UP


class TestClubTournament:
    """SLSBC club tournament rules, 2022: after the second fall nothing more counts."""

    def test_nothing_later_counts(self):
        story = tell("club_tournament_2022", f"{fallen(CLEAN, 1, 3)} | {OTHER}")

        assert (story.ending, story.falls) == (Ending.FALLS, 2)
        assert [(p.pass_no, p.position) for p in story.landed] == [(1, 2)]


FREESTYLE = "freestyle_25_seconds"


class TestFreestyle:
    """Brazilian freestyle rules, archived: the first fall ends the pass."""

    def tell(self, notation: str, division: str = "Open", round: str = "Final") -> Story:
        return tell(FREESTYLE, notation, division, round)

    def test_a_fall_ends_the_pass_and_not_the_run(self):
        story = self.tell(f"{fallen(CLEAN, 2)} | {OTHER}")

        assert story.ending is Ending.TO_THE_END
        missed = [(place.pass_no, place.position) for place in story.not_reached]
        assert missed == [(1, 3), (1, 4), (1, 5)]

    def test_a_fall_in_pass_1_keeps_the_double_up(self):
        story = self.tell(f"{fallen(CLEAN, 2)} | {OTHER} + double-up tantrum")

        (offer,) = story.offers
        assert offer.bar is None
        assert (2, 6) in [(p.pass_no, p.position) for p in story.landed]

    @pytest.mark.parametrize("number", [1, 5])
    def test_a_fall_in_pass_2_loses_it(self, number):
        """Also on the last trick, when nothing of the pass is left."""
        story = self.tell(f"{CLEAN} | {fallen(OTHER, number)} + double-up tantrum")

        (offer,) = story.offers
        assert offer.bar is not None
        assert (2, 6) in [(p.pass_no, p.position) for p in story.not_reached]

    @pytest.mark.parametrize(
        ("division", "round"), [("Open", "Preliminary"), ("Novice", "Final")]
    )
    def test_elsewhere_it_is_not_offered(self, division, round):
        story = self.tell(f"{CLEAN} | {OTHER} + double-up tantrum", division, round)

        (offer,) = story.offers
        assert offer.bar is not None

    def test_the_style_trick_is_offered_in_any_round(self):
        story = self.tell(f"{CLEAN} | {OTHER} + style trick: Indy", "Novice", "Preliminary")

        (offer,) = story.offers
        assert offer.bar is None


class TestDoubleUpForAll:
    """Boardapalooza, 2007: one optional double-up after two passes, for every class."""

    @pytest.mark.parametrize("division", ["Novice", "Intermediate", "Advanced", "Open"])
    def test_every_class_has_it(self, division):
        story = tell(
            "four_classes_2007", "Indy | Mute + double-up HS FS 180", division, "Qualifying"
        )

        (offer,) = story.offers
        assert offer.bar is None
