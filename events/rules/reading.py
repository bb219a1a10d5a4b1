"""Single values of a format: read from data with a clear sentence where that fails."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from difflib import get_close_matches
from typing import Any

from events.rules.language import gettext as _
from events.rules.schema import Kind, Spec, one_of
from events.rules.units import Amount, plain, read_amount

NOT_STATED = "not stated"
WORDS_LONGEST = 300
LARGEST = 10**9
MISSPELT = 0.8  # a word less like a known one is another word

Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Problem:
    """Something in a format that cannot stand: where, and what would be right.

    A number in `path` counts the entries of a list from 0; sentences count from 1.
    """

    path: Path
    message: str

    @property
    def place(self) -> str:
        """The place as people read it: limits, entry 2, most."""
        entry = _("entry {number}")
        return ", ".join(
            entry.format(number=each + 1) if isinstance(each, int) else str(each)
            for each in self.path
        )

    def __str__(self) -> str:
        return f"{self.place}: {self.message}" if self.path else self.message


def misspelt(name: str, known: Iterable[str]) -> str | None:
    """The known name that a name differs from by its spelling only; None where there is none.

    Compared word by word: "Junior women" is no misspelling of "Junior men".
    """
    words = name.casefold().split()
    by_fold = {each.casefold(): each for each in known}
    for near in get_close_matches(" ".join(words), by_fold, 3, MISSPELT):
        others = near.split()
        pairs = zip(words, others, strict=False)
        alike = (get_close_matches(word, [other], 1, MISSPELT) for word, other in pairs)
        if len(words) == len(others) and all(alike):
            return by_fold[near]
    return None


def read_value(spec: Spec, value: Any, path: Path, problems: list[Problem]) -> Any:
    """The value that some data stands for; None and a problem where it cannot be read."""
    try:
        return _READERS[spec.kind](spec, value)
    except ValueError as error:
        problems.append(Problem(path, str(error)))
        return None


def _number(spec: Spec, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        said = (
            _("This must be a number of {unit}, not {value}.")
            if spec.unit
            else _("This must be a number, not {value}.")
        )
        raise ValueError(said.format(unit=_unit(spec), value=_shown(value)))
    if abs(value) > LARGEST or not math.isfinite(value):
        raise ValueError(_("This must be an ordinary number."))
    within = (spec.least is None or value >= spec.least) and (
        spec.most is None or value <= spec.most
    )
    if not within:
        said = _("{number} is out of range: it must be from {least} to {most}.")
        most = f"{plain(spec.most or 0)} {_unit(spec)}".rstrip()
        raise ValueError(
            said.format(number=plain(value), least=plain(spec.least or 0), most=most)
        )
    return float(value)


def _whole(spec: Spec, value: Any) -> int:
    read = _number(spec, value)
    if read != int(read):
        said = _("This must be a whole number, not {value}.")
        raise ValueError(said.format(value=_shown(value)))
    return int(read)


def _numbers(spec: Spec, value: Any) -> tuple[float, ...]:
    if isinstance(value, list | tuple):
        if not value or len(value) > 12:
            raise ValueError(_("Give one number, or one for each pass."))
        return tuple(_number(spec, each) for each in value)
    return (_number(spec, value),)


def _yes_no(spec: Spec, value: Any) -> bool:
    if not isinstance(value, bool):
        said = _("This must be true or false, not {value}.")
        raise ValueError(said.format(value=_shown(value)))
    return value


def _choice(spec: Spec, value: Any) -> Any:
    if value in spec.choices and isinstance(value, str):
        return spec.item(value)
    near = get_close_matches(str(value), spec.choices, n=1)
    said = _("This must be {choices}, not {value}.")
    said = said.format(choices=one_of(spec.choices), value=_shown(value))
    if near:
        meant = _('"{near}" may be meant.').format(near=near[0])
        raise ValueError(f"{said} {meant}")
    raise ValueError(said)


def _choices(spec: Spec, value: Any) -> tuple[Any, ...]:
    several = value if isinstance(value, list | tuple) else [value]
    if not several:
        raise ValueError(_("Name at least one, or leave it out."))
    return tuple(_choice(spec, each) for each in several)


def _text(spec: Spec, value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        said = _("This must be words in quotes, not {value}.")
        raise ValueError(said.format(value=_shown(value)))
    if len(value) > WORDS_LONGEST:
        said = _("At most {number} characters fit here.")
        raise ValueError(said.format(number=WORDS_LONGEST))
    if any(ord(character) < 32 for character in value):
        raise ValueError(_("This must be one line of words."))
    return value.strip()


def _texts(spec: Spec, value: Any) -> tuple[str, ...]:
    several = value if isinstance(value, list | tuple) else [value]
    if len(several) > 100:
        raise ValueError(_("At most 100 names fit here."))
    return tuple(_text(spec, each) for each in several)


def _amount(spec: Spec, value: Any) -> Amount:
    if not isinstance(value, str):
        said = _("Write a number and its unit in quotes, not {value}.")
        raise ValueError(said.format(value=_shown(value)))
    return read_amount(value, spec.dimension)


def _moment(spec: Spec, value: Any) -> datetime:
    read = _parsed(datetime.fromisoformat, value, "2027-06-12T18:00")
    if not isinstance(read, datetime):
        said = _("Write a date and a time, such as {example}.")
        raise ValueError(said.format(example="2027-06-12T18:00"))
    return read


def _day(spec: Spec, value: Any) -> date:
    read = _parsed(date.fromisoformat, value, "2027-06-12")
    if isinstance(read, datetime) or not isinstance(read, date):
        said = _("Write a date alone, such as {example}.")
        raise ValueError(said.format(example="2027-06-12"))
    return read


def _parsed(parse: Callable[[str], Any], value: Any, example: str) -> Any:
    if not isinstance(value, str):
        return value
    try:
        return parse(value)
    except ValueError:
        said = _("{value} is not a date like {example}.")
        raise ValueError(said.format(value=_shown(value), example=example)) from None


def _unit(spec: Spec) -> str:
    return _(spec.unit) if spec.unit else ""


def _shown(value: Any) -> str:
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 40 else f"{text[:37]}..."


_READERS: dict[Kind, Callable[[Spec, Any], Any]] = {
    Kind.WHOLE: _whole,
    Kind.NUMBER: _number,
    Kind.NUMBERS: _numbers,
    Kind.YES_NO: _yes_no,
    Kind.CHOICE: _choice,
    Kind.CHOICES: _choices,
    Kind.TEXT: _text,
    Kind.TEXTS: _texts,
    Kind.AMOUNT: _amount,
    Kind.MOMENT: _moment,
    Kind.DAY: _day,
}


def value_as_data(spec: Spec, value: Any) -> Any:
    """The plain data, ready for JSON and TOML, that `read_value` reads back."""
    match spec.kind:
        case Kind.NUMBERS:
            return _tidy(value[0]) if len(value) == 1 else [_tidy(each) for each in value]
        case Kind.NUMBER:
            return _tidy(value)
        case Kind.CHOICE | Kind.AMOUNT:
            return str(value)
        case Kind.CHOICES | Kind.TEXTS:
            return [str(each) for each in value]
        case Kind.MOMENT | Kind.DAY:
            return value.isoformat()
        case _:
            return value


def _tidy(number: float) -> int | float:
    return int(number) if number == int(number) else number
