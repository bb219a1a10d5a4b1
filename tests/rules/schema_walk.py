"""Every value of a format in turn: where it sits, and valid values to put there."""

from collections.abc import Iterator
from dataclasses import fields, replace
from datetime import date, datetime
from typing import Any

from events.rules.condition import Condition
from events.rules.format import Format
from events.rules.schema import Kind, Spec
from events.rules.units import Amount

Path = tuple[str | int, ...]

_AMOUNTS = {
    "speed": (Amount(36, "km/h"), Amount(22.5, "mph")),
    "length": (Amount(20, "m"), Amount(65, "ft")),
    "mass": (Amount(180, "kg"), Amount(400, "lb")),
}


def samples(spec: Spec) -> tuple[Any, ...]:
    """Valid values of one kind, all different."""
    least = spec.least or 0
    match spec.kind:
        case Kind.WHOLE:
            return tuple(sorted({int(least), int(least) + 1, min(7, int(spec.most or 7))}))
        case Kind.NUMBER:
            return (0.25, 0.8) if spec.most == 1 else (least + 1, least + 24.5)
        case Kind.NUMBERS:
            return ((300.0,), (300.0, 280.0))
        case Kind.YES_NO:
            return (True, False)
        case Kind.CHOICE:
            return tuple(spec.item)
        case Kind.CHOICES:
            return (*((member,) for member in spec.item), tuple(spec.item)[:2], ())
        case Kind.TEXT:
            return ("Alpha", "beta, gamma")
        case Kind.TEXTS:
            return (("alpha",), ("beta", "gamma"), ())
        case Kind.AMOUNT:
            return _AMOUNTS[spec.dimension]
        case Kind.MOMENT:
            return (datetime(2027, 6, 12, 18), datetime(2027, 6, 13, 9, 5))
        case Kind.DAY:
            return (date(2027, 6, 12), date(2027, 1, 1))
        case Kind.CONDITION:
            inverts = Condition(invert=True)
            return (inverts, Condition(any_of=(inverts, Condition(blind=True))))
        case Kind.LIST:
            return ((), (spec.item(),), (spec.item(), spec.item()))
    raise AssertionError(f"No sample of {spec.kind}")


def places(cls: type = Format, path: Path = ()) -> Iterator[tuple[Path, Spec]]:
    """The path and the description of every value; the first entry stands for a list."""
    for each in fields(cls):
        if "spec" not in each.metadata:
            continue
        spec: Spec = each.metadata["spec"]
        here = (*path, each.name)
        if spec.kind is not Kind.GROUP:
            yield here, spec
        if spec.kind is Kind.LIST:
            yield from places(spec.item, (*here, 0))
        elif spec.kind in (Kind.GROUP, Kind.CONDITION):
            yield from places(spec.item, here)


def placed(format: Format, path: Path, value: Any) -> Format:
    """The format with one value set; lists and conditions on the way are made."""
    return _placed(format, path, value)


def _placed(holder: Any, path: Path, value: Any) -> Any:
    name, *rest = path
    if not rest:
        return replace(holder, **{str(name): value})
    spec: Spec = next(f for f in fields(holder) if f.name == name).metadata["spec"]
    inner = getattr(holder, str(name))
    if spec.kind is Kind.LIST:
        entries = inner or (spec.item(),)
        changed = (_placed(entries[0], tuple(rest[1:]), value), *entries[1:])
        return replace(holder, **{str(name): changed})
    inner = spec.item() if inner is None else inner
    return replace(holder, **{str(name): _placed(inner, tuple(rest), value)})


def all_places() -> list[tuple[Path, Spec]]:
    """Every value, as a list for parametrising tests."""
    return list(places())


def name_of(path: object) -> str:
    """A test's name for a path."""
    return ".".join(map(str, path)) if isinstance(path, tuple) else ""
