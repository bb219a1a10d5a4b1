"""What riders read about the boat: boat and driver, speed, rope and weight."""

from collections.abc import Iterator

from events.rules.answers_words import (
    Point,
    Topic,
    all_missing,
    capital,
    missing,
    number,
    sentence,
    unique,
)
from events.rules.figures import AS_PUBLISHED, Rounding, Units
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from events.rules.staging import Ballast, Boat
from events.rules.words import RopeFrom, WhoSets

BOAT = mark("The boat")
CAUTION = mark("The boat's capacity plate and the driver have the last word.")

_ROPES = {
    RopeFrom.OWN: mark("You ride your own rope."),
    RopeFrom.SHARED: mark("Everybody rides the shared rope."),
    RopeFrom.EITHER: mark("You ride your own rope or the shared one."),
}
_BALLAST_RULES = {
    WhoSets.FIXED: mark("The weight is fixed."),
    WhoSets.BASELINE: mark("The weight is a baseline; you may ask for a change."),
    WhoSets.RIDER: mark("You choose the weight."),
}


def boat(format: Format) -> Topic:
    """Which boat, who drives, and what goes with it."""
    stated = format.boat
    points = []
    for code, label, value in (
        ("boat", _("Boat"), stated.description),
        ("driver", _("Driver"), stated.driver),
        ("crew", _("Crew"), stated.crew),
        ("pickup", _("Pick-up"), stated.pickup),
    ):
        if value and value.strip():
            points.append(Point(code, label, sentence(f"{label}: {value}")))
    if stated.warm_up_laps is not None:
        laps = stated.warm_up_laps
        text = ngettext(
            "You get {number} warm-up lap before your first pass.",
            "You get {number} warm-up laps before your first pass.",
            laps,
        ).format(number=number(laps))
        points.append(Point("warm-up", _("Warm-up laps"), text))
    asked = (
        (_("which boat tows"), stated.description),
        (_("who drives"), stated.driver),
        (_("who else is in the boat"), stated.crew),
        (_("how a fallen rider is picked up"), stated.pickup),
        (_("how many warm-up laps you get"), stated.warm_up_laps),
    )
    things = [what for what, value in asked if value is None or not str(value).strip()]
    points += all_missing("open", _("Boat and driver"), things)
    blank = _("Which boat tows, and who drives, is not stated: ask the organiser.")
    return Topic("boat", _("Which boat and driver?"), _(BOAT), tuple(points), blank)


def speed(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """How fast, and who decides it."""
    stated = format.boat
    points = [Point("speed", _("Speed"), _speed(stated, units))] if _has_speed(stated) else []
    least, most = stated.speed_least, stated.speed_most
    if least is not None or most is not None:
        text = _speed_range(stated, units)
        points.append(Point("range", _("Speed range"), text))
    elif stated.speed_rule in (WhoSets.RIDER, WhoSets.BASELINE):
        what = _("how slow or fast you may ask for")
        points.append(missing("range", _("Speed range"), what))
    if not _has_speed(stated):
        points.append(missing("rule", _("Speed"), _("who decides the speed")))
    blank = _("How fast the boat goes is not stated: ask the organiser.")
    return Topic("speed", _("How fast?"), _(BOAT), tuple(points), blank)


def _speed_range(stated: Boat, units: Units) -> str:
    least, most = stated.speed_least, stated.speed_most
    slowest = "" if least is None else units.amount(least, Rounding.LEAST)
    fastest = "" if most is None else units.amount(most, Rounding.MOST)
    if not fastest:
        return _("The speed may not be below {slowest}.").format(slowest=slowest)
    if not slowest:
        return _("The speed may not be above {fastest}.").format(fastest=fastest)
    said = _("The speed may not be below {slowest} or above {fastest}.")
    return said.format(slowest=slowest, fastest=fastest)


def _has_speed(stated: Boat) -> bool:
    return stated.speed is not None or stated.speed_rule is not None


def _speed(stated: Boat, units: Units) -> str:
    speed = None if stated.speed is None else units.amount(stated.speed)
    if stated.speed_rule is None:
        return _(
            "The speed is {speed}; whether you may ask for another is not stated: "
            "ask the organiser."
        ).format(speed=speed)
    if stated.speed_rule is WhoSets.RIDER:
        if speed is None:
            return _("You choose the speed.")
        return _("You choose the speed; {speed} is usual.").format(speed=speed)
    if stated.speed_rule is WhoSets.FIXED:
        if speed is None:
            return _("The speed is fixed; which speed is not stated: ask the organiser.")
        return _("The speed is fixed at {speed}.").format(speed=speed)
    if speed is None:
        return _(
            "There is a baseline speed and you may ask for another; the baseline "
            "is not stated: ask the organiser."
        )
    return _("The speed is {speed}; you may ask for another.").format(speed=speed)


def rope(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """Whose rope, and how long."""
    stated = format.boat
    points = []
    if stated.rope is None:
        points.append(missing("length", _("Rope length"), _("the length of the rope")))
    else:
        text = _("The rope is {amount} long, with handle.").format(
            amount=units.amount(stated.rope)
        )
        points.append(Point("length", _("Rope length"), text))
    if stated.rope_from is None:
        points.append(missing("from", _("Rope"), _("whose rope you ride")))
    else:
        points.append(Point("from", _("Rope"), _(_ROPES[stated.rope_from])))
    blank = _("How long the rope is, and whose it is, is not stated: ask the organiser.")
    return Topic("rope", _("How long is the rope?"), _(BOAT), tuple(points), blank)


def ballast(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """How the boat is weighted, by position, with the total; always with the caution."""
    stated = format.boat
    points = []
    if stated.ballast_rule is None:
        points.append(missing("rule", _("Weight"), _("who decides the weight")))
    else:
        points.append(Point("rule", _("Weight"), _(_BALLAST_RULES[stated.ballast_rule])))
    if stated.ballast is None:
        points.append(missing("weights", _("Weight"), _("how much weight goes where")))
    elif not stated.ballast:
        points.append(Point("weights", _("Weight"), _("No weight is added.")))
    else:
        points += _weights(stated.ballast, units)
    blank = _("How the boat is weighted is not stated: ask the organiser.")
    question = _("How is the boat weighted?")
    return Topic("ballast", question, _(BOAT), tuple(points), blank, _(CAUTION))


def _weights(ballast: tuple[Ballast, ...], units: Units) -> Iterator[Point]:
    positions = [" ".join((each.position or "").split()) for each in ballast]
    codes = unique(f"at {position.casefold()}" for position in positions)
    for code, position, each in zip(codes, positions, ballast, strict=True):
        place = capital(position) or _("In a place that is not stated")
        weight = _("the weight is not stated: ask the organiser.")
        if each.amount is not None:
            weight = f"{units.amount(each.amount)}."
        yield Point(
            code,
            _("Weight, {place}").format(place=position or _("place not stated")),
            f"{place}: {weight}",
        )
    amounts = [each.amount for each in ballast if each.amount is not None]
    if len(amounts) > 1:
        said = (
            _("That is {total} in all.")
            if len(amounts) == len(ballast)
            else _("That is {total} of stated weight in all.")
        )
        yield Point("total", _("Weight in all"), said.format(total=units.total(amounts)))
