"""How long one rider takes: the figures of a division's riding, and how they add up.

Pure Python, seconds and metres throughout. No format states how long a start or a change of
riders takes, so every figure has a default that an organiser sees and replaces by what was
measured. All defaults are common practice from memory, no source: a rider without a fall
takes about 4 minutes, each fall 1 to 1.5 more, so a boat takes 10 to 12 riders an hour.
"""

import math
from dataclasses import dataclass, field, fields, replace
from typing import Any, Self

from events.rules.format import Format, named
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.riding import DoubleUp, Falls
from events.rules.schema import Kind, Spec, spec_of
from events.rules.staging import Boat
from events.rules.units import SPEED, Amount
from events.rules.words import Course, Per


def _figure(
    default: Any,
    label: str,
    help: str,
    unit: str = "",
    kind: Kind = Kind.NUMBER,
    least: float = 0,
    most: float = 3600,
) -> Any:
    spec = Spec(label, help, kind, unit=unit, least=least, most=most)
    return field(default=default, metadata={"spec": spec})


@dataclass(frozen=True)
class Pace:
    """What the riding of a division takes; see `Pace.of` for one that follows a format.

    `pass_m` is one length for every pass, or one for each. `falls_expected` is the mean
    number of falls that the boat picks up in one run. `warm_up_laps_s` and `return_s` are
    whole sums for one run; `double_up_s` is for each double-up. `assumed` says in sentences
    what was not stated anywhere. Raises ValueError with a sentence for a figure that cannot
    be.
    """

    passes: int = _figure(2, mark("Passes"), mark("Passes in one run."), "", Kind.WHOLE, 1, 12)
    pass_m: tuple[float, ...] = _figure(
        (370.0,),
        mark("Pass length"),
        mark("From start to end marker."),
        "m",
        Kind.NUMBERS,
        1,
        5000,
    )
    speed_mps: float = _figure(
        23 * SPEED["mph"],
        mark("Speed"),
        mark("Of the boat on the course."),
        "m/s",
        least=1,
        most=30,
    )
    turn_s: float = _figure(
        40.0, mark("Turn"), mark("Between two passes, usually 30 to 45 s."), "s"
    )
    pickup_s: float = _figure(
        75.0, mark("Pick-up"), mark("From a fall until riding again, usually 45 to 90 s."), "s"
    )
    falls_expected: float = _figure(
        1.0,
        mark("Falls expected"),
        mark("Falls in a run, on average over the riders."),
        most=40,
    )
    start_s: float = _figure(
        45.0, mark("Start"), mark("Rope out, getting up, and riding to the first marker."), "s"
    )
    change_s: float = _figure(
        80.0,
        mark("Change of riders"),
        mark("One rider in, the next one ready in the water."),
        "s",
    )
    double_ups: int = _figure(
        0,
        mark("Double-ups"),
        mark("Double-ups or other extras in one run."),
        "",
        Kind.WHOLE,
        0,
        12,
    )
    double_up_s: float = _figure(
        30.0, mark("Double-up"), mark("The boat's turn and the trick."), "s"
    )
    warm_up_laps_s: float = _figure(
        0.0, mark("Warm-up laps"), mark("All laps before a run."), "s"
    )
    return_s: float = _figure(
        0.0,
        mark("Way back"),
        mark("Going back to the start between or after passes, in all."),
        "s",
    )
    best_of: int = _figure(
        1,
        mark("Runs"),
        mark("Runs of each rider, of which the best counts."),
        "",
        Kind.WHOLE,
        1,
        9,
    )
    assumed: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "pass_m", _several(self.pass_m))
        for name, spec in SPECS.items():  # a format may say more than a form would take
            _refuse(spec, getattr(self, name), bounded=False)
        if len(self.pass_m) not in (1, self.passes):
            raise ValueError(_("Give one pass length for every pass, or one for each."))

    @classmethod
    def of(
        cls,
        format: Format,
        round_name: str | None = None,
        *,
        division: str | None = None,
        **overrides: Any,
    ) -> Self:
        """The pace of a format as it holds in a division and round.

        Overrides go by the names of the fields and win over the format; the format wins over
        the defaults. Of a range of speed the slowest is taken, of a range of time the
        longest. A lap is taken as one pass and one turn. A double-up is counted wherever it
        is offered, though some riders will lose it. A run that a fall cuts short is counted
        in full: riders who come off early make up for those who take long.
        """
        for name, value in overrides.items():
            if name not in SPECS:
                raise ValueError(f"{name} is not one of the figures of a pace.")
            _refuse(SPECS[name], value)
        read, assumed = _stated(format, round_name, division, overrides)
        return cls(**{**read, **overrides}, assumed=tuple(assumed))

    def pass_seconds(self, pass_no: int) -> float:
        """Seconds from start to end marker of a pass, 1 for the first."""
        lengths = self.pass_m
        return lengths[0 if len(lengths) == 1 else pass_no - 1] / self.speed_mps


# How each figure is named and bounded, by the name of its field: for forms and errors.
SPECS: dict[str, Spec] = {each.name: spec_of(each) for each in fields(Pace) if each.metadata}


def falls_expected(falls: Falls, passes: int) -> float | None:
    """A guess from the falls allowed: half of the falls that a rider can have in a run.

    With one fall allowed the second ends the run, so a rider has 0 to 2 falls, 1 on average.
    Counted per pass, that holds for each pass. Our own guess, no source; measure and replace
    it. None if no allowance is stated.
    """
    allowed = falls.allowed
    if allowed is None and falls.water_allowed is not None:
        allowed = falls.water_allowed + (falls.obstacle_allowed or 0)
    if allowed is None:
        return None
    return (allowed + 1) / 2 * (passes if falls.counted_per is Per.PASS else 1)


def _several(value: Any) -> tuple[Any, ...]:
    return tuple(value) if isinstance(value, list | tuple) else (value,)


def _refuse(spec: Spec, value: Any, bounded: bool = True) -> None:
    """Raise ValueError for what is no number, below nothing, or out of the bounds."""
    kinds = (int,) if spec.kind is Kind.WHOLE else (int, float)
    least, most = spec.least or 0.0, spec.most or 0.0
    for each in _several(value):
        right = isinstance(each, kinds) and not isinstance(each, bool) and math.isfinite(each)
        inside = right and (least <= each <= most if bounded else each > 0 or each == least)
        if not inside:
            said = _("{label}: write a number from {least} to {most}.")
            if spec.kind is Kind.WHOLE:
                said = _("{label}: write a whole number from {least} to {most}.")
            highest = f"{most:g} {spec.unit}" if spec.unit else f"{most:g}"
            raise ValueError(said.format(label=_(spec.label), least=f"{least:g}", most=highest))


# What no format states; named together, because the remedy is one and the same.
_UNSTATED = {
    "turn_s": mark("turn {seconds} s"),
    "pickup_s": mark("pick-up {seconds} s"),
    "start_s": mark("start {seconds} s"),
    "change_s": mark("change of riders {seconds} s"),
}
_UNSTATED_EXTRA = {"double_up_s": mark("double-up {seconds} s")}


def _stated(
    format: Format, round_name: str | None, division: str | None, given: dict[str, Any]
) -> tuple[dict[str, Any], list[str]]:
    """The figures that a format decides, and sentences on those that nobody states."""
    usual, assumed = Pace(), []

    def known(name: str, value: Any, sentence: str) -> Any:
        if name in given:
            return given[name]
        if value is None:
            assumed.append(sentence)
        return getattr(usual, name) if value is None else value

    passes = known("passes", format.passes.count, _("Passes are not stated: 2 are assumed."))
    speed = known(
        "speed_mps",
        _speed(format.boat),
        _("The boat's speed is not stated: 23 mph is assumed."),
    )
    read: dict[str, Any] = {"passes": passes, "speed_mps": speed}
    read["pass_m"] = known(
        "pass_m",
        _lengths(format, passes, speed),
        _("The length of the passes is not stated: 370 m is assumed."),
    )
    read["falls_expected"] = known(
        "falls_expected",
        falls_expected(format.falls, passes),
        _("Falls allowed are not stated: 1 fall in a run is assumed."),
    )
    read["double_ups"] = known(
        "double_ups",
        _double_ups(format, round_name, division),
        _("Double-ups are not stated: none is assumed."),
    )
    read["best_of"] = _best_of(format, round_name)
    course = Pace(**{**read, **given})
    mean = math.fsum(course.pass_seconds(n) for n in range(1, passes + 1)) / passes
    laps = format.boat.warm_up_laps or 0
    read["warm_up_laps_s"] = laps * (mean + course.turn_s)
    read["return_s"] = _ways_back(format, passes) * (mean + course.turn_s)
    if format.passes.direction is None and passes > 1 and "return_s" not in given:
        assumed.append(_("The direction is not stated: passes there and back are assumed."))
    return read, assumed + _planning_figures(given, bool(course.double_ups))


def _planning_figures(given: dict[str, Any], double_ups: bool) -> list[str]:
    wanted = _UNSTATED | (_UNSTATED_EXTRA if double_ups else {})
    words = [
        _(wanted[each.name]).format(seconds=f"{each.default:g}")
        for each in fields(Pace)
        if each.name in wanted and each.name not in given
    ]
    if not words:
        return []
    said = _("No format states these, time a few riders: {figures}.")
    return [said.format(figures=", ".join(words))]


def _speed(boat: Boat) -> float | None:
    said = boat.speed or boat.speed_least or boat.speed_most
    return said.si if said and said.si > 0 else None


def _lengths(format: Format, passes: int, speed: float) -> tuple[float, ...] | None:
    """Metres of each pass; a pass ended by time is as long as the boat goes in it."""
    driven = replace(format, boat=Boat(speed=Amount(speed, "m/s")))
    either = replace(driven, passes=replace(format.passes, ended_by=None))
    found = [
        driven.pass_length_most(number) or either.pass_length_most(number)
        for number in range(1, passes + 1)
    ]
    known = tuple(each for each in found if each is not None)
    if len(known) < len(found):
        return None
    return known[:1] if len(set(known)) == 1 else known


def _double_ups(format: Format, round_name: str | None, division: str | None) -> int | None:
    """How many extras a run has: those of this round and division, one of two that exclude
    one another."""
    if format.double_ups is None:
        return None
    kept: list[DoubleUp] = []
    for each in format.double_ups:
        elsewhere = (
            each.rounds and round_name is not None and not named(round_name, each.rounds)
        ) or (each.divisions and division is not None and not named(division, each.divisions))
        if not elsewhere and not any(_exclude(each, other) for other in kept):
            kept.append(each)
    return len(kept)


def _exclude(one: DoubleUp, other: DoubleUp) -> bool:
    return named(one.name, other.excludes or ()) or named(other.name, one.excludes or ())


def _best_of(format: Format, round_name: str | None) -> int:
    """Runs in the round; one where the format says nothing, which is the usual thing."""
    for each in format.rounds or ():
        if named(round_name, (each.name or "",)):
            return each.best_of or 1
    return 1


def _ways_back(format: Format, passes: int) -> int:
    """How often the boat goes back along the course: there and back needs it once if odd."""
    if format.passes.direction is Course.SAME_WAY:
        return passes
    return passes % 2
