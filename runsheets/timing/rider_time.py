"""What the time of one rider is made of, part by part, so that a page can show the sum."""

import math
from dataclasses import dataclass

from events.rules.language import gettext as _
from runsheets.timing.pace import Pace


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a rider's time. `working` says how it comes about, such as "2 × 36 s"."""

    name: str
    seconds: float
    working: str = ""


def parts(pace: Pace) -> tuple[Part, ...]:
    """What the time of one rider is made of; parts that take no time are left out.

    The runs after the first, where the best of several counts, are one part: each has its
    own change of riders. The parts add up to `rider_seconds`.
    """
    once = [*_run_parts(pace), Part(_("Change of riders"), pace.change_s)]
    if pace.best_of > 1:
        more, each = pace.best_of - 1, math.fsum(part.seconds for part in once)
        once.append(Part(_("Further runs"), more * each, f"{more} × {each:.0f} s"))
    return tuple(part for part in once if part.seconds > 0)


def run_seconds(pace: Pace) -> float:
    """Seconds of one run, from the rider in the water to the end of the last pass."""
    return math.fsum(part.seconds for part in _run_parts(pace))


def rider_seconds(pace: Pace) -> float:
    """Seconds from one rider to the next: all runs of a rider with the change-overs."""
    return math.fsum(part.seconds for part in parts(pace))


def riders_an_hour(pace: Pace) -> float:
    """How many riders one boat takes in an hour of riding, pauses not counted."""
    return 3600 / rider_seconds(pace)


def _run_parts(pace: Pace) -> tuple[Part, ...]:
    runs = [pace.pass_seconds(number) for number in range(1, pace.passes + 1)]
    turns = pace.passes - 1
    shown = " + ".join(f"{each:.0f} s" for each in runs)
    if len(set(runs)) == 1:
        shown = f"{pace.passes} × {runs[0]:.0f} s"
    return (
        Part(_("Start"), pace.start_s),
        Part(_("Warm-up laps"), pace.warm_up_laps_s),
        Part(_("Passes"), math.fsum(runs), shown),
        Part(_("Turns"), turns * pace.turn_s, f"{turns} × {pace.turn_s:g} s"),
        Part(_("Way back"), pace.return_s),
        Part(
            _("Pick-ups after falls"),
            pace.falls_expected * pace.pickup_s,
            f"{pace.falls_expected:g} × {pace.pickup_s:g} s",
        ),
        Part(
            _("Double-ups"),
            pace.double_ups * pace.double_up_s,
            f"{pace.double_ups} × {pace.double_up_s:g} s",
        ),
    )
