"""Conditions and limits in words: exact phrases, and no limit without a readable one."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.rules.condition import Condition as C
from events.rules.condition_words import describe, describe_limit, limit_sentence
from events.rules.riding import Limit
from events.rules.trick import Air, Direction, Edge, Family, Stance, Takeoff
from events.rules.words import Breach, Per, UsedBy
from tests.rules.schema_walk import places, samples

INVERTS = C(invert=True)


@pytest.mark.parametrize(
    ("condition", "phrase"),
    [
        (C(), "tricks"),
        (INVERTS, "inverts"),
        (C(invert=False), "tricks other than inverts"),
        (
            C(family=(Family.SPIN,), direction=(Direction.BACKSIDE,), rotation_over=180),
            "backside spins over 180°",
        ),
        (C(direction=(Direction.BACKSIDE,), rotation_over=180), "backside tricks over 180°"),
        (C(rotation_over=180, rotation_under=720), "tricks over 180° and under 720°"),
        (C(rotation=360, invert=True), "inverts of 360°"),
        (
            C(stance=(Stance.SWITCH,), takeoff=(Takeoff.ONE_WAKE,)),
            "switch tricks off one wake",
        ),
        (C(takeoff=(Takeoff.FLATS, Takeoff.RAIL)), "tricks on the flats or on a rail"),
        (C(grabbed=True), "tricks with a grab"),
        (C(grabbed=False), "tricks without a grab"),
        (C(grab=("indy", "mute")), "tricks with an indy or mute grab"),
        (C(grabbed=True, handle_pass=True), "tricks with a grab and with a handle pass"),
        (C(trick=("HS backroll", "Tantrum")), "HS backroll or Tantrum"),
        (C(trick=("Tantrum",), invert=True), "inverts named Tantrum"),
        (
            C(approach=(Edge.TOESIDE,), family=(Family.BACKROLL, Family.MOBE)),
            "toeside backrolls or mobes",
        ),
        (C(family=(Family.SPIN,), invert=True), "inverted spins"),
        (C(blind=True), "tricks landed blind"),
        (C(air=(Air.BIG,)), "tricks with big air"),
        (C(tier_over=5), "tricks of difficulty over 5"),
        (C(direction=(Direction.NONE,)), "tricks turning in no named direction"),
        (C(any_of=(INVERTS, C(grabbed=True))), "inverts or tricks with a grab"),
        (
            C(stance=(Stance.SWITCH,), any_of=(INVERTS, C(blind=True))),
            "switch tricks among inverts or tricks landed blind",
        ),
        (C(invert=True, unless=C(trick=("Tantrum",))), "inverts, except Tantrum"),
        (
            C(any_of=(C(invert=True, unless=C(blind=True)), C(grabbed=True))),
            "inverts (except tricks landed blind) or tricks with a grab",
        ),
    ],
)
def test_condition_reads_as_a_noun_phrase(condition, phrase):
    """A condition is the tricks it means, in the trade's terms."""
    assert describe(condition) == phrase


@pytest.mark.parametrize(
    ("limit", "sentence"),
    [
        (Limit(when=INVERTS, most=0), "No inverts."),
        (Limit(when=INVERTS, most=0, per=Per.PASS), "No inverts in any pass."),
        (Limit(when=INVERTS, most=1, per=Per.RUN), "At most one invert in the run."),
        (Limit(when=INVERTS, most=2, per=Per.RUN), "At most two inverts in the run."),
        (Limit(when=INVERTS, most=13, per=Per.RUN), "At most 13 inverts in the run."),
        (Limit(when=INVERTS, least=1, most=3, per=Per.RUN),
         "At least one and at most three inverts in the run."),
        (Limit(when=INVERTS, least=2, most=2, per=Per.RUN), "Exactly two inverts in the run."),
        (Limit(when=INVERTS, least=0, per=Per.RUN),
         "There is no least number of inverts in the run."),
        (Limit(when=C(grabbed=True), least=1, per=Per.PASS),
         "At least one trick with a grab in each pass."),
        (Limit(when=C(direction=(Direction.BACKSIDE,), rotation_over=180), most=0),
         "No backside tricks over 180°."),
        (Limit(when=C(unless=C(takeoff=(Takeoff.ONE_WAKE,))), most=0),
         "Only tricks off one wake."),
        (Limit(when=C(invert=True, unless=C(trick=("Tantrum",))), most=1, pass_no=2),
         "At most one invert in pass 2, except Tantrum."),
        (Limit(when=C(trick=("HS backroll", "Tantrum")), most=0), "No HS backroll or Tantrum."),
        (Limit(when=C(trick=("HS backroll", "Tantrum")), most=1, per=Per.RUN),
         "At most one trick named HS backroll or Tantrum in the run."),
        (Limit(when=INVERTS), "How many inverts may be done is not stated: ask the organiser."),
    ],
)  # fmt: skip
def test_limit_reads_as_a_sentence(limit, sentence):
    """A limit says how many of which tricks, and where."""
    assert limit_sentence(limit) == sentence


def test_limit_tells_its_effect_and_what_uses_it():
    """The notes follow in the order: inverted spins, tried or landed, breach."""
    limit = Limit(
        when=C(family=(Family.SPIN,)),
        most=2,
        per=Per.RUN,
        inverted_spins=True,
        used_by=UsedBy.LANDED,
        breach=Breach.DISQUALIFIED,
    )
    assert describe_limit(limit) == (
        "At most two spins in the run. Inverted spins count here too. "
        "Only landed tricks use it up. A rider who breaks this is disqualified."
    )


@pytest.mark.parametrize(
    ("condition", "open_for_inverts"),
    [
        (C(family=(Family.SPIN,)), True),
        (C(family=(Family.OLLIE, Family.SPIN)), True),
        (C(family=(Family.SPIN,), invert=True), False),
        (C(family=(Family.SPIN,), invert=False), False),
        (C(rotation_over=360), False),
        (INVERTS, False),
    ],
)
def test_limit_on_spins_says_when_inverted_ones_are_left_open(condition, open_for_inverts):
    """A spinning invert may use a limit on spins; only such a limit leaves that open."""
    said = "Whether an inverted spin uses it too is not stated: ask the organiser."
    text = describe_limit(Limit(when=condition, most=2, per=Per.RUN))
    assert text.endswith(said) is open_for_inverts


def test_limit_without_its_span_says_so():
    """Two inverts, in a pass or in the run, is left open and not guessed."""
    assert describe_limit(Limit(when=INVERTS, most=2)) == (
        "At most two inverts. "
        "Whether that is for each pass or for the run is not stated: ask the organiser."
    )


def _conditions() -> st.SearchStrategy[C]:
    plain = {
        path[0]: st.sampled_from([None, None, None, *samples(spec)]) for path, spec in places(C)
    }
    simple = st.builds(C, **plain)
    return st.recursive(
        simple,
        lambda inner: st.builds(
            C,
            **plain,
            any_of=st.none() | st.lists(inner, max_size=2).map(tuple),
            unless=st.none() | inner,
        ),
        max_leaves=4,
    )


@given(
    _conditions(),
    st.sampled_from([None, 0, 1, 2, 13]),
    st.sampled_from([None, 0, 1, 2]),
    st.sampled_from([None, *Per]),
)
def test_every_limit_is_readable(condition, most, least, per):
    """Whatever the condition, the limit is a sentence without leftovers of the data."""
    text = describe_limit(Limit(when=condition, most=most, least=least, per=per))
    assert describe(condition).strip() == describe(condition)
    assert text[0].isupper()
    assert text.endswith(".")
    assert not any(bad in text for bad in ("None", "  ", " ,", " .", "..", ",,", "()"))
