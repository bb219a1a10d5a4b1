"""Conditions and limits in words: noun phrases and sentences made from the data alone."""

from dataclasses import fields

from events.rules.answers_words import ASK, ATTRIBUTES, article, joined, number, plural
from events.rules.condition import Condition
from events.rules.riding import Limit
from events.rules.trick import Air, Direction, Edge, Family, Stance, Takeoff
from events.rules.words import Breach, Per, UsedBy

_FAMILIES = {
    Family.SURFACE: "surface trick",
    Family.OLLIE: "ollie",
    Family.STRAIGHT_AIR: "straight air",
    Family.SPIN: "spin",
    Family.BACKROLL: "backroll",
    Family.FRONTROLL: "frontroll",
    Family.TANTRUM: "tantrum",
    Family.RALEY: "raley",
    Family.MOBE: "mobe",
    Family.RAIL: "rail trick",
}
_TAKEOFFS = {
    Takeoff.FLATS: "on the flats",
    Takeoff.ONE_WAKE: "off one wake",
    Takeoff.WAKE_TO_WAKE: "from wake to wake",
    Takeoff.DOUBLE_UP: "off the double-up",
    Takeoff.RAIL: "on a rail",
}
_STANCES = {Stance.REGULAR: "regular-stance", Stance.SWITCH: "switch"}
_EDGES = {Edge.HEELSIDE: "heelside", Edge.TOESIDE: "toeside", Edge.EITHER: "either-edge"}
_AIRS = {Air.BIG: "big", Air.STANDARD: "standard", Air.SMALL: "small"}
_BREACHES = {
    Breach.NOT_COUNTED: "Tricks that break this are not counted.",
    Breach.MOVED_UP: "A rider who breaks this is moved up a division.",
    Breach.DISQUALIFIED: "A rider who breaks this is disqualified.",
    Breach.JUDGES_DECIDE: "The judges decide what a breach means.",
    Breach.FOR_INFORMATION: "This is for information only.",
}
_USED = {
    UsedBy.TRIED: "Tricks tried use it up, landed or not.",
    UsedBy.LANDED: "Only landed tricks use it up.",
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
        sentences.append(f"Whether that is for each pass or for the run is {ASK}")
    if limit.inverted_spins is not None:
        sentences.append(
            "Inverted spins count here too."
            if limit.inverted_spins
            else "Inverted spins do not count here."
        )
    elif _asks_spins(limit.when):
        sentences.append(f"Whether an inverted spin uses it too is {ASK}")
    if limit.used_by is not None:
        sentences.append(_USED[limit.used_by])
    if limit.breach is not None:
        sentences.append(_BREACHES[limit.breach])
    return " ".join(sentences)


def _asks_spins(condition: Condition | None) -> bool:
    """Whether spins are meant, and it is left open whether upside down too."""
    families = condition.family if condition is not None and condition.invert is None else ()
    return Family.SPIN in (families or ())


def limit_sentence(limit: Limit) -> str:
    """How many of which tricks, where: one sentence, short enough for paper."""
    condition = limit.when or Condition()
    where = _where(limit)
    most, least = limit.most, limit.least
    if most == 0 and not least:
        if condition.unless is not None and _stated(condition) == {"unless"}:
            return f"Only {describe(condition.unless)}{where}."
        what = _core(condition, many=True, counted=False)
        return f"No {what}{where}{_tail(condition)}."
    several = _core(condition, many=True, counted=True)
    alike = _alike(limit)
    comma = "," if alike.startswith(",") and where else ""
    where = f"{alike}{comma}{where}"
    end = f"{where}{_tail(condition)}."
    if most is None and least is None:
        return f"How many {several}{where}{_tail(condition, close=True)} may be done is {ASK}"
    if most is None and not least:
        return f"There is no least number of {several}{end}"
    if most is None:
        quantity, last = f"At least {number(least or 0)}", least
    elif not least:
        quantity, last = f"At most {number(most)}", most
    elif least == most:
        quantity, last = f"Exactly {number(most)}", most
    else:
        quantity, last = f"At least {number(least)} and at most {number(most)}", most
    return f"{quantity} {_core(condition, many=last != 1, counted=True)}{end}"


def _where(limit: Limit) -> str:
    over_run = " over the run" if limit.per is Per.RUN else ""
    if limit.pass_no is not None:
        return f" in pass {limit.pass_no}{over_run}"
    if limit.per is Per.PASS:
        return " in any pass" if limit.most == 0 and not limit.least else " in each pass"
    return " in the run" if limit.per is Per.RUN else ""


def _alike(limit: Limit) -> str:
    """What the tricks that are counted together have in common."""
    if limit.differs_by is None:
        return ""
    names = [name for each, name in ATTRIBUTES.items() if each in limit.differs_by]
    if not names:
        return ", all counted together"
    if limit.least and limit.most is None:
        return f", each with another {joined(names, 'or')}"
    return f"{', all' if limit.most != 1 else ''} with the same {joined(names)}"


def _stated(condition: Condition) -> set[str]:
    return {
        each.name for each in fields(condition) if getattr(condition, each.name) is not None
    }


def _tail(condition: Condition, close: bool = False) -> str:
    if condition.unless is None:
        return ""
    return f", except {describe(condition.unless)}{',' if close else ''}"


def _core(condition: Condition, *, many: bool, counted: bool) -> str:
    """The phrase without its exceptions. `counted` where a number goes before it."""
    stated = _stated(condition) - {"unless"}
    names = _names(condition.trick)
    if stated == {"trick"} and condition.trick and not counted:
        return names
    among = ""
    if condition.any_of:
        alone = stated == {"any_of"}
        options = joined(
            [_option(each, many or not alone, counted and alone) for each in condition.any_of],
            "or",
        )
        if alone:
            return options
        among = f"among {options}"
    words = [*_before(condition), _head(condition, many), *_after(condition), among]
    return " ".join(word for word in words if word)


def _option(condition: Condition, many: bool, counted: bool) -> str:
    core = _core(condition, many=many, counted=counted)
    unless = condition.unless
    return core if unless is None else f"{core} (except {describe(unless)})"


def _names(names: tuple[str, ...] | None) -> str:
    return joined([" ".join(name.split()) for name in names or ()], "or")


def _head(condition: Condition, many: bool) -> str:
    if condition.family:
        nouns = [_FAMILIES[family] for family in condition.family]
    else:
        nouns = ["invert" if condition.invert else "trick"]
    return joined([plural(noun) if many else noun for noun in nouns], "or")


def _before(condition: Condition) -> list[str]:
    words = [
        joined([_STANCES[stance] for stance in condition.stance or ()], "or"),
        joined([_EDGES[edge] for edge in condition.approach or ()], "or"),
    ]
    if condition.direction and Direction.NONE not in condition.direction:
        words.append(joined([direction.value for direction in condition.direction], "or"))
    if condition.invert and condition.family:
        words.append("inverted")
    words.append(joined([" ".join(form.split()) for form in condition.form or ()], "or"))
    return words


def _after(condition: Condition) -> list[str]:
    return [
        *_turning(condition),
        joined([_TAKEOFFS[takeoff] for takeoff in condition.takeoff or ()], "or"),
        joined(_with(condition)),
        *_being(condition),
    ]


def _turning(condition: Condition) -> list[str]:
    turns = []
    if condition.rotation is not None:
        turns.append(f"of {condition.rotation}°")
    if condition.rotation_over is not None:
        turns.append(f"over {condition.rotation_over}°")
    if condition.rotation_under is not None:
        turns.append(f"under {condition.rotation_under}°")
    words = [joined(turns)]
    if condition.direction and Direction.NONE in condition.direction:
        others = [each.value for each in condition.direction if each is not Direction.NONE]
        words.append(f"turning {joined([*others, 'in no named direction'], 'or')}")
    return words


def _with(condition: Condition) -> list[str]:
    words = []
    if condition.grab:
        grabs = [" ".join(grab.split()) for grab in condition.grab]
        words.append(f"with {article(joined(grabs, 'or'))} grab")
    if condition.grabbed is not None and not (condition.grabbed and condition.grab):
        words.append("with a grab" if condition.grabbed else "without a grab")
    if condition.handle_pass is not None:
        words.append("with a handle pass" if condition.handle_pass else "without a handle pass")
    if condition.air:
        words.append(f"with {joined([_AIRS[air] for air in condition.air], 'or')} air")
    return words


def _being(condition: Condition) -> list[str]:
    words = []
    if condition.blind is not None:
        words.append("landed blind" if condition.blind else "not landed blind")
    tiers = []
    if condition.tier_over is not None:
        tiers.append(f"over {condition.tier_over}")
    if condition.tier_under is not None:
        tiers.append(f"under {condition.tier_under}")
    if tiers:
        words.append(f"of difficulty {joined(tiers)}")
    if condition.invert is False:
        words.append("other than inverts")
    if condition.trick:
        words.append(f"named {_names(condition.trick)}")
    # A list stated to be empty names no trick at all, whatever else is stated.
    if any(getattr(condition, name) == () for name in _stated(condition)):
        words.append("of no stated kind")
    return words
