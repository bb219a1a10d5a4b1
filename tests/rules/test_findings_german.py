"""What a check and the readers find, said in German: the same findings, in other words."""

import pytest
from django.utils import translation
from hypothesis import given
from hypothesis import strategies as st

from events.rules.findings import Grade
from events.rules.legality import legality
from events.rules.loading import effective, load_format
from events.rules.notation import read_run
from tests.rules.german import BRACES, assert_said, english_in
from tests.rules.random_rules import DIVISIONS, ROUNDS, formats, maybe, runs
from tests.rules.test_golden_runs import FIXTURES, GOLDEN


def test_what_is_looked_for_is_found():
    """The look itself: it finds English, and leaves names and quotations alone."""
    assert english_in("Ask the organiser.") == ["the", "organiser"]
    assert english_in("„At most two inverts“: Frag beim Veranstalter nach.") == []
    assert english_in("One-wake jump ist nicht erlaubt.") == []
    assert BRACES.search("Trick {number}")


def both(run, format, division=None, round=None):
    """What is found in German, and the same in English."""
    with translation.override("de"):
        german = legality(run, format, division, round)
    return german, legality(run, format, division, round)


def assert_same(german, english):
    """The same codes, grades and places, in German."""
    assert [_fixed(each) for each in german] == [_fixed(each) for each in english]
    assert_said([each.message for each in german], [each.message for each in english])
    assert_said([each.hint for each in german], [each.hint for each in english])


def _fixed(finding):
    return finding.code, finding.grade, finding.pass_no, finding.position, finding.words


@given(runs, formats(), maybe(st.sampled_from(DIVISIONS)), maybe(st.sampled_from(ROUNDS)))
def test_any_check(run, format, division, round):
    assert_same(*both(run, format, division, round))


@pytest.mark.parametrize("golden", GOLDEN, ids=lambda golden: golden["id"])
def test_golden_run(golden):
    whole = load_format((FIXTURES / golden["format"]).read_text("utf-8"))
    division, round = golden.get("division"), golden.get("round")
    format = effective(whole, division, round)

    assert_same(*both(read_run(golden["notation"]), format, division, round))


def test_grades():
    with translation.override("de"):
        assert [grade.label for grade in Grade] == [
            "Verstößt gegen eine Regel",
            "Regelkonform, zählt nicht",
            "Nicht erreichbar",
            "Zweifelhaft",
            "Nicht angegeben",
            "Rat",
        ]


@pytest.mark.parametrize(
    ("toml", "notation", "code", "sentence"),
    [
        (
            "[passes]\ncount = 1",
            "Tantrum | Raley",
            "pass-count",
            "Durchgang 2 ist einer zu viel: Ein Lauf hat nur einen Durchgang.",
        ),
        (
            "[passes]\ncount = 3",
            "Tantrum",
            "pass-missing",
            "Ein Durchgang geplant; ein Lauf hat drei Durchgänge.",
        ),
        (
            "[passes]\ntricks_most = 1",
            "Tantrum, Raley",
            "too-many-tricks",
            "Trick 2 dieses Durchgangs ist einer zu viel: Ein Durchgang hat höchstens einen "
            "Trick.",
        ),
        (
            "[passes]\ntricks_least = 3",
            "Tantrum, Raley",
            "too-few-tricks",
            "Zwei Tricks geplant, mindestens 3 verlangt.",
        ),
        (
            '[repeats]\nrule = "once"\nper = "run"',
            "Tantrum | Tantrum",
            "repeat",
            "Derselbe Trick wie Trick 1 in Durchgang 1. Jeder Trick ist nur einmal erlaubt.",
        ),
        (
            '[[limits]]\nsay = "One invert"\nmost = 1\nwhen = {invert = true}\nper = "run"\n'
            'breach = "moved up a division"',
            "Tantrum, HS backroll",
            "limit-most",
            "HS backroll ist der 2. Trick dieser Art; höchstens ein Trick dieser Art. "
            "„One invert“ Der Rider kommt eine Klasse höher.",
        ),
        (
            "[[limits]]\nmost = 0\nwhen = {invert = true}",
            "Tantrum",
            "limit-most",
            "Tantrum ist nicht erlaubt.",
        ),
        (
            "[[limits]]\nleast = 2\npass = 1\nwhen = {invert = true}",
            "HS 180",
            "limit-least",
            "Keine Tricks dieser Art in Durchgang 1, mindestens 2 verlangt.",
        ),
        (
            "[[limits]]\nmost = 1\nwhen = {invert = true}",
            "Tantrum | HS backroll",
            "limit-open",
            "Grenze von höchstens 1: Ob das pro Durchgang oder pro Lauf gilt, ist nicht "
            "angegeben.",
        ),
        (
            "[[double_ups]]\nafter_pass = 1\nfalls_fewer_than = 2\n"
            'condition = "fewer falls than stated"\ncutoff_m = 300',
            "Tantrum + Raley",
            "double-up-conditional",
            "Den Bonustrick double-up gibt es nur mit höchstens einem Sturz im Lauf und ohne "
            "Sturz nach 300 m in Durchgang 1.",
        ),
        (
            "[[double_ups]]\nafter_pass = 1\nfalls_fewer_than = 1\n"
            'condition = "fewer falls than stated"',
            "Tantrum + Raley",
            "double-up-conditional",
            "Den Bonustrick double-up gibt es nur ohne Sturz im Lauf.",
        ),
    ],
)
def test_sentences_of_a_check(look, toml, notation, code, sentence):
    with translation.override("de"):
        said = [each.message for each in look(toml, notation) if each.code == code]

    assert said == [sentence]
