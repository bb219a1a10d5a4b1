"""Random runs and formats for the properties of the rules."""

from dataclasses import fields

from hypothesis import strategies as st

from events.rules import words
from events.rules.condition import Condition
from events.rules.format import Format
from events.rules.riding import DeclaredOrder, DoubleUp, Falls, Limit, Passes, Repeats
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.schema import Kind, spec_of
from events.rules.trick import Edge, Stance, Takeoff
from events.rules.vocabulary import GRABS, standard_vocabulary

TRICKS = standard_vocabulary().tricks
DIVISIONS = ("Open", "Novice")
ROUNDS = ("Qualifying", "Final")
BONUSES = ("double-up", "style trick")


def maybe(strategy):
    """A value, or not stated."""
    return st.none() | strategy


# A few tricks come often, so that repeats and limits are met.
some_tricks = st.sampled_from(TRICKS[:60:20] + TRICKS[70:90:5]) | st.sampled_from(TRICKS)


@st.composite
def planned_tricks(draw, bonus=""):
    """One place of a run, with a modifier now and then."""
    return PlannedTrick(
        draw(some_tricks),
        stance=draw(st.none() | st.none() | st.sampled_from(Stance)),
        approach=draw(st.none() | st.none() | st.sampled_from(Edge)),
        takeoff=Takeoff.DOUBLE_UP if bonus == "double-up" else None,
        grab=draw(st.none() | st.none() | st.sampled_from(GRABS[:3])),
        fell=draw(st.booleans()) and draw(st.booleans()),
        bonus=bonus,
    )


@st.composite
def passes(draw):
    """A pass with up to five tricks and two extras."""
    tricks = draw(st.lists(planned_tricks(), max_size=5))
    names = draw(st.lists(st.sampled_from(BONUSES), max_size=2))
    return Pass(tuple(tricks), tuple(draw(planned_tricks(name)) for name in names))


runs = st.lists(passes(), max_size=3).map(lambda each: Run(tuple(each)))


@st.composite
def conditions(draw, depth=1):
    """A condition with a few values stated."""
    plain = [f for f in fields(Condition) if "spec" in f.metadata]
    said = {
        each.name: draw(_values(each))
        for each in draw(st.lists(st.sampled_from(plain), max_size=2, unique_by=id))
    }
    if depth and draw(st.booleans()):
        said["unless"] = draw(conditions(0))
    if depth and draw(st.booleans()):
        said["any_of"] = tuple(draw(st.lists(conditions(0), min_size=1, max_size=2)))
    return Condition(**said)


def _values(each):
    spec = spec_of(each)
    if spec.kind is Kind.YES_NO:
        return st.booleans()
    if spec.kind is Kind.WHOLE:
        low, high = (1, 9) if "tier" in each.name else (180, 540)
        return st.sampled_from([low, (low + high) // 2, high])
    if spec.kind is Kind.CHOICES:
        return st.lists(st.sampled_from(list(spec.item)), min_size=1, max_size=2).map(tuple)
    names = {
        "grab": list(GRABS[:3]),
        "form": ["double", "flip"],
        "trick": [each.name for each in TRICKS[:60:20]],
    }[each.name]
    return st.lists(st.sampled_from(names), min_size=1, max_size=2).map(tuple)


@st.composite
def limit_values(draw):
    """A limit that says something."""
    most, least = draw(maybe(st.integers(0, 3))), draw(maybe(st.integers(0, 3)))
    return Limit(
        say=draw(maybe(st.sampled_from(["Our limit", "Another"]))),
        when=draw(maybe(conditions())),
        most=most,
        least=least,
        per=draw(maybe(st.sampled_from(words.Per))),
        pass_no=draw(st.sampled_from([None, None, 1, 2])),
        used_by=draw(maybe(st.sampled_from(words.UsedBy))),
        differs_by=draw(st.sampled_from([None, None, (words.Attribute.GRAB,)])),
        inverted_spins=draw(maybe(st.booleans())),
        breach=draw(maybe(st.sampled_from(words.Breach))),
    )


@st.composite
def bonus_values(draw):
    """A bonus trick."""
    return DoubleUp(
        name=draw(st.sampled_from(BONUSES)),
        after_pass=draw(maybe(st.sampled_from([1, 2]))),
        rounds=draw(maybe(st.sampled_from([(), ("Final",)]))),
        divisions=draw(maybe(st.sampled_from([(), ("Open",)]))),
        optional=draw(maybe(st.booleans())),
        condition=draw(maybe(st.sampled_from(words.BonusCondition))),
        falls_fewer_than=draw(maybe(st.integers(1, 3))),
        cutoff_fraction=draw(maybe(st.sampled_from([0.5, 0.75]))),
        excludes=draw(maybe(st.sampled_from([(), BONUSES]))),
        limits_bind=draw(maybe(st.booleans())),
        counts_as_trick=draw(maybe(st.booleans())),
    )


@st.composite
def formats(draw):
    """A format that states anything the rules look at."""
    attributes = st.lists(st.sampled_from(words.Attribute), max_size=4, unique=True).map(tuple)
    return Format(
        passes=Passes(
            count=draw(maybe(st.integers(1, 3))),
            tricks_least=draw(maybe(st.integers(0, 4))),
            tricks_most=draw(maybe(st.integers(0, 5))),
            tricks_over=draw(maybe(st.sampled_from(words.Breach))),
            any_number=draw(maybe(st.booleans())),
            different_least=draw(maybe(st.integers(0, 6))),
        ),
        declared_order=DeclaredOrder(
            draw(maybe(st.booleans())), draw(maybe(st.sampled_from(words.OutOfOrder)))
        ),
        falls=Falls(allowed=draw(maybe(st.integers(0, 2)))),
        double_ups=draw(maybe(st.lists(bonus_values(), max_size=3).map(tuple))),
        repeats=Repeats(
            rule=draw(maybe(st.sampled_from(words.Repeat))),
            per=draw(maybe(st.sampled_from(words.Per))),
            differs_by=draw(maybe(attributes)),
            uses_limit=draw(maybe(st.booleans())),
        ),
        limits=draw(maybe(st.lists(limit_values(), max_size=5).map(tuple))),
    )
