"""The grammar of the answers: numbers and lists, and the points they are made of."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from events.rules.language import gettext as _
from events.rules.language import mark, mark_in, ngettext, pgettext
from events.rules.units import plain
from events.rules.words import Attribute

# The place in the tuple is the number.
_NUMBERS = (
    mark_in("number", "no"), mark_in("number", "one"), mark_in("number", "two"),
    mark_in("number", "three"), mark_in("number", "four"), mark_in("number", "five"),
    mark_in("number", "six"), mark_in("number", "seven"), mark_in("number", "eight"),
    mark_in("number", "nine"), mark_in("number", "ten"), mark_in("number", "eleven"),
    mark_in("number", "twelve"),
)  # fmt: skip
_ORDINALS = (
    mark_in("ordinal", "first"), mark_in("ordinal", "second"), mark_in("ordinal", "third"),
    mark_in("ordinal", "fourth"), mark_in("ordinal", "fifth"), mark_in("ordinal", "sixth"),
    mark_in("ordinal", "seventh"), mark_in("ordinal", "eighth"), mark_in("ordinal", "ninth"),
    mark_in("ordinal", "tenth"), mark_in("ordinal", "eleventh"),
    mark_in("ordinal", "twelfth"),
)  # fmt: skip
ATTRIBUTES = {
    Attribute.STANCE: mark("stance"),
    Attribute.APPROACH: mark("approach edge"),
    Attribute.DIRECTION: mark("direction"),
    Attribute.ROTATION: mark("rotation"),
    Attribute.GRAB: mark("grab"),
    Attribute.TAKEOFF: mark("take-off"),
}
_PARTS = {
    0: (mark("the start of the pass"), mark("the start of pass {number}")),
    0.25: (mark("a quarter of the pass"), mark("a quarter of pass {number}")),
    0.5: (mark("half of the pass"), mark("half of pass {number}")),
    0.75: (mark("three quarters of the pass"), mark("three quarters of pass {number}")),
    1: (mark("the end of the pass"), mark("the end of pass {number}")),
}


@dataclass(frozen=True, slots=True)
class Point:
    """One sentence of an answer. `code` names it within its topic, `label` names it to a
    reader, and `stated` is False where the sentence says that the format leaves it open.
    """

    code: str
    label: str
    text: str
    stated: bool = True


@dataclass(frozen=True, slots=True)
class Topic:
    """One question and its points. `blank` is the sentence where no point is stated, and
    `caution` one that is always added.
    """

    code: str
    question: str
    group: str
    points: tuple[Point, ...]
    blank: str
    caution: str = ""

    @property
    def stated(self) -> bool:
        """Whether the format says anything about it."""
        return any(point.stated for point in self.points)

    @property
    def sentences(self) -> tuple[str, ...]:
        """What riders read; one sentence of "not stated" where nothing is."""
        said = tuple(point.text for point in self.points) if self.stated else (self.blank,)
        return (*said, self.caution) if self.caution else said


def missing(code: str, label: str, what: str) -> Point:
    """The point that something is not stated; `what` is its subject in the singular."""
    text = _("{what} is not stated: ask the organiser.").format(what=capital(what))
    return Point(code, label, text, stated=False)


def all_missing(code: str, label: str, things: Sequence[str], lead: str = "") -> list[Point]:
    """One point for several things that are not stated; none where there is nothing."""
    if not things:
        return []
    said = ngettext(
        "{what} is not stated: ask the organiser.",
        "{what} are not stated: ask the organiser.",
        len(things),
    )
    what = capital(f"{lead}{joined(things)}")
    return [Point(code, label, said.format(what=what), stated=False)]


def number(value: int) -> str:
    """A count in words up to twelve ("no" for 0), in figures beyond."""
    return pgettext("number", _NUMBERS[value]) if 0 <= value < len(_NUMBERS) else str(value)


def ordinal(value: int) -> str:
    """The place in a row: "first" up to "twelfth", then "13th"."""
    if 1 <= value <= len(_ORDINALS):
        return pgettext("ordinal", _ORDINALS[value - 1])
    if value % 100 in (11, 12, 13) or value % 10 not in (1, 2, 3):
        return _("{number}th").format(number=value)
    return (_("{number}st"), _("{number}nd"), _("{number}rd"))[value % 10 - 1].format(
        number=value
    )


def joined(items: Iterable[str]) -> str:
    """Items as a sentence lists them: "a", "a and b", "a, b and c"."""
    return _listed(items, _("{first} and {last}"))


def either(items: Iterable[str]) -> str:
    """Items to choose from: "a", "a or b", "a, b or c"."""
    return _listed(items, _("{first} or {last}"))


def _listed(items: Iterable[str], pair: str) -> str:
    listed = list(items)
    if len(listed) < 2:
        return "".join(listed)
    # In some languages a clause ends with a comma of its own, which is one too many here.
    first = ", ".join(each.removesuffix(",") for each in listed[:-1])
    return pair.format(first=first, last=listed[-1])


def capital(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def sentence(text: str) -> str:
    """Words that somebody typed, on one line, as a sentence with its stop."""
    tidy = " ".join(text.split())
    return tidy if tidy.endswith((".", "!", "?")) else f"{tidy}."


def quoted(text: str) -> str:
    """Words that somebody typed, on one line, in quotation marks."""
    return _('"{words}"').format(words=" ".join(text.split()))


def part(fraction: float, pass_no: int | None = None) -> str:
    """A part of the pass: "three quarters of the pass", "80 % of pass 2"."""
    of_any, of_one = _PARTS.get(
        fraction, (mark("{share} % of the pass"), mark("{share} % of pass {number}"))
    )
    share = plain(round(100 * fraction, 2))
    return _(of_any if pass_no is None else of_one).format(share=share, number=pass_no)


def in_seconds(value: float) -> str:
    """A time: "1 second", "25 seconds"."""
    return _measure(value, ngettext("{number} second", "{number} seconds", _many(value)))


def in_minutes(value: float) -> str:
    """A time: "1 minute", "25 minutes"."""
    return _measure(value, ngettext("{number} minute", "{number} minutes", _many(value)))


def in_points(value: float) -> str:
    """Points: "1 point", "2.5 points"."""
    return _measure(value, ngettext("{number} point", "{number} points", _many(value)))


def _many(value: float) -> int:
    return 1 if value == 1 else 2


def _measure(value: float, words: str) -> str:
    return words.format(number=plain(value))


def unique(codes: Iterable[str]) -> list[str]:
    """The codes with a number added to each one that was met before."""
    seen: dict[str, int] = {}
    result = []
    for code in codes:
        seen[code] = seen.get(code, 0) + 1
        result.append(code if seen[code] == 1 else f"{code} {seen[code]}")
    return result
