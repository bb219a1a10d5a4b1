"""Who goes on to the next round: reads results and asks the judging what they mean."""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from events.models import Division
from events.rules.language import mark
from events.rules.words import RoundKind
from runsheets.judging.advancing import Advancement, Cut, Fate, advancing, joined
from runsheets.judging.final_places import final_places
from runsheets.lineup import rounds_of
from runsheets.models import RunningOrder
from runsheets.orders import stated_round
from runsheets.result_rows import Result, ResultRow
from runsheets.results import results_of, round_after, round_before

LISTED_OUT = 12
NOT_STATED = mark("The rules do not state how many go on; everybody with a place is ticked.")


@dataclass(frozen=True)
class Told:
    """Riders who share what becomes of them and why, for a page."""

    fate: Fate
    reason: str
    rows: list[ResultRow]

    @property
    def is_listed(self) -> bool:
        """Whether their names are worth the room: not of a crowd that does not go on."""
        return self.fate is not Fate.OUT or len(self.rows) <= LISTED_OUT


@dataclass(frozen=True)
class GoingOn:
    """Who goes on from a round. `found` is by the judging, `rows` are everybody's by entry.

    `fates` are the riders that the next round is for.
    """

    round_name: str
    found: Advancement
    rows: Mapping[Hashable, ResultRow]
    fates: tuple[Fate, ...] = (Fate.ADVANCES,)
    said: str = ""

    @property
    def chosen(self) -> list[ResultRow]:
        """Who rides in the next round."""
        return [self.rows[rider] for rider in self.found.those(*self.fates)]

    @property
    def on_the_line(self) -> list[ResultRow]:
        """Who is tied for the last places, so that people decide."""
        return [self.rows[rider] for rider in self.found.those(Fate.UNDECIDED)]

    @property
    def ranking(self) -> dict[Hashable, int]:
        """The place of everybody in the round before, for a reverse order."""
        return self.found.ranking

    @property
    def told(self) -> list[Told]:
        """What becomes of everybody, the same fates and reasons together; who rode first."""
        alike: dict[tuple[Fate, str], list[ResultRow]] = {}
        for each in self.found.riders:
            alike.setdefault((each.fate, each.reason), []).append(self.rows[each.rider])
        told = [Told(fate, reason, rows) for (fate, reason), rows in alike.items()]
        turn = list(Fate)
        return sorted(told, key=lambda e: (turn.index(e.fate), e.rows[0].total == ""))


def going_on(result: Result) -> GoingOn:
    """Who goes on out of a result, as the format says."""
    stated, name = result.stated, result.order.round_name
    following = round_after(result.division, name)
    found = advancing(
        [[row.standing for row in group.rows] for group in result.groups],
        Cut(
            many=stated.advance if stated else None,
            ties=stated.ties if stated else None,
            last_chance=following is not None and _is_last_chance(result.division, following),
        ),
        gone={row.entry.pk for row in result.rows if row.withdrew},
    )
    many_known = stated is not None and stated.advance is not None
    rows: dict[Hashable, ResultRow] = {row.entry.pk: row for row in result.rows}
    said = _words(found, rows) if many_known else _(NOT_STATED)
    return GoingOn(name, found, rows, said=said)


def before(
    division: Division, round_name: str, orders: Mapping[str, RunningOrder] | None = None
) -> GoingOn | None:
    """Who goes on into a round; None where the result of the round before is not posted.

    `orders` are those of the division by round, with their results, where they are read
    already. All rounds before are read at once, since a tie-break may look at them.

    Into a last chance go those who rode the round before it and did not get through; the
    round after it takes who got through in either.
    """
    earlier = round_before(division, round_name)
    if earlier is None:
        return None
    if orders is None:
        found = RunningOrder.objects.filter(division=division).select_related("result")
        orders = {order.round_name: order for order in found}
    if not _is_posted(orders.get(earlier)):
        return None
    names = rounds_of(division)
    read = [orders[name] for name in names[: names.index(round_name)] if name in orders]
    for order in read:
        order.division = division
    results = {result.order.round_name: result for result in results_of(division, read)}
    onward = going_on(results[earlier])
    if _is_last_chance(division, round_name):
        return _left_over(onward)
    first = round_before(division, earlier) if _is_last_chance(division, earlier) else None
    if first is None or not _is_posted(orders.get(first)):
        return onward
    return _with_both(going_on(results[first]), onward)


def _is_posted(order: RunningOrder | None) -> bool:
    return order is not None and getattr(order, "result", None) is not None


def _is_last_chance(division: Division, round_name: str) -> bool:
    stated = stated_round(division, round_name)
    return stated is not None and stated.kind is RoundKind.LAST_CHANCE


def _left_over(onward: GoingOn) -> GoingOn:
    """The field of a last chance; whoever is still on the line waits to be decided."""
    said = onward.said
    if onward.on_the_line:
        said += " " + _("Who of them does not go on rides here.")
    return GoingOn(onward.round_name, onward.found, onward.rows, (Fate.LAST_CHANCE,), said)


def _with_both(first: GoingOn, last_chance: GoingOn) -> GoingOn:
    """Who got through at once, and who did in the last chance."""
    found = joined(first.found, last_chance.found)
    rows = {**first.rows, **last_chance.rows}
    not_stated = [each.said for each in (first, last_chance) if each.said == _(NOT_STATED)]
    said = " ".join(filter(None, [*dict.fromkeys(not_stated), _words(found, rows)]))
    return GoingOn(last_chance.round_name, found, rows, said=said)


def _words(found: Advancement, rows: Mapping[Hashable, ResultRow]) -> str:
    """What the table has to know: who is tied at the cut, and who moves up."""

    def named(riders: Iterable[Hashable]) -> str:
        return ", ".join(rows[rider].entry.rider.name for rider in riders)

    moved = [each.rider for each in found.riders if each.moves_up]
    said = (
        [_("Moved up because somebody withdrew: {riders}.").format(riders=named(moved))]
        if moved
        else []
    )
    line = found.those(Fate.UNDECIDED)
    if not line:
        return " ".join(said)
    tied = ngettext(
        "Tied at the cut: {riders}. {number} place is free: tick who goes on once it is "
        "decided.",
        "Tied at the cut: {riders}. {number} places are free: tick who goes on once it is "
        "decided.",
        found.free,
    ).format(riders=named(line), number=found.free)
    return " ".join([*said, tied])


@dataclass(frozen=True)
class RankedRow:
    """One line of the ranking of a division; `note` says why there is no place."""

    place: int | None
    row: ResultRow
    note: str = ""


def _disqualified(round_name: str) -> str:
    if not round_name:
        return _("Disqualified in the round.")
    return _("Disqualified in {round}.").format(round=round_name)


def final_ranking(results: Sequence[Result]) -> list[RankedRow]:
    """The ranking of a division over its rounds, given the first round first."""
    rows = [{row.entry.pk: row for row in result.rows} for result in results]
    places = final_places([[row.standing for row in result.rows] for result in results])
    ranked = []
    for each in places:
        name = results[each.round].order.round_name
        note = "" if each.place is not None else _disqualified(name)
        ranked.append(RankedRow(each.place, rows[each.round][each.rider], note))
    return ranked
