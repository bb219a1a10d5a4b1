"""Formats that were published, in our words: what riders would read of them."""

from events.rules import words
from events.rules.answers import answers
from events.rules.condition import Condition
from events.rules.format import Format
from events.rules.riding import (
    DeclaredOrder,
    DoubleUp,
    Falls,
    Limit,
    Passes,
    PickupCutoff,
    Repeats,
)
from events.rules.staging import (
    Boat,
    Clock,
    Criterion,
    Eligibility,
    Judging,
    Round,
)
from events.rules.trick import Takeoff

ASK = "not stated: ask the organiser."
INVERTS = Condition(invert=True)


def told(format: Format, code: str, **event: object) -> tuple[str, ...]:
    """The sentences of one answer."""
    (answer,) = [each for each in answers(format, **event) if each.code == code]
    return answer.sentences


def test_club_tournament_of_2022():
    """SLSBC club tournament rules, 2022 (slsbc.ca): two passes; after the second fall
    nothing more counts; intensity, style and execution are judged.
    """
    format = Format(
        passes=Passes(count=2, ended_by=words.EndedBy.MARKER),
        falls=Falls(allowed=1, next_fall=words.NextFall.NOTHING_LATER_COUNTS),
        judging=Judging(
            criteria=(Criterion("intensity"), Criterion("style"), Criterion("execution"))
        ),
    )
    assert told(format, "passes")[0] == "A run has two passes."
    assert "A pass ends at the end marker." in told(format, "passes")
    assert told(format, "falls")[0] == (
        "One fall allowed: the second means that nothing later counts."
    )
    assert told(format, "judging")[0] == "Marked: intensity, style and execution."


def test_criteria_with_weights():
    """Olympic Council of Asia, wakeboarding page (ocasia.org): 33.3, 33.4 and 33.3."""
    criteria = (
        Criterion("execution", 33.3),
        Criterion("intensity", 33.4),
        Criterion("composition", 33.3),
    )
    assert told(Format(judging=Judging(criteria=criteria)), "judging")[0] == (
        "Marked: execution (33.3), intensity (33.4) and composition (33.3)."
    )


def inter_club() -> Format:
    """Inter-club wake page on riding in a contest, Belgium (vzw-iwv.be/882)."""
    return Format(
        passes=Passes(count=2, length_m=(370,), tricks_expected=5, begun_counts=True),
        falls=Falls(
            allowed=2,
            next_fall=words.NextFall.ENDS_RUN,
            run_in=words.RunIn.FIRST_FREE,
            turn=words.Counts.COUNTS,
            water_allowed=1,
            obstacle_allowed=1,
        ),
        pickup_cutoffs=(
            PickupCutoff(
                2, None, 0.75, words.WhichFall.FIRST, words.CutoffEffect.ENDS_RUN
            ),
        ),
    )  # fmt: skip


def test_inter_club_contest():
    """Source as in `inter_club`; three quarters of 370 m is 277.5 m."""
    format = inter_club()
    assert "Each pass is 370 m long." in told(format, "passes")
    assert "About five tricks are expected in each pass; this is a guide, not a rule." in told(
        format, "passes"
    )
    assert "A trick begun before the end of a pass counts, even if it lands beyond." in told(
        format, "passes"
    )
    assert told(format, "falls")[0] == "Two falls allowed: the third ends your run."
    assert (
        "Of the falls allowed, at most one may be on the water "
        "and at most one may be on an obstacle."
    ) in told(format, "falls")
    assert told(format, "run-in") == (
        "The first fall in the run-in is free; a second one there counts.",
        "A fall in the turn between two passes counts.",
        f"Whether a fall past the last marker counts is {ASK}",
    )
    assert told(format, "pickup") == (
        "Your first fall, if it is past 277.5 m into pass 2 (three quarters of the pass), "
        "is not picked up: it ends your run, even with falls in hand.",
    )


def test_first_performance_counts():
    """Ontario contests as told by a boating course (boatsmartexam.com)."""
    format = Format(repeats=Repeats(rule=words.Repeat.FIRST_COUNTS, per=words.Per.RUN))
    assert told(format, "repeats")[:2] == (
        "You may repeat a trick, but only the first time counts, even if it was missed.",
        "The same trick in another pass is a repeat too.",
    )


def test_freestyle_with_a_sixth_trick():
    """Brazilian freestyle rules, archived: passes of 25 s, at most five tricks, an optional
    sixth for style, a double-up in the open final, and an order that binds.
    """
    attributes = tuple(set(words.Attribute) - {words.Attribute.GRAB})
    format = Format(
        passes=Passes(
            count=2, seconds=(25,), ended_by=words.EndedBy.TIME,
            tricks_most=5, tricks_over=words.Breach.NOT_COUNTED,
        ),
        declared_order=DeclaredOrder(True, words.OutOfOrder.NOT_COUNTED),
        falls=Falls(0, words.Per.PASS, words.NextFall.ENDS_PASS),
        repeats=Repeats(words.Repeat.ONCE, words.Per.RUN, attributes),
        double_ups=(
            DoubleUp("sixth trick", 2, optional=True, marked=words.BonusMarks.STYLE_ONLY),
            DoubleUp(
                after_pass=2, rounds=("Final",), divisions=("Open",),
                condition=words.BonusCondition.NO_FALL_IN_PASS, excludes=("sixth trick",),
            ),
        ),
    )  # fmt: skip
    assert "Each pass lasts 25 seconds." in told(format, "passes")
    assert "At most five tricks in each pass." in told(format, "passes")
    assert "A trick too many is not counted." in told(format, "passes")
    assert told(format, "order") == (
        "Yes: you must ride your tricks in the order you declared.",
        "A trick out of order is not counted.",
    )
    assert told(format, "falls")[0] == (
        "No fall allowed in any pass: the first ends that pass."
    )
    assert "a change of grab does not." in told(format, "repeats")[2]
    extras = told(format, "double-up")
    for sentence in (
        "There is a sixth trick after pass 2.",
        "You may leave it out.",
        "It is marked for style only.",
        "There is a double-up after pass 2.",
        'It is offered only in the round "Final".',
        'It is offered only in the division "Open".',
        "You get it only if you do not fall in pass 2.",
        "It may not be ridden together with: sixth trick.",
    ):
        assert sentence in extras


def test_limits_by_class():
    """Wake Utah division breakdown, 2012: at most two inverts and two spins in a run, and
    no trick repeated. Japan Wakeboard Association, 2020: tricks off one wake only.
    """
    spins = Condition(rotation_over=0, invert=False)
    run = words.Per.RUN
    format = Format(
        repeats=Repeats(rule=words.Repeat.ONCE),
        limits=(
            Limit(when=INVERTS, most=2, per=run),
            Limit(say="Two spins, no more", when=spins, most=2, per=run),
            Limit(when=Condition(unless=Condition(takeoff=(Takeoff.ONE_WAKE,))), most=0),
        ),
    )
    assert told(format, "repeats")[0] == "No: each trick may be done only once."
    assert told(format, "limits") == (
        "At most two inverts in the run.",
        "At most two tricks over 0° other than inverts in the run. "
        'The organiser\'s words: "Two spins, no more".',
        "Only tricks off one wake.",
        f"What happens if a limit is not kept is {ASK}",
    )


def test_rounds_of_a_professional_event():
    """Swiss Pro Tricks event rules: ranking order with the best last, then the reverse of
    the first round; six go to the final, and all tied for the last place; protest within
    15 minutes.
    """
    format = Format(
        rounds=(
            Round("First", ties=words.Ties.ALL_ADVANCE, order=words.RidingOrder.RANKING),
            Round(
                "Second", advance=6, advance_from=words.AdvanceFrom.ROUND,
                order=words.RidingOrder.REVERSE,
            ),
        ),
        clock=Clock(protest_min=15),
    )  # fmt: skip
    rounds = told(format, "rounds")
    assert rounds[0] == "There are two rounds: First and Second."
    assert "First: all who tie for the last place go on." in rounds
    assert "First: the riding order is the ranking, best last." in rounds
    assert "Second: the best six of the round go on." in rounds
    assert "Second: the riding order is the reverse of the last round's result." in rounds
    assert "Protest within 15 minutes after the results are posted." in told(format, "declare")


def test_world_championship_of_2001():
    """IWSF World Championship rules 2001: age on 1 January, six riders open a division, and
    the rider chooses the speed.
    """
    format = Format(
        division=Eligibility(age_most=18, age_on=words.AgeOn.NEW_YEAR, riders_least=6),
        boat=Boat(speed_rule=words.WhoSets.RIDER),
    )
    who = told(format, "who")
    assert who[:3] == (
        "For riders aged 18 or less.",
        "Age is taken on 1 January of the year.",
        "It is ridden with six riders or more.",
    )
    assert told(format, "speed")[0] == "You choose the speed."


def test_ready_before_the_start():
    """WWA rule book, 2024: ready 30 minutes before the posted start."""
    sentences = told(Format(clock=Clock(ready_min=30)), "declare")
    assert "Be ready at the dock 30 minutes before your start." in sentences


def test_places_beyond_the_first_come():
    """Hong Kong nationals, 2017: age on the first day, further places by lot."""
    division = Eligibility(
        age_on=words.AgeOn.FIRST_DAY, entries_most=5, beyond=words.Beyond.BY_LOT
    )
    who = told(Format(division=division), "who")
    assert "Age is taken on the first day of the event." in who
    assert "At most five riders may enter." in who
    assert "If more enter, places are drawn by lot." in who
