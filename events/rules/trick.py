"""One manoeuvre as a value: its attributes, and what they say about side and stance.

Pure Python: nothing here knows of Django, files or the clock.
"""

from dataclasses import dataclass, replace
from enum import StrEnum


class Family(StrEnum):
    """What kind of manoeuvre it is, by how it leaves the water and turns over."""

    SURFACE = "surface"
    OLLIE = "ollie"
    STRAIGHT_AIR = "straight air"
    SPIN = "spin"
    BACKROLL = "backroll"
    FRONTROLL = "frontroll"
    TANTRUM = "tantrum"
    RALEY = "raley"
    MOBE = "mobe"
    RAIL = "rail"


class Edge(StrEnum):
    """The edge of the cut towards the wake."""

    HEELSIDE = "heelside"
    TOESIDE = "toeside"
    EITHER = "either"


class Direction(StrEnum):
    """Which way the body turns first, named at take-off."""

    FRONTSIDE = "frontside"
    BACKSIDE = "backside"
    OVERHEAD = "overhead"  # the handle goes over the head; no side is named
    NONE = "none"


class Takeoff(StrEnum):
    """Where the trick leaves the water."""

    FLATS = "flats"
    ONE_WAKE = "one wake"
    WAKE_TO_WAKE = "wake to wake"
    DOUBLE_UP = "double-up"
    RAIL = "rail"


class Stance(StrEnum):
    """The rider's own stance, or the other foot forward."""

    REGULAR = "regular"
    SWITCH = "switch"

    @property
    def other(self) -> "Stance":
        """The stance after half a turn."""
        return Stance.REGULAR if self is Stance.SWITCH else Stance.SWITCH


class Air(StrEnum):
    """How much air the trick usually takes."""

    BIG = "big"
    STANDARD = "standard"
    SMALL = "small"


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
