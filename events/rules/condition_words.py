"""Conditions and limits in words: noun phrases and sentences made from the data alone."""

from collections.abc import Callable
from dataclasses import fields

from events.rules.answers_words import ATTRIBUTES, either, joined, number
from events.rules.condition import Condition
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from events.rules.riding import Limit
from events.rules.trick import Air, Direction, Edge, Family, Stance, Takeoff
from events.rules.words import Breach, Per, UsedBy

# The noun for one trick or for many.
_FAMILIES: dict[Family, Callable[[int], str]] = {
    Family.SURFACE: lambda many: ngettext("surface trick", "surface tricks", many),
    Family.OLLIE: lambda many: ngettext("ollie", "ollies", many),
    Family.STRAIGHT_AIR: lambda many: ngettext("straight air", "straight airs", many),
    Family.SPIN: lambda many: ngettext("spin", "spins", many),
    Family.BACKROLL: lambda many: ngettext("backroll", "backrolls", many),
    Family.FRONTROLL: lambda many: ngettext("frontroll", "frontrolls", many),
    Family.TANTRUM: lambda many: ngettext("tantrum", "tantrums", many),
    Family.RALEY: lambda many: ngettext("raley", "raleys", many),
    Family.MOBE: lambda many: ngettext("mobe", "mobes", many),
    Family.RAIL: lambda many: ngettext("rail trick", "rail tricks", many),
}
_TAKEOFFS = {
    Takeoff.FLATS: mark("on the flats"),
    Takeoff.ONE_WAKE: mark("off one wake"),
    Takeoff.WAKE_TO_WAKE: mark("from wake to wake"),
    Takeoff.DOUBLE_UP: mark("off the double-up"),
    Takeoff.RAIL: mark("on a rail"),
}
_STANCES = {Stance.REGULAR: mark("regular-stance"), Stance.SWITCH: mark("switch")}
_EDGES = {
    Edge.HEELSIDE: mark("heelside"),
    Edge.TOESIDE: mark("toeside"),
    Edge.EITHER: mark("either-edge"),
}
_AIRS = {Air.BIG: mark("big"), Air.STANDARD: mark("standard"), Air.SMALL: mark("small")}
_BREACHES = {
    Breach.NOT_COUNTED: mark("Tricks that break this are not counted."),
    Breach.MOVED_UP: mark("A rider who breaks this is moved up a division."),
    Breach.DISQUALIFIED: mark("A rider who breaks this is disqualified."),
    Breach.JUDGES_DECIDE: mark("The judges decide what a breach means."),
    Breach.FOR_INFORMATION: mark("This is for information only."),
}
_USED = {
    UsedBy.TRIED: mark("Tricks tried use it up, landed or not."),
    UsedBy.LANDED: mark("Only landed tricks use it up."),
}


def describe(condition: Condition) -> str:
    """The tricks that are meant, as a noun phrase in the plural: "inverts", "tricks"."""
    return _core(condition, many=True, counted=False) + _tail(condition)


def describe_limit(limit: Limit) -> str:
    """A limit in full: how many of what and where, the effect of a breach, and what uses it.

    The organiser's own words are not part of it.
    """
    sentences = [limit_sentence(limit)]
    numbers = (limit.most, limit.least)
    if limit.per is None and limit.pass_no is None and any(numbers):
        sentences.append(
            _("Whether that is for each pass or for the run is not stated: ask the organiser.")
        )
    if limit.inverted_spins is not None:
        sentences.append(
            _("Inverted spins count here too.")
            if limit.inverted_spins
            else _("Inverted spins do not count here.")
        )
    elif _asks_spins(limit.when):
        sentences.append(
            _("Whether an inverted spin uses it too is not stated: ask the organiser.")
        )
    if limit.used_by is not None:
        sentences.append(_(_USED[limit.used_by]))
    if limit.breach is not None:
        sentences.append(_(_BREACHES[limit.breach]))
    return " ".join(sentences)


def _asks_spins(condition: Condition | None) -> bool:
    """Whether spins are meant, and it is left open whether upside down too."""
    families = condition.family if condition is not None and condition.invert is None else ()
    return Family.SPIN in (families or ())


def limit_sentence(limit: Limit) -> str:
    """How many of which tricks, where: one sentence, short enough for paper."""
    condition = limit.when or Condition()
    where, tail = _where(limit), _tail(condition)
    most, least = limit.most, limit.least
    if most == 0 and not least:
        if condition.unless is not None and _stated(condition) == {"unless"}:
            return _("Only {tricks}.").format(tricks=describe(condition.unless) + where)
        tricks = _core(condition, many=True, counted=False)
        return _("No {tricks}.").format(tricks=tricks + where + tail)
    alike = _alike(limit)
    comma = "," if alike.startswith(",") and where else ""
    where = f"{alike}{comma}{where}"
    several = _core(condition, many=True, counted=True) + where
    if most is None and least is None:
        close = _tail(condition, close=True)
        said = _("How many {tricks} may be done is not stated: ask the organiser.")
        return said.format(tricks=several + close)
    if most is None and not least:
        return _("There is no least number of {tricks}.").format(tricks=several + tail)
    last = least if most is None else most
    tricks = _core(condition, many=last != 1, counted=True) + where + tail
    return _quantity(least, most).format(
        least=number(least or 0), most=number(most or 0), tricks=tricks
    )


def _quantity(least: int | None, most: int | None) -> str:
    if most is None:
        return _("At least {least} {tricks}.")
    if not least:
        return _("At most {most} {tricks}.")
    if least == most:
        return _("Exactly {most} {tricks}.")
    return _("At least {least} and at most {most} {tricks}.")


def _where(limit: Limit) -> str:
    """Where it holds, with a space before it."""
    if limit.pass_no is not None:
        said = _("in pass {number}").format(number=limit.pass_no)
        over = [_("over the run")] if limit.per is Per.RUN else []
        return " " + " ".join([said, *over])
    if limit.per is Per.PASS:
        none = limit.most == 0 and not limit.least
        return " " + (_("in any pass") if none else _("in each pass"))
    return " " + _("in the run") if limit.per is Per.RUN else ""


def _alike(limit: Limit) -> str:
    """What the tricks that are counted together have in common."""
    if limit.differs_by is None:
        return ""
    names = [_(name) for each, name in ATTRIBUTES.items() if each in limit.differs_by]
    if not names:
        return ", " + _("all counted together")
    if limit.least and limit.most is None:
        return ", " + _("each with another {names}").format(names=either(names))
    if limit.most == 1:
        return " " + _("with the same {names}").format(names=joined(names))
    return ", " + _("all with the same {names}").format(names=joined(names))


def _stated(condition: Condition) -> set[str]:
    return {
        each.name for each in fields(condition) if getattr(condition, each.name) is not None
    }


def _tail(condition: Condition, close: bool = False) -> str:
    if condition.unless is None:
        return ""
    tail = _("except {tricks}").format(tricks=describe(condition.unless))
    return f", {tail}{',' if close else ''}"


def _core(condition: Condition, *, many: bool, counted: bool) -> str:
    """The phrase without its exceptions. `counted` where a number goes before it."""
    stated = _stated(condition) - {"unless"}
    names = _names(condition.trick)
    if stated == {"trick"} and condition.trick and not counted:
        return names
    among = ""
    if condition.any_of:
        alone = stated == {"any_of"}
        options = either(
            _option(each, many or not alone, counted and alone) for each in condition.any_of
        )
        if alone:
            return options
        among = _("among {tricks}").format(tricks=options)
    before = " ".join(word for word in _before(condition) if word)
    noun = _head(condition, many)
    words = [_kind(before, noun), *_after(condition), among]
    return " ".join(word for word in words if word)


def _kind(before: str, noun: str) -> str:
    """In some languages these words stand behind the noun."""
    return _("{words} {noun}").format(words=before, noun=noun) if before else noun


def _option(condition: Condition, many: bool, counted: bool) -> str:
    core = _core(condition, many=many, counted=counted)
    unless = condition.unless
    if unless is None:
        return core
    return f"{core} ({_('except {tricks}').format(tricks=describe(unless))})"


def _names(names: tuple[str, ...] | None) -> str:
    return either(" ".join(name.split()) for name in names or ())


def _head(condition: Condition, many: bool) -> str:
    of = 2 if many else 1
    if condition.family:
        return either(_FAMILIES[family](of) for family in condition.family)
    if condition.invert:
        return ngettext("invert", "inverts", of)
    return ngettext("trick", "tricks", of)


def _before(condition: Condition) -> list[str]:
    words = [
        either(_(_STANCES[stance]) for stance in condition.stance or ()),
        either(_(_EDGES[edge]) for edge in condition.approach or ()),
    ]
    if condition.direction and Direction.NONE not in condition.direction:
        words.append(either(direction.value for direction in condition.direction))
    if condition.invert and condition.family:
        words.append(_("inverted"))
    words.append(either(" ".join(form.split()) for form in condition.form or ()))
    return words


def _after(condition: Condition) -> list[str]:
    return [
        *_turning(condition),
        either(_(_TAKEOFFS[takeoff]) for takeoff in condition.takeoff or ()),
        joined(_with(condition)),
        *_being(condition),
    ]


def _turning(condition: Condition) -> list[str]:
    turns = []
    if condition.rotation is not None:
        turns.append(_("of {turn}°").format(turn=condition.rotation))
    if condition.rotation_over is not None:
        turns.append(_("over {turn}°").format(turn=condition.rotation_over))
    if condition.rotation_under is not None:
        turns.append(_("under {turn}°").format(turn=condition.rotation_under))
    words = [joined(turns)]
    if condition.direction and Direction.NONE in condition.direction:
        others = [each.value for each in condition.direction if each is not Direction.NONE]
        ways = either([*others, _("in no named direction")])
        words.append(_("turning {ways}").format(ways=ways))
    return words


def _with(condition: Condition) -> list[str]:
    words = []
    if condition.grab:
        grabs = either(" ".join(grab.split()) for grab in condition.grab)
        vowel = grabs[:1].lower() in "aeiou"
        said = _("with an {grabs} grab") if vowel else _("with a {grabs} grab")
        words.append(said.format(grabs=grabs))
    if condition.grabbed is not None and not (condition.grabbed and condition.grab):
        words.append(_("with a grab") if condition.grabbed else _("without a grab"))
    if condition.handle_pass is not None:
        words.append(
            _("with a handle pass") if condition.handle_pass else _("without a handle pass")
        )
    if condition.air:
        sizes = either(_(_AIRS[air]) for air in condition.air)
        words.append(_("with {sizes} air").format(sizes=sizes))
    return words


def _being(condition: Condition) -> list[str]:
    words = []
    if condition.blind is not None:
        words.append(_("landed blind") if condition.blind else _("not landed blind"))
    tiers = []
    if condition.tier_over is not None:
        tiers.append(_("over {tier}").format(tier=condition.tier_over))
    if condition.tier_under is not None:
        tiers.append(_("under {tier}").format(tier=condition.tier_under))
    if tiers:
        words.append(_("of difficulty {tiers}").format(tiers=joined(tiers)))
    if condition.invert is False:
        words.append(_("other than inverts"))
    if condition.trick:
        words.append(_("named {names}").format(names=_names(condition.trick)))
    # A list stated to be empty names no trick at all, whatever else is stated.
    if any(getattr(condition, name) == () for name in _stated(condition)):
        words.append(_("of no stated kind"))
    return words
