"""What riders read about the boat: boat and driver, speed, rope and weight."""

from collections.abc import Iterator

from events.rules.answers_words import (
    ASK,
    Point,
    Topic,
    all_missing,
    capital,
    count,
    joined,
    missing,
    sentence,
    unique,
)
from events.rules.figures import AS_PUBLISHED, Rounding, Units
from events.rules.format import Format
from events.rules.staging import Ballast, Boat
from events.rules.words import RopeFrom, WhoSets

BOAT = "The boat"
CAUTION = "The boat's capacity plate and the driver have the last word."

_ROPES = {
    RopeFrom.OWN: "You ride your own rope.",
    RopeFrom.SHARED: "Everybody rides the shared rope.",
    RopeFrom.EITHER: "You ride your own rope or the shared one.",
}
_BALLAST_RULES = {
    WhoSets.FIXED: "The weight is fixed.",
    WhoSets.BASELINE: "The weight is a baseline; you may ask for a change.",
    WhoSets.RIDER: "You choose the weight.",
}


def boat(format: Format) -> Topic:
    """Which boat, who drives, and what goes with it."""
    stated = format.boat
    points = []
    for code, label, value in (
        ("boat", "Boat", stated.description),
        ("driver", "Driver", stated.driver),
        ("crew", "Crew", stated.crew),
        ("pickup", "Pick-up", stated.pickup),
    ):
        if value and value.strip():
            points.append(Point(code, label, sentence(f"{label}: {value}")))
    if stated.warm_up_laps is not None:
        laps = stated.warm_up_laps
        text = f"You get {count(laps, 'warm-up lap')} before your first pass."
        points.append(Point("warm-up", "Warm-up laps", text))
    asked = (
        ("which boat tows", stated.description),
        ("who drives", stated.driver),
        ("who else is in the boat", stated.crew),
        ("how a fallen rider is picked up", stated.pickup),
        ("how many warm-up laps you get", stated.warm_up_laps),
    )
    things = [what for what, value in asked if value is None or not str(value).strip()]
    points += all_missing("open", "Boat and driver", things)
    blank = f"Which boat tows, and who drives, is {ASK}"
    return Topic("boat", "Which boat and driver?", BOAT, tuple(points), blank)


def speed(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """How fast, and who decides it."""
    stated = format.boat
    points = [Point("speed", "Speed", _speed(stated, units))] if _has_speed(stated) else []
    least, most = stated.speed_least, stated.speed_most
    if least is not None or most is not None:
        bounds = [
            f"below {units.amount(least, Rounding.LEAST)}" if least is not None else "",
            f"above {units.amount(most, Rounding.MOST)}" if most is not None else "",
        ]
        listed = joined((bound for bound in bounds if bound), "or")
        points.append(Point("range", "Speed range", f"The speed may not be {listed}."))
    elif stated.speed_rule in (WhoSets.RIDER, WhoSets.BASELINE):
        what = "how slow or fast you may ask for"
        points.append(missing("range", "Speed range", what))
    if not _has_speed(stated):
        points.append(missing("rule", "Speed", "who decides the speed"))
    blank = f"How fast the boat goes is {ASK}"
    return Topic("speed", "How fast?", BOAT, tuple(points), blank)


def _has_speed(stated: Boat) -> bool:
    return stated.speed is not None or stated.speed_rule is not None


def _speed(stated: Boat, units: Units) -> str:
    speed = None if stated.speed is None else units.amount(stated.speed)
    if stated.speed_rule is None:
        return f"The speed is {speed}; whether you may ask for another is {ASK}"
    if stated.speed_rule is WhoSets.RIDER:
        usual = "" if speed is None else f"; {speed} is usual"
        return f"You choose the speed{usual}."
    if stated.speed_rule is WhoSets.FIXED:
        if speed is None:
            return f"The speed is fixed; which speed is {ASK}"
        return f"The speed is fixed at {speed}."
    if speed is None:
        return f"There is a baseline speed and you may ask for another; the baseline is {ASK}"
    return f"The speed is {speed}; you may ask for another."


def rope(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """Whose rope, and how long."""
    stated = format.boat
    points = []
    if stated.rope is None:
        points.append(missing("length", "Rope length", "the length of the rope"))
    else:
        text = f"The rope is {units.amount(stated.rope)} long, with handle."
        points.append(Point("length", "Rope length", text))
    if stated.rope_from is None:
        points.append(missing("from", "Rope", "whose rope you ride"))
    else:
        points.append(Point("from", "Rope", _ROPES[stated.rope_from]))
    blank = f"How long the rope is, and whose it is, is {ASK}"
    return Topic("rope", "How long is the rope?", BOAT, tuple(points), blank)


def ballast(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """How the boat is weighted, by position, with the total; always with the caution."""
    stated = format.boat
    points = []
    if stated.ballast_rule is None:
        points.append(missing("rule", "Weight", "who decides the weight"))
    else:
        points.append(Point("rule", "Weight", _BALLAST_RULES[stated.ballast_rule]))
    if stated.ballast is None:
        points.append(missing("weights", "Weight", "how much weight goes where"))
    elif not stated.ballast:
        points.append(Point("weights", "Weight", "No weight is added."))
    else:
        points += _weights(stated.ballast, units)
    blank = f"How the boat is weighted is {ASK}"
    question = "How is the boat weighted?"
    return Topic("ballast", question, BOAT, tuple(points), blank, CAUTION)


def _weights(ballast: tuple[Ballast, ...], units: Units) -> Iterator[Point]:
    positions = [" ".join((each.position or "").split()) for each in ballast]
    codes = unique(f"at {position.casefold()}" for position in positions)
    for code, position, each in zip(codes, positions, ballast, strict=True):
        place = capital(position) or "In a place that is not stated"
        weight = f"the weight is {ASK}"
        if each.amount is not None:
            weight = f"{units.amount(each.amount)}."
        yield Point(code, f"Weight, {position or 'place not stated'}", f"{place}: {weight}")
    amounts = [each.amount for each in ballast if each.amount is not None]
    if len(amounts) > 1:
        some = "" if len(amounts) == len(ballast) else " of stated weight"
        yield Point("total", "Weight in all", f"That is {units.total(amounts)}{some} in all.")
