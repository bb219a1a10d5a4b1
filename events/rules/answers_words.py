"""The grammar of the answers: numbers, lists and dates, and the points they are made of."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from events.rules.units import plain
from events.rules.words import Attribute

ASK = "not stated: ask the organiser."

# The place in the tuple is the number.
_NUMBERS = (
    *("no", "one", "two", "three", "four", "five", "six"),
    *("seven", "eight", "nine", "ten", "eleven", "twelve"),
)
_ORDINALS = (
    *("first", "second", "third", "fourth", "fifth", "sixth"),
    *("seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth"),
)
ATTRIBUTES = {
    Attribute.STANCE: "stance",
    Attribute.APPROACH: "approach edge",
    Attribute.DIRECTION: "direction",
    Attribute.ROTATION: "rotation",
    Attribute.GRAB: "grab",
    Attribute.TAKEOFF: "take-off",
}
# Not strftime: its names follow the locale of the server.
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_PARTS = {0.25: "a quarter", 0.5: "half", 0.75: "three quarters"}


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
    return Point(code, label, f"{capital(what)} is {ASK}", stated=False)


def all_missing(code: str, label: str, things: Sequence[str], lead: str = "") -> list[Point]:
    """One point for several things that are not stated; none where there is nothing."""
    if not things:
        return []
    verb = "is" if len(things) == 1 else "are"
    listed = f"{lead}{joined(things)}"
    return [Point(code, label, f"{capital(listed)} {verb} {ASK}", stated=False)]


def number(value: int) -> str:
    """A count in words up to twelve ("no" for 0), in figures beyond."""
    return _NUMBERS[value] if 0 <= value < len(_NUMBERS) else str(value)


def count(value: int, noun: str) -> str:
    """A count with its noun: "no falls", "one fall", "two falls"."""
    return f"{number(value)} {noun if value == 1 else plural(noun)}"


def plural(noun: str) -> str:
    """The regular plural."""
    return f"{noun}es" if noun.endswith(("s", "x", "ch", "sh")) else f"{noun}s"


def ordinal(value: int) -> str:
    """The place in a row: "first" up to "twelfth", then "13th"."""
    if 1 <= value <= len(_ORDINALS):
        return _ORDINALS[value - 1]
    teen = value % 100 in (11, 12, 13)
    return f"{value}{'th' if teen else {1: 'st', 2: 'nd', 3: 'rd'}.get(value % 10, 'th')}"


def joined(items: Iterable[str], word: str = "and") -> str:
    """Items as a sentence lists them: "a", "a and b", "a, b and c"."""
    listed = list(items)
    if len(listed) < 2:
        return "".join(listed)
    return f"{', '.join(listed[:-1])} {word} {listed[-1]}"


def capital(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def article(noun: str) -> str:
    """The noun with "a" or "an"."""
    return f"an {noun}" if noun[:1].lower() in "aeiou" else f"a {noun}"


def sentence(text: str) -> str:
    """Words that somebody typed, on one line, as a sentence with its stop."""
    tidy = " ".join(text.split())
    return tidy if tidy.endswith((".", "!", "?")) else f"{tidy}."


def quoted(text: str) -> str:
    """Words that somebody typed, on one line, in quotation marks."""
    return f'"{" ".join(text.split())}"'


def measure(value: float, unit: str) -> str:
    """A number with its unit written out: "1 second", "25 seconds"."""
    return f"{plain(value)} {unit if value == 1 else plural(unit)}"


def part(fraction: float, of: str = "the pass") -> str:
    """A part of the pass: "three quarters of the pass", "80 % of pass 2"."""
    if fraction in (0, 1):
        return f"the {'end' if fraction else 'start'} of {of}"
    share = _PARTS.get(fraction) or f"{plain(round(100 * fraction, 2))} %"
    return f"{share} of {of}"


def day(when: date) -> str:
    """A date: "Saturday 12 June 2027"."""
    return f"{_DAYS[when.weekday()]} {when.day} {_MONTHS[when.month - 1]} {when.year}"


def moment(when: datetime) -> str:
    """A date and time: "Saturday 12 June 2027, 18:00"."""
    return f"{day(when.date())}, {when:%H:%M}"


def unique(codes: Iterable[str]) -> list[str]:
    """The codes with a number added to each one that was met before."""
    seen: dict[str, int] = {}
    result = []
    for code in codes:
        seen[code] = seen.get(code, 0) + 1
        result.append(code if seen[code] == 1 else f"{code} {seen[code]}")
    return result
