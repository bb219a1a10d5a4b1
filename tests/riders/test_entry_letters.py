"""Letters about entries, each in the language of the rider whom it is written to."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import translation

from events.models import LanguageChoice, Letter
from riders.entry_letters import write_letters
from tests.factories import DivisionFactory, EntryFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def division():
    return DivisionFactory(event__name="Reedwater Cup")


def letter_to(entry):
    return Letter.objects.get(person=entry.rider.user)


def test_each_rider_reads_their_own_language_whoever_writes(division):
    german, other = EntryFactory(division=division), EntryFactory(division=division)
    LanguageChoice.objects.create(user=german.rider.user, language="de")

    with translation.override("de"):
        write_letters("entered", [(german, 3), (other, None)])

    assert letter_to(german).subject == "Du bist auf der Warteliste: Reedwater Cup"
    assert "Nummer 3 auf der Warteliste" in letter_to(german).text
    assert letter_to(other).subject == "You are entered: Reedwater Cup"
    assert "you have a place" in letter_to(other).text


def test_the_site_language_is_written_to_who_chose_none(division, settings):
    settings.LANGUAGE_CODE = "de"
    entry = EntryFactory(division=division)

    with translation.override("en-gb"):
        write_letters("promoted", [(entry, None)])

    assert letter_to(entry).subject == "Du hast einen Platz: Reedwater Cup"


def test_more_riders_need_no_more_queries(division):
    counts = []
    for size in (1, 2, 6):  # the first letter of all reads what is then known
        entries = [(EntryFactory(division=division), None) for _ in range(size)]
        with CaptureQueriesContext(connection) as queries:
            write_letters("entered", entries)
        counts.append(len(queries))
    assert counts[1] == counts[2]
