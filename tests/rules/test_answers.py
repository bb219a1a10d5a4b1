"""Answers: exact sentences, published formats, and every value told to riders."""

from datetime import datetime

import pytest

from events.rules import words
from events.rules.answers import answers, exceptions, reminders
from events.rules.answers_falls import falls_sentence
from events.rules.answers_words import either, joined, ordinal, part
from events.rules.condition import Condition
from events.rules.dates import moment
from events.rules.figures import AS_PUBLISHED
from events.rules.format import Format, Override
from events.rules.riding import (
    DoubleUp,
    Falls,
    Limit,
    Passes,
    PickupCutoff,
)
from events.rules.staging import (
    Ballast,
    Boat,
    Clock,
    Round,
)
from events.rules.units import Amount

ASK = "not stated: ask the organiser."
INVERTS = Condition(invert=True)


def told(format: Format, code: str, **event: object) -> tuple[str, ...]:
    """The sentences of one answer."""
    (answer,) = [each for each in answers(format, **event) if each.code == code]
    return answer.sentences


# Grammar


@pytest.mark.parametrize(
    ("falls", "text"),
    [
        (0, "No fall allowed"),
        (1, "One fall allowed"),
        (2, "Two falls allowed"),
        (13, "13 falls allowed"),
    ],
)
def test_counts_agree_with_their_noun(falls, text):
    assert falls_sentence(Falls(allowed=falls)).startswith(f"{text};")


def test_lists_and_places_in_a_row():
    assert joined([]) == ""
    assert joined(["a"]) == "a"
    assert either(["a", "b", "c"]) == "a, b or c"
    assert [ordinal(n) for n in (1, 3, 13, 21, 22, 111)] == [
        "first", "third", "13th", "21st", "22nd", "111th",
    ]  # fmt: skip
    assert [part(f) for f in (0.5, 0.75, 0.8, 1)] == [
        "half of the pass", "three quarters of the pass", "80 % of the pass",
        "the end of the pass",
    ]  # fmt: skip


def test_date_is_written_out():
    """12 June 2027 is a Saturday by the Gregorian calendar."""
    assert moment(datetime(2027, 6, 12, 18)) == "Saturday 12 June 2027, 18:00"


# Not stated


def test_an_empty_format_states_nothing():
    """Every question is answered by who to ask, and marked as not stated."""
    for answer in answers(Format()):
        assert not answer.stated, answer.code
        assert answer.sentences[0].endswith(ASK)
    assert told(Format(), "run-in") == (
        f"Whether a fall in the run-in, in the turn or past the last marker counts is {ASK}",
    )


def test_stated_none_is_an_answer():
    """An empty list says that there is none, which is not the same as not stated."""
    none = Format(double_ups=(), pickup_cutoffs=(), limits=(), boat=Boat(ballast=()))
    assert told(none, "double-up") == ("There is no double-up.",)
    assert told(none, "limits") == ("Nothing is banned or limited.",)
    assert told(none, "pickup") == ("The boat picks you up wherever you fall.",)
    assert "No weight is added." in told(none, "ballast")


def test_the_questions_come_in_order():
    asked = [answer.question for answer in answers(Format())]
    assert asked[:8] == [
        "How many passes?",
        "How many falls, and what does the next one do?",
        "Does a fall in the run-in count?",
        "Is there a double-up, and until where can I fall and still get it?",
        "Past which marker will the boat no longer pick me up?",
        "May I repeat a trick?",
        "What is banned or limited for me?",
        "Must I ride in the declared order?",
    ]
    assert len(set(asked)) == len(asked)


@pytest.mark.parametrize(
    ("effects", "last"),
    [
        ((None,), f"What happens if a limit is not kept is {ASK}"),
        ((None, None), f"What happens if a limit is not kept is {ASK}"),
        ((None, words.Breach.DISQUALIFIED),
         f"What happens if one of the other limits is not kept is {ASK}"),
        ((words.Breach.DISQUALIFIED,),
         "No inverts. A rider who breaks this is disqualified."),
    ],
)  # fmt: skip
def test_limits_that_name_no_effect_are_told_once(effects, last):
    """One sentence at the end, however many limits leave their effect open."""
    format = Format(limits=tuple(Limit(when=INVERTS, most=0, breach=e) for e in effects))
    sentences = told(format, "limits")
    assert sentences[-1] == last
    assert len(sentences) == len(effects) + (None in effects)


def test_a_trick_too_many_is_not_guessed():
    """Without a stated effect nothing is said to count or to break a rule."""
    sentences = told(Format(passes=Passes(tricks_most=7)), "passes")
    assert "At most seven tricks in each pass." in sentences
    assert (
        "What a trick too many means is not stated; a check takes it as a breach." in sentences
    )


@pytest.mark.parametrize(
    ("advance", "source", "clause"),
    [
        (6, words.AdvanceFrom.EACH_HEAT, "the best six of each heat go on"),
        (6, words.AdvanceFrom.ROUND, "the best six of the round go on"),
        (6, None, "the best six go on; whether of each heat or of the round is not stated"),
        (1, words.AdvanceFrom.ROUND, "the best rider of the round goes on"),
        (0, None, "nobody goes on from it"),
    ],
)
def test_who_goes_on_says_of_what(advance, source, clause):
    """Six of each heat are not six of the round."""
    format = Format(rounds=(Round("Heats", advance=advance, advance_from=source),))
    assert f"Heats: {clause}." in told(format, "rounds")


# Falls, both ways


@pytest.mark.parametrize(
    ("falls", "sentence"),
    [
        ((1, words.Per.RUN, words.NextFall.ENDS_RUN),
         "One fall allowed: the second ends your run."),
        ((0, words.Per.RUN, words.NextFall.ENDS_RUN),
         "No fall allowed: the first ends your run."),
        ((2, None, words.NextFall.ENDS_RUN), "Two falls allowed: the third ends your run."),
        ((1, words.Per.PASS, words.NextFall.ENDS_PASS),
         "One fall allowed in each pass: the second ends that pass."),
        ((1, words.Per.PASS, words.NextFall.ENDS_RUN),
         "One fall allowed in each pass: the second in a pass ends your run."),
        ((1, None, words.NextFall.NOTHING_LATER_COUNTS),
         "One fall allowed: the second means that nothing later counts."),
        ((1, None, None), f"One fall allowed; what the second does is {ASK}"),
        ((None, None, words.NextFall.ENDS_RUN),
         f"The fall after the last one allowed ends your run; how many are allowed is {ASK}"),
    ],
)  # fmt: skip
def test_falls_are_told_both_ways(falls, sentence):
    """The number allowed and what the next one does stand in one sentence."""
    allowed, per, effect = falls
    format = Format(falls=Falls(allowed=allowed, counted_per=per, next_fall=effect))
    assert told(format, "falls")[0] == sentence
    assert reminders(format)[0] == ("Falls", sentence)


# Boat, deadline


def test_amounts_are_shown_as_typed():
    boat = Boat(
        speed_rule=words.WhoSets.BASELINE,
        speed=Amount(22.5, "mph"),
        speed_least=Amount(21, "mph"),
        speed_most=Amount(24, "mph"),
        rope=Amount(65, "ft"),
        rope_from=words.RopeFrom.SHARED,
        ballast=(Ballast("rear", Amount(400, "lb")), Ballast("bow", Amount(200, "lb"))),
    )
    format = Format(boat=boat)
    assert told(format, "speed") == (
        "The speed is 22.5 mph; you may ask for another.",
        "The speed may not be below 21 mph or above 24 mph.",
    )
    assert told(format, "rope") == (
        "The rope is 65 ft long, with handle.",
        "Everybody rides the shared rope.",
    )
    assert told(format, "ballast") == (
        f"Who decides the weight is {ASK}",
        "Rear: 400 lb.",
        "Bow: 200 lb.",
        "That is 600 lb in all.",
        "The boat's capacity plate and the driver have the last word.",
    )


def test_weights_in_two_units_are_added_in_the_first():
    """100 kg is 220.46 lb (0.45359237 kg to the pound, agreement of 1959)."""
    assert AS_PUBLISHED.total((Amount(400, "lb"), Amount(100, "kg"))) == "about 620.5 lb"


def test_the_caution_on_weight_never_goes():
    """The capacity plate is named whether or not any weight is stated."""
    for boat in (Boat(), Boat(ballast=()), Boat(ballast_rule=words.WhoSets.RIDER)):
        assert told(Format(boat=boat), "ballast")[-1].startswith("The boat's capacity plate")


def test_deadline_of_the_format_goes_before_that_of_the_event():
    own = Format(clock=Clock(declare_by=datetime(2027, 6, 12, 18)))
    event = datetime(2027, 6, 11, 9)
    assert told(own, "declare", deadline=event)[0] == (
        "Declare your run by Saturday 12 June 2027, 18:00."
    )
    assert told(Format(), "declare", deadline=event)[0] == (
        "Declare your run by Friday 11 June 2027, 09:00."
    )
    assert told(Format(), "declare", deadline=event, deadline_text="noon on Friday")[0] == (
        "Declare your run by noon on Friday."
    )


def test_cutoff_in_metres_is_told_as_a_part_too():
    format = Format(
        passes=Passes(length_m=(400, 300)), double_ups=(DoubleUp(after_pass=2, cutoff_m=150),)
    )
    assert (
        "A fall up to 150 m into pass 2 (half of the pass) keeps the double-up; "
        "a fall past that marker loses it."
    ) in told(format, "double-up")


def test_cutoff_of_a_pass_of_unknown_length_is_told_as_a_part():
    """Nothing is guessed: without a length there are no metres."""
    format = Format(double_ups=(DoubleUp(after_pass=2, cutoff_fraction=0.75),))
    assert (
        "A fall up to three quarters of pass 2 keeps the double-up; "
        "a fall past that marker loses it."
    ) in told(format, "double-up")


# Paper and exceptions


def test_reminders_are_short_and_labelled():
    cutoff = PickupCutoff(2, 280, None, words.WhichFall.ANY, words.CutoffEffect.ENDS_PASS)
    format = Format(
        falls=Falls(allowed=1, next_fall=words.NextFall.ENDS_RUN),
        limits=(Limit(when=INVERTS, most=0),),
        double_ups=(),
        pickup_cutoffs=(cutoff,),
    )
    assert reminders(format) == (
        ("Falls", "One fall allowed: the second ends your run."),
        ("Double-up", "There is no double-up."),
        (
            "Cutoff",
            "Any fall past 280 m into pass 2 is not picked up: it ends that pass, "
            "even with falls in hand.",
        ),
        ("Repeats", f"Whether you may repeat a trick is {ASK}"),
        ("Limits", "No inverts."),
    )


def test_an_exception_tells_both_sides():
    """An override is told as what holds there, instead of what holds elsewhere."""
    format = Format(
        falls=Falls(allowed=1, next_fall=words.NextFall.ENDS_RUN),
        overrides=(
            Override(None, ("Final",), None, {"falls": {"allowed": 2}}),
            Override(("Open", "Junior"), None, ("Blue",), {"limits": []}),
            Override(None, ("Final",), None, {"falls": {"allowed": 1}}),
            Override(None, ("Final",), None, {"falls": {"allowed": "many"}}),
        ),
    )
    assert exceptions(format) == (
        'In the round "Final": "Two falls allowed: the third ends your run" instead of '
        '"One fall allowed: the second ends your run".',
        'In the divisions "Open" and "Junior" and the boat "Blue": '
        '"Nothing is banned or limited" instead of '
        '"What is banned or limited is not stated: ask the organiser".',
        'In the round "Final": nothing that you read here differs.',
        'In the round "Final": some values differ, but they cannot be read; ask the organiser.',
    )
    assert exceptions(Format()) == ()


def test_an_exception_that_adds_a_double_up_keeps_the_other():
    """A second double-up after an earlier pass is told as one thing that holds too."""
    base = {"after_pass": 2, "optional": True, "fall_counts": True}
    format = Format(
        double_ups=(DoubleUp(**base),),
        overrides=(
            Override(None, ("Final",), None, {"double_ups": [{**base, "after_pass": 1}, base]}),
        ),
    )
    assert exceptions(format) == (
        'In the round "Final": "There is a double-up after pass 1. You may leave it out. '
        'A fall on it counts" holds too.',
    )
