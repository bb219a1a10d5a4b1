"""What riders read about double-ups, other extras, and markers without a pick-up."""

from collections.abc import Iterator

from events.rules.answers_riding import RUN
from events.rules.answers_words import (
    Point,
    Topic,
    all_missing,
    capital,
    either,
    joined,
    missing,
    number,
    part,
    quoted,
    unique,
)
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from events.rules.riding import DoubleUp, PickupCutoff
from events.rules.words import BonusCondition, BonusMarks, CutoffEffect, WhichFall

_MARKED = {
    BonusMarks.AS_A_TRICK: mark("It is marked like any trick."),
    BonusMarks.STYLE_ONLY: mark("It is marked for style only."),
    BonusMarks.APART: mark("It is marked apart from the passes."),
}
_ENDS = {
    CutoffEffect.ENDS_RUN: mark("{fall}: it ends your run, even with falls in hand."),
    CutoffEffect.ENDS_PASS: mark("{fall}: it ends that pass, even with falls in hand."),
}
# (value, words for yes, words for no)
_YES_NO = (
    (
        "optional",
        mark("You may leave it out."),
        mark("It is part of the run: you may not leave it out."),
    ),
    (
        "limits_bind",
        mark("Limits and repeats hold for it too."),
        mark("Limits and repeats do not hold for it."),
    ),
    (
        "counts_as_trick",
        mark("It is one of the tricks of its pass."),
        mark("It is not one of the tricks of its pass."),
    ),
)
# (value, what is asked where it is not stated)
_ASKED = (
    ("optional", mark("whether you may leave it out")),
    ("condition", mark("what must hold for you to get it")),
    ("limits_bind", mark("whether limits bind it")),
    ("counts_as_trick", mark("whether it is one of the tricks of its pass")),
    ("marked", mark("how it is marked")),
)


def bonuses(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """Whether there is a double-up or another extra, and what keeps and loses it."""
    points: list[Point] = []
    if format.double_ups is None:
        points.append(missing("bonus", _("Double-up"), _("whether there is a double-up")))
    elif not format.double_ups:
        points.append(Point("bonus", _("Double-up"), _("There is no double-up.")))
    else:
        codes = _codes(format.double_ups)
        for code, bonus in zip(codes, format.double_ups, strict=True):
            points += _bonus(format, bonus, code, units)
    return Topic(
        "double-up",
        _("Is there a double-up, and until where can I fall and still get it?"),
        _(RUN),
        tuple(points),
        _("Whether there is a double-up is not stated: ask the organiser."),
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
    return bonus_word(" ".join((bonus.name or "").split()))


def bonus_word(name: str) -> str:
    """A name as it is said: the double-up has its own word in each language."""
    return name if name not in ("", "double-up") else _("double-up")


def offer_sentence(bonus: DoubleUp) -> str:
    """After which pass it is offered."""
    name = bonus_name(bonus)
    vowel = name[:1].lower() in "aeiou"
    if bonus.after_pass is None:
        said = (
            _("There is an {name}; after which pass is not stated: ask the organiser.")
            if vowel
            else _("There is a {name}; after which pass is not stated: ask the organiser.")
        )
        return said.format(name=name)
    said = (
        _("There is an {name} after pass {number}.")
        if vowel
        else _("There is a {name} after pass {number}.")
    )
    return said.format(name=name, number=bonus.after_pass)


def cutoff_sentence(format: Format, bonus: DoubleUp, units: Units = AS_PUBLISHED) -> str:
    """Until where a fall keeps it; empty where no cutoff is stated."""
    if bonus.cutoff_m is None and bonus.cutoff_fraction is None:
        return ""
    marker = bonus.cutoff_m, bonus.cutoff_fraction
    where = _place(format, bonus.after_pass, *marker, units)
    name = bonus_name(bonus)
    return _("A fall up to {where} keeps the {name}; a fall past that marker loses it.").format(
        where=where, name=name
    )


def condition_sentence(bonus: DoubleUp) -> str:
    """What must hold when the pass ends; empty where nothing is stated."""
    fewer = bonus.falls_fewer_than
    falls = "" if fewer is None else _fewer(fewer)
    if bonus.condition is None:
        said = _("A number is stated, {falls}, but not what it is for.")
        return said.format(falls=falls) if falls else ""
    if bonus.condition is BonusCondition.FEWER_FALLS:
        if falls:
            return _("You get it only with {falls}.").format(falls=falls)
        return _(
            "You get it only with fewer falls than a number that is not stated: "
            "ask the organiser."
        )
    needed = _needed(bonus)
    if falls:
        return _("{needed}; {falls} is stated too, but not asked.").format(
            needed=needed, falls=falls
        )
    return f"{needed}."


def _needed(bonus: DoubleUp) -> str:
    if bonus.condition is not BonusCondition.NO_FALL_IN_PASS:
        return _("You get it if your run is still going")
    if bonus.after_pass is None:
        return _("You get it only if you do not fall in the pass before it")
    said = _("You get it only if you do not fall in pass {number}")
    return said.format(number=bonus.after_pass)


def _fewer(falls: int) -> str:
    if falls == 1:
        return _("no fall in the run")
    return ngettext(
        "fewer than {number} fall in the run", "fewer than {number} falls in the run", falls
    ).format(number=number(falls))


def _bonus(format: Format, bonus: DoubleUp, code: str, units: Units) -> Iterator[Point]:
    label = capital(bonus_name(bonus))
    yield Point(f"{code}: offer", label, offer_sentence(bonus))
    if bonus.rounds is not None:
        said = _("{bonus}, rounds").format(bonus=label)
        yield Point(f"{code}: rounds", said, _in_rounds(bonus.rounds))
    if bonus.divisions is not None:
        said = _("{bonus}, divisions").format(bonus=label)
        yield Point(f"{code}: divisions", said, _in_divisions(bonus.divisions))
    if condition := condition_sentence(bonus):
        stated = bonus.condition is not None
        said = _("{bonus}, condition").format(bonus=label)
        yield Point(f"{code}: condition", said, condition, stated)
    if cutoff := cutoff_sentence(format, bonus, units):
        yield Point(f"{code}: cutoff", _("{bonus}, cutoff").format(bonus=label), cutoff)
    for attribute, yes, no in _YES_NO:
        value = getattr(bonus, attribute)
        if value is not None:
            yield Point(f"{code}: {attribute}", label, _(yes) if value else _(no))
    if bonus.excludes is not None:
        yield Point(f"{code}: excludes", label, _excluding(bonus.excludes))
    yield Point(f"{code}: fall", _("{bonus}, fall").format(bonus=label), _fall_on(bonus))
    if bonus.marked is not None:
        said = _("{bonus}, marks").format(bonus=label)
        yield Point(f"{code}: marked", said, _(_MARKED[bonus.marked]))
    things = [_(what) for name, what in _ASKED if getattr(bonus, name) is None]
    if not cutoff_sentence(format, bonus):
        things.append(_("whether a fall past some marker loses it"))
    lead = _("for the {name}, ").format(name=bonus_name(bonus))
    yield from all_missing(f"{code}: open", label, things, lead)


def _in_rounds(names: tuple[str, ...]) -> str:
    if not names:
        return _("It is offered in every round.")
    return ngettext(
        "It is offered only in the round {names}.",
        "It is offered only in the rounds {names}.",
        len(names),
    ).format(names=joined(map(quoted, names)))


def _in_divisions(names: tuple[str, ...]) -> str:
    if not names:
        return _("It is offered in every division.")
    return ngettext(
        "It is offered only in the division {names}.",
        "It is offered only in the divisions {names}.",
        len(names),
    ).format(names=joined(map(quoted, names)))


def _excluding(names: tuple[str, ...]) -> str:
    if not names:
        return _("It may be ridden together with any other extra.")
    listed = either(" ".join(name.split()) for name in names)
    return _("It may not be ridden together with: {listed}.").format(listed=listed)


def _fall_on(bonus: DoubleUp) -> str:
    if bonus.fall_counts is None:
        return _("A fall on it counts, since nothing else is stated.")
    if bonus.fall_counts:
        return _("A fall on it counts.")
    return _("A fall on it does not count.")


def _place(
    format: Format,
    pass_no: int | None,
    metres: float | None,
    fraction: float | None,
    units: Units,
) -> str:
    """A marker as a length and as a part of the pass, as far as both can be told."""
    length, is_typed = None, metres is not None
    if pass_no is not None or len(format.passes.length_m or ()) == 1:
        length = format.pass_length(pass_no or 1)
    if metres is None and length is not None and fraction is not None:
        metres = fraction * length
    elif fraction is None and length and metres is not None and metres <= length:
        fraction = metres / length
    if metres is None:
        if fraction is None:
            if pass_no is None:
                return _("a marker in the pass")
            return _("a marker in pass {number}").format(number=pass_no)
        return part(fraction, pass_no)
    share = "" if fraction is None else f" ({part(fraction)})"
    if is_typed:
        at = units.published_metres(round(metres, 1))
    else:
        at = units.metres(metres, 1, beside=True)
    said = _("{length} into the pass") if pass_no is None else _("{length} into pass {number}")
    return said.format(length=at, number=pass_no) + share


def pickups(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """Past which marker a fallen rider is not picked up, and what that ends."""
    code, label = "pickup", _("No-pick-up marker")
    what = _("past which marker the boat does not pick you up")
    if format.pickup_cutoffs is None:
        points = [missing(code, label, what)]
    elif not format.pickup_cutoffs:
        points = [Point(code, label, _("The boat picks you up wherever you fall."))]
    else:
        codes = unique(f"pass {cutoff.pass_no or 'any'}" for cutoff in format.pickup_cutoffs)
        points = []
        for code, cutoff in zip(codes, format.pickup_cutoffs, strict=True):
            points.append(Point(code, label, pickup_sentence(format, cutoff, units)))
            points += all_missing(
                f"{code}: open",
                label,
                _open(cutoff),
                _("for this marker, "),
            )
    return Topic(
        "pickup",
        _("Past which marker will the boat no longer pick me up?"),
        _(RUN),
        tuple(points),
        missing(code, label, what).text,
    )


def pickup_sentence(format: Format, cutoff: PickupCutoff, units: Units = AS_PUBLISHED) -> str:
    """Which fall past which marker is not picked up, and what it ends."""
    where = _place(format, cutoff.pass_no, cutoff.at_m, cutoff.at_fraction, units)
    if cutoff.fall is WhichFall.FIRST:
        text = _("Your first fall, if it is past {where}, is not picked up")
    elif cutoff.fall is WhichFall.ANY:
        text = _("Any fall past {where} is not picked up")
    else:
        text = _("A fall past {where} is not picked up")
    fall = text.format(where=where)
    if cutoff.effect is None:
        return f"{fall}."
    return _(_ENDS[cutoff.effect]).format(fall=fall)


def _open(cutoff: PickupCutoff) -> list[str]:
    things = []
    if cutoff.pass_no is None:
        things.append(_("in which pass it stands"))
    if cutoff.at_m is None and cutoff.at_fraction is None:
        things.append(_("where it stands"))
    if cutoff.fall is None:
        things.append(_("whether only the first fall is meant"))
    if cutoff.effect is None:
        things.append(_("what a fall past it ends"))
    return things
