"""The boat crew's sheet: speed, rope, weight, markers, and what each rider needs. Pure."""

from collections.abc import Iterator

from events.rules.answers import reminders
from events.rules.answers_words import capital, count, sentence
from events.rules.figures import AS_PUBLISHED, Rounding
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

ASK = "Not stated: ask the organiser."
ASK_RIDER = "ask the rider"
CAUTIONS = (
    "The capacity plate limits people and ballast together: never above it, whatever stands "
    "here.",
    "An observer watches the rider all the time, besides the driver. Local law may ask for "
    "more.",
    "Coming to a rider in the water, the engine is in neutral; it is off while anybody is at "
    "the stern or near the propeller.",
    "After every fall wait for the rider’s sign. No sign, a hit on the head or bad pain: stop, "
    "and call first aid at once.",
    "No rider is towed without a life vest, nor in the dark, nor where others swim or cross.",
    "The driver may always say no. Local law and qualified people decide.",
)
SPEED_RULES = {
    WhoSets.FIXED: "the same for everybody",
    WhoSets.BASELINE: "riders may ask for another",
    WhoSets.RIDER: "the rider chooses",
}
ROPES = {
    RopeFrom.OWN: "each rider’s own",
    RopeFrom.SHARED: "one rope for everybody",
    RopeFrom.EITHER: "the rider’s own or the shared one",
}
KEPT = ("Falls", "Double-up", "Cutoff")
OTHER_UNIT = {"km/h": "mph", "mph": "km/h", "m/s": "km/h", "m": "ft", "ft": "m",
              "kg": "lb", "lb": "kg"}  # fmt: skip
TURNS = {Side.STARBOARD: "turn RIGHT", Side.PORT: "turn LEFT"}
STANCES = {Stance.REGULAR: "own stance", Stance.SWITCH: "switch"}


def boat_sheet(round_: RoundFacts) -> Paper:
    """What the crew needs for one division and round; riders heat by heat.

    Of a declared run it tells which way the boat turns for the double-up, not the trick.
    """
    facts = tuple(_facts(round_))
    blocks: list[Block] = [Facts(facts), Strips(course_strips(round_.rules)), Caution(CAUTIONS)]
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
        running=f"Speed: {speed} Rope: {_rope(round_.rules.boat)}",
        moments=moments(round_, *round_.heats),
    )


def _merged(facts: tuple[tuple[str, str], ...]) -> dict[str, str]:
    merged: dict[str, str] = {}
    for label, text in facts:
        merged[label] = f"{merged[label]} {text}" if label in merged else text
    return merged


def _facts(round_: RoundFacts) -> Iterator[tuple[str, str]]:
    boat = round_.rules.boat
    yield "Boat", _said(boat.description)
    yield "Speed", _speed(boat)
    yield "Rope", _rope(boat)
    yield "Ballast", _ballast(boat)
    yield "Crew", _said("; ".join(filter(None, (boat.driver, boat.crew))))
    laps = boat.warm_up_laps
    yield "Warm-up", ASK if laps is None else f"{capital(count(laps, 'lap'))} before pass 1."
    yield "Pick-up", _said(boat.pickup)
    yield from (each for each in reminders(round_.rules) if each[0] in KEPT)


def _said(text: str | None) -> str:
    return sentence(text) if text and text.strip() else ASK


def both_units(amount: Amount, rounding: Rounding = Rounding.NEAREST) -> str:
    """An amount as it was typed, with the other unit to a tenth: "36 km/h (22.4 mph)"."""
    other = OTHER_UNIT[amount.unit]
    tenths = rounding.whole(amount.in_unit(other) * 10)
    return f"{amount} ({tenths / 10:.1f} {other})"


def _speed(boat: Boat) -> str:
    parts = [
        both_units(boat.speed) if boat.speed else "",
        SPEED_RULES[boat.speed_rule] if boat.speed_rule else "",
        f"not below {both_units(boat.speed_least, Rounding.LEAST)}" if boat.speed_least else "",
        f"not above {both_units(boat.speed_most, Rounding.MOST)}" if boat.speed_most else "",
    ]
    return _list(parts)


def _rope(boat: Boat) -> str:
    length = f"{both_units(boat.rope)} with handle" if boat.rope else ""
    return _list([length, ROPES[boat.rope_from] if boat.rope_from else ""])


def _list(parts: list[str]) -> str:
    said = ", ".join(filter(None, parts))
    return f"{capital(said)}." if said else ASK


def _ballast(boat: Boat) -> str:
    if boat.ballast is None:
        return ASK
    if not boat.ballast:
        return "No weight is added."
    places = [
        f"{each.position or 'place not stated'}: "
        f"{both_units(each.amount) if each.amount else 'weight not stated'}"
        for each in boat.ballast
    ]
    amounts = [each.amount for each in boat.ballast if each.amount is not None]
    whole = f" In all {AS_PUBLISHED.total(amounts)}." if len(amounts) > 1 else ""
    rule = f" {capital(SPEED_RULES[boat.ballast_rule])}." if boat.ballast_rule else ""
    return f"{capital('; '.join(places))}.{whole}{rule} Never above the capacity plate."


def _listing(round_: RoundFacts, heat: HeatFacts) -> Listing:
    columns = [
        Column("order", 0.08, Look.BIG),
        Column("bib", 0.11, Look.BIG),
        Column("rider", 0.33, Look.STRONG),
        Column("asks for", 0.24 if _offered(round_) else 0.48),
    ]
    if _offered(round_):
        columns.append(Column("boat for the double-up", 0.24, Look.STRONG))
    rows = tuple(_row(round_, rider) for rider in heat.riders)
    return Listing(tuple(columns), rows, heat.name, NOBODY)


def _row(round_: RoundFacts, rider: RiderFacts) -> ListRow:
    words = "  ·  ".join(filter(None, (rider.stance, SCRATCHED if rider.scratched else "")))
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
        (number, planned)
        for number, each in enumerate(passes, start=1)
        for planned in each.attempts
        if planned.trick.takeoff is Takeoff.DOUBLE_UP or planned.bonus == DOUBLE_UP
    ]


def _turn(rider: RiderFacts) -> str:
    """Which way the boat turns for each declared double-up; empty for a scratched rider."""
    if rider.scratched:
        return ""
    if rider.run is None:
        return ASK_RIDER
    found = _double_ups(rider)
    if not found:
        return "none declared"
    turns = [turn_for(planned, rider.foot) for _, planned in found]
    where = [
        f"{how}, after pass {number}"
        for (number, _), (_, how) in zip(found, turns, strict=True)
    ]
    return "\n".join(("; ".join(turn for turn, _ in turns), "; ".join(where)))


def turn_for(planned: PlannedTrick, foot: Foot) -> tuple[str, str]:
    """Which way the boat turns for a double-up trick, and the edge and stance of it.

    The rider cuts back from the side towards which the boat has turned, so that it must
    turn to the side that the trick starts from. Either way where its edge is free.
    """
    states = states_before(planned.trick, foot)
    stance = STANCES[planned.trick.stance]
    if len(states) > 1:
        return f"either way: {ASK_RIDER}", stance
    state = states[0]
    return TURNS[state.side], f"{ridden_edge(state, foot).value}, {stance}"
