"""Ages, sex, numbers and times of entries, against published rules and a reference library."""

import tomllib
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import assume, given
from hypothesis import strategies as st

from events.rules.loading import read_format
from events.rules.staging import Clock, Eligibility
from events.rules.words import AgeOn, Beyond, Sex
from riders.eligibility import (
    About,
    Applicant,
    Elsewhere,
    Place,
    Window,
    age_day,
    age_on,
    entries_of_format,
    first_places,
    free_places,
    may_enter,
    next_place,
    to_promote,
)

FIRST_DAY = date(2027, 7, 10)
PUBLISHED = Path(__file__).parents[2] / "fixtures" / "published"


def barriers(stated, applicant, first_day=FIRST_DAY):
    return [(each.about, each.say) for each in may_enter(stated, applicant, first_day).barriers]


class TestAge:
    @given(
        st.dates(date(1900, 1, 1), date(2100, 1, 1)),
        st.dates(date(1900, 1, 1), date(2100, 1, 1)),
    )
    def test_as_dateutil_counts(self, born, at):
        """python-dateutil's relativedelta, on every day but one: it lets 29 February be
        completed on 28 February of a common year, we on 1 March."""
        assume(at >= born)
        assume((born.month, born.day) != (2, 29) or (at.month, at.day) != (2, 28))

        assert age_on(born, at) == relativedelta(at, born).years

    @pytest.mark.parametrize(
        ("at", "age"),
        [
            (date(2026, 2, 28), 17),  # no 29 February in 2026: a whole year is over on 1 March
            (date(2026, 3, 1), 18),
            (date(2028, 2, 28), 19),
            (date(2028, 2, 29), 20),
        ],
    )
    def test_born_on_29_february(self, at, age):
        assert age_on(date(2008, 2, 29), at) == age

    @pytest.mark.parametrize(
        ("on", "day"),
        [
            (AgeOn.NEW_YEAR, date(2027, 1, 1)),
            (AgeOn.YEAR_END, date(2027, 12, 31)),
            (AgeOn.FIRST_DAY, FIRST_DAY),
            (AgeOn.OWN_DATE, date(2027, 5, 1)),
            (AgeOn.BIRTH_YEAR, date(2027, 12, 31)),
        ],
    )
    def test_the_day(self, on, day):
        assert age_day(Eligibility(age_on=on, age_date=date(2027, 5, 1)), FIRST_DAY) == day

    @pytest.mark.parametrize(
        ("on", "born", "fits"),
        [
            # 15 or less, first day 10 July 2027.
            (AgeOn.NEW_YEAR, date(2011, 1, 1), False),
            (AgeOn.NEW_YEAR, date(2011, 1, 2), True),
            (AgeOn.YEAR_END, date(2011, 12, 31), False),
            (AgeOn.YEAR_END, date(2012, 1, 1), True),
            (AgeOn.FIRST_DAY, date(2011, 7, 10), False),
            (AgeOn.FIRST_DAY, date(2011, 7, 11), True),
            (AgeOn.BIRTH_YEAR, date(2011, 12, 31), False),
            (AgeOn.BIRTH_YEAR, date(2012, 1, 1), True),
        ],
    )
    def test_the_edge_of_each_day(self, on, born, fits):
        """Worked by hand."""
        found = barriers(Eligibility(age_most=15, age_on=on), Applicant(born))

        assert (found == []) is fits

    def test_the_sentence(self):
        stated = Eligibility(age_least=13, age_most=15, age_on=AgeOn.FIRST_DAY)

        assert barriers(stated, Applicant(date(2011, 7, 10))) == [
            (About.AGE, "This division is for riders aged 13 to 15, and the age on Saturday 10 July 2027 is 16. "
             "Check the date, choose another division, or ask the organiser.")
        ]  # fmt: skip

    @pytest.mark.parametrize(
        ("least", "most", "words"),
        [(40, None, "40 or more"), (None, 13, "13 or less"), (14, 14, "aged 14,")],
    )
    def test_the_span_in_words(self, least, most, words):
        stated = Eligibility(age_least=least, age_most=most, age_on=AgeOn.FIRST_DAY)

        assert words in barriers(stated, Applicant(date(1997, 7, 10)))[0][1]

    def test_an_age_limit_needs_a_date_of_birth(self):
        stated = Eligibility(age_most=15, age_on=AgeOn.FIRST_DAY)

        assert barriers(stated, Applicant()) == [
            (About.AGE, "This division has an age limit: write the date of birth.")
        ]

    def test_a_day_that_is_not_stated_is_not_guessed(self):
        answer = may_enter(Eligibility(age_most=15), Applicant(date(1980, 1, 1)), FIRST_DAY)

        assert not answer.barriers
        assert any(
            "On which day age is taken is not stated" in each for each in answer.unstated
        )

    def test_nothing_stated_checks_nothing_and_says_so(self):
        answer = may_enter(Eligibility(), Applicant(), FIRST_DAY)

        assert not answer.barriers
        assert len(answer.unstated) == 2


class TestPublished:
    def test_world_championship_2001(self):
        """IWSF World Championship rules 2001: age is taken on 1 January of the year. A rider
        who turns 19 on 2 January rides with those aged 18 or less all year."""
        stated = Eligibility(age_most=18, age_on=AgeOn.NEW_YEAR)

        assert not barriers(stated, Applicant(date(2008, 1, 2)))
        assert barriers(stated, Applicant(date(2008, 1, 1)))

    def test_hong_kong_2017(self):
        """Hong Kong nationals 2017: age on the first day; five first-come places in each
        category, the rest drawn by lot."""
        data = tomllib.loads((PUBLISHED / "places_by_lot_2017.toml").read_text("utf-8"))
        stated = read_format(data).division

        assert age_day(stated, FIRST_DAY) == FIRST_DAY
        assert [next_place(stated, riding, 0) for riding in range(7)] == [Place.GIVEN] * 5 + [
            Place.WAITING
        ] * 2
        assert to_promote(stated, 4, 3) == 0

    def test_world_rules_2013(self):
        """World rules 2013: one category per rider."""
        data = tomllib.loads((PUBLISHED / "eligibility_2013.toml").read_text("utf-8"))
        stated = read_format(data).division

        assert stated.several is False
        assert barriers(stated, Applicant(date(1999, 1, 1), elsewhere=(Elsewhere("Open"),)))
        assert About.SEVERAL not in dict(barriers(stated, Applicant(date(1999, 1, 1))))


class TestSex:
    @pytest.mark.parametrize(
        ("stated", "sex", "word"),
        [
            (Sex.WOMEN, "women", None), (Sex.MEN, "men", None), (Sex.OPEN, "", None),
            (Sex.OPEN, "men", None), (None, "", None), (Sex.WOMEN, "men", "Choose another division"),
            (Sex.MEN, "", "say which you are"),
        ],
    )  # fmt: skip
    def test_each(self, stated, sex, word):
        found = barriers(Eligibility(sex=stated), Applicant(sex=sex))

        assert bool(found) is (word is not None)
        if word:
            assert word in found[0][1]


class TestSeveral:
    @pytest.mark.parametrize(
        ("here", "there", "stands_against", "open_question"),
        [
            (True, True, False, False), (True, None, False, False), (None, None, False, True),
            (None, True, False, True), (False, True, True, False), (True, False, True, False),
            (None, False, True, False),
        ],
    )  # fmt: skip
    def test_each(self, here, there, stands_against, open_question):
        applicant = Applicant(elsewhere=(Elsewhere("Advanced", there),))

        answer = may_enter(Eligibility(several=here), applicant, FIRST_DAY)

        assert bool(answer.barriers) is stands_against
        assert any("Advanced" in each for each in answer.unstated) is open_question


class TestTimes:
    ZONE = ZoneInfo("Europe/Zurich")
    CLOSE = datetime(2027, 7, 1, 18, tzinfo=UTC)

    def test_the_events_own_closing_where_the_format_states_none(self):
        entries = entries_of_format(Clock(), self.CLOSE, self.ZONE)

        assert entries.at(self.CLOSE) is Window.OPEN
        assert entries.at(self.CLOSE + timedelta(seconds=1)) is Window.CLOSED

    def test_the_format_decides_in_the_lakes_time(self):
        clock = Clock(
            entries_open=datetime(2027, 6, 1, 8), entries_close=datetime(2027, 6, 20, 20)
        )
        entries = entries_of_format(clock, self.CLOSE, self.ZONE)

        assert entries.at(datetime(2027, 6, 1, 5, 59, 59, tzinfo=UTC)) is Window.EARLY
        assert entries.at(datetime(2027, 6, 1, 6, tzinfo=UTC)) is Window.OPEN
        assert entries.at(datetime(2027, 6, 20, 18, tzinfo=UTC)) is Window.OPEN
        assert entries.at(datetime(2027, 6, 20, 18, 0, 1, tzinfo=UTC)) is Window.CLOSED


STATED = st.builds(
    Eligibility,
    entries_most=st.none() | st.integers(1, 12),
    first_come=st.none() | st.integers(0, 12),
    beyond=st.none() | st.sampled_from(Beyond),
)


class TestPlaces:
    @pytest.mark.parametrize("beyond", [None, *Beyond])
    def test_up_to_the_limit_everybody_has_a_place(self, beyond):
        stated = Eligibility(entries_most=3, beyond=beyond)
        after = Place.REFUSED if beyond is Beyond.REFUSED else Place.WAITING

        assert [next_place(stated, riding, 0) for riding in range(5)] == [Place.GIVEN] * 3 + [
            after
        ] * 2

    def test_no_limit(self):
        assert next_place(Eligibility(beyond=Beyond.REFUSED), 9999, 0) is Place.GIVEN

    @given(STATED, st.integers(0, 20), st.integers(1, 5))
    def test_nobody_overtakes_those_who_wait(self, stated, riding, waiting):
        if first_places(stated) is not None:
            assert next_place(stated, riding, waiting) is not Place.GIVEN

    @given(STATED, st.integers(0, 20), st.integers(0, 5))
    def test_a_promotion_never_goes_past_the_limit(self, stated, riding, waiting):
        given_places = to_promote(stated, riding, waiting)

        assert 0 <= given_places <= waiting
        if given_places and stated.entries_most is not None:
            assert riding + given_places <= stated.entries_most

    def test_first_come_never_goes_past_the_limit(self):
        assert (
            first_places(Eligibility(entries_most=3, first_come=5, beyond=Beyond.BY_LOT)) == 3
        )

    def test_free_places(self):
        assert free_places(Eligibility(entries_most=3), 5) == 0
        assert free_places(Eligibility(entries_most=3), 1) == 2
        assert free_places(Eligibility(), 1) is None
