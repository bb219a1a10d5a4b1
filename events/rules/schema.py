"""How one value of a format is described: its words, its kind, and its bounds.

The same description reads the TOML form, builds the organiser's editor and names the value
in an error, so a value is described once.
"""

from collections.abc import Sequence
from dataclasses import Field, dataclass, field, fields
from enum import StrEnum
from typing import Any

from events.rules.answers_words import either
from events.rules.language import gettext as _


class Kind(StrEnum):
    """What a value is made of."""

    WHOLE = "whole number"
    NUMBER = "number"
    NUMBERS = "number, or one for each pass"
    YES_NO = "yes or no"
    CHOICE = "one of"
    CHOICES = "some of"
    TEXT = "words"
    TEXTS = "a list of words"
    AMOUNT = "number with a unit"
    MOMENT = "date and time"
    DAY = "date"
    CONDITION = "condition on tricks"
    GROUP = "group"
    LIST = "list"


@dataclass(frozen=True)
class Spec:
    """The description of one value.

    `english_label` and `english_help` are looked up where they are read, as `label` and
    `help`. `unit` is shown after a number; `dimension` ("speed", "length", "mass") belongs to
    amounts. `key` is the word in the TOML form where it is not the field's own name.
    `item` is the class of a group, or of each entry of a list.
    """

    english_label: str
    english_help: str
    kind: Kind
    unit: str = ""
    choices: tuple[str, ...] = ()
    least: float | None = None
    most: float | None = None
    dimension: str = ""
    key: str = ""
    item: Any = None

    @property
    def label(self) -> str:
        """What it is called, in the language that is spoken now."""
        return _(self.english_label)

    @property
    def help(self) -> str:
        """What it means, in the language that is spoken now."""
        return _(self.english_help)


def spec_of(each: "Field[Any]") -> Spec:
    """The description that belongs to a dataclass field."""
    spec: Spec = each.metadata["spec"]
    return spec


def key_of(each: "Field[Any]") -> str:
    """The word that names the field in the TOML form."""
    return spec_of(each).key or each.name


def described(cls: type) -> list[tuple[str, str, Spec]]:
    """(attribute, key, description) of every value of a group."""
    return [(each.name, key_of(each), spec_of(each)) for each in fields(cls)]


def _value(spec: Spec, default: Any = None) -> Any:
    return field(default=default, metadata={"spec": spec})


def whole(
    label: str, help: str, *, least: int = 0, most: int = 1000, unit: str = "", key: str = ""
) -> Any:
    """A whole number within bounds."""
    return _value(Spec(label, help, Kind.WHOLE, unit=unit, least=least, most=most, key=key))


def number(
    label: str, help: str, *, least: float = 0, most: float = 100_000, unit: str = ""
) -> Any:
    """A number within bounds."""
    return _value(Spec(label, help, Kind.NUMBER, unit=unit, least=least, most=most))


def numbers(
    label: str, help: str, *, least: float = 0, most: float = 100_000, unit: str = ""
) -> Any:
    """One number for all passes, or one for each; kept as a tuple."""
    return _value(Spec(label, help, Kind.NUMBERS, unit=unit, least=least, most=most))


def yes_no(label: str, help: str) -> Any:
    """True or false."""
    return _value(Spec(label, help, Kind.YES_NO))


def choice(enum: type[StrEnum], label: str, help: str) -> Any:
    """One word of an enumeration."""
    return _value(Spec(label, help, Kind.CHOICE, choices=tuple(enum), item=enum))


def choices(enum: type[StrEnum], label: str, help: str) -> Any:
    """Several words of an enumeration."""
    return _value(Spec(label, help, Kind.CHOICES, choices=tuple(enum), item=enum))


def words(label: str, help: str, default: str | None = None) -> Any:
    """Free words, one line."""
    return _value(Spec(label, help, Kind.TEXT), default)


def list_of_words(label: str, help: str) -> Any:
    """Several names."""
    return _value(Spec(label, help, Kind.TEXTS))


def amount(dimension: str, label: str, help: str) -> Any:
    """A number with a unit of the dimension."""
    return _value(Spec(label, help, Kind.AMOUNT, dimension=dimension))


def moment(label: str, help: str) -> Any:
    """A date and a time of day, in the event's own time."""
    return _value(Spec(label, help, Kind.MOMENT))


def day(label: str, help: str) -> Any:
    """A date."""
    return _value(Spec(label, help, Kind.DAY))


def condition(cls: type, label: str, help: str, key: str) -> Any:
    """A condition on the attributes of tricks."""
    return _value(Spec(label, help, Kind.CONDITION, item=cls, key=key))


def group(cls: type, label: str, help: str) -> Any:
    """A group of values; empty where nothing is stated."""
    spec = Spec(label, help, Kind.GROUP, item=cls)
    return field(default_factory=cls, metadata={"spec": spec})


def entries(cls: type, label: str, help: str) -> Any:
    """A list of groups: None where not stated, empty where stated to be none."""
    return _value(Spec(label, help, Kind.LIST, item=cls))


def one_of(values: Sequence[str]) -> str:
    """The values as a sentence offers them: "run", "pass" or "round"."""
    return either(f'"{value}"' for value in values)
