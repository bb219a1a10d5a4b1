"""What the readers of formats and runs find, said in German: the same, in other words."""

import pytest
from django.utils import translation
from hypothesis import given
from hypothesis import strategies as st

from events.rules.loading import FormatError, load_format, try_format
from events.rules.notation import NotationError, read_run, read_trick
from tests.rules.german import assert_said
from tests.rules.test_loading import JUNK, KEYS


@given(st.dictionaries(KEYS, JUNK, max_size=6))
def test_any_format_that_cannot_be_read(data):
    """As many problems, in the same places of the file."""
    with translation.override("de"):
        _format, german = try_format(data)
    _format, english = try_format(data)

    assert [each.path for each in german] == [each.path for each in english]
    # What comes after this is the value that was found, and may be in any language.
    assert_said(
        [each.message.partition(", nicht ")[0] for each in german],
        [each.message.partition(", not ")[0] for each in english],
    )


FAULTY = [
    (
        'x = "y"',
        "x: Den Schlüssel „x“ gibt es hier nicht; möglich ist",
    ),
    (
        "[passes]\ncuont = 2",
        "passes, cuont: Den Schlüssel „cuont“ gibt es hier nicht; vielleicht ist „count“ "
        "gemeint.",
    ),
    (
        "[passes]\ncount = 13",
        "passes, count: 13 liegt außerhalb: Erlaubt ist von 1 bis 12.",
    ),
    (
        "[passes]\nlength_m = 'long'",
        "passes, length_m: Hier muss eine Zahl stehen (Einheit: m), nicht 'long'.",
    ),
    (
        "[[limits]]\nmost = 0\n[[limits]]\nmost = -1",
        "limits, Eintrag 2, most: -1 liegt außerhalb: Erlaubt ist von 0 bis 100.",
    ),
    (
        "[passes]\ncount = 1\nlength_m = [400, 380]",
        "passes, length_m: Es gibt nur einen Durchgang: Gib eine einzige Zahl an.",
    ),
    (
        "[passes]\nlength_m = 400\n[[double_ups]]\ncutoff_m = 450",
        "double_ups, Eintrag 1, cutoff_m: Eine Boje bei 450 m liegt hinter dem Ende des "
        "Durchgangs, der 400 m lang ist: Setz sie auf höchstens 400 m.",
    ),
    (
        "[[limits]]\nmost = 0\nwhen = {rotation = 360, rotation_over = 540}",
        "limits, Eintrag 1, when: Kein Trick kann diese Bedingung erfüllen: Keine Drehung hat "
        "360 und zugleich über 540 Grad; Drehungen gehen in Schritten von 180 bis 1800.",
    ),
    (
        '[[limits]]\nmost = 0\nwhen = {grab = "indie"}',
        "limits, Eintrag 1, when, grab: Es gibt keinen Grab „indie“; vielleicht ist „indy“ "
        "gemeint.",
    ),
    (
        "[[overrides]]\nset = {falls = {allowed = 2}}",
        'overrides, Eintrag 1, when: Gib an, wann es gilt, zum Beispiel { round = "final" }.',
    ),
    (
        "name = ",
        "Das ist kein lesbares TOML: ungültiger Wert (am Ende des Textes).",
    ),
    (
        "[falls]\nallowed 2",
        "Das ist kein lesbares TOML: '=' fehlt nach dem Schlüssel (Zeile 2, Spalte 9).",
    ),
]


@pytest.mark.parametrize(("toml", "sentence"), FAULTY)
def test_sentences_of_a_format_that_cannot_be_read(toml, sentence):
    with translation.override("de"), pytest.raises(FormatError) as caught:
        load_format(toml)
    with pytest.raises(FormatError) as english:
        load_format(toml)

    assert str(caught.value).startswith(sentence)
    assert [each.path for each in caught.value.problems] == [
        each.path for each in english.value.problems
    ]


# Every way in which a text is no TOML, as the reader of the standard library tells them.
NO_TOML = [
    "= 1", "a = 1 b = 2", "[a", "[[a]", "a", "a = ", "[a]\n[a]", "a = 1\na = 2", "a = {b = 1}\n[a.c]",
    "a.b = 1\n[a]", "a = {b = 1, b = 2}", "a = [1", "a = {b = 1", 'a = "\\q"', 'a = "\\u12"',
    'a = "\\uD800"', 'a = "b', 'a = "\0"', "a = 2027-13-01", "a = ?", "a = '''b", "a = {b = 1 c",
    f"a = {'9' * 5000}", f"a = {'[' * 20_000}",
]  # fmt: skip


@pytest.mark.parametrize("toml", NO_TOML, ids=range(len(NO_TOML)))
def test_no_reason_of_the_reader_is_left_in_english(toml):
    with pytest.raises(FormatError) as english:
        load_format(toml)
    with translation.override("de"), pytest.raises(FormatError) as german:
        load_format(toml)

    (said,), (before,) = german.value.problems, english.value.problems
    assert before.message.startswith("This is not TOML that can be read: ")
    assert_said([said.message], [before.message])
    reason = before.message.partition(": ")[2].partition(" (at")[0]
    assert reason not in said.message


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("HS backroll floop", "„floop“ ist nicht verständlich."),
        (
            "HS TS 180",
            "Zwei Kanten sind angegeben, HS und TS: Fehlt vor der zweiten ein Komma?",
        ),
        ("Tantrum Raley", "„Raley“ nennt einen weiteren Trick: Fehlt ein Komma?"),
        ("switch HS", "„switch HS“ nennt keinen Trick."),
        ("Tantrum 4/5 indy", "aber nach „4/5“ geht es weiter: Fehlt danach ein Komma?"),
        ("4/5 tantrum", "aber nach „4/5“ geht es weiter: Davor steht kein Trick."),
        ("Tantrum 5/4", "5 von 4 gestanden: Es können nicht mehr gestanden als versucht sein."),
        ("Tantrum 0/0", "0 von 0 gestanden: Schreib gestanden und versucht, zum Beispiel 4/5"),
        ("Tantrum 120%", "Eine Chance liegt zwischen 0 % und 100 %."),
        ("Tantrum 4/5 60%", "Gib entweder die gestandenen Versuche oder eine Chance an"),
        ("Tantrum + double-up", "Der Trick am Double-up fehlt: Schreib ihn dahinter"),
        ("Tantrum + : Raley", "Schreibe den Namen des Bonustricks vor den Doppelpunkt."),
        ("Tantrum + flats tantrum", "Ein Trick am Double-up springt dort ab: Lass „flats“ weg"),
        ("Tantrum + Raley, Raley", "„Raley“ steht hinter einem Bonustrick: Setze ein + davor"),
        ("Tantrum, run-in x", "„run-in x“ steht vor dem ersten Trick eines Durchgangs."),
        ("turn x, Tantrum", "„turn x“ steht hinter dem letzten Trick eines Durchgangs."),
        ("x", "Vor „x“ steht kein Trick."),
        ("Tantrum + style:", "Hier steht kein Trick."),
        (
            "so: Tantrum",
            "Ein Doppelpunkt steht nur hinter dem Namen eines Bonustricks, nach +.",
        ),
        ("Tantrum 1234567890/1", "So viele Versuche zählt niemand."),
        ("," * 20_001, "Ein Lauf kann höchstens 20.000 Zeichen haben; dieser hat 20.001."),
        ("|" * 40, "Ein Lauf kann höchstens 40 Durchgänge haben."),
        ("Tantrum," * 401, "Ein Lauf kann höchstens 400 Tricks haben."),
    ],
)
def test_sentences_of_a_run_that_cannot_be_read(text, sentence):
    """The same places and suggestions; the suggestions are words of the notation."""
    with pytest.raises(NotationError) as english:
        read_run(text)
    with translation.override("de"), pytest.raises(NotationError) as german:
        read_run(text)

    assert sentence in str(german.value)
    assert_said(
        [each.message for each in german.value.problems],
        [each.message for each in english.value.problems],
    )
    for said, before in zip(german.value.problems, english.value.problems, strict=True):
        assert (said.word, said.start, said.suggestions) == (
            before.word, before.start, before.suggestions,
        )  # fmt: skip


def test_places_and_questions_of_a_run_that_cannot_be_read():
    with translation.override("de"):
        with pytest.raises(NotationError) as caught:
            read_run("Tantrumm | HS bakroll")
        first, second = (each.sentence for each in caught.value.problems)

    assert first == (
        "Durchgang 1, Trick 1: „Tantrumm“ ist nicht verständlich. Meinst du Tantrum oder "
        "Double tantrum?"
    )
    assert second.startswith("Durchgang 2, Trick 1: „bakroll“ ist nicht verständlich. Meinst")


def test_many_faults():
    with translation.override("de"), pytest.raises(NotationError) as caught:
        read_run(",".join(["floop"] * 11))
    assert str(caught.value).endswith(" Und 1 weiterer Fehler.")

    with translation.override("de"), pytest.raises(NotationError) as caught:
        read_run(",".join(["floop"] * 13))
    assert str(caught.value).endswith(" Und 3 weitere Fehler.")


def test_what_was_read_in_one_language_is_said_in_another():
    """What is kept of a text that was read before holds no sentence."""
    said = []
    for language in ("en", "de", "en"):
        with translation.override(language), pytest.raises(NotationError) as caught:
            read_trick("HS floopy")
        said.append(caught.value.message)

    assert said == [
        "“floopy” is not understood.",
        "„floopy“ ist nicht verständlich.",
        "“floopy” is not understood.",
    ]


def test_names_that_are_meant_are_kept_for_every_language():
    toml = '[[limits]]\nmost = 0\nwhen = {trick = "Tantrumm"}'
    said = []
    for language in ("en", "de"):
        with translation.override(language), pytest.raises(FormatError) as caught:
            load_format(toml)
        said.append(caught.value.problems[0].message)

    assert said == [
        'There is no trick "Tantrumm"; "Tantrum" may be meant.',
        "Es gibt keinen Trick „Tantrumm“; vielleicht ist „Tantrum“ gemeint.",
    ]


def test_the_notation_is_the_same_in_every_language():
    text = "HS backroll 4/5, TS 180 indy, switch HS 360 | Tantrum 80% + double-up tantrum"
    with translation.override("de"):
        assert read_run(text) == read_run(text)
        german = read_run(text)
    assert german == read_run(text)
