"""A planned run as a value: passes, their tricks, and the bonus tricks after a pass."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from events.rules.trick import Direction, Edge, Family, Stance, Takeoff, Trick


@dataclass(frozen=True)
class PlannedTrick:
    """One place in a run: an entry of the vocabulary, what was said beside its name,
    and how likely the rider is to land it.

    Each modifier is None where the entry's own attribute holds. `landed` of `tried` is a
    landing record; `chance` (0 to 1) is typed instead of one. `fell` marks a fall in a
    what-if run. `bonus` names the bonus trick that this place claims, such as "double-up";
    it is empty for the tricks of a pass.
    """

    entry: Trick
    stance: Stance | None = None
    approach: Edge | None = None
    direction: Direction | None = None
    takeoff: Takeoff | None = None
    rotation: int | None = None
    grab: str | None = None
    landed: int | None = None
    tried: int | None = None
    chance: float | None = None
    fell: bool = False
    bonus: str = ""

    @cached_property
    def trick(self) -> Trick:
        """The trick as it would be ridden: the entry with the modifiers applied."""
        said = {
            name: value
            for name in ("stance", "approach", "direction", "takeoff", "rotation", "grab")
            if (value := getattr(self, name)) is not None
        }
        if self.rotation is not None or self.direction is not None:
            said.update(_turned(self.entry, said))
        return replace(self.entry, **said) if said else self.entry

    @property
    def likelihood(self) -> float | None:
        """The landing chance used by the figures: typed, or landed / tried; None if unknown."""
        if self.chance is not None:
            return self.chance
        if self.tried:
            return (self.landed or 0) / self.tried
        return None


def _turned(entry: Trick, said: dict[str, Any]) -> dict[str, Any]:
    """What another turn does to a trick: a blind landing, a handle pass, a mobe.

    From memory: the last half turn of an odd backside spin lands blind; a whole turn in the
    air passes the handle; an invert with a whole turn is a mobe as a class.
    """
    rotation = said.get("rotation", entry.rotation)
    direction = said.get("direction", entry.direction)
    odd = rotation // 180 % 2 == 1
    overhead = direction is Direction.OVERHEAD
    changed: dict[str, Any] = {
        "blind": odd and direction is Direction.BACKSIDE,
        "handle_pass": entry.handle_pass or (rotation >= 360 and not overhead),
    }
    if rotation >= 360 and entry.family in (Family.BACKROLL, Family.FRONTROLL):
        changed["family"] = Family.MOBE
    return changed


@dataclass(frozen=True)
class Pass:
    """One way down the course: its tricks, its bonus tricks, and falls between tricks.

    `run_in_falls` lie before the first marker and `turn_falls` in the turn after the
    pass; both are only used by what-if runs.
    """

    tricks: tuple[PlannedTrick, ...] = ()
    bonus: tuple[PlannedTrick, ...] = ()
    run_in_falls: int = 0
    turn_falls: int = 0

    @property
    def attempts(self) -> tuple[PlannedTrick, ...]:
        """Everything ridden in this pass, in order."""
        return self.tricks + self.bonus


@dataclass(frozen=True)
class Run:
    """All passes of one rider in one round."""

    passes: tuple[Pass, ...] = field(default=())

    def places(self) -> Iterator["Place"]:
        """Every trick with its place, in declared order."""
        for number, each in enumerate(self.passes, start=1):
            for position, planned in enumerate(each.attempts, start=1):
                yield Place(number, position, planned)

    @property
    def has_marks(self) -> bool:
        """Whether falls are marked in it, as in a what-if run."""
        return any(
            each.run_in_falls or each.turn_falls or any(p.fell for p in each.attempts)
            for each in self.passes
        )

    def __len__(self) -> int:
        """How many tricks are planned, bonus tricks included."""
        return sum(len(each.tricks) + len(each.bonus) for each in self.passes)


@dataclass(frozen=True, slots=True)
class Place:
    """A planned trick and where it stands: pass and position count from 1.

    The bonus tricks of a pass are numbered on from its tricks.
    """

    pass_no: int
    position: int
    planned: PlannedTrick

    @property
    def trick(self) -> Trick:
        """The trick as it would be ridden."""
        return self.planned.trick
