"""A condition on the attributes of a trick, such as "an invert" or "backside past 180"."""

from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import cached_property
from typing import Any

from events.rules import schema
from events.rules.trick import Air, Direction, Edge, Family, Stance, Takeoff, Trick

Test = Callable[[Trick], bool]


@dataclass(frozen=True)
class Condition:
    """Which tricks are meant; every value stated must hold, and nothing stated means all.

    `any_of` holds where one of its conditions does, `unless` excludes the tricks it meets.
    """

    invert: bool | None = schema.yes_no("Invert", "Board over the head.")
    family: tuple[Family, ...] | None = schema.choices(Family, "Family", "Kinds of trick.")
    form: tuple[str, ...] | None = schema.list_of_words(
        "Form", "Kinds within a family, such as double, flip or boardslide."
    )
    takeoff: tuple[Takeoff, ...] | None = schema.choices(
        Takeoff, "Take-off", "Where it leaves the water."
    )
    approach: tuple[Edge, ...] | None = schema.choices(Edge, "Approach", "Edge of the cut.")
    direction: tuple[Direction, ...] | None = schema.choices(
        Direction, "Direction", "First turn of the spin."
    )
    stance: tuple[Stance, ...] | None = schema.choices(Stance, "Stance", "Stance at take-off.")
    rotation: int | None = schema.whole(
        "Rotation of exactly", "Landed turn.", most=3600, unit="degrees"
    )
    rotation_over: int | None = schema.whole(
        "Rotation over", "Tricks that turn further than this.", most=3600, unit="degrees"
    )
    rotation_under: int | None = schema.whole(
        "Rotation under", "Tricks that turn less than this.", most=3600, unit="degrees"
    )
    handle_pass: bool | None = schema.yes_no("Handle pass", "Handle passed behind the back.")
    grabbed: bool | None = schema.yes_no("Grabbed", "With any grab, or with none.")
    grab: tuple[str, ...] | None = schema.list_of_words("Grabs", "These grabs only.")
    blind: bool | None = schema.yes_no("Blind landing", "Landed looking away from the boat.")
    air: tuple[Air, ...] | None = schema.choices(Air, "Air", "How much air it takes.")
    tier_over: int | None = schema.whole(
        "Difficulty over", "Tricks of a higher difficulty, 1 to 10.", most=10
    )
    tier_under: int | None = schema.whole(
        "Difficulty under", "Tricks of a lower difficulty, 1 to 10.", most=11
    )
    trick: tuple[str, ...] | None = schema.list_of_words("Tricks", "These tricks by name.")
    any_of: tuple["Condition", ...] | None = None
    unless: "Condition | None" = None

    @cached_property
    def matches(self) -> Test:
        """A test that tells whether a trick is meant."""
        return self._all_but()

    @cached_property
    def matches_whatever_family(self) -> Test:
        """The same test without the question of the family."""
        return self._all_but("family")

    def _all_but(self, left_out: str = "") -> Test:
        tests = [
            _test(each.name, value)
            for each in fields(self)
            if each.name != left_out and (value := getattr(self, each.name)) is not None
        ]
        return _all(tests)

    @property
    def is_impossible(self) -> bool:
        """Whether no trick can meet it, whatever the vocabulary holds."""
        lowest = 0 if self.rotation_over is None else self.rotation_over // 180 * 180 + 180
        highest = float("inf") if self.rotation_under is None else self.rotation_under - 1
        turn_is_possible = lowest <= highest
        if self.rotation is not None:
            turn_is_possible = lowest <= self.rotation <= highest and self.rotation % 180 == 0
        tiers = (self.tier_over or 0) + 1 <= (self.tier_under or 11) - 1
        grabs = not (self.grabbed is False and self.grab)
        empties = any(
            value == () for each in fields(self) if (value := getattr(self, each.name)) == ()
        )
        return not (turn_is_possible and tiers and grabs) or empties


def _among(attribute: str, wanted: frozenset[Any]) -> Test:
    if len(wanted) == 1:
        (only,) = wanted
        return lambda trick: getattr(trick, attribute) == only
    return lambda trick: getattr(trick, attribute) in wanted


def _approaches(wanted: frozenset[Edge]) -> Test:
    # A trick taken from either edge may be ridden from the edge that is meant.
    return lambda trick: trick.approach in wanted or trick.approach is Edge.EITHER


def _named(wanted: frozenset[str]) -> Test:
    names = frozenset(name.casefold() for name in wanted)

    def test(trick: Trick) -> bool:
        return (
            trick.name.casefold() in names
            or trick.key in names
            or any(alias.casefold() in names for alias in trick.aliases)
        )

    return test


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
        case "grab" | "form":
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
