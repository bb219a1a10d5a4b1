"""What riders read about their tricks: repeats, limits and the declared order."""

from collections.abc import Iterator

from events.rules.answers_riding import RUN
from events.rules.answers_words import (
    ATTRIBUTES,
    Point,
    Topic,
    either,
    missing,
    quoted,
    unique,
)
from events.rules.condition import Condition
from events.rules.condition_words import describe, describe_limit, limit_sentence
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.riding import Limit
from events.rules.words import Attribute, OutOfOrder, Per, Repeat

_OUT_OF_ORDER = {
    OutOfOrder.NOT_COUNTED: mark("A trick out of order is not counted."),
    OutOfOrder.MARKED_DOWN: mark("A trick out of order is marked down."),
    OutOfOrder.JUDGES_DECIDE: mark("The judges decide what a trick out of order is worth."),
}
_REPEATS = {
    Repeat.FREE: mark("Yes: you may repeat tricks freely."),
    Repeat.DISCOURAGED: mark("You may repeat a trick, but it is discouraged."),
    Repeat.ONCE: mark("No: each trick may be done only once."),
    Repeat.ONCE_UNLESS_NOT_LANDED: (
        mark("Each trick may be done only once, but again if the first was not landed.")
    ),
    Repeat.FIRST_COUNTS: (
        mark("You may repeat a trick, but only the first time counts, even if it was missed.")
    ),
    Repeat.BEST_COUNTS: mark("You may repeat a trick, but only the best one counts."),
    Repeat.NOT_COUNTED: mark("You may repeat a trick, but the repeat is not counted."),
}


def repeats(format: Format) -> Topic:
    """Whether a trick may be done again, and what makes two tricks different."""
    return Topic(
        "repeats",
        _("May I repeat a trick?"),
        _(RUN),
        tuple(_repeats(format)),
        _("Whether you may repeat a trick is not stated: ask the organiser."),
    )


def _repeats(format: Format) -> Iterator[Point]:
    stated = format.repeats
    free = stated.rule is Repeat.FREE
    if stated.rule is None:
        yield missing("rule", _("Repeats"), _("whether you may repeat a trick"))
    else:
        yield Point("rule", _("Repeats"), _(_REPEATS[stated.rule]))
    if stated.per is not None:
        text = (
            _("The same trick in another pass is a repeat too.")
            if stated.per is Per.RUN
            else _("The same trick in another pass is not a repeat.")
        )
        yield Point("per", _("Repeats in another pass"), text)
    elif not free:
        what = _("whether the same trick in another pass is a repeat")
        yield missing("per", _("Repeats in another pass"), what)
    if stated.differs_by is not None:
        yield Point("differs", _("Different tricks"), _differing(stated.differs_by))
    elif not free:
        yield missing("differs", _("Different tricks"), _("what makes two tricks different"))
    if stated.uses_limit is not None:
        text = (
            _("A repeat uses up a limit again.")
            if stated.uses_limit
            else _("A repeat does not use up a limit again.")
        )
        yield Point("limits", _("Repeats and limits"), text)
    elif format.limits:
        yield missing(
            "limits", _("Repeats and limits"), _("whether a repeat uses up a limit again")
        )


def _differing(attributes: tuple[Attribute, ...]) -> str:
    new = [_(words) for each, words in ATTRIBUTES.items() if each in attributes]
    same = [_(words) for each, words in ATTRIBUTES.items() if each not in attributes]
    if not new:
        return _("A change of {same} makes no new trick.").format(same=either(same))
    if not same:
        return _("A change of {new} makes a new trick.").format(new=either(new))
    return _("A change of {new} makes a new trick; a change of {same} does not.").format(
        new=either(new), same=either(same)
    )


def limits(format: Format) -> Topic:
    """What is banned, limited or asked for."""
    label = _("Limit")
    if format.limits is None:
        points = [missing("limits", label, _("what is banned or limited"))]
    elif not format.limits:
        points = [Point("limits", label, _("Nothing is banned or limited."))]
    else:
        *codes, last = unique([*map(_limit_code, format.limits), "not kept"])
        points = [
            Point(code, label, _limit(limit))
            for code, limit in zip(codes, format.limits, strict=True)
        ]
        if silent := sum(limit.breach is None for limit in format.limits):
            what = (
                _("what happens if a limit is not kept")
                if silent == len(format.limits)
                else _("what happens if one of the other limits is not kept")
            )
            points.append(missing(last, _("If not kept"), what))
    return Topic(
        "limits",
        _("What is banned or limited for me?"),
        _(RUN),
        tuple(points),
        _("What is banned or limited is not stated: ask the organiser."),
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
    return _("{text} The organiser's words: {words}.").format(text=text, words=quoted(say))


def declared_order(format: Format) -> Topic:
    """Whether riders are held to the order that they declared."""
    stated = format.declared_order
    points = []
    if stated.binding is not None:
        text = (
            _("Yes: you must ride your tricks in the order you declared.")
            if stated.binding
            else _("No: the declared run is for information only.")
        )
        points.append(Point("binding", _("Declared order"), text))
    else:
        what = _("whether you must ride in the declared order")
        points.append(missing("binding", _("Declared order"), what))
    if stated.out_of_order is not None:
        points.append(Point("worth", _("Out of order"), _(_OUT_OF_ORDER[stated.out_of_order])))
    elif stated.binding:
        points.append(
            missing("worth", _("Out of order"), _("what a trick out of order is worth"))
        )
    return Topic(
        "order",
        _("Must I ride in the declared order?"),
        _(RUN),
        tuple(points),
        _("Whether you must ride in the declared order is not stated: ask the organiser."),
    )
