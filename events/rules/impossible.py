"""Conditions that no trick can meet, with the reason, and names in them that stand for none."""

from collections.abc import Iterator
from dataclasses import fields, replace
from difflib import get_close_matches
from functools import lru_cache

from events.rules.condition import Condition
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.notation_words import GRABS, ROTATIONS
from events.rules.reading import Path, Problem, misspelt
from events.rules.trick import Family, Trick
from events.rules.vocabulary import LONGEST_NAME, standard_vocabulary

TURNS = (0, *ROTATIONS)
TIERS = range(1, 11)
# What no trick turns, by which of (exactly, over, under) is asked for; likewise difficulties.
NO_TURN = {
    (True, False, False): mark("no turn is of {exact} degrees"),
    (False, True, False): mark("no turn is over {over} degrees"),
    (False, False, True): mark("no turn is under {under} degrees"),
    (False, True, True): mark("no turn is over {over} and under {under} degrees"),
    (True, True, False): mark("no turn is of {exact} and over {over} degrees"),
    (True, False, True): mark("no turn is of {exact} and under {under} degrees"),
    (True, True, True): mark("no turn is of {exact} and over {over} and under {under} degrees"),
}
NO_TIER = {
    (True, False): mark("no difficulty is over {over}; it goes from 1 to 10"),
    (False, True): mark("no difficulty is under {under}; it goes from 1 to 10"),
    (True, True): mark("no difficulty is over {over} and under {under}; it goes from 1 to 10"),
}


def impossible(condition: Condition) -> str:
    """Why no trick can meet a condition, whatever the vocabulary holds; empty if one can."""
    stated = _stated(condition)
    if () in stated.values():
        return _("it has a list without an entry")
    if reason := _no_turn(condition) or _no_tier(condition):
        return reason
    if condition.grabbed is False and condition.grab:
        return _("it asks for no grab and for a grab")
    unless = condition.unless
    if unless is not None and _covers(unless, replace(condition, unless=None)):
        return _("its exception leaves out every trick that it means")
    choices = [impossible(each) for each in condition.any_of or ()]
    return choices[0] if choices and all(choices) else ""


def _stated(condition: Condition) -> dict[str, object]:
    values = {each.name: getattr(condition, each.name) for each in fields(condition)}
    return {name: value for name, value in values.items() if value is not None}


def _covers(wide: Condition, narrow: Condition) -> bool:
    """Whether everything that `wide` asks for is asked for by `narrow` in the same words."""
    return _stated(wide).items() <= _stated(narrow).items()


def _no_turn(condition: Condition) -> str:
    exact, over, under = condition.rotation, condition.rotation_over, condition.rotation_under
    fits = [
        turn
        for turn in TURNS
        if exact in (None, turn)
        and (over is None or turn > over)
        and (under is None or turn < under)
    ]
    if fits:
        return ""
    asked = NO_TURN[exact is not None, over is not None, under is not None]
    steps = _("turns come in steps of 180 up to {most}").format(most=TURNS[-1])
    return f"{_(asked).format(exact=exact, over=over, under=under)}; {steps}"


def _no_tier(condition: Condition) -> str:
    over, under = condition.tier_over, condition.tier_under
    if any((over is None or tier > over) and (under is None or tier < under) for tier in TIERS):
        return ""
    asked = NO_TIER[over is not None, under is not None]
    return _(asked).format(over=over, under=under)


def names_unknown(condition: Condition, path: Path) -> Iterator[Problem]:
    """The tricks and grabs that a condition names by words that stand for none."""
    for name in condition.trick or ():
        if near := _trick_meant(name):
            message = _('There is no trick "{name}"; "{near}" may be meant.')
            yield Problem((*path, "trick"), message.format(name=name, near=near))
    for name in condition.grab or ():
        if near := _grab_meant(name):
            message = _('There is no grab "{name}"; "{near}" may be meant.')
            yield Problem((*path, "grab"), message.format(name=name, near=near))
    for number, each in enumerate(condition.any_of or ()):
        yield from names_unknown(each, (*path, "any_of", number))
    if condition.unless is not None:
        yield from names_unknown(condition.unless, (*path, "unless"))


@lru_cache(maxsize=1000)
def _trick_meant(name: str) -> str:
    """The trick that may be meant by a name that is none; empty if it is one."""
    # A name that is like none may be a trick of the club's own.
    vocabulary = standard_vocabulary(include_unconfirmed=True)
    meant = Condition(trick=(name,)).matches
    if len(name) > LONGEST_NAME or any(meant(trick) for trick in vocabulary.tricks):
        return ""
    spelled = vocabulary.find(name)
    names = (each for trick in vocabulary.tricks for each in (trick.name, *trick.aliases))
    near = spelled.name if spelled is not None else misspelt(name, names)
    return near or ""


@lru_cache(maxsize=1000)
def _grab_meant(name: str) -> str:
    """The grab that may be meant by a name that is none; empty if it is one."""
    meant = Condition(grab=(name,)).matches
    if any(meant(Trick("", "", Family.STRAIGHT_AIR, grab=grab)) for grab in GRABS):
        return ""
    return get_close_matches(name.casefold()[:LONGEST_NAME], GRABS, 1, 0)[0]
