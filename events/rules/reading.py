"""Single values of a format: read from data with a clear sentence where that fails."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from difflib import get_close_matches
from typing import Any

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
        return ", ".join(f"entry {p + 1}" if isinstance(p, int) else str(p) for p in self.path)

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
        raise ValueError(f"This must be a number{_with_unit(spec)}, not {_shown(value)}.")
    if abs(value) > LARGEST or not math.isfinite(value):
        raise ValueError("This must be an ordinary number.")
    within = (spec.least is None or value >= spec.least) and (
        spec.most is None or value <= spec.most
    )
    if not within:
        raise ValueError(
            f"{plain(value)} is out of range: it must be from {plain(spec.least or 0)} "
            f"to {plain(spec.most or 0)}{_with_unit(spec, ' ')}."
        )
    return float(value)


def _whole(spec: Spec, value: Any) -> int:
    read = _number(spec, value)
    if read != int(read):
        raise ValueError(f"This must be a whole number, not {_shown(value)}.")
    return int(read)


def _numbers(spec: Spec, value: Any) -> tuple[float, ...]:
    if isinstance(value, list | tuple):
        if not value or len(value) > 12:
            raise ValueError("Give one number, or one for each pass.")
        return tuple(_number(spec, each) for each in value)
    return (_number(spec, value),)


def _yes_no(spec: Spec, value: Any) -> bool:
    if not isinstance(value, bool):
        raise ValueError(f"This must be true or false, not {_shown(value)}.")
    return value


def _choice(spec: Spec, value: Any) -> Any:
    if value in spec.choices and isinstance(value, str):
        return spec.item(value)
    near = get_close_matches(str(value), spec.choices, n=1)
    meant = f' "{near[0]}" may be meant.' if near else ""
    raise ValueError(f"This must be {one_of(spec.choices)}, not {_shown(value)}.{meant}")


def _choices(spec: Spec, value: Any) -> tuple[Any, ...]:
    several = value if isinstance(value, list | tuple) else [value]
    if not several:
        raise ValueError("Name at least one, or leave it out.")
    return tuple(_choice(spec, each) for each in several)


def _text(spec: Spec, value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise ValueError(f"This must be words in quotes, not {_shown(value)}.")
    if len(value) > WORDS_LONGEST:
        raise ValueError(f"At most {WORDS_LONGEST} characters fit here.")
    if any(ord(character) < 32 for character in value):
        raise ValueError("This must be one line of words.")
    return value.strip()


def _texts(spec: Spec, value: Any) -> tuple[str, ...]:
    several = value if isinstance(value, list | tuple) else [value]
    if len(several) > 100:
        raise ValueError("At most 100 names fit here.")
    return tuple(_text(spec, each) for each in several)


def _amount(spec: Spec, value: Any) -> Amount:
    if not isinstance(value, str):
        raise ValueError(f"Write a number and its unit in quotes, not {_shown(value)}.")
    return read_amount(value, spec.dimension)


def _moment(spec: Spec, value: Any) -> datetime:
    read = _parsed(datetime.fromisoformat, value, "2027-06-12T18:00")
    if not isinstance(read, datetime):
        raise ValueError("Write a date and a time, such as 2027-06-12T18:00.")
    return read


def _day(spec: Spec, value: Any) -> date:
    read = _parsed(date.fromisoformat, value, "2027-06-12")
    if isinstance(read, datetime) or not isinstance(read, date):
        raise ValueError("Write a date alone, such as 2027-06-12.")
    return read


def _parsed(parse: Callable[[str], Any], value: Any, example: str) -> Any:
    if not isinstance(value, str):
        return value
    try:
        return parse(value)
    except ValueError:
        raise ValueError(f"{_shown(value)} is not a date like {example}.") from None


def _with_unit(spec: Spec, before: str = " of ") -> str:
    return f"{before}{spec.unit}" if spec.unit else ""


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
