"""Differences: exact sentences, lists matched by name, and no change missed."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.rules import words
from events.rules.condition import Condition
from events.rules.differences import changed_values, differences, with_value
from events.rules.format import Format, Override
from events.rules.riding import DoubleUp, Falls, Limit, Passes, Repeats
from events.rules.staging import Ballast, Boat, Eligibility, Round
from events.rules.trick import Family
from events.rules.units import Amount
from tests.rules.schema_walk import all_places, name_of, placed, samples

INVERTS = Condition(invert=True)
SPINS = Condition(family=(Family.SPIN,))
RUN = words.Per.RUN


def told(old: Format, new: Format) -> list[str]:
    return [difference.sentence for difference in differences(old, new)]


def full() -> Format:
    """A format in which every value is stated."""
    format = Format()
    for path, spec in all_places():
        if spec.item is None or samples(spec)[0] != ():
            format = placed(format, path, samples(spec)[0])
    return format


def test_no_difference_between_a_format_and_itself():
    assert differences(Format(), Format()) == ()
    assert differences(full(), full()) == ()


def test_change_is_told_in_the_sentences_that_riders_read():
    old = Format(falls=Falls(allowed=1, next_fall=words.NextFall.ENDS_RUN))
    new = Format(falls=Falls(allowed=0, next_fall=words.NextFall.ENDS_RUN))
    (difference,) = differences(old, new)
    assert difference.sentence == (
        'Falls: was "One fall allowed: the second ends your run." '
        'Now "No fall allowed: the first ends your run."'
    )
    assert (difference.code, difference.group) == ("falls: allowed", "Your run")


def test_stating_a_value_is_a_change_and_so_is_leaving_it_open():
    open_ended = Format()
    stated = Format(repeats=Repeats(rule=words.Repeat.FREE))
    was_open = "Whether you may repeat a trick is not stated: ask the organiser."
    free = "Yes: you may repeat tricks freely."
    assert told(open_ended, stated) == [f'Repeats: was "{was_open}" Now "{free}"']
    assert told(stated, open_ended) == [f'Repeats: was "{free}" Now "{was_open}"']


def test_limits_are_matched_by_their_words_and_conditions():
    """A limit added, one removed and one changed are told as such, wherever they stand."""
    old = Format(
        limits=(
            Limit(when=SPINS, most=2, per=RUN),
            Limit(when=INVERTS, most=1, per=RUN),
        )
    )
    new = Format(
        limits=(
            Limit(say="Grab it", when=Condition(grabbed=True), least=1, per=RUN),
            Limit(when=INVERTS, most=2, per=RUN),
        )
    )
    assert told(old, new) == [
        'Limit: removed. It was "At most two spins in the run. '
        'Whether an inverted spin uses it too is not stated: ask the organiser."',
        'Limit: was "At most one invert in the run." Now "At most two inverts in the run."',
        "Limit: added. \"At least one trick with a grab in the run. The organiser's words: "
        '"Grab it"."',
    ]


def test_rounds_are_matched_by_name():
    old = Format(rounds=(Round("Heats", heat_size=6), Round("Final", best_of=1)))
    new = Format(rounds=(Round("Heats", heat_size=6), Round("Final", best_of=2)))
    assert told(old, new) == [
        'Round Final: was "Final: you ride one run, and it counts." '
        'Now "Final: you ride two runs, and the best counts."'
    ]


def test_weights_are_matched_by_position():
    old = Format(boat=Boat(ballast=(Ballast("rear", Amount(180, "kg")),)))
    new = Format(boat=Boat(ballast=(Ballast("rear", Amount(200, "kg")),)))
    assert told(old, new) == ['Weight, rear: was "Rear: 180 kg." Now "Rear: 200 kg."']


def test_bonus_tricks_are_matched_by_name():
    double_up = DoubleUp(after_pass=2, optional=True)
    old = Format(double_ups=(double_up,))
    new = Format(double_ups=(DoubleUp("wild card", 1), replace(double_up, after_pass=1)))
    sentences = told(old, new)
    assert (
        'Double-up: was "There is a double-up after pass 2." '
        'Now "There is a double-up after pass 1."'
    ) in sentences
    assert (
        'Wild card: added. "There is a wild card after pass 1. '
        'A fall on it counts, since nothing else is stated."'
    ) in sentences
    assert len(sentences) == 2


def test_lists_in_another_order_are_told():
    limits = (Limit(when=SPINS, most=2, per=RUN), Limit(when=INVERTS, most=1, per=RUN))
    assert told(Format(limits=limits), Format(limits=limits[::-1])) == [
        "Limits: the same, listed in another order."
    ]


def test_value_that_no_sentence_shows_is_named():
    """Metres of a marker decide where both forms are stated; the part is named still."""
    passes = Passes(length_m=(400,))
    old = Format(passes=passes, double_ups=(DoubleUp(after_pass=1, cutoff_fraction=0.12341),))
    new = Format(passes=passes, double_ups=(DoubleUp(after_pass=1, cutoff_fraction=0.12342),))
    assert told(old, new) == [
        "Bonus tricks 1, cutoff marker, as a part: was 0.12341. Now 0.12342."
    ]


def test_condition_inside_a_condition_is_compared():
    old = Format(limits=(Limit(when=Condition(any_of=(INVERTS, SPINS)), most=0),))
    new = Format(limits=(Limit(when=Condition(any_of=(INVERTS,)), most=0),))
    assert told(old, new) == [
        'Limit: removed. It was "No inverts or spins."',
        'Limit: added. "No inverts."',
    ]


def test_overrides_are_compared_by_where_they_hold():
    base = Format(falls=Falls(allowed=1, next_fall=words.NextFall.ENDS_RUN))
    final = Override(None, ("Final",), None, {"falls": {"allowed": 2}})
    stricter = replace(final, set={"falls": {"allowed": 0}})
    one = 'instead of "One fall allowed: the second ends your run".'
    two = f'In the round "Final": "Two falls allowed: the third ends your run" {one}'
    none = f'In the round "Final": "No fall allowed: the first ends your run" {one}'
    with_final = replace(base, overrides=(final,))
    assert told(base, with_final) == [f'Exception: added. "{two}"']
    assert told(with_final, base) == [f'Exception: removed. It was "{two}"']
    assert told(with_final, replace(base, overrides=(stricter,))) == [
        f'Exception: was "{two}" Now "{none}"'
    ]


def test_date_that_does_not_decide_is_still_named():
    old = Format(division=Eligibility(age_on=words.AgeOn.FIRST_DAY))
    new = replace(old, division=replace(old.division, age_date=date(2027, 6, 12)))
    (sentence,) = told(old, new)
    assert "Saturday 12 June 2027 is stated too, but does not decide." in sentence


@pytest.mark.parametrize("base", [Format(), full()], ids=["empty", "full"])
@pytest.mark.parametrize(("path", "spec"), all_places(), ids=name_of)
def test_no_change_of_a_value_is_missed(base, path, spec):
    """Every value of the schema, changed alone, is told both ways."""
    old = placed(base, path, None)
    for value in samples(spec):
        new = placed(base, path, value)
        if new == old:  # only the name of a double-up, which is never left open
            assert path[-1] == "name"
            continue
        assert told(old, new)
        assert told(new, old)


@settings(max_examples=80, deadline=None)
@given(st.data())
def test_any_two_formats_that_differ_have_differences(data):
    """No pair of formats differs in silence, and every sentence reads cleanly."""
    some = st.lists(st.sampled_from(all_places()), max_size=12)
    formats = []
    for base in (Format(), full()):
        format = data.draw(st.sampled_from([base, full()]))
        for path, spec in data.draw(some):
            format = placed(format, path, data.draw(st.sampled_from(samples(spec))))
        formats.append(format)
    old, new = formats
    found = differences(old, new)
    assert bool(found) is (old != new)
    assert len({difference.code for difference in found}) == len(found)
    for difference in found:
        assert difference.sentence[-1] in '."'
        assert not any(bad in difference.sentence for bad in ("None", "  ", "Amount("))


def test_changed_values_rebuild_the_new_format():
    """Setting every changed value in the old format gives the new one."""
    old, new = full(), full()
    for path, spec in all_places()[::3]:
        new = placed(new, path, samples(spec)[-1])
    rebuilt = old
    for path, _, was, now in changed_values(old, new):
        assert was != now
        rebuilt = with_value(rebuilt, path, now)
    assert rebuilt == new
