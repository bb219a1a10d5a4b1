"""Who goes on to the next round, from the result of the one before."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field

from events.models import Division
from events.rules.words import RoundKind, Ties
from runsheets.orders import stated_round
from runsheets.result_rows import Result, ResultGroup, ResultRow
from runsheets.results import order_of, result_of, round_before

NOT_STATED = "The rules do not state how many go on; everybody with a place is ticked."


@dataclass(frozen=True)
class GoingOn:
    """Who goes on. `on_the_line` are tied for the last places, `places` those still free.

    `ranking` has the place of everybody in the round before, for a reverse order.
    """

    round_name: str
    chosen: list[ResultRow]
    on_the_line: list[ResultRow] = field(default_factory=list)
    places: int = 0
    ranking: dict[Hashable, int] = field(default_factory=dict)
    said: str = ""


def going_on(result: Result) -> GoingOn:
    """Read who goes on out of a result, with what the format says of a tie at the cut.

    Where all advance, everybody level with the last place goes on. Otherwise those who are
    level there stay on the line: a ride-off or the judges decide, and the table ticks them.
    Who did not start does not go on.
    """
    stated = result.stated
    many = stated.advance if stated else None
    ranking: dict[Hashable, int] = {
        row.entry.pk: row.standing.place for row in result.rows if row.standing.place
    }
    name = result.order.round_name
    if many is None:
        placed = [row for group in result.groups for row in _ridden(group)]
        return GoingOn(name, placed, ranking=ranking, said=NOT_STATED)
    chosen: list[ResultRow] = []
    line: list[ResultRow] = []
    free = 0
    for group in result.groups:
        inside, tied = _cut(_ridden(group), many)
        if stated and stated.ties is Ties.ALL_ADVANCE:
            inside, tied = inside + tied, []
        chosen += inside
        line += tied
        free += many - len(inside) if tied else 0
    return GoingOn(name, chosen, line, free, ranking, _tie_words(line, free))


def before(division: Division, round_name: str) -> GoingOn | None:
    """Who goes on into a round; None where the result of the round before is not posted.

    Into a last chance go those who rode the round before it and did not get through; the
    round after it takes who got through in either.
    """
    earlier = round_before(division, round_name)
    result = _posted(division, earlier)
    if result is None or earlier is None:
        return None
    onward = going_on(result)
    if _is_last_chance(division, round_name):
        return _left_over(result, onward)
    if _is_last_chance(division, earlier):
        first = _posted(division, round_before(division, earlier))
        return _joined(going_on(first), onward) if first is not None else onward
    return onward


def _posted(division: Division, round_name: str | None) -> Result | None:
    order = order_of(division, round_name) if round_name is not None else None
    if order is None or getattr(order, "result", None) is None:
        return None
    order.division = division
    return result_of(division, order)


def _is_last_chance(division: Division, round_name: str) -> bool:
    stated = stated_round(division, round_name)
    return stated is not None and stated.kind is RoundKind.LAST_CHANCE


def _left_over(result: Result, onward: GoingOn) -> GoingOn:
    """Who rode and did not get through; whoever is still on the line waits to be decided."""
    through = {row.entry.pk for row in (*onward.chosen, *onward.on_the_line)}
    rest = [
        row for group in result.groups for row in _ridden(group) if row.entry.pk not in through
    ]
    said = onward.said
    if onward.on_the_line:
        said += " Who of them does not go on rides here."
    return GoingOn(onward.round_name, rest, onward.on_the_line, 0, onward.ranking, said)


def _joined(first: GoingOn, last_chance: GoingOn) -> GoingOn:
    """Those who got through at once are ranked ahead of those who needed the last chance."""
    ranking = {row.entry.pk: first.ranking[row.entry.pk] for row in first.chosen}
    behind = max(ranking.values(), default=0)
    for entry, place in last_chance.ranking.items():
        ranking.setdefault(entry, behind + place)
    return GoingOn(
        last_chance.round_name,
        first.chosen + last_chance.chosen,
        first.on_the_line + last_chance.on_the_line,
        first.places + last_chance.places,
        ranking,
        " ".join(filter(None, (first.said, last_chance.said))),
    )


def _ridden(group: ResultGroup) -> list[ResultRow]:
    return [row for row in group.rows if row.standing.total is not None]


def _cut(rows: Sequence[ResultRow], many: int) -> tuple[list[ResultRow], list[ResultRow]]:
    """Who is surely inside, and who is level at the cut, so that not all of them fit."""
    if len(rows) <= many:
        return list(rows), []
    if many == 0:
        return [], []
    first_out = rows[many].standing.place
    if rows[many - 1].standing.place != first_out:
        return list(rows[:many]), []
    inside = [row for row in rows[:many] if row.standing.place != first_out]
    return inside, [row for row in rows if row.standing.place == first_out]


def _tie_words(line: Sequence[ResultRow], free: int) -> str:
    if not line:
        return ""
    names = ", ".join(row.entry.rider.name for row in line)
    places = "1 place is" if free == 1 else f"{free} places are"
    return f"Tied at the cut: {names}. {places} free: tick who goes on once it is decided."


def final_ranking(results: Sequence[Result]) -> list[tuple[int, ResultRow]]:
    """The ranking of a division over its rounds, given the first round first.

    Who rode in a later round is ahead of who did not; inside a round its places decide, and
    whoever shares a place there shares it here. Riders of several heats who have the same
    place share it too, since a run is ranked only against its own heat.
    """
    ranked: list[tuple[int, ResultRow]] = []
    seen: set[int] = set()
    for result in reversed(results):
        placed = [
            (row.standing.place, row)
            for row in result.rows
            if row.standing.place is not None and row.entry.pk not in seen
        ]
        placed.sort(key=lambda pair: pair[0])
        base = len(ranked)
        first: dict[int, int] = {}
        for at, (place, row) in enumerate(placed, start=base + 1):
            ranked.append((first.setdefault(place, at), row))
            seen.add(row.entry.pk)
    return ranked
