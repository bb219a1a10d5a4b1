"""What holds for any run under any format."""

from dataclasses import replace

from hypothesis import assume, given
from hypothesis import strategies as st

from events.rules.findings import Grade, is_legal
from events.rules.format import Format
from events.rules.legality import legality, may_be_ridden
from events.rules.loading import as_data, as_toml, effective, load_format, try_format
from events.rules.next_trick import with_trick
from events.rules.riding import Limit, Passes, Repeats
from events.rules.run import Run
from events.rules.words import Per, Repeat
from tests.rules.random_rules import (
    DIVISIONS,
    ROUNDS,
    conditions,
    formats,
    maybe,
    passes,
    planned_tricks,
    runs,
    some_tricks,
)

divisions, rounds = maybe(st.sampled_from(DIVISIONS)), maybe(st.sampled_from(ROUNDS))


@given(runs, formats(), divisions, rounds)
def test_any_run_can_be_checked(run, format, division, round):
    """It raises nothing, finds the same twice, and every finding is a sentence in a place."""
    found = legality(run, format, division, round)

    assert found == legality(run, format, division, round)
    assert may_be_ridden(run, format, division, round) is is_legal(found)
    places = {(place.pass_no, place.position) for place in run.places()}
    for each in found:
        assert each.message[0].isupper() or each.message[0] in "“0123456789"
        assert each.message.rstrip("”").endswith((".", "!", "?")) or each.words
        assert each.position is None or (each.pass_no, each.position) in places


def _too_many(found):
    return [f for f in found if f.code in ("limit-most", "too-many-tricks")]


@given(runs, formats(), some_tricks, st.integers(1, 3))
def test_one_more_trick_mends_no_excess(run, format, trick, pass_no):
    """Adding a trick never takes away that there are too many.

    Where nothing is a repeat: a trick put before another one can make that a repeat, which
    may use no limit.
    """
    format = replace(format, repeats=Repeats(rule=Repeat.FREE))
    before = _too_many(legality(run, format))
    after = _too_many(legality(with_trick(run, trick, pass_no), format))

    assert len(after) >= len(before)


@given(runs, formats(), st.data())
def test_one_trick_less_breaks_no_most(run, format, data):
    """Taking a trick out of a run with nothing too many leaves nothing too many."""
    format = replace(format, repeats=Repeats(rule=Repeat.FREE))
    assume(len(run) and not _too_many(legality(run, format)))
    number = data.draw(st.integers(0, len(run.passes) - 1))
    here = run.passes[number]
    assume(here.tricks)
    less = replace(here, tricks=here.tricks[:-1])
    shorter = Run((*run.passes[:number], less, *run.passes[number + 1 :]))

    assert not _too_many(legality(shorter, format))


@given(st.lists(passes(), max_size=2), conditions(), st.integers(0, 4))
def test_a_limit_counts(some, condition, most):
    """A limit over the run finds exactly the tricks beyond it, whatever the condition."""
    run = Run(tuple(replace(each, bonus=()) for each in some))
    run = Run(tuple(replace(p, tricks=tuple(_plain(t) for t in p.tricks)) for p in run.passes))
    limit = Limit(when=condition, most=most, per=Per.RUN, inverted_spins=True)
    meant = [place for place in run.places() if condition.matches(place.trick)]
    # What is left open is not counted for sure.
    assume(not (condition.asks_spins or condition.asks_unsaid))
    format = Format(repeats=Repeats(rule=Repeat.FREE), limits=(limit,))

    found = [f for f in legality(run, format) if f.code == "limit-most"]

    assert [(f.pass_no, f.position) for f in found] == [
        (place.pass_no, place.position) for place in meant[most:]
    ]


def _plain(planned):
    return replace(planned, fell=False)


@given(conditions(), planned_tricks())
def test_unless_is_the_rest(condition, planned):
    """A trick meets a condition, or everything except it, and never both."""
    rest = type(condition)(unless=condition)

    assert rest.matches(planned.trick) is not condition.matches(planned.trick)


@given(runs, formats())
def test_what_is_open_never_makes_a_run_illegal(run, format):
    """With every limit and repeat left open, no finding of theirs breaks a rule."""
    open_format = replace(format, limits=None, repeats=Repeats(), passes=Passes())
    found = legality(run, open_format)

    broken = {f.code for f in found if f.grade is Grade.RULE}
    assert broken <= {
        "run-empty", "double-up-not-offered", "double-up-twice", "double-up-excluded",
        "double-up-inside-pass",
    }  # fmt: skip


@given(formats())
def test_any_format_survives_being_written(format):
    """What can be read back is the same format, and has the same effect everywhere."""
    again, problems = try_format(as_data(format))
    assume(not problems)

    assert again == format
    assert load_format(as_toml(format)) == format
    assert effective(format, "Open", "Final") == format
