"""Plans told in German: the same findings and figures as in English, and no English left."""

import re
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from datetime import date
from functools import partial
from xml.etree import ElementTree

import pytest
from django.utils import translation

from events.rules.figures import Units
from events.rules.findings import Finding
from events.rules.format import Format
from events.rules.loading import load_format
from events.rules.notation import read_run
from events.rules.run import Run
from riders.eligibility import Applicant, Elsewhere, may_enter
from riders.pictures.alive import alive, landed_distribution
from riders.pictures.from_above import from_above
from riders.planning.backups import back_ups
from riders.planning.band import no_band
from riders.planning.changes import single_changes
from riders.planning.goals import at_least, most_tiers
from riders.planning.ground import Goal, Ground, Record
from riders.planning.mends import mend
from riders.planning.order import best_order
from riders.planning.survival import in_hundred, left_out
from riders.planning.training import training
from riders.planning.whatif import follow
from riders.trend import trend, trend_picture
from tests.german import english

FULL = """
double_ups = [{after_pass = 2, cutoff_m = 300}]
pickup_cutoffs = [{at_fraction = 0.75, fall = "any", effect = "ends run"}]
[passes]
count = 2
length_m = 400
tricks_most = 4
direction = "there and back"
[falls]
allowed = 1
counted_per = "run"
next_fall = "ends run"
run_in = "first one free"
restart_m = 60
[route]
trick_m = 60
turn_m = 15
cross_m = 25
"""
OPEN = """
double_ups = [{name = "double-up"}]
pickup_cutoffs = [{at_m = 200}]
[passes]
count = 2
length_m = 300
seconds = 20
[boat]
speed = "36 km/h"
"""
BARE = "[passes]\ncount = 2\n"
RECORD = "Indy 45/50, TS 180 19/20, HS tantrum 3/4, HS 360 9/10, TS backroll 5/12"
PLANS = [
    (FULL, "HS backroll 90%, TS FS 180 80%, HS 180 70% | "
           "TS 360 60%, One-wake jump 90% + tantrum 50%"),
    (FULL, "run-in x, run-in x, HS backroll 1/3 x, HS backroll 4/9, switch HS 180, "
           "HS tantrum 95%, TS Indy 2/2 | TS 360 60%, HS 180 99%, turn x"),
    (OPEN, "HS raley 50%, HS 180 80%, HS 180 80%, HS 180 80%, HS 180 80% x, turn x | "
           "run-in x, HS 180 70%, TS 360 40% + tantrum 50% x"),
    (BARE, "HS 180 80%, HS 180 80%, HS 180 80%, HS 180 80%, HS 180 80%, HS 180 80% |"),
    (FULL, "|"),
]  # fmt: skip
ENGLISH = english(
    "here", "before", "after", "counts?", "runs?", "pass", "passes", "falls?", "judges", "stated",
    "ends?", "fits", "often", "two", "first", "second", "organiser", "rule", "repeat", "boat",
    "speed",
)  # fmt: skip

Speak = Callable[[str], AbstractContextManager[None]]


@pytest.fixture
def speak(settings) -> Speak:
    """Sentences in a language of today's catalogues."""
    return translation.override


def record() -> Record:
    return tuple(place.planned for place in read_run(RECORD).places())


def told(run: Run, format: Format, units: Units) -> Iterator[tuple[object, str]]:
    """Everything that is said of a plan, each with what does not depend on the language."""
    ground, known = Ground(format, division="Juniors", units=units), record()
    check = ground.check(run)
    yield from findings(check.findings)
    for each in check.findings:
        found = mend(each, run, ground, known)
        if found is not None:
            yield ("mend", each.code, found.run), found.sentence
    if check.survival.clean is not None:
        yield "clean", in_hundred(check.survival.clean)
    for to_rider in (True, False):
        yield "left out", left_out(check.survival, to_rider)
    for goal in Goal:
        order = best_order(run, ground, goal=goal)
        yield (goal, order.run, order.method), order.sentence
        for change in single_changes(run, ground, record=known, goal=goal, only_gains=False):
            yield (change.kind, change.run, round(change.gain, 9)), change.sentence
    for share in (0.1, 0.6):
        for reach in (at_least, most_tiers):
            found_run = reach(run, ground, known, share)
            if found_run is not None:
                yield ("goal", share, found_run.run), found_run.sentence
    for back_up in back_ups(run, ground, known):
        yield ("back-up", back_up.trick), back_up.sentence
    yield "band", no_band(run, ground) or ""
    for trained in training(run, ground):
        yield ("training", trained.trick), trained.sentence
        yield ("caution", trained.trick), trained.caution
    story = follow(run, format, check.route, division="Juniors")
    yield from findings(story.findings)
    for picture in (
        from_above(check.route, format, title="", units=units),
        alive(check.survival, title=""),
        landed_distribution(check.survival, title=""),
    ):
        for at, text in enumerate(texts(picture)):
            yield ("picture", at), text


def findings(found: tuple[Finding, ...]) -> Iterator[tuple[object, str]]:
    for each in found:
        about = (each.code, each.grade, each.pass_no, each.position)
        yield about, each.grade.label
        yield about, each.message
        yield about, each.hint


def texts(svg: str) -> list[str]:
    """The words of a picture, in their order; places and shapes left out."""
    if not svg:
        return []
    return [text for each in ElementTree.fromstring(svg).iter() if (text := each.text or "")]


def sizes(text: str) -> Counter[str]:
    """Every number, whichever way its decimals are written."""
    return Counter(re.findall(r"\d+(?:\.\d+)?", text.replace(",", ".")))


def english(text: str) -> list[str]:
    return ENGLISH.findall(text)


def in_both(
    speak: Speak, say: Callable[[], Iterator[tuple[object, str]]]
) -> list[tuple[object, str, str]]:
    """What is told, in English and in German; the rest must be the same in both."""
    with speak("en-gb"):
        here = list(say())
    with speak("de"):
        there = list(say())
    assert [about for about, _ in here] == [about for about, _ in there]
    return [(about, one, two) for (about, one), (_, two) in zip(here, there, strict=True)]


@pytest.mark.parametrize("units", [Units(), Units("ft", "mph", "lb")], ids=["metric", "feet"])
@pytest.mark.parametrize("plan", range(len(PLANS)))
def test_everything_that_is_said_of_a_plan(speak: Speak, plan: int, units: Units) -> None:
    rules, notation = PLANS[plan]
    run, format = read_run(notation), load_format(rules)

    both = in_both(speak, partial(told, run, format, units))

    assert len(both) > 10
    for about, original, german in both:
        assert bool(original) == bool(german), about
        assert "{" not in german
        assert not sizes(original) - sizes(german), (original, german)
        assert not english(german), (about, german)
        if english(original):
            assert german != original


def test_the_log_in_words_and_as_a_picture(speak: Speak) -> None:
    def say() -> Iterator[tuple[object, str]]:
        for days in (1, 3, 14):
            points = trend(
                [(date(2027, 1 + day % 12, 3 + day), day, 14) for day in range(days)]
            )
            svg = trend_picture("HS backroll", points, lambda share: f"{share:.0%}")
            for at, text in enumerate(texts(svg)):
                yield ("trend", days, at), text

    for about, original, german in in_both(speak, say):
        assert not sizes(original) - sizes(german), about
        assert not english(german), german
        assert "{" not in german


def test_who_may_enter(speak: Speak) -> None:
    def say() -> Iterator[tuple[object, str]]:
        for rules in ('age_least = 12\nage_most = 15\nage_on = "first day"\nsex = "women"', ""):
            stated = load_format(f"[division]\n{rules}\n").division
            for sex, born in (("men", date(2020, 2, 29)), ("", None)):
                applicant = Applicant(born, sex, (Elsewhere("Open"), Elsewhere("Pro", False)))
                answer = may_enter(stated, applicant, date(2027, 6, 12))
                for barrier in answer.barriers:
                    yield barrier.about, barrier.say
                for sentence in answer.unstated:
                    yield "unstated", sentence

    both = in_both(speak, say)

    assert len(both) > 6
    for about, original, german in both:
        assert not sizes(original) - sizes(german), about
        assert not english(german), german


@pytest.mark.parametrize(
    ("code", "sentence"),
    [
        ("turn-needed", "HS FS 180 startet in deinem eigenen Stand. Davor landest du switch, "
                        "also ist eine Wende nötig."),
        ("end-unstated", "Was Durchgang 1 beendet, ist nicht angegeben: Die Boje steht bei "
                         "300 m, und die Zeit ist nach etwa 200 m um. Hier ist es die Boje."),
    ],
)  # fmt: skip
def test_findings_word_for_word(speak: Speak, code: str, sentence: str) -> None:
    rules, notation = PLANS[2]
    run, ground = read_run(notation), Ground(load_format(rules))
    with speak("de"):
        said = [each.message for each in ground.check(run).findings if each.code == code]
    assert said[0] == sentence


def test_figures_word_for_word(speak: Speak) -> None:
    with speak("de"):
        assert [in_hundred(clean) for clean in (0.0, 0.001, 0.01, 0.33, 0.999, 1.0)] == [
            "Du würdest nie alles stehen: Nicht alles kann gefahren werden, oder ein Trick "
            "endet immer mit einem Sturz.",
            "In 100 Wettkämpfen würdest du weniger als einmal alles stehen.",
            "In 100 Wettkämpfen würdest du etwa einmal alles stehen.",
            "In 100 Wettkämpfen würdest du etwa 33-mal alles stehen.",
            "In 100 Wettkämpfen würdest du fast jedes Mal alles stehen.",
            "In 100 Wettkämpfen würdest du jedes Mal alles stehen.",
        ]
        assert Goal.CLEAN.said(0.331, 0.384) == "sauber von 33 % auf 38 %"
        assert Goal.EXPECTED_TIERS.said(4.0, 4.0) == "Stufen im Schnitt bleiben bei 4,00"
