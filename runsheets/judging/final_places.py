"""The places of a division over all its rounds.

Pure Python. Places of rounds go in; what each rider has in the end comes out.
"""

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from runsheets.judging.scoring import RunState
from runsheets.judging.standings import Standing


@dataclass(frozen=True, slots=True)
class FinalPlace:
    """Where a rider ends up. `round` counts from 0 and is the round that decided.

    `place` is None for who was disqualified there.
    """

    place: int | None
    rider: Hashable
    round: int


def final_places(rounds: Sequence[Sequence[Standing]]) -> list[FinalPlace]:
    """The places over some rounds, given the first round first; best first.

    A rider's last round decides. Who rode in a later round is ahead of who did not; inside a
    round its places decide, and riders of several heats who have the same place there share
    it, since a run is ranked only against its own heat. Who did not start in a round comes
    last of it, several of them by the round before (Freestyle wiki of the International Ski
    Federation, rule 3055.6); after them comes who withdrew from it, by the round before.

    Who is disqualified in that round has no place, and everybody behind moves up (the same,
    rule 3056, of a final; the 2024 rule book of the World Wake Association takes all points
    of the contest, too). They are listed at the end, without a place.
    """
    ranked: list[FinalPlace] = []
    no_place: list[FinalPlace] = []
    seen: set[Hashable] = set()
    for at in range(len(rounds) - 1, -1, -1):
        own = [row for row in rounds[at] if row.rider not in seen]
        out = [row for row in own if row.status is RunState.DISQUALIFIED]
        no_place += [FinalPlace(None, row.rider, at) for row in out]
        placed = sorted(_keys(own, rounds[:at]), key=lambda pair: pair[0])
        for _, level in groupby(placed, key=lambda pair: pair[0]):
            place = len(ranked) + 1
            ranked += [FinalPlace(place, rider, at) for _, rider in level]
        seen |= {row.rider for row in out} | {rider for _, rider in placed}
    return ranked + no_place


def _keys(
    rows: Sequence[Standing], before: Sequence[Sequence[Standing]]
) -> Iterator[tuple[tuple[int, int, int], Hashable]]:
    """What ranks each rider of a round who has a place, or had one before and withdrew."""
    for row in rows:
        earlier = _earlier(row.rider, before)
        if row.status is RunState.NOT_STARTED:
            yield (1, *(earlier or (0, 0))), row.rider
        elif row.place is not None:
            yield (0, 0, row.place), row.rider
        elif row.status is RunState.WITHDRAWN and earlier:
            yield (2, *earlier), row.rider


def _earlier(rider: Hashable, before: Sequence[Sequence[Standing]]) -> tuple[int, int] | None:
    """How many rounds back a rider last had a place, and the place."""
    for back, rows in enumerate(reversed(before)):
        for row in rows:
            if row.rider == rider and row.place is not None:
                return back, row.place
    return None
