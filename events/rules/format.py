"""A contest's format as a value: everything that decides how a division is ridden.

Everywhere None means "not stated", and an empty tuple means "stated: none". Lengths are
metres, times seconds. `events.rules.loading` reads and writes the TOML form.
"""

from dataclasses import dataclass
from typing import Any

from events.rules import schema, words
from events.rules.language import mark
from events.rules.riding import (
    DeclaredOrder,
    DoubleUp,
    Falls,
    Limit,
    Passes,
    PickupCutoff,
    Repeats,
)
from events.rules.staging import Boat, Clock, Eligibility, Judging, Note, Round, Route


@dataclass(frozen=True)
class Override:
    """Values that differ in some divisions, rounds or boats. `set` is the TOML form."""

    divisions: tuple[str, ...] | None
    rounds: tuple[str, ...] | None
    boats: tuple[str, ...] | None
    set: dict[str, Any]

    def holds(self, division: str | None, round: str | None, boat: str | None) -> bool:
        """Whether it holds for these; names are compared without regard to case."""
        pairs = ((self.divisions, division), (self.rounds, round), (self.boats, boat))
        return all(names is None or named(name, names) for names, name in pairs)


@dataclass(frozen=True)
class Format:
    """A whole format. Build one with `events.rules.loading.load_format`."""

    name: str | None = schema.words(mark("Name"), mark("What this format is called."))
    passes: Passes = schema.group(Passes, mark("Passes"), mark("How a run is made up."))
    declared_order: DeclaredOrder = schema.group(
        DeclaredOrder, mark("Declared order"), mark("Whether riders are held to it.")
    )
    falls: Falls = schema.group(Falls, mark("Falls"), mark("What a fall costs."))
    double_ups: tuple[DoubleUp, ...] | None = schema.entries(
        DoubleUp, mark("Bonus tricks"), mark("Double-ups and other extras after a pass.")
    )
    pickup_cutoffs: tuple[PickupCutoff, ...] | None = schema.entries(
        PickupCutoff,
        mark("No-pick-up markers"),
        mark("Past these the boat does not come back."),
    )
    repeats: Repeats = schema.group(
        Repeats, mark("Repeats"), mark("Doing the same trick again.")
    )
    limits: tuple[Limit, ...] | None = schema.entries(
        Limit, mark("Limits"), mark("What is banned, limited or asked for.")
    )
    boat: Boat = schema.group(Boat, mark("Boat"), mark("Boat, speed, rope and weight."))
    rounds: tuple[Round, ...] | None = schema.entries(
        Round, mark("Rounds"), mark("From the first to the final.")
    )
    division: Eligibility = schema.group(
        Eligibility, mark("Who may ride"), mark("Age, sex and numbers.")
    )
    judging: Judging = schema.group(Judging, mark("Judging"), mark("What is marked."))
    clock: Clock = schema.group(Clock, mark("Clock"), mark("Deadlines."))
    notes: tuple[Note, ...] | None = schema.entries(
        Note, mark("Other rules"), mark("What riders must know and no value above says.")
    )
    route: Route = schema.group(Route, mark("Planning figures"), mark("Course used by riding."))
    overrides: tuple[Override, ...] = ()

    def pass_length(self, pass_no: int) -> float | None:
        """Metres from start to end of a pass (1 for the first); None if it cannot be told.

        A pass ended by time is as long as the boat goes in it at the stated speed.
        """
        by_time = self.seconds_as_metres(_of_pass(self.passes.seconds, pass_no))
        return self._ended(pass_no, by_time)

    def pass_length_most(self, pass_no: int) -> float | None:
        """The same at the upper end of a time and a speed that are stated as ranges."""
        seconds = self.passes.seconds_most or _of_pass(self.passes.seconds, pass_no)
        speed = self.boat.speed_most or self.boat.speed or self.boat.speed_least
        by_time = None if seconds is None or speed is None else seconds * speed.si
        return self._ended(pass_no, by_time)

    def _ended(self, pass_no: int, by_time: float | None) -> float | None:
        by_marker = _of_pass(self.passes.length_m, pass_no)
        if self.passes.ended_by is words.EndedBy.MARKER:
            return by_marker
        if self.passes.ended_by is words.EndedBy.TIME:
            return by_time
        if self.passes.ended_by is words.EndedBy.FIRST_OF_BOTH:
            return None if by_marker is None or by_time is None else min(by_marker, by_time)
        return by_marker if by_marker is not None else by_time

    def seconds_as_metres(self, seconds: float | None) -> float | None:
        """How far the boat goes in some seconds at the stated speed; None if not stated."""
        speed = self.boat.speed or self.boat.speed_least
        return None if seconds is None or speed is None else seconds * speed.si

    def marker(self, pass_no: int, metres: float | None, part: float | None) -> float | None:
        """Where a marker of a pass stands, in metres from its start; None if not stated."""
        if metres is not None:
            return metres
        length = self.pass_length(pass_no)
        return None if part is None or length is None else part * length

    @property
    def restart_m(self) -> float | None:
        """Metres of course lost by a fall; None if not stated."""
        if self.falls.restart_m is not None:
            return self.falls.restart_m
        return self.seconds_as_metres(self.falls.restart_s)

    def bonus_after(self, pass_no: int) -> tuple[DoubleUp, ...]:
        """The bonus tricks stated for the end of a pass."""
        return tuple(b for b in self.double_ups or () if b.after_pass in (pass_no, None))


def named(name: str | None, names: tuple[str, ...]) -> bool:
    """Whether a name is among some, without regard to case."""
    return name is not None and name.casefold() in {each.casefold() for each in names}


def _of_pass(values: tuple[float, ...] | None, pass_no: int) -> float | None:
    if not values:
        return None
    return values[0] if len(values) == 1 else values[min(pass_no, len(values)) - 1]
