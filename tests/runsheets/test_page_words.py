"""What pages of running orders, times and results say by their own filters."""

from datetime import timedelta

import pytest
from django.utils import translation

from events.models import Division
from events.rules.words import RidingOrder
from runsheets.lineup import lineup
from runsheets.models import RunningOrder
from runsheets.starting.moves import Move
from runsheets.templatetags.day_tags import in_words, late, minutes
from runsheets.templatetags.draw_tags import METHODS, method_said, order_said
from runsheets.templatetags.result_tags import named
from tests.factories import DivisionFactory, EntryFactory, RiderFactory, UserFactory
from tests.runsheets.order_desk import ROUND, change, late_entry, make


def test_every_way_to_find_an_order_has_words() -> None:
    assert list(METHODS) == list(RidingOrder)


@pytest.mark.parametrize(
    ("stored", "said"),
    [
        ("alphabetical", "Alphabetical"),
        ("by hand", "By hand"),
        ("ranking, best last", "Ranking, best last"),
        ("random, then changed by hand", "Random, then changed by hand"),
        ("as it was in 2019", "As it was in 2019"),
    ],
)
def test_how_an_order_was_found(stored: str, said: str) -> None:
    """What is stored in words of today is said so; anything else as it stands."""
    assert method_said(RunningOrder(method=stored)) == said


@pytest.mark.django_db
def test_an_order_is_kept_in_one_language_and_said_in_that_of_the_page(
    settings
) -> None:
    """Whoever moves riders by a German page stores no German words."""
    division, by = DivisionFactory(), UserFactory()
    for name in "AB":
        late_entry(division, name)
    with translation.override("de"):
        order = change(make(division, by, RidingOrder.RANDOM, seed="x"), "A", Move.END, by)
        order.refresh_from_db()
        assert method_said(order) == "Zufällig, dann von Hand geändert"
        assert order_said(RidingOrder.REVERSE) == "umgekehrt zur letzten Runde"
    assert order.method == "random, then changed by hand"
    assert lineup(Division.objects.get(pk=division.pk), ROUND).order == order


@pytest.mark.parametrize(
    ("by", "said"),
    [
        (timedelta(minutes=4, seconds=29), ""),
        (timedelta(minutes=-4), ""),
        (timedelta(minutes=5), "5 minutes later than planned"),
        (timedelta(minutes=-12), "12 minutes earlier than planned"),
    ],
)
def test_how_late_a_day_is(by: timedelta, said: str) -> None:
    """A few minutes are worth no word: nobody rides to the minute."""
    assert late(by) == said


def test_a_wait_within_a_sentence() -> None:
    assert in_words("any moment") == "any moment now"
    assert in_words("about 40 minutes") == "in about 40 minutes"


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(75, "75 s"), (99.6, "1 min 40 s"), (120, "2 min"), (260, "4 min 20 s")],
)
def test_short_times(seconds: float, said: str) -> None:
    assert minutes(seconds) == said


@pytest.mark.django_db
def test_riders_of_a_tie_are_named_in_full_at_the_table_alone() -> None:
    shy = EntryFactory(rider=RiderFactory(given_name="Ada", family_name="Beck"), is_named=False)
    assert named([shy], True) == "Ada Beck"
    assert named([shy], False) == shy.public_name != "Ada Beck"
