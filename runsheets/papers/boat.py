"""The boat crew's sheet: speed, rope, weight, markers, and what each rider needs. Pure."""

from collections.abc import Iterator

from events.rules.answers import reminders
from events.rules.answers_words import capital, number, sentence
from events.rules.figures import AS_PUBLISHED, Rounding
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from events.rules.notation import DOUBLE_UP
from events.rules.run import PlannedTrick
from events.rules.staging import Boat
from events.rules.trick import Stance, Takeoff
from events.rules.units import Amount
from events.rules.words import RopeFrom, WhoSets
from riders.planning.route import Foot, Side, ridden_edge, states_before
from runsheets.papers.facts import HeatFacts, RiderFacts, RoundFacts
from runsheets.papers.lists import NOBODY, SCRATCHED
from runsheets.papers.paper import (
    Block,
    Caution,
    Cell,
    Column,
    Facts,
    Kind,
    Listing,
    ListRow,
    Look,
    Paper,
    Scope,
    Snapshot,
    Strips,
)
from runsheets.papers.runs import moments
from runsheets.papers.said import seat
from runsheets.sheets import course_strips

ASK = mark("Not stated: ask the organiser.")
ASK_RIDER = mark("ask the rider")
CAUTIONS = (
    mark(
        "The capacity plate limits people and ballast together: never above it, whatever "
        "stands here."
    ),
    mark(
        "An observer watches the rider all the time, besides the driver. Local law may ask for "
        "more."
    ),
    mark(
        "Coming to a rider in the water, the engine is in neutral; it is off while anybody is "
        "at the stern or near the propeller."
    ),
    mark(
        "After every fall wait for the rider’s sign. No sign, a hit on the head or bad pain: "
        "stop, and call first aid at once."
    ),
    mark(
        "No rider is towed without a life vest, nor in the dark, nor where others swim or "
        "cross."
    ),
    mark("The driver may always say no. Local law and qualified people decide."),
)
SPEED_RULES = {
    WhoSets.FIXED: mark("the same for everybody"),
    WhoSets.BASELINE: mark("riders may ask for another"),
    WhoSets.RIDER: mark("the rider chooses"),
}
ROPES = {
    RopeFrom.OWN: mark("each rider’s own"),
    RopeFrom.SHARED: mark("one rope for everybody"),
    RopeFrom.EITHER: mark("the rider’s own or the shared one"),
}
KEPT = (mark("Falls"), mark("Double-up"), mark("Cutoff"))
OTHER_UNIT = {"km/h": "mph", "mph": "km/h", "m/s": "km/h", "m": "ft", "ft": "m",
              "kg": "lb", "lb": "kg"}  # fmt: skip
TURNS = {Side.STARBOARD: mark("turn RIGHT"), Side.PORT: mark("turn LEFT")}
STANCES = {Stance.REGULAR: mark("own stance"), Stance.SWITCH: mark("switch")}


def boat_sheet(round_: RoundFacts) -> Paper:
    """What the crew needs for one division and round; riders heat by heat.

    Of a declared run it tells which way the boat turns for the double-up, not the trick.
    """
    facts = tuple(_facts(round_))
    strips, cautions = course_strips(round_.rules), tuple(map(_, CAUTIONS))
    blocks: list[Block] = [Facts(facts), Strips(strips), Caution(cautions)]
    blocks += [_listing(round_, heat) for heat in round_.heats]
    riders = {
        rider.key: seat(
            rider,
            heat,
            stance=rider.stance,
            wishes=rider.wishes,
            turn=_turn(rider).replace("\n", ", "),
        )
        for heat in round_.heats
        for rider in heat.riders
    }
    speed = _speed(round_.rules.boat)
    return Paper(
        scope=Scope(round_.division_key, round_.round, Kind.BOAT),
        heading=round_.heading(Kind.BOAT),
        blocks=tuple(blocks),
        snapshot=Snapshot({**round_.common, **_merged(facts)}, riders),
        running=_("Speed: {speed} Rope: {rope}").format(
            speed=speed, rope=_rope(round_.rules.boat)
        ),
        moments=moments(round_, *round_.heats),
    )


def _merged(facts: tuple[tuple[str, str], ...]) -> dict[str, str]:
    merged: dict[str, str] = {}
    for label, text in facts:
        merged[label] = f"{merged[label]} {text}" if label in merged else text
    return merged


def _facts(round_: RoundFacts) -> Iterator[tuple[str, str]]:
    boat = round_.rules.boat
    yield _("Boat"), _said(boat.description)
    yield _("Speed"), _speed(boat)
    yield _("Rope"), _rope(boat)
    yield _("Ballast"), _ballast(boat)
    yield _("Crew"), _said("; ".join(filter(None, (boat.driver, boat.crew))))
    yield _("Warm-up"), _laps(boat.warm_up_laps)
    yield _("Pick-up"), _said(boat.pickup)
    kept = set(map(_, KEPT))
    yield from (each for each in reminders(round_.rules) if each[0] in kept)


def _laps(laps: int | None) -> str:
    if laps is None:
        return _(ASK)
    if not laps:
        return _("No laps before pass 1.")
    said = ngettext("{number} lap before pass 1.", "{number} laps before pass 1.", laps)
    return capital(said.format(number=number(laps)))


def _said(text: str | None) -> str:
    return sentence(text) if text and text.strip() else _(ASK)


def both_units(amount: Amount, rounding: Rounding = Rounding.NEAREST) -> str:
    """An amount as it was typed, with the other unit to a tenth: "36 km/h (22.4 mph)"."""
    other = OTHER_UNIT[amount.unit]
    tenths = rounding.whole(amount.in_unit(other) * 10)
    return f"{amount} ({tenths / 10:.1f} {other})"


def _speed(boat: Boat) -> str:
    parts = [
        both_units(boat.speed) if boat.speed else "",
        _(SPEED_RULES[boat.speed_rule]) if boat.speed_rule else "",
    ]
    if boat.speed_least:
        least = both_units(boat.speed_least, Rounding.LEAST)
        parts.append(_("not below {speed}").format(speed=least))
    if boat.speed_most:
        most = both_units(boat.speed_most, Rounding.MOST)
        parts.append(_("not above {speed}").format(speed=most))
    return _list(parts)


def _rope(boat: Boat) -> str:
    length = ""
    if boat.rope:
        length = _("{length} with handle").format(length=both_units(boat.rope))
    return _list([length, _(ROPES[boat.rope_from]) if boat.rope_from else ""])


def _list(parts: list[str]) -> str:
    said = ", ".join(filter(None, parts))
    return f"{capital(said)}." if said else _(ASK)


def _ballast(boat: Boat) -> str:
    if boat.ballast is None:
        return _(ASK)
    if not boat.ballast:
        return _("No weight is added.")
    places = [
        f"{each.position or _('place not stated')}: "
        f"{both_units(each.amount) if each.amount else _('weight not stated')}"
        for each in boat.ballast
    ]
    amounts = [each.amount for each in boat.ballast if each.amount is not None]
    said = [f"{capital('; '.join(places))}."]
    if len(amounts) > 1:
        said.append(_("In all {weight}.").format(weight=AS_PUBLISHED.total(amounts)))
    if boat.ballast_rule:
        said.append(f"{capital(_(SPEED_RULES[boat.ballast_rule]))}.")
    return " ".join([*said, _("Never above the capacity plate.")])


def _listing(round_: RoundFacts, heat: HeatFacts) -> Listing:
    columns = [
        Column(_("order"), 0.08, Look.BIG),
        Column(_("bib"), 0.11, Look.BIG),
        Column(_("rider"), 0.33, Look.STRONG),
        Column(_("asks for"), 0.24 if _offered(round_) else 0.48),
    ]
    if _offered(round_):
        columns.append(Column(_("boat for the double-up"), 0.24, Look.STRONG))
    rows = tuple(_row(round_, rider) for rider in heat.riders)
    return Listing(tuple(columns), rows, heat.name, _(NOBODY))


def _row(round_: RoundFacts, rider: RiderFacts) -> ListRow:
    words = "  ·  ".join(filter(None, (rider.stance, _(SCRATCHED) if rider.scratched else "")))
    cells: list[Cell] = [
        str(rider.order or ""), rider.bib or "–", f"{rider.name}\n{words}", rider.wishes or "–",
    ]  # fmt: skip
    if _offered(round_):
        cells.append(_turn(rider))
    return ListRow(tuple(cells), rider.scratched)


def _offered(round_: RoundFacts) -> bool:
    """Whether some extra trick is offered, or may be: a rider may have declared one."""
    return bool(round_.rules.double_ups) or any(
        _double_ups(rider) for heat in round_.heats for rider in heat.riding
    )


def _double_ups(rider: RiderFacts) -> list[tuple[int, PlannedTrick]]:
    passes = rider.run.passes if rider.run else ()
    return [
        (pass_no, planned)
        for pass_no, each in enumerate(passes, start=1)
        for planned in each.attempts
        if planned.trick.takeoff is Takeoff.DOUBLE_UP or planned.bonus == DOUBLE_UP
    ]


def _turn(rider: RiderFacts) -> str:
    """Which way the boat turns for each declared double-up; empty for a scratched rider."""
    if rider.scratched:
        return ""
    if rider.run is None:
        return _(ASK_RIDER)
    found = _double_ups(rider)
    if not found:
        return _("none declared")
    turns = [turn_for(planned, rider.foot) for _pass, planned in found]
    where = [
        _("{how}, after pass {number}").format(how=how, number=each)
        for (each, _planned), (_turned, how) in zip(found, turns, strict=True)
    ]
    return "\n".join(("; ".join(turn for turn, _how in turns), "; ".join(where)))


def turn_for(planned: PlannedTrick, foot: Foot) -> tuple[str, str]:
    """Which way the boat turns for a double-up trick, and the edge and stance of it.

    The rider cuts back from the side towards which the boat has turned, so that it must
    turn to the side that the trick starts from. Either way where its edge is free.
    """
    states = states_before(planned.trick, foot)
    stance = _(STANCES[planned.trick.stance])
    if len(states) > 1:
        return _("either way: ask the rider"), stance
    state = states[0]
    return _(TURNS[state.side]), f"{ridden_edge(state, foot).value}, {stance}"
