"""What riders read about their tricks: repeats, limits and the declared order."""

from collections.abc import Iterator

from events.rules.answers_riding import RUN
from events.rules.answers_words import (
    ASK,
    ATTRIBUTES,
    Point,
    Topic,
    joined,
    missing,
    quoted,
    unique,
)
from events.rules.condition import Condition
from events.rules.condition_words import describe, describe_limit, limit_sentence
from events.rules.format import Format
from events.rules.riding import Limit
from events.rules.words import Attribute, OutOfOrder, Per, Repeat

_OUT_OF_ORDER = {
    OutOfOrder.NOT_COUNTED: "A trick out of order is not counted.",
    OutOfOrder.MARKED_DOWN: "A trick out of order is marked down.",
    OutOfOrder.JUDGES_DECIDE: "The judges decide what a trick out of order is worth.",
}
_REPEATS = {
    Repeat.FREE: "Yes: you may repeat tricks freely.",
    Repeat.DISCOURAGED: "You may repeat a trick, but it is discouraged.",
    Repeat.ONCE: "No: each trick may be done only once.",
    Repeat.ONCE_UNLESS_NOT_LANDED: (
        "Each trick may be done only once, but again if the first was not landed."
    ),
    Repeat.FIRST_COUNTS: (
        "You may repeat a trick, but only the first time counts, even if it was missed."
    ),
    Repeat.BEST_COUNTS: "You may repeat a trick, but only the best one counts.",
    Repeat.NOT_COUNTED: "You may repeat a trick, but the repeat is not counted.",
}


def repeats(format: Format) -> Topic:
    """Whether a trick may be done again, and what makes two tricks different."""
    return Topic(
        "repeats",
        "May I repeat a trick?",
        RUN,
        tuple(_repeats(format)),
        f"Whether you may repeat a trick is {ASK}",
    )


def _repeats(format: Format) -> Iterator[Point]:
    stated = format.repeats
    free = stated.rule is Repeat.FREE
    if stated.rule is None:
        yield missing("rule", "Repeats", "whether you may repeat a trick")
    else:
        yield Point("rule", "Repeats", _REPEATS[stated.rule])
    if stated.per is not None:
        text = (
            "The same trick in another pass is a repeat too."
            if stated.per is Per.RUN
            else "The same trick in another pass is not a repeat."
        )
        yield Point("per", "Repeats in another pass", text)
    elif not free:
        what = "whether the same trick in another pass is a repeat"
        yield missing("per", "Repeats in another pass", what)
    if stated.differs_by is not None:
        yield Point("differs", "Different tricks", _differing(stated.differs_by))
    elif not free:
        yield missing("differs", "Different tricks", "what makes two tricks different")
    if stated.uses_limit is not None:
        text = f"A repeat {'uses' if stated.uses_limit else 'does not use'} up a limit again."
        yield Point("limits", "Repeats and limits", text)
    elif format.limits:
        yield missing("limits", "Repeats and limits", "whether a repeat uses up a limit again")


def _differing(attributes: tuple[Attribute, ...]) -> str:
    new = [words for each, words in ATTRIBUTES.items() if each in attributes]
    same = [words for each, words in ATTRIBUTES.items() if each not in attributes]
    if not new:
        return f"A change of {joined(same, 'or')} makes no new trick."
    makes = f"A change of {joined(new, 'or')} makes a new trick"
    return f"{makes}; a change of {joined(same, 'or')} does not." if same else f"{makes}."


def limits(format: Format) -> Topic:
    """What is banned, limited or asked for."""
    label = "Limit"
    if format.limits is None:
        points = [missing("limits", label, "what is banned or limited")]
    elif not format.limits:
        points = [Point("limits", label, "Nothing is banned or limited.")]
    else:
        *codes, last = unique([*map(_limit_code, format.limits), "not kept"])
        points = [
            Point(code, label, _limit(limit))
            for code, limit in zip(codes, format.limits, strict=True)
        ]
        if silent := sum(limit.breach is None for limit in format.limits):
            which = "a limit" if silent == len(format.limits) else "one of the other limits"
            points.append(missing(last, "If not kept", f"what happens if {which} is not kept"))
    return Topic(
        "limits",
        "What is banned or limited for me?",
        RUN,
        tuple(points),
        f"What is banned or limited is {ASK}",
    )


def _limit_code(limit: Limit) -> str:
    # A colon would read as an entry of a list with points of its own.
    return (_say(limit) or describe(limit.when or Condition())).casefold().replace(":", "")


def _say(limit: Limit) -> str:
    """The organiser's words on one line, without the stop that the sentence adds."""
    return " ".join((limit.say or "").split()).rstrip(".")


def _limit(limit: Limit) -> str:
    text, say = describe_limit(limit), _say(limit)
    if not say or say == limit_sentence(limit).rstrip("."):
        return text
    return f"{text} The organiser's words: {quoted(say)}."


def declared_order(format: Format) -> Topic:
    """Whether riders are held to the order that they declared."""
    stated = format.declared_order
    points = []
    if stated.binding is not None:
        text = (
            "Yes: you must ride your tricks in the order you declared."
            if stated.binding
            else "No: the declared run is for information only."
        )
        points.append(Point("binding", "Declared order", text))
    else:
        what = "whether you must ride in the declared order"
        points.append(missing("binding", "Declared order", what))
    if stated.out_of_order is not None:
        points.append(Point("worth", "Out of order", _OUT_OF_ORDER[stated.out_of_order]))
    elif stated.binding:
        points.append(missing("worth", "Out of order", "what a trick out of order is worth"))
    return Topic(
        "order",
        "Must I ride in the declared order?",
        RUN,
        tuple(points),
        f"Whether you must ride in the declared order is {ASK}",
    )
