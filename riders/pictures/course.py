"""The water of each pass as the picture from above needs it: length, direction, markers."""

from collections.abc import Iterator
from dataclasses import dataclass

from events.rules.figures import AS_PUBLISHED, Units
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.words import Course

WORDS = {
    "end": mark("End buoy at {metres}"),
    "cutoff": mark("Cutoff marker at {metres}"),
    "no-pickup": mark("No pick-up past {metres}"),
}
# By whether the pass comes back, from right to left.
_HEADINGS = {
    False: mark("Pass {number}: left to right, {length}"),
    True: mark("Pass {number}: right to left, {length}"),
}
_WITHOUT_LENGTH = {
    False: mark("Pass {number}: left to right, length not stated"),
    True: mark("Pass {number}: right to left, length not stated"),
}


@dataclass(frozen=True, slots=True)
class Marker:
    """Something that stands at `metres` from the start: "end", "cutoff" or "no-pickup"."""

    metres: float
    kind: str

    def words(self, units: Units = AS_PUBLISHED) -> str:
        """What it is and where: "Cutoff marker at 300 m"."""
        return _(WORDS[self.kind]).format(metres=units.metres(self.metres))


@dataclass(frozen=True, slots=True)
class Water:
    """One pass. `length_m` is None where the format does not state it; `back` is one that
    is ridden from right to left."""

    pass_no: int
    length_m: float | None
    back: bool
    markers: tuple[Marker, ...]

    def heading(self, units: Units = AS_PUBLISHED) -> str:
        """The pass in words, with its direction on the picture and its length."""
        if self.length_m is None:
            return _(_WITHOUT_LENGTH[self.back]).format(number=self.pass_no)
        length = units.metres(self.length_m, beside=True)
        return _(_HEADINGS[self.back]).format(number=self.pass_no, length=length)

    def grouped(self) -> dict[float, list[Marker]]:
        """The markers by their metres."""
        found: dict[float, list[Marker]] = {}
        for marker in self.markers:
            found.setdefault(marker.metres, []).append(marker)
        return found


def water_of(format: Format, pass_no: int) -> Water:
    """The water of a pass under an effective format, each kind of marker once in a place."""
    back = format.passes.direction is Course.THERE_AND_BACK and pass_no % 2 == 0
    markers = sorted(dict.fromkeys(_markers(format, pass_no)), key=lambda each: each.metres)
    return Water(pass_no, format.pass_length(pass_no), back, tuple(markers))


def _markers(format: Format, pass_no: int) -> Iterator[Marker]:
    length = format.pass_length(pass_no)
    if length is not None:
        yield Marker(length, "end")
    for bonus in format.bonus_after(pass_no):
        at = format.marker(pass_no, bonus.cutoff_m, bonus.cutoff_fraction)
        if at is not None:
            yield Marker(at, "cutoff")
    for cutoff in format.pickup_cutoffs or ():
        at = format.marker(pass_no, cutoff.at_m, cutoff.at_fraction)
        if at is not None and cutoff.pass_no in (pass_no, None):
            yield Marker(at, "no-pickup")
