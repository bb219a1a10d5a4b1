"""One manoeuvre as a value: its attributes, and what they say about side and stance.

Pure Python: nothing here knows of Django, files or the clock.
"""

from dataclasses import dataclass, replace
from enum import StrEnum

from events.rules.language import mark_in


class Family(StrEnum):
    """What kind of manoeuvre it is, by how it leaves the water and turns over."""

    SURFACE = mark_in("value", "surface")
    OLLIE = mark_in("value", "ollie")
    STRAIGHT_AIR = mark_in("value", "straight air")
    SPIN = mark_in("value", "spin")
    BACKROLL = mark_in("value", "backroll")
    FRONTROLL = mark_in("value", "frontroll")
    TANTRUM = mark_in("value", "tantrum")
    RALEY = mark_in("value", "raley")
    MOBE = mark_in("value", "mobe")
    RAIL = mark_in("value", "rail")


class Edge(StrEnum):
    """The edge of the cut towards the wake."""

    HEELSIDE = mark_in("value", "heelside")
    TOESIDE = mark_in("value", "toeside")
    EITHER = mark_in("value", "either")


class Direction(StrEnum):
    """Which way the body turns first, named at take-off."""

    FRONTSIDE = mark_in("value", "frontside")
    BACKSIDE = mark_in("value", "backside")
    OVERHEAD = mark_in("value", "overhead")  # the handle goes over the head; no side is named
    NONE = mark_in("value", "none")


class Takeoff(StrEnum):
    """Where the trick leaves the water."""

    FLATS = mark_in("value", "flats")
    ONE_WAKE = mark_in("value", "one wake")
    WAKE_TO_WAKE = mark_in("value", "wake to wake")
    DOUBLE_UP = mark_in("value", "double-up")
    RAIL = mark_in("value", "rail")


class Stance(StrEnum):
    """The rider's own stance, or the other foot forward."""

    REGULAR = mark_in("value", "regular")
    SWITCH = mark_in("value", "switch")

    @property
    def other(self) -> "Stance":
        """The stance after half a turn."""
        return Stance.REGULAR if self is Stance.SWITCH else Stance.SWITCH


class Air(StrEnum):
    """How much air the trick usually takes."""

    BIG = mark_in("value", "big")
    STANDARD = mark_in("value", "standard")
    SMALL = mark_in("value", "small")


CROSSING_TAKEOFFS = frozenset({Takeoff.WAKE_TO_WAKE, Takeoff.DOUBLE_UP})


@dataclass(frozen=True, slots=True)
class Trick:
    """A manoeuvre with every attribute that a rule or a plan can ask about.

    `rotation` is the landed turn about the vertical axis in degrees. `tier` is a
    difficulty from 1 to 10: our judgement, for the rider's own stance. `metres` is the
    course used; None means the format's own figure for a trick. `stance_change` and
    `side_change` are None where the general rule holds. `form` tells apart tricks whose
    other attributes are the same (a flip and a roll forward); it is empty for most.
    """

    key: str
    name: str
    family: Family
    approach: Edge = Edge.EITHER
    takeoff: Takeoff = Takeoff.WAKE_TO_WAKE
    stance: Stance = Stance.REGULAR
    invert: bool = False
    rotation: int = 0
    direction: Direction = Direction.NONE
    handle_pass: bool = False
    grab: str = ""
    blind: bool = False
    air: Air = Air.STANDARD
    tier: int = 1
    metres: float | None = None
    stance_change: bool | None = None
    side_change: bool | None = None
    switch_only: bool = False
    form: str = ""
    aliases: tuple[str, ...] = ()
    source: str = ""
    note: str = ""

    @property
    def changes_stance(self) -> bool:
        """Whether it lands with the other foot forward: an odd number of half turns."""
        if self.stance_change is not None:
            return self.stance_change
        return self.rotation // 180 % 2 == 1

    @property
    def changes_side(self) -> bool:
        """Whether it lands on the other side of the wake."""
        if self.side_change is not None:
            return self.side_change
        return self.takeoff in CROSSING_TAKEOFFS

    @property
    def lands(self) -> Stance:
        """The stance at landing."""
        return self.stance.other if self.changes_stance else self.stance

    def changed(self, **attributes: object) -> "Trick":
        """The same trick with some attributes changed."""
        return replace(self, **attributes)  # type: ignore[arg-type]
