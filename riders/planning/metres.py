"""Metres of the course: what tricks and set-up moves use up, positions, and what still fits."""

from dataclasses import dataclass

from events.rules.format import Format

# From memory: what a trick and the moves between tricks use up behind a boat at about
# 37 km/h. Organisers measure their own course and edit the figures of the format.
DEFAULT_TRICK_M = 60.0
DEFAULT_TURN_M = 15.0
DEFAULT_CROSS_M = 25.0

# Positions are rounded to a nanometre so that sums taken in another order are the same
# position, and compared with a tolerance far below anything that can be measured.
DIGITS = 9
TOLERANCE_M = 1e-6


@dataclass(frozen=True, slots=True)
class Costs:
    """Metres used by a trick that states none, by a turn and by a crossing."""

    trick_m: float
    turn_m: float
    cross_m: float

    def moves(self, turns: int, crosses: int) -> float:
        return turns * self.turn_m + crosses * self.cross_m


def costs_of(format: Format) -> Costs:
    """The planning figures of a format, with ours where it states none."""
    figures = format.route
    return Costs(
        DEFAULT_TRICK_M if figures.trick_m is None else figures.trick_m,
        DEFAULT_TURN_M if figures.turn_m is None else figures.turn_m,
        DEFAULT_CROSS_M if figures.cross_m is None else figures.cross_m,
    )


def position(metres: float) -> float:
    """A course position in metres, rounded so that equal positions compare equal."""
    return round(metres, DIGITS)


def fits(
    takeoff_m: float, trick_m: float, length_m: float | None, begun_counts: bool | None
) -> bool:
    """Whether a trick fits its pass: landed before the end, or begun where that counts."""
    if length_m is None:
        return True
    if begun_counts:
        return takeoff_m < length_m - TOLERANCE_M
    return takeoff_m + trick_m <= length_m + TOLERANCE_M


def is_past(takeoff_m: float, marker_m: float) -> bool:
    """Whether a position lies strictly past a marker."""
    return takeoff_m > marker_m + TOLERANCE_M
