"""A condition on the attributes of a trick, such as "an invert" or "backside past 180"."""

from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import cached_property, lru_cache
from itertools import product
from typing import Any

from events.rules import schema
from events.rules.language import mark
from events.rules.notation_words import NameKey, name_key
from events.rules.trick import Air, Direction, Edge, Family, Stance, Takeoff, Trick

Test = Callable[[Trick], bool]

# How far a trick is meant: not at all, perhaps, or for sure.
NO, MAYBE, SURELY = 0, 1, 2
# What a rider may leave unsaid, and what it may turn out to be.
UNSAID: dict[str, tuple[Edge | Direction, tuple[Edge | Direction, ...]]] = {
    "approach": (Edge.EITHER, (Edge.HEELSIDE, Edge.TOESIDE)),
    "direction": (Direction.NONE, (Direction.FRONTSIDE, Direction.BACKSIDE)),
}


def unsaid(trick: Trick) -> tuple[str, ...]:
    """What a trick leaves open: its edge, or which way a turn goes."""
    edge = ("approach",) if trick.approach is Edge.EITHER else ()
    turns_some_way = trick.direction is Direction.NONE and trick.rotation >= 180
    return (*edge, "direction") if turns_some_way else edge


@dataclass(frozen=True)
class Condition:
    """Which tricks are meant; every value stated must hold, and nothing stated means all.

    `any_of` holds where one of its conditions does, `unless` excludes the tricks it meets.
    """

    invert: bool | None = schema.yes_no(mark("Invert"), mark("Board over the head."))
    family: tuple[Family, ...] | None = schema.choices(
        Family, mark("Family"), mark("Kinds of trick.")
    )
    form: tuple[str, ...] | None = schema.list_of_words(
        mark("Form"), mark("Kinds within a family, such as double, flip or boardslide.")
    )
    takeoff: tuple[Takeoff, ...] | None = schema.choices(
        Takeoff, mark("Take-off"), mark("Where it leaves the water.")
    )
    approach: tuple[Edge, ...] | None = schema.choices(
        Edge, mark("Approach"), mark("Edge of the cut.")
    )
    direction: tuple[Direction, ...] | None = schema.choices(
        Direction, mark("Direction"), mark("First turn of the spin.")
    )
    stance: tuple[Stance, ...] | None = schema.choices(
        Stance, mark("Stance"), mark("Stance at take-off.")
    )
    rotation: int | None = schema.whole(
        mark("Rotation of exactly"), mark("Landed turn."), most=3600, unit=mark("degrees")
    )
    rotation_over: int | None = schema.whole(
        mark("Rotation over"),
        mark("Tricks that turn further than this."),
        most=3600,
        unit=mark("degrees"),
    )
    rotation_under: int | None = schema.whole(
        mark("Rotation under"),
        mark("Tricks that turn less than this."),
        most=3600,
        unit=mark("degrees"),
    )
    handle_pass: bool | None = schema.yes_no(
        mark("Handle pass"), mark("Handle passed behind the back.")
    )
    grabbed: bool | None = schema.yes_no(mark("Grabbed"), mark("With any grab, or with none."))
    grab: tuple[str, ...] | None = schema.list_of_words(
        mark("Grabs"), mark("These grabs only.")
    )
    blind: bool | None = schema.yes_no(
        mark("Blind landing"), mark("Landed looking away from the boat.")
    )
    air: tuple[Air, ...] | None = schema.choices(
        Air, mark("Air"), mark("How much air it takes.")
    )
    tier_over: int | None = schema.whole(
        mark("Difficulty over"), mark("Tricks of a higher difficulty, 1 to 10."), most=10
    )
    tier_under: int | None = schema.whole(
        mark("Difficulty under"), mark("Tricks of a lower difficulty, 1 to 10."), most=11
    )
    trick: tuple[str, ...] | None = schema.list_of_words(
        mark("Tricks"), mark("These tricks by name.")
    )
    any_of: tuple["Condition", ...] | None = None
    unless: "Condition | None" = None

    @cached_property
    def matches(self) -> Test:
        """A test that tells whether a trick is meant, or may be by its edge."""
        tests = [
            _test(each.name, value)
            for each in fields(self)
            if (value := getattr(self, each.name)) is not None
        ]
        return _all(tests)

    def meets(self, trick: Trick) -> int:
        """Whether a trick is meant: NO, MAYBE while it leaves open what matters, or SURELY."""
        leaves_open = self.left_open_by(trick)
        if not leaves_open:
            return SURELY if self.matches(trick) else NO
        said = product(*(UNSAID[name][1] for name in leaves_open))
        met = [
            self.matches(trick.changed(**dict(zip(leaves_open, each, strict=True))))
            for each in said
        ]
        return SURELY if all(met) else MAYBE if any(met) else NO

    def left_open_by(self, trick: Trick) -> tuple[str, ...]:
        """What this asks for and the trick does not say."""
        asked = self.asks_unsaid
        return tuple(name for name in unsaid(trick) if name in asked) if asked else ()

    @cached_property
    def asks_unsaid(self) -> frozenset[str]:
        """Which values are asked for that a rider may leave unsaid."""
        return frozenset(
            name
            for each in self._parts
            for name, (left_open, _) in UNSAID.items()
            if (value := getattr(each, name)) and left_open not in value
        )

    @cached_property
    def asks_spins(self) -> bool:
        """Whether it asks for the family of the spins."""
        return any(Family.SPIN in (each.family or ()) for each in self._parts)

    @property
    def _parts(self) -> list["Condition"]:
        """Itself and every condition inside it."""
        inside = [*(self.any_of or ()), *([self.unless] if self.unless else ())]
        return [self, *(part for each in inside for part in each._parts)]


def _among(attribute: str, wanted: frozenset[Any]) -> Test:
    if len(wanted) == 1:
        (only,) = wanted
        return lambda trick: getattr(trick, attribute) == only
    return lambda trick: getattr(trick, attribute) in wanted


def _approaches(wanted: frozenset[Edge]) -> Test:
    # A trick taken from either edge may be ridden from the edge that is meant.
    return lambda trick: trick.approach in wanted or trick.approach is Edge.EITHER


def _named(wanted: frozenset[str]) -> Test:
    keys = frozenset(name.casefold() for name in wanted)
    names = frozenset(name_key(name) for name in wanted)

    def test(trick: Trick) -> bool:
        return trick.key in keys or not names.isdisjoint(_names(trick.name, trick.aliases))

    return test


@lru_cache(maxsize=4096)
def _names(name: str, aliases: tuple[str, ...]) -> frozenset[NameKey]:
    """All names of a trick, as the notation compares them."""
    return frozenset(map(name_key, (name, *aliases)))


@lru_cache(maxsize=1024)
def _grab(word: str) -> str:
    """A grab by the name that the notation writes, whatever it is called."""
    core, modifiers = name_key(word)
    grabs = [str(each.value) for each in modifiers if each.slot == "grab"]
    return grabs[0] if len(grabs) == 1 and not core else word.casefold()


def _grabs(wanted: frozenset[str]) -> Test:
    return lambda trick: _grab(trick.grab) in wanted


def _test(name: str, value: Any) -> Test:
    match name:
        case "rotation":
            return lambda trick: trick.rotation == value
        case "rotation_over":
            return lambda trick: trick.rotation > value
        case "rotation_under":
            return lambda trick: trick.rotation < value
        case "tier_over":
            return lambda trick: trick.tier > value
        case "tier_under":
            return lambda trick: trick.tier < value
        case "grabbed":
            return lambda trick: bool(trick.grab) is value
        case "invert" | "handle_pass" | "blind":
            return _among(name, frozenset([value]))
        case "grab":
            return _grabs(frozenset(map(_grab, value)))
        case "form":
            return _among(name, frozenset(each.casefold() for each in value))
        case "trick":
            return _named(frozenset(value))
        case "approach":
            return _approaches(frozenset(value))
        case "any_of":
            return _any([condition.matches for condition in value])
        case "unless":
            excluded: Test = value.matches
            return lambda trick: not excluded(trick)
        case _:
            return _among(name, frozenset(value))


def _all(tests: list[Test]) -> Test:
    if not tests:
        return lambda trick: True
    if len(tests) == 1:
        return tests[0]
    if len(tests) == 2:
        first, second = tests
        return lambda trick: first(trick) and second(trick)
    return lambda trick: all(test(trick) for test in tests)


def _any(tests: list[Test]) -> Test:
    return lambda trick: any(test(trick) for test in tests)
