"""Amounts with their units: kept as typed, computed in SI.

Unit definitions: 1 mile = 1609.344 m, 1 foot = 0.3048 m, 1 lb = 0.45359237 kg, exact by the
international yard and pound agreement of 1959.
"""

import math
import re
from dataclasses import dataclass

from events.rules.language import gettext as _
from events.rules.language import mark, pgettext

SPEED = {"km/h": 1 / 3.6, "mph": 1609.344 / 3600, "m/s": 1.0}
LENGTH = {"m": 1.0, "ft": 0.3048}
MASS = {"kg": 1.0, "lb": 0.45359237}
DIMENSIONS: dict[str, dict[str, float]] = {"speed": SPEED, "length": LENGTH, "mass": MASS}

_UNITS = {
    "speed": mark("km/h or mph or m/s"),
    "length": mark("m or ft"),
    "mass": mark("kg or lb"),
}
_NO_UNIT = {
    "speed": mark("'{word}' is not a unit of speed; use {units}, such as \"{example}\"."),
    "length": mark("'{word}' is not a unit of length; use {units}, such as \"{example}\"."),
    "mass": mark("'{word}' is not a unit of mass; use {units}, such as \"{example}\"."),
}
_AMOUNT = re.compile(r"\s*([0-9]+(?:[.,][0-9]+)?)\s*([A-Za-z/]+)\s*")


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with the unit it was typed in."""

    value: float
    unit: str

    @property
    def si(self) -> float:
        """The amount in metres, metres a second, or kilograms."""
        for units in DIMENSIONS.values():
            if self.unit in units:
                return self.value * units[self.unit]
        raise ValueError(f"Unknown unit {self.unit!r}.")

    def in_unit(self, unit: str) -> float:
        """How many of another unit of the same kind it is, not rounded."""
        return self.si / Amount(1, unit).si

    def __str__(self) -> str:
        return f"{self.value:g} {self.unit}"


def read_amount(text: str, dimension: str) -> Amount:
    """Read text such as "36 km/h"; raise ValueError with a sentence if it cannot be read."""
    units = DIMENSIONS[dimension]
    wanted = _(_UNITS[dimension])
    example = {"speed": "36 km/h", "length": "20 m", "mass": "180 kg"}[dimension]
    match = _AMOUNT.fullmatch(text)
    if not match:
        said = _('Write a number and its unit ({units}), such as "{example}".')
        raise ValueError(said.format(units=wanted, example=example))
    by_lower_case = {unit.lower(): unit for unit in units}
    unit = by_lower_case.get(match[2].lower())
    if unit is None:
        said = _(_NO_UNIT[dimension])
        raise ValueError(said.format(word=match[2], units=wanted, example=example))
    value = float(match[1].replace(",", "."))
    if not math.isfinite(value):
        said = _('That number is too large; write it such as "{example}".')
        raise ValueError(said.format(example=example))
    return Amount(value, unit)


def plain(number: float) -> str:
    """A number as people write it: no trailing zeros, no exponent for ordinary sizes, and the
    decimal sign of the language that is spoken."""
    return decimals(f"{number:.10g}")


def decimals(figure: str) -> str:
    """A figure that was written with a point, with the decimal sign of the language."""
    return figure.replace(".", pgettext("before the decimals of a number", "."))
