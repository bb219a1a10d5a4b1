"""Lengths, speeds and weights as sentences tell them: the one formatter for all of them.

What was published is the authority. It is told as it was typed; a reader who likes another
unit reads the figure in that one, with the published one in brackets where it matters.

Rounding of converted figures: speeds to 0.1; feet, kilograms and pounds to whole ones from 10
on; metres to whole ones from 100 on; what is smaller to 0.1. A least is rounded up and a most
is rounded down, so that whoever keeps to the converted figure keeps to the published one.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields
from enum import Enum

from events.rules.language import gettext as _
from events.rules.units import DIMENSIONS, Amount, decimals, plain

# What a reader can choose from; speeds in metres a second are written by some, liked by none.
CHOICES = {"length": ("m", "ft"), "speed": ("km/h", "mph"), "mass": ("kg", "lb")}
WHOLE_FROM = {"ft": 10, "kg": 10, "lb": 10, "m": 100}
SLACK = 1e-9  # of a step: what floating-point sums may be off by
DIGITS = 2  # decimals of metres that are computed, not typed


class Rounding(Enum):
    """Which way a converted figure is rounded."""

    NEAREST = "nearest"
    LEAST = "up, for a figure that is the least allowed"
    MOST = "down, for a figure that is the most allowed"

    def whole(self, steps: float) -> int:
        """A number of steps as a whole one."""
        if self is Rounding.MOST:
            return math.floor(steps + SLACK)
        return math.ceil(steps - SLACK) if self is Rounding.LEAST else round(steps)


@dataclass(frozen=True, slots=True)
class Units:
    """The units that somebody reads figures in; None for those that were published."""

    length: str | None = None
    speed: str | None = None
    mass: str | None = None

    @classmethod
    def read(cls, text: str) -> "Units":
        """What `text` wrote; a part that is no unit of its kind is as published."""
        parts = dict(zip(CHOICES, text.split("."), strict=False))
        liked = {
            kind: next((each for each in units if _key(each) == parts.get(kind)), None)
            for kind, units in CHOICES.items()
        }
        return cls(**liked)

    @property
    def text(self) -> str:
        """The choice as a word that can be kept in a cookie: "ft.mph.lb", "m.-.-"."""
        return ".".join(_key(getattr(self, each.name)) for each in fields(self))

    def amount(self, stated: Amount, rounding: Rounding = Rounding.NEAREST) -> str:
        """A published amount: "36 km/h", or "22.4 mph (36 km/h as published)"."""
        liked = self._liked(stated, rounding)
        return _beside(liked, f"{plain(stated.value)} {stated.unit}")

    def total(self, stated: Sequence[Amount]) -> str:
        """The sum of published amounts of one kind, in the unit of the first."""
        whole, is_rounded = _sum(stated)
        published = f"{plain(whole.value)} {whole.unit}"
        liked = self._liked(whole, Rounding.NEAREST)
        total = f"{liked} ({published})" if liked else published
        return _("about {total}").format(total=total) if is_rounded else total

    def published_metres(self, metres: float) -> str:
        """Metres as somebody typed them: "370 m", or "1214 ft (370 m as published)"."""
        liked = self._liked(Amount(metres, "m"), Rounding.NEAREST)
        published = f"{plain(metres)} m"
        return _beside(liked, published)

    def metres(self, metres: float, digits: int = DIGITS, *, beside: bool = False) -> str:
        """A place or a length: "300 m", or "984 ft"; with `beside` "984 ft (300 m)"."""
        liked = self._liked(Amount(metres, "m"), Rounding.NEAREST)
        published = f"{plain(round(metres, digits))} m"
        if not liked:
            return published
        return f"{liked} ({published})" if beside else liked

    def apart(self, *metres: float) -> tuple[str, ...]:
        """Lengths that a sentence compares, whole where that tells them from each other.

        As many decimals as show that two of them differ, at most three, are added to all.
        """
        unit = self.length or "m"
        values = [Amount(each, "m").in_unit(unit) for each in metres]
        said: list[str] = []
        for digits in range(4):
            said = [decimals(f"{value:.{digits}f}") for value in values]
            if len(set(said)) == len({round(each, 6) for each in metres}):
                break
        return tuple(f"{each} {unit}" for each in said)

    def in_metres(self, metres: float) -> str:
        """The metres to put after a figure of `apart`: " (300 m)"; empty if it is in metres."""
        return "" if self.length in (None, "m") else f" ({plain(round(metres, 1))} m)"

    def _liked(self, stated: Amount, rounding: Rounding) -> str:
        """The amount in the unit that the reader likes; empty where that is the published."""
        kind = next(each for each, units in DIMENSIONS.items() if stated.unit in units)
        unit = getattr(self, kind)
        if unit in (None, stated.unit):
            return ""
        return f"{_rounded(stated.in_unit(unit), unit, rounding)} {unit}"


AS_PUBLISHED = Units()


def _beside(liked: str, published: str) -> str:
    if not liked:
        return published
    return _("{liked} ({published} as published)").format(liked=liked, published=published)


def _key(unit: str | None) -> str:
    return "-" if unit is None else unit.replace("/", "")


def _rounded(value: float, unit: str, rounding: Rounding) -> str:
    """A converted figure in the steps of its unit; finer where it would read as nothing."""
    per_unit = 1 if abs(value) >= WHOLE_FROM.get(unit, math.inf) else 10
    found = rounding.whole(value * per_unit) / per_unit
    if found or not value:
        return plain(found)
    per_unit = 10 ** (1 - math.floor(math.log10(abs(value))))  # two figures of it
    return plain(rounding.whole(value * per_unit) / per_unit)


def _sum(stated: Sequence[Amount]) -> tuple[Amount, bool]:
    """The sum in the unit of the first, and whether units had to be converted."""
    unit = stated[0].unit
    if all(each.unit == unit for each in stated):
        return Amount(round(sum(each.value for each in stated), 6), unit), False
    whole = Amount(sum(each.si for each in stated) / Amount(1, unit).si, unit)
    return Amount(round(whole.value, 1), unit), True
