"""What riders read about double-ups, other extras, and markers without a pick-up."""

from collections.abc import Iterator

from events.rules.answers_riding import RUN
from events.rules.answers_words import (
    ASK,
    Point,
    Topic,
    all_missing,
    article,
    capital,
    count,
    joined,
    missing,
    part,
    quoted,
    unique,
)
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.format import Format
from events.rules.riding import DoubleUp, PickupCutoff
from events.rules.words import BonusCondition, BonusMarks, CutoffEffect, WhichFall

_MARKED = {
    BonusMarks.AS_A_TRICK: "It is marked like any trick.",
    BonusMarks.STYLE_ONLY: "It is marked for style only.",
    BonusMarks.APART: "It is marked apart from the passes.",
}
_ENDS = {CutoffEffect.ENDS_RUN: "your run", CutoffEffect.ENDS_PASS: "that pass"}
# (value, words for yes, words for no)
_YES_NO = (
    ("optional", "You may leave it out.", "It is part of the run: you may not leave it out."),
    (
        "limits_bind",
        "Limits and repeats hold for it too.",
        "Limits and repeats do not hold for it.",
    ),
    (
        "counts_as_trick",
        "It is one of the tricks of its pass.",
        "It is not one of the tricks of its pass.",
    ),
)
# (value, what is asked where it is not stated)
_ASKED = (
    ("optional", "whether you may leave it out"),
    ("condition", "what must hold for you to get it"),
    ("limits_bind", "whether limits bind it"),
    ("counts_as_trick", "whether it is one of the tricks of its pass"),
    ("marked", "how it is marked"),
)


def bonuses(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """Whether there is a double-up or another extra, and what keeps and loses it."""
    points: list[Point] = []
    if format.double_ups is None:
        points.append(missing("bonus", "Double-up", "whether there is a double-up"))
    elif not format.double_ups:
        points.append(Point("bonus", "Double-up", "There is no double-up."))
    else:
        codes = _codes(format.double_ups)
        for code, bonus in zip(codes, format.double_ups, strict=True):
            points += _bonus(format, bonus, code, units)
    return Topic(
        "double-up",
        "Is there a double-up, and until where can I fall and still get it?",
        RUN,
        tuple(points),
        f"Whether there is a double-up is {ASK}",
    )


def _codes(stated: tuple[DoubleUp, ...]) -> list[str]:
    # Of several with one name the last one ridden has the plain code: where a round adds
    # one after an earlier pass, the one at the end of the run is still the same.
    last_first = sorted(range(len(stated)), key=lambda no: -(stated[no].after_pass or 99))
    codes = unique(bonus_name(stated[no]).casefold() for no in last_first)
    by_place = dict(zip(last_first, codes, strict=True))
    return [by_place[no] for no in range(len(stated))]


def bonus_name(bonus: DoubleUp) -> str:
    """The name on one line; the double-up where none is stated."""
    return " ".join((bonus.name or "").split()) or "double-up"


def offer_sentence(bonus: DoubleUp) -> str:
    """After which pass it is offered."""
    name = bonus_name(bonus)
    if bonus.after_pass is None:
        return f"There is {article(name)}; after which pass is {ASK}"
    return f"There is {article(name)} after pass {bonus.after_pass}."


def cutoff_sentence(format: Format, bonus: DoubleUp, units: Units = AS_PUBLISHED) -> str:
    """Until where a fall keeps it; empty where no cutoff is stated."""
    if bonus.cutoff_m is None and bonus.cutoff_fraction is None:
        return ""
    marker = bonus.cutoff_m, bonus.cutoff_fraction
    where = _place(format, bonus.after_pass, *marker, units)
    name = bonus_name(bonus)
    return f"A fall up to {where} keeps the {name}; a fall past that marker loses it."


def condition_sentence(bonus: DoubleUp) -> str:
    """What must hold when the pass ends; empty where nothing is stated."""
    fewer = bonus.falls_fewer_than
    number = "" if fewer is None else _fewer(fewer)
    if bonus.condition is None:
        return f"A number is stated, {number}, but not what it is for." if number else ""
    if bonus.condition is BonusCondition.FEWER_FALLS:
        if not number:
            return f"You get it only with fewer falls than a number that is {ASK}"
        return f"You get it only with {number}."
    if bonus.condition is BonusCondition.NO_FALL_IN_PASS:
        here = "the pass before it" if bonus.after_pass is None else f"pass {bonus.after_pass}"
        needed = f"You get it only if you do not fall in {here}"
    else:
        needed = "You get it if your run is still going"
    return f"{needed}; {number} is stated too, but not asked." if number else f"{needed}."


def _fewer(falls: int) -> str:
    return (
        "no fall in the run" if falls == 1 else f"fewer than {count(falls, 'fall')} in the run"
    )


def _bonus(format: Format, bonus: DoubleUp, code: str, units: Units) -> Iterator[Point]:
    label = capital(bonus_name(bonus))
    yield Point(f"{code}: offer", label, offer_sentence(bonus))
    for kind, names in (("round", bonus.rounds), ("division", bonus.divisions)):
        if names is not None:
            yield Point(f"{code}: {kind}s", f"{label}, {kind}s", _only_in(kind, names))
    if condition := condition_sentence(bonus):
        stated = bonus.condition is not None
        yield Point(f"{code}: condition", f"{label}, condition", condition, stated)
    if cutoff := cutoff_sentence(format, bonus, units):
        yield Point(f"{code}: cutoff", f"{label}, cutoff", cutoff)
    for attribute, yes, no in _YES_NO:
        value = getattr(bonus, attribute)
        if value is not None:
            yield Point(f"{code}: {attribute}", label, yes if value else no)
    if bonus.excludes is not None:
        yield Point(f"{code}: excludes", label, _excluding(bonus.excludes))
    yield Point(f"{code}: fall", f"{label}, fall", _fall_on(bonus))
    if bonus.marked is not None:
        yield Point(f"{code}: marked", f"{label}, marks", _MARKED[bonus.marked])
    things = [what for name, what in _ASKED if getattr(bonus, name) is None]
    if not cutoff_sentence(format, bonus):
        things.append("whether a fall past some marker loses it")
    lead = f"for the {bonus_name(bonus)}, "
    yield from all_missing(f"{code}: open", label, things, lead)


def _only_in(kind: str, names: tuple[str, ...]) -> str:
    if not names:
        return f"It is offered in every {kind}."
    listed = joined(quoted(name) for name in names)
    return f"It is offered only in the {kind if len(names) == 1 else f'{kind}s'} {listed}."


def _excluding(names: tuple[str, ...]) -> str:
    if not names:
        return "It may be ridden together with any other extra."
    listed = joined((" ".join(name.split()) for name in names), "or")
    return f"It may not be ridden together with: {listed}."


def _fall_on(bonus: DoubleUp) -> str:
    if bonus.fall_counts is None:
        return "A fall on it counts, since nothing else is stated."
    return f"A fall on it {'counts' if bonus.fall_counts else 'does not count'}."


def _place(
    format: Format,
    pass_no: int | None,
    metres: float | None,
    fraction: float | None,
    units: Units,
) -> str:
    """A marker as a length and as a part of the pass, as far as both can be told."""
    the_pass = "the pass" if pass_no is None else f"pass {pass_no}"
    length, is_typed = None, metres is not None
    if pass_no is not None or len(format.passes.length_m or ()) == 1:
        length = format.pass_length(pass_no or 1)
    if metres is None and length is not None and fraction is not None:
        metres = fraction * length
    elif fraction is None and length and metres is not None and metres <= length:
        fraction = metres / length
    if metres is None:
        if fraction is None:
            return f"a marker in {the_pass}"
        return part(fraction, the_pass)
    share = "" if fraction is None else f" ({part(fraction)})"
    if is_typed:
        at = units.published_metres(round(metres, 1))
    else:
        at = units.metres(metres, 1, beside=True)
    return f"{at} into {the_pass}{share}"


def pickups(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """Past which marker a fallen rider is not picked up, and what that ends."""
    code, label = "pickup", "No-pick-up marker"
    what = "past which marker the boat does not pick you up"
    if format.pickup_cutoffs is None:
        points = [missing(code, label, what)]
    elif not format.pickup_cutoffs:
        points = [Point(code, label, "The boat picks you up wherever you fall.")]
    else:
        codes = unique(f"pass {cutoff.pass_no or 'any'}" for cutoff in format.pickup_cutoffs)
        points = []
        for code, cutoff in zip(codes, format.pickup_cutoffs, strict=True):
            points.append(Point(code, label, pickup_sentence(format, cutoff, units)))
            points += all_missing(f"{code}: open", label, _open(cutoff), "for this marker, ")
    return Topic(
        "pickup",
        "Past which marker will the boat no longer pick me up?",
        RUN,
        tuple(points),
        f"{capital(what)} is {ASK}",
    )


def pickup_sentence(format: Format, cutoff: PickupCutoff, units: Units = AS_PUBLISHED) -> str:
    """Which fall past which marker is not picked up, and what it ends."""
    where = _place(format, cutoff.pass_no, cutoff.at_m, cutoff.at_fraction, units)
    if cutoff.fall is WhichFall.FIRST:
        text = f"Your first fall, if it is past {where}, is not picked up"
    else:
        fall = "Any fall" if cutoff.fall is WhichFall.ANY else "A fall"
        text = f"{fall} past {where} is not picked up"
    if cutoff.effect is None:
        return f"{text}."
    return f"{text}: it ends {_ENDS[cutoff.effect]}, even with falls in hand."


def _open(cutoff: PickupCutoff) -> list[str]:
    things = []
    if cutoff.pass_no is None:
        things.append("in which pass it stands")
    if cutoff.at_m is None and cutoff.at_fraction is None:
        things.append("where it stands")
    if cutoff.fall is None:
        things.append("whether only the first fall is meant")
    if cutoff.effect is None:
        things.append("what a fall past it ends")
    return things
