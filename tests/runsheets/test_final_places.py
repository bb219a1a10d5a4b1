"""The places of a division over its rounds, against published rules of judged sports."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import rankdata

from runsheets.judging.final_places import FinalPlace, final_places
from runsheets.judging.scoring import RunState
from runsheets.judging.standings import Standing


def rows(**places: int) -> list[Standing]:
    return [Standing(place, rider, Fraction(100 - place)) for rider, place in places.items()]


def state(rider: str, status: RunState, place: int | None = None) -> Standing:
    return Standing(place, rider, None, status=status)


def told(rounds) -> list[tuple[int | None, str]]:
    return [(each.place, each.rider) for each in final_places(rounds)]


QUALIFYING = rows(ana=1, bo=2, cy=3, dee=4, eli=5)


def test_the_final_first_and_then_the_round_before() -> None:
    final = rows(bo=1, ana=2, cy=3)
    assert told([QUALIFYING, final]) == [
        (1, "bo"), (2, "ana"), (3, "cy"), (4, "dee"), (5, "eli")
    ]  # fmt: skip


def test_disqualified_in_the_final_has_no_place_and_all_behind_move_up() -> None:
    """Freestyle wiki of the International Ski Federation, rule 3056 (wiki.fis-ski.com,
    "Disqualification"): on the result sheet without a rank; who is disqualified in the
    final has no rank in the competition, and those of the qualification move up."""
    final = [*rows(bo=1, cy=2), state("ana", RunState.DISQUALIFIED)]

    found = final_places([QUALIFYING, final])

    assert [(each.place, each.rider) for each in found] == [
        (1, "bo"), (2, "cy"), (3, "dee"), (4, "eli"), (None, "ana")
    ]  # fmt: skip
    assert found[-1] == FinalPlace(None, "ana", round=1)


def test_not_started_in_the_final_is_last_of_the_final() -> None:
    """The same wiki, rule 3055.6 (there of a discipline in heats): last place of that
    round, ahead of those who did not get into it."""
    final = [*rows(bo=1, cy=2), state("ana", RunState.NOT_STARTED, 3)]
    assert told([QUALIFYING, final])[2:4] == [(3, "ana"), (4, "dee")]


def test_several_not_started_rank_by_the_round_before() -> None:
    """The same rule: by their place in the qualification."""
    out = [state(rider, RunState.NOT_STARTED, 2) for rider in ("cy", "ana")]
    assert told([QUALIFYING, [*rows(bo=1), *out]])[:4] == [
        (1, "bo"), (2, "ana"), (3, "cy"), (4, "dee")
    ]  # fmt: skip


def test_not_started_in_a_small_heat_is_behind_who_rode_in_another() -> None:
    """Places of heats stand side by side, and not starting is no place among those."""
    heats = [*rows(ana=1, bo=2, cy=3), *rows(dee=1), state("eli", RunState.NOT_STARTED, 2)]
    assert told([heats])[2:] == [(3, "bo"), (4, "cy"), (5, "eli")]


def test_withdrawn_from_the_final_stands_behind_who_rode_it() -> None:
    """Common practice, no source: by the round before, ahead of who was not in the final."""
    final = [*rows(bo=1), state("cy", RunState.WITHDRAWN), state("ana", RunState.WITHDRAWN)]
    assert told([QUALIFYING, final])[:4] == [(1, "bo"), (2, "ana"), (3, "cy"), (4, "dee")]


def test_withdrawn_before_riding_at_all_is_not_ranked() -> None:
    first = [*rows(ana=1), state("bo", RunState.WITHDRAWN)]
    assert told([first]) == [(1, "ana")]


def test_disqualified_in_an_earlier_round_only() -> None:
    """Common practice, no source: one who was let ride on is ranked by the later round."""
    first = [
        *rows(ana=1),
        state("bo", RunState.DISQUALIFIED),
        state("cy", RunState.DISQUALIFIED),
    ]
    assert told([first, rows(ana=2, bo=1)]) == [(1, "bo"), (2, "ana"), (None, "cy")]


def test_heats_side_by_side_share_places() -> None:
    """World Wake Association rule book, Judging: a run is ranked only against its heat."""
    semi = rows(ana=1, bo=1, cy=2, dee=2)
    assert told([semi, rows(ana=1)]) == [(1, "ana"), (2, "bo"), (3, "cy"), (3, "dee")]


@given(st.lists(st.integers(1, 6), min_size=1, max_size=10), st.integers(0, 5))
def test_one_round_ranks_as_scipy_does(places, disqualified) -> None:
    """`rankdata(method="min")` of the places; who has none changes nobody's."""
    standing = [Standing(place, rider, Fraction(1)) for rider, place in enumerate(places)]
    out = [state(f"out {n}", RunState.DISQUALIFIED) for n in range(disqualified)]

    found = {each.rider: each.place for each in final_places([standing + out])}

    expected = rankdata(places, method="min")
    assert {rider: found[rider] for rider in range(len(places))} == dict(enumerate(expected))
    assert sum(place is None for place in found.values()) == disqualified
