"""The answers in German: whole, with the right genders and cases, and nothing left in English."""

import re
from collections.abc import Iterator
from datetime import date

import pytest
from django.utils import translation
from hypothesis import given

from events.rules.answers import answers, exceptions
from events.rules.answers_falls import falls_sentence
from events.rules.answers_words import either, in_seconds, joined, number, ordinal, part
from events.rules.dates import day, short_day, weekday
from events.rules.differences import differences
from events.rules.figures import Units
from events.rules.format import Format
from events.rules.loading import effective, load_format
from events.rules.riding import Falls
from events.rules.words import NextFall, Per
from tests.german import english
from tests.rules.published import FILES, divisions, published
from tests.rules.random_rules import formats

# What people typed stands in „…“.
ENGLISH = english("or", "each", "only", "for", "by", "to", "stated", "falls?", "run", "passes")
QUOTED = re.compile("„[^„“]*“")
# In these the organiser's own words stand without marks around them.
TYPED = {"boat", "notes", "who", "judging", "ballast", "rounds", "double-up"}


@pytest.fixture(autouse=True)
def german() -> Iterator[None]:
    with translation.override("de"):
        yield


def said(format: Format, units: Units | None = None) -> Iterator[str]:
    for answer in answers(format, units=units or Units()):
        yield answer.question
        yield answer.group
        if answer.code not in TYPED:
            yield from answer.sentences


def check(sentences: Iterator[str]) -> None:
    for sentence in sentences:
        rest = sentence
        while (fewer := QUOTED.sub("", rest)) != rest:
            rest = fewer
        assert not ENGLISH.search(rest), sentence
        assert "{" not in rest, sentence


@given(formats())
def test_nothing_of_any_format_is_left_in_english(format: Format) -> None:
    check(said(format))
    check(said(format, Units("ft", "mph", "lb")))


@given(formats(), formats())
def test_nothing_of_any_change_is_left_in_english(old: Format, new: Format) -> None:
    found = differences(old, new)
    check(words for each in found for words in (each.group, each.sentence))
    assert bool(found) is (old != new)


@given(formats())
def test_as_many_answers_and_sentences_as_in_english(format: Format) -> None:
    german = [(each.code, each.stated, len(each.sentences)) for each in answers(format)]
    with translation.override("en-gb"):
        english = [(each.code, each.stated, len(each.sentences)) for each in answers(format)]
    assert german == english


@pytest.mark.parametrize("name", FILES)
def test_published_formats_keep_only_the_notes_as_typed(name: str) -> None:
    format = published(name)
    check(
        sentence
        for division in divisions(format)
        for answer in answers(effective(format, division))
        if answer.code != "notes"
        for sentence in (answer.question, *answer.sentences)
    )


def sentences(text: str, code: str) -> tuple[str, ...]:
    return next(each.sentences for each in answers(load_format(text)) if each.code == code)


@pytest.mark.parametrize(
    ("allowed", "next_fall", "per", "sentence"),
    [
        (0, NextFall.ENDS_RUN, Per.RUN, "Kein Sturz erlaubt: der 1. beendet deinen Lauf."),
        (1, NextFall.ENDS_RUN, Per.RUN, "Ein Sturz erlaubt: der 2. beendet deinen Lauf."),
        (
            2,
            NextFall.ENDS_PASS,
            Per.PASS,
            "Zwei Stürze in jedem Durchgang erlaubt: der 3. beendet diesen Durchgang.",
        ),
        (
            1,
            NextFall.NOTHING_LATER_COUNTS,
            Per.RUN,
            "Ein Sturz erlaubt: nach dem 2. zählt nichts Späteres.",
        ),
    ],
)
def test_falls(allowed: int, next_fall: NextFall, per: Per, sentence: str) -> None:
    stated = Falls(allowed=allowed, next_fall=next_fall, counted_per=per)
    assert falls_sentence(stated) == sentence


def test_conditions_on_falls_are_in_the_nominative() -> None:
    text = """
        [[double_ups]]
        after_pass = 1
        condition = "fewer falls than stated"
        falls_fewer_than = {}
    """
    assert "Die Bedingung dafür ist: kein Sturz im Lauf." in sentences(
        text.format(1), "double-up"
    )
    assert "Die Bedingung dafür ist: weniger als zwei Stürze im Lauf." in sentences(
        text.format(2), "double-up"
    )


def test_one_and_many() -> None:
    one, two = ("[passes]\ncount = 1\nlength_m = 370.5", "[passes]\ncount = 2")
    assert sentences(one, "passes")[:2] == (
        "Ein Lauf hat einen Durchgang.",
        "Der Durchgang ist 370,5 m lang.",
    )
    assert sentences(two, "passes")[0] == "Ein Lauf hat zwei Durchgänge."


def test_what_is_not_stated_is_a_clause_of_its_own() -> None:
    text = "[clock]\ndeclare_by = 2027-06-12T18:00:00"
    assert sentences(text, "declare") == (
        "Melde deinen Lauf bis Samstag, 12. Juni 2027, 18:00.",
        "Wann die Anmeldung öffnet, wann sie schließt, wie früh du bereit sein musst und bis "
        "wann du protestieren darfst, ist nicht angegeben: frag beim Veranstalter nach.",
    )
    assert sentences("name = 'x'", "repeats") == (
        "Ob du einen Trick wiederholen darfst, ist nicht angegeben: frag beim Veranstalter nach.",
    )


def test_a_cutoff_and_where_no_rule_is_different() -> None:
    text = """
        [passes]
        count = 2
        length_m = 400
        [falls]
        allowed = 2
        [[double_ups]]
        after_pass = 2
        cutoff_m = 300
        [[overrides]]
        when = { round = "Final" }
        [overrides.set.falls]
        allowed = 1
    """
    assert "Nach Durchgang 2 gibt es: Double-up." in sentences(text, "double-up")
    assert (
        "Double-up: ein Sturz bis 300 m in Durchgang 2 (75 % des Durchgangs) kostet es nicht; "
        "ein Sturz nach dieser Marke schon."
    ) in sentences(text, "double-up")
    assert exceptions(load_format(text))[0].startswith("In der Runde „Final“: „Ein Sturz")


def test_a_limit_names_its_tricks_in_german_order() -> None:
    text = """
        [[limits]]
        most = 2
        per = "run"
        when = { invert = true, approach = ["toeside"] }
    """
    assert sentences(text, "limits")[0] == "Höchstens zwei Inverts toeside im Lauf."


def test_numbers_lists_and_days() -> None:
    """12 June 2027 is a Saturday by the Gregorian calendar."""
    assert [number(n) for n in (0, 1, 12, 13)] == ["keine", "ein", "zwölf", "13"]
    assert [ordinal(n) for n in (1, 2, 13)] == ["1.", "2.", "13."]
    assert joined(["a", "b", "c"]) == "a, b und c"
    assert either(["wie viele,", "wie lange,"]) == "wie viele oder wie lange,"
    assert [part(0.5), part(0.8, 2)] == ["50 % des Durchgangs", "80 % von Durchgang 2"]
    assert [in_seconds(1), in_seconds(2.5)] == ["1 Sekunde", "2,5 Sekunden"]
    assert weekday(date(2027, 6, 12)) == "Samstag, 12. Juni 2027"
    assert day(date(2027, 3, 6)) == "6. März 2027"
    assert short_day(date(2027, 3, 6)) == "6. März 2027"
