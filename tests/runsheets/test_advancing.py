"""Who goes on: published rules of advancement, SciPy, and whatever the standings are."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import rankdata

from events.rules.words import Combine, Ties
from runsheets.judging.advancing import (
    MOVES_UP,
    NO_LAST_CHANCE,
    NOT_STATED,
    WHO_DECIDES,
    Advancement,
    Cut,
    Fate,
    advancing,
    joined,
)
from runsheets.judging.scoring import RunState
from runsheets.judging.standings import Standing, standings
from tests.runsheets.score_cards import card, cards, scoring

BY_MEAN = scoring(combine=Combine.MEAN, mark_most=100)


def ranked(*totals: int | None) -> list[Standing]:
    """Riders 0, 1, 2 and so on with these totals; None did not start."""
    ridden = {rider: [total] for rider, total in enumerate(totals) if total is not None}
    rows = list(standings(cards(ridden), BY_MEAN).rows) if ridden else []
    absent = [rider for rider, total in enumerate(totals) if total is None]
    return rows + [
        Standing(len(ridden) + 1, rider, None, status=RunState.NOT_STARTED) for rider in absent
    ]


def without_place(rider: int, status: RunState) -> Standing:
    return Standing(None, rider, None, status=status)


def fates(found: Advancement) -> dict:
    return {each.rider: each.fate for each in found.riders}


def reasons(found: Advancement) -> dict:
    return {each.rider: each.reason for each in found.riders}


class TestPublished:
    def test_all_who_are_tied_for_the_last_of_six_ski_the_final(self) -> None:
        """Swiss Pro Tricks event rules (swissprotricks.com/event-rules): the top six of
        women and of men; everybody tied for the last place enters the final."""
        group = ranked(90, 85, 80, 75, 70, 65, 65, 65, 60)
        found = advancing([group], Cut(6, Ties.ALL_ADVANCE))

        assert found.those(Fate.ADVANCES) == [0, 1, 2, 3, 4, 5, 6, 7]
        assert reasons(found)[7] == WHO_DECIDES[Ties.ALL_ADVANCE]
        assert reasons(found)[8] == "Not among the first six."
        assert found.free == 0

    def test_the_second_best_score_counts_before_that(self) -> None:
        """The same rules: the best of two rounds; a tie for the last place first goes by
        the other score."""
        made = scoring(mark_most=100, combine=Combine.MEAN, tie_breaks=("second best run",))
        best, other = [90, 85, 80, 75, 70, 65, 65], [10, 10, 10, 10, 10, 40, 50]
        runs = [
            card(rider, str(mark), attempt=attempt)
            for attempt, marks in enumerate((best, other), start=1)
            for rider, mark in enumerate(marks)
        ]
        group = standings(runs, made, best_of=2).rows

        found = advancing([group], Cut(6, Ties.ALL_ADVANCE))

        assert found.those(Fate.ADVANCES) == [0, 1, 2, 3, 4, 6]
        assert found.those(Fate.OUT) == [5]

    def test_four_tied_at_sixth_ride_off_for_three_of_eight_places(self) -> None:
        """IWSF 1996 tournament rules addendum, rule 2.02 (iwsf.com/add96sep.htm): the first
        eight ski the final; a tie for eighth, or for a higher place so that more than eight
        would, is parted by a run-off. Its example is four skiers tied at sixth."""
        group = ranked(90, 85, 80, 75, 70, 65, 65, 65, 65, 60)
        found = advancing([group], Cut(8, Ties.RIDE_OFF))

        assert found.those(Fate.ADVANCES) == [0, 1, 2, 3, 4]
        assert found.those(Fate.UNDECIDED) == [5, 6, 7, 8]
        assert found.free == 3
        assert found.those(Fate.OUT) == [9]

    def test_a_tie_inside_the_first_eight_changes_nothing(self) -> None:
        """The same rule: two tied at seventh of eight both fit."""
        group = ranked(90, 85, 80, 75, 70, 67, 65, 65, 60)
        found = advancing([group], Cut(8, Ties.RIDE_OFF))

        assert len(found.those(Fate.ADVANCES)) == 8
        assert found.those(Fate.UNDECIDED) == []

    def test_each_heat_by_itself(self) -> None:
        """World Wake Association rule book, Judging: a run is ranked only against its heat,
        so that a low mark of one heat goes on and a higher one of another does not."""
        first = ranked(90, 80, 70)
        second = [
            Standing(row.place, row.rider + 10, row.total - 50) for row in ranked(90, 80, 70)
        ]
        found = advancing([first, second], Cut(1, Ties.RIDE_OFF))

        assert found.those(Fate.ADVANCES) == [0, 10]
        assert reasons(found)[10] == "First of the heat."
        assert reasons(found)[1] == "Not first of the heat."


class TestWhoDoesNot:
    """Common practice, no source, where nothing else is named."""

    def test_states_say_why(self) -> None:
        group = [
            *ranked(90, 80, None),
            without_place(3, RunState.DISQUALIFIED),
            without_place(4, RunState.WITHDRAWN),
        ]
        found = advancing([group], Cut(4, Ties.ALL_ADVANCE, last_chance=True))

        assert found.those(Fate.ADVANCES) == [0, 1]
        assert found.those(Fate.OUT) == [2, 3, 4]
        assert [reasons(found)[each] for each in (2, 3, 4)] == [
            "Did not start.", "Disqualified.", "Withdrawn."
        ]  # fmt: skip

    def test_the_next_one_moves_up_for_who_withdrew_since(self) -> None:
        found = advancing([ranked(90, 80, 70, 60)], Cut(2, Ties.RIDE_OFF), gone={1})

        assert found.those(Fate.ADVANCES) == [0, 2]
        assert reasons(found)[2] == MOVES_UP
        assert (fates(found)[1], reasons(found)[1]) == (Fate.OUT, "Withdrawn.")

    def test_a_tie_is_settled_by_who_withdrew(self) -> None:
        group = ranked(90, 80, 80, 60)
        assert advancing([group], Cut(2, Ties.RIDE_OFF)).free == 1

        found = advancing([group], Cut(2, Ties.RIDE_OFF), gone={1})

        assert found.those(Fate.ADVANCES) == [0, 2]
        assert (reasons(found)[2], found.free) == (MOVES_UP, 0)

    def test_nothing_stated(self) -> None:
        found = advancing([ranked(90, 80, None)], Cut(None))
        assert found.those(Fate.ADVANCES) == [0, 1]
        assert reasons(found)[1] == NOT_STATED

    def test_what_decides_a_tie_is_not_stated(self) -> None:
        found = advancing([ranked(90, 80, 80)], Cut(2))
        assert found.those(Fate.UNDECIDED) == [1, 2]
        assert reasons(found)[1] == "Tied for the last place: what decides is not stated."

    def test_none_go_on(self) -> None:
        assert set(fates(advancing([ranked(90, 90)], Cut(0))).values()) == {Fate.OUT}

    def test_nobody_rode(self) -> None:
        assert advancing([], Cut(3)).riders == ()
        assert advancing([ranked(None, None)], Cut(3)).those(Fate.ADVANCES) == []


class TestLastChance:
    """Qualifying, a last chance for the others, and a final of both (from memory)."""

    FIRST = Cut(2, Ties.RIDE_OFF, last_chance=True)

    def last(self, *pairs, many=1):
        rows = [Standing(place, rider, Fraction(50 - place)) for rider, place in pairs]
        return advancing([rows], Cut(many, Ties.ALL_ADVANCE))

    def test_those_who_rode_and_did_not_get_through(self) -> None:
        first = advancing([ranked(90, 80, 70, 60, None)], self.FIRST)

        assert first.those(Fate.LAST_CHANCE) == [2, 3]
        assert reasons(first)[2] == "Not among the first two."
        assert fates(first)[4] is Fate.OUT

    def test_the_final_takes_both_and_ranks_the_last_chance_behind(self) -> None:
        first = advancing([ranked(90, 80, 70, 60)], self.FIRST)
        both = joined(first, self.last((3, 1), (2, 2)))

        assert both.those(Fate.ADVANCES) == [0, 1, 3]
        assert both.ranking == {0: 1, 1: 2, 3: 3, 2: 4}
        assert both.those(Fate.OUT) == [2]

    def test_who_lost_the_tie_rode_and_the_other_is_through(self) -> None:
        first = advancing([ranked(90, 80, 80, 60)], self.FIRST)
        assert first.those(Fate.UNDECIDED) == [1, 2]

        both = joined(first, self.last((3, 1), (1, 2)))

        assert both.those(Fate.ADVANCES) == [0, 2, 3]
        assert reasons(both)[2] == NO_LAST_CHANCE
        assert (both.those(Fate.OUT), both.free) == ([1], 0)

    def test_a_tie_nobody_decided_stays_open(self) -> None:
        first = advancing([ranked(90, 80, 80, 60)], self.FIRST)
        both = joined(first, self.last((3, 1)))

        assert both.those(Fate.UNDECIDED) == [1, 2]
        assert both.free == 1


# Few totals, so that many are level; None did not start.
totals = st.lists(st.none() | st.integers(0, 5), max_size=12)
cuts = st.builds(
    Cut,
    many=st.none() | st.integers(0, 8),
    ties=st.none() | st.sampled_from(list(Ties)),
    last_chance=st.booleans(),
)
gone = st.sets(st.integers(0, 11), max_size=3)


@given(totals, st.integers(1, 8))
def test_the_cut_is_that_of_scipy(values, many) -> None:
    """With all tied advancing, the rank by `rankdata(method="min")` is at most the cut."""
    ridden = [rider for rider, total in enumerate(values) if total is not None]
    ranks = rankdata([-values[rider] for rider in ridden], method="min")
    expected = {rider for rider, rank in zip(ridden, ranks, strict=True) if rank <= many}

    found = advancing([ranked(*values)], Cut(many, Ties.ALL_ADVANCE))

    assert set(found.those(Fate.ADVANCES)) == expected


@given(totals, cuts, gone)
def test_as_many_as_the_cut_and_the_ties(values, cut, away) -> None:
    found = advancing([ranked(*values)], cut, away)
    here = [r for r, total in enumerate(values) if total is not None and r not in away]
    through, line = found.those(Fate.ADVANCES), found.those(Fate.UNDECIDED)
    tied = [rider for rider in through if reasons(found)[rider].startswith("Tied for the last place")]

    if cut.many is None:
        assert set(through) == set(here)
    elif line:
        assert len(through) + found.free == cut.many
        assert 0 < found.free < len(line)
    elif tied:
        assert len(through) - len(tied) < cut.many < len(through)
    else:
        assert len(through) == min(cut.many, len(here))
    assert cut.ties is not Ties.ALL_ADVANCE or not line


@given(totals, cuts, gone)
def test_everybody_once_with_one_fate_and_a_reason(values, cut, away) -> None:
    found = advancing([ranked(*values)], cut, away)

    assert sorted(each.rider for each in found.riders) == list(range(len(values)))
    assert all(each.reason.endswith(".") for each in found.riders)
    assert not away & set(found.those(Fate.ADVANCES, Fate.UNDECIDED, Fate.LAST_CHANCE))
    assert cut.last_chance or not found.those(Fate.LAST_CHANCE)


@given(totals, cuts, gone, st.randoms(use_true_random=False))
def test_the_order_of_the_rows_changes_nothing(values, cut, away, random) -> None:
    rows = ranked(*values)
    found = advancing([rows], cut, away)
    assert advancing([rows], cut, away) == found

    shuffled = random.sample(rows, len(rows))
    again = advancing([shuffled], cut, away)

    assert (fates(again), reasons(again)) == (fates(found), reasons(found))
    assert (again.ranking, again.free) == (found.ranking, found.free)


@given(totals, cuts, st.data())
def test_a_last_chance_keeps_everybody_at_most_once(values, cut, data) -> None:
    first = advancing([ranked(*values)], cut)
    field = first.those(Fate.LAST_CHANCE, Fate.UNDECIDED)
    riding = [rider for rider in field if data.draw(st.booleans())]
    rows = [Standing(place, rider, Fraction(1)) for place, rider in enumerate(riding, start=1)]
    later = advancing([rows], Cut(data.draw(st.integers(0, 4)), Ties.ALL_ADVANCE))

    both = joined(first, later)

    riders = [each.rider for each in both.riders]
    assert len(riders) == len(set(riders))
    assert set(first.those(Fate.ADVANCES)) <= set(both.those(Fate.ADVANCES))
    assert set(later.those(Fate.ADVANCES)) <= set(both.those(Fate.ADVANCES))
    places = both.ranking
    ahead = [places[rider] for rider in first.those(Fate.ADVANCES)]
    assert max(ahead, default=0) < min((places[rider] for rider in riding), default=99)
