"""Reaching a chance to land everything: against every choice of replacements."""

from dataclasses import replace
from itertools import product
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.rules.condition import Condition
from events.rules.findings import Grade
from events.rules.format import Format
from events.rules.notation import read_run, read_trick
from events.rules.riding import Limit, Repeats
from events.rules.run import Run
from events.rules.words import Per, Repeat
from riders.planning import goals
from riders.planning.goals import at_least, most_tiers
from riders.planning.ground import Ground, Method, replacements, with_trick_at
from tests.planning.building import chances, formats, one_fall, planned, runs, tricks

records = st.lists(st.builds(planned, tricks, chances), max_size=3).map(tuple)


def every_choice(run: Run, record: tuple, safer_only: bool) -> list[tuple[int, Run]]:
    """Every run with tricks replaced, and how many were."""
    options = []
    for place in run.places():
        known = replacements(place.planned, record)
        least = (place.planned.likelihood or 0.0) if safer_only else -1.0
        options.append([place.planned, *(e for e in known if (e.likelihood or 0) > least)])
    found = []
    for choice in product(*options):
        changed, count = run, 0
        for place, new in zip(run.places(), choice, strict=True):
            if new is not place.planned:
                changed = with_trick_at(changed, place.pass_no, place.position, new)
                count += 1
        found.append((count, changed))
    return found


def is_worth_taking(run: Run, planned: Run, ground: Ground) -> bool:
    """Legal, and no more findings of tricks that do not count or are repeated in vain."""
    found, had = (ground.check(each).findings for each in (run, planned))
    wasted = [
        sum(
            each.grade is Grade.UNCOUNTED
            or ("repeat" in each.code and not each.code.endswith("-open"))
            for each in part
        )
        for part in (found, had)
    ]
    return ground.is_legal(run) and wasted[0] <= wasted[1]


def tiers(run: Run) -> int:
    return sum(place.trick.tier for place in run.places())


def changes(run: Run, other: Run) -> int:
    return sum(a.planned != b.planned for a, b in zip(run.places(), other.places(), strict=True))


@settings(max_examples=60, deadline=None)
@given(runs(most=4), formats(), records, st.sampled_from([0.2, 0.5, 0.8, 1.0]))
def test_at_least_changes_least_and_then_loses_least(
    run: Run, format: Format, record: tuple, wanted: float
) -> None:
    """Against every choice: fewest replacements, then most tiers, then surest."""
    ground = Ground(format)
    reached = []
    for count, each in every_choice(run, record, safer_only=True):
        clean = ground.survive(each).clean or 0.0
        if is_worth_taking(each, run, ground) and clean >= wanted - 1e-9:
            reached.append((count, -tiers(each), -round(clean, 9)))
    found = at_least(run, ground, record, wanted)
    assert at_least(run, ground, record, wanted) == found
    if found is None:
        assert not reached
        return
    assert found.method is Method.EXACT
    assert ground.is_legal(found.run)
    assert found.after == ground.survive(found.run).clean
    got = (changes(run, found.run), -tiers(found.run), -round(found.after or 0.0, 9))
    assert got == min(reached)
    again = at_least(found.run, ground, record, wanted)
    assert again is not None
    assert again.run == found.run


@settings(max_examples=60, deadline=None)
@given(runs(most=4), formats(), records, st.sampled_from([0.0, 0.3, 0.6]))
def test_most_tiers_has_no_better_choice(
    run: Run, format: Format, record: tuple, wanted: float
) -> None:
    """Against every choice that is legal and safe enough."""
    ground, best = Ground(format), -inf
    for _, each in every_choice(run, record, safer_only=False):
        figures = ground.survive(each)
        assert (figures.expected_tiers is None) is (not len(each))  # nothing planned
        if is_worth_taking(each, run, ground) and (figures.clean or 0.0) >= wanted - 1e-9:
            best = max(best, figures.expected_tiers or 0.0)
    found = most_tiers(run, ground, record, wanted)
    if found is None:
        assert best == -inf
        return
    assert found.method is Method.EXACT
    assert ground.is_legal(found.run)
    assert found.after == pytest.approx(best, abs=1e-8)
    assert (ground.survive(found.run).clean or 0.0) >= wanted - 1e-9


def test_in_words() -> None:
    """The swaps are named with their passes, and the figures before and after."""
    run = read_run("HS backroll 50%, Tantrum 90% | Raley 60%")
    record = (read_trick("Indy 9/10"), read_trick("Method 95%"))
    found = at_least(run, Ground(one_fall()), record, 0.5)
    assert found is not None
    assert found.sentence == (
        "Replace HS backroll by Method in pass 1: clean 27 % to 51 %."
    )
    there = at_least(run, Ground(one_fall()), record, 0.2)
    assert there is not None
    assert there.run == run
    assert there.sentence == "This run is already there: clean is 27 %."
    assert at_least(run, Ground(one_fall()), record, 0.95) is None
    assert at_least(read_run("Indy"), Ground(one_fall()), record, 0.5) is None
    assert most_tiers(run, Ground(Format()), record, 0.2) is None


def test_the_rules_hold_for_what_is_put_in() -> None:
    """A banned trick is never suggested, however sure it is."""
    banned = Limit(say="No grabs.", when=Condition(grabbed=True), most=0)
    run = read_run("HS backroll 50%, Tantrum 90%")
    record = (read_trick("Indy 95%"), read_trick("HS FS 180 90%"))
    found = at_least(run, Ground(one_fall(limits=(banned,))), record, 0.8)
    assert found is not None
    assert [place.trick.name for place in found.run.places()] == ["HS FS 180", "Tantrum"]


ONE_SURE = (read_trick("Indy 95%"), read_trick("HS FS 180 85%"))


@pytest.mark.parametrize(
    "rule", [None, *(each for each in Repeat if each is not Repeat.FREE)], ids=str
)
def test_no_run_of_one_sure_trick_again_and_again(rule: Repeat | None) -> None:
    """A trick that does not count, or may not, raises clean and nothing else."""
    repeats = Repeats(rule, Per.RUN, ())
    ground = Ground(one_fall(repeats=repeats))
    run = read_run("HS backroll 50%, Tantrum 60%")
    found = at_least(run, ground, ONE_SURE, 0.8)
    assert found is not None
    assert sorted(place.trick.name for place in found.run.places()) == ["HS FS 180", "Indy"]
    assert at_least(run, ground, ONE_SURE, 0.9) is None
    free = Ground(one_fall(repeats=replace(repeats, rule=Repeat.FREE)))
    twice = at_least(run, free, ONE_SURE, 0.9)
    assert twice is not None
    assert [place.trick.name for place in twice.run.places()] == ["Indy", "Indy"]


def test_most_tiers_tells_clean_too() -> None:
    """The wish was for a chance, so the chance stands beside the tiers."""
    run = read_run("HS backroll 50%, Tantrum 60%")
    found = most_tiers(run, Ground(one_fall()), ONE_SURE, 0.8)
    assert found is not None
    assert found.sentence.endswith(", clean 30 % to 81 %.")


def test_bounded_work_is_not_called_exact(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the search stops early it goes on step by step, and says so."""
    run = read_run("HS backroll 50%, Tantrum 60% | Raley 60%")
    record = tuple(read_trick(text) for text in ("Indy 90%", "Method 95%", "HS FS 180 99%"))
    ground = Ground(one_fall())
    exact_tiers = most_tiers(run, ground, record, 0.7)
    monkeypatch.setattr(goals, "MOST_STEPS", 3)
    found, tiers_found = at_least(run, ground, record, 0.7), most_tiers(run, ground, record, 0.7)
    assert found is not None
    assert tiers_found is not None
    assert exact_tiers is not None
    assert (found.method, tiers_found.method) == (Method.EXCHANGE, Method.EXCHANGE)
    assert exact_tiers.method is Method.EXACT
    assert (found.after or 0) >= 0.7
    assert (tiers_found.after or 0) <= (exact_tiers.after or 0) + 1e-9
    assert at_least(run, ground, (), 0.7) is None


def test_reaching_one_half_costs_tiers() -> None:
    """Common practice, no source: 50 % is the middle; safer runs show less."""
    run = read_run("HS backroll 60%, Tantrum 70%, Raley 50%")
    record = (read_trick("Indy 95%"), read_trick("HS FS 180 90%"), read_trick("Method 90%"))
    ground = Ground(one_fall())
    found = [most_tiers(run, ground, record, clean) for clean in (0.0, 0.3, 0.5, 0.7)]
    values = [each.after for each in found if each is not None]
    assert len(values) == 4
    assert values == sorted(values, reverse=True)
