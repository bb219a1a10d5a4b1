"""What changed between two formats, in the sentences that riders read.

Formats are compared value by value: a value whose change the sentences do not show is
named by its label, so that nothing is missed.
"""

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date, datetime
from enum import StrEnum
from typing import Any

from events.rules.answers import changed_points, exception, override_place, topics
from events.rules.answers_words import (
    Point,
    joined,
    quoted,
    unique,
)
from events.rules.condition import Condition
from events.rules.condition_words import describe
from events.rules.dates import moment, weekday
from events.rules.format import Format, Override
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.units import Amount, plain

EXCEPTIONS = mark("Exceptions")
OTHER = mark("Other values")

Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Difference:
    """One change. `code` is the question's and the point's, `group` the heading of the
    answer that it belongs to.
    """

    code: str
    group: str
    sentence: str


def differences(old: Format, new: Format) -> tuple[Difference, ...]:
    """Every change from one format to another; empty where they are the same."""
    if old == new:
        return ()
    return (
        *_in_sentences(old, new),
        *_in_overrides(old, new),
        *_unseen(old, new),
        *_reordered(old, new),
    )


def _in_sentences(old: Format, new: Format) -> Iterator[Difference]:
    for before, after in zip(topics(old), topics(new), strict=True):
        for point, was, now in changed_points(before, after):
            text = _change(point.label, was, now)
            yield Difference(f"{after.code}: {point.code}", after.group, text)


def _change(label: str, was: Point | None, now: Point | None) -> str:
    if was is None:
        if now is None:
            return _("{label}: changed.").format(label=label)
        return _("{label}: added. {now}").format(label=label, now=quoted(now.text))
    if now is None:
        return _("{label}: removed. It was {before}").format(
            label=label, before=quoted(was.text)
        )
    return _("{label}: was {before} Now {now}").format(
        label=label, before=quoted(was.text), now=quoted(now.text)
    )


def _in_overrides(old: Format, new: Format) -> Iterator[Difference]:
    before, after = _overrides(old), _overrides(new)
    for key in dict.fromkeys((*before, *after)):
        was, now = before.get(key), after.get(key)
        if was == now:
            continue
        # An exception tells what differs from the base of its own edition.
        old_text = None if was is None else Point(key, key, exception(old, was))
        new_text = None if now is None else Point(key, key, exception(new, now))
        text = _change(_("Exception"), old_text, new_text)
        yield Difference(f"exceptions: {key}", _(EXCEPTIONS), text)


def _overrides(format: Format) -> dict[str, Override]:
    keys = unique(override_place(override) for override in format.overrides)
    return dict(zip(keys, format.overrides, strict=True))


def _unseen(old: Format, new: Format) -> Iterator[Difference]:
    """Changed values that no sentence shows when they alone change."""
    said = _sentences(old)
    for path, label, was, now in changed_values(old, new):
        if _sentences(with_value(old, path, now)) != said:
            continue
        sentence = _("{label}: was {before}. Now {now}.")
        text = sentence.format(label=label, before=_value(was), now=_value(now))
        yield Difference(".".join(map(str, path)), _(OTHER), text)


def _sentences(format: Format) -> tuple[tuple[Point, ...], ...]:
    return tuple(topic.points for topic in topics(format))


def _reordered(old: Format, new: Format) -> Iterator[Difference]:
    """Lists with the same entries in another order."""
    for each in fields(Format):
        was, now = getattr(old, each.name), getattr(new, each.name)
        if not isinstance(was, tuple) or not isinstance(now, tuple) or was == now:
            continue
        rest = list(now)
        if len(was) == len(now) and all(_taken(entry, rest) for entry in was):
            label = each.metadata["spec"].label if "spec" in each.metadata else _(EXCEPTIONS)
            text = _("{label}: the same, listed in another order.").format(label=label)
            yield Difference(f"{each.name}: order", _(OTHER), text)


def _taken(entry: object, rest: list[Any]) -> bool:
    if entry not in rest:
        return False
    rest.remove(entry)
    return True


def changed_values(old: Any, new: Any) -> Iterator[tuple[Path, str, Any, Any]]:
    """(path, label, old, new) of every value that differs, as deep as both sides go.

    Lists of different lengths differ as a whole. Overrides are left out.
    """
    for each in fields(old):
        if "spec" not in each.metadata:
            continue
        was, now = getattr(old, each.name), getattr(new, each.name)
        if was == now:
            continue
        label = each.metadata["spec"].label
        for path, inner, before, after in _inside(was, now):
            yield (each.name, *path), f"{label}{inner}", before, after


def _inside(was: Any, now: Any) -> Iterator[tuple[Path, str, Any, Any]]:
    if (_is_group(was) and _is_group(now)) or _same_inside(was, now):
        for path, label, before, after in changed_values(was, now):
            yield path, f", {label[:1].lower()}{label[1:]}", before, after
    elif _is_list(was) and _is_list(now) and len(was) == len(now):
        for no, (one, other) in enumerate(zip(was, now, strict=True)):
            if one != other:
                for path, label, before, after in _inside(one, other):
                    yield (no, *path), f" {no + 1}{label}", before, after
    else:
        yield (), "", was, now


def _is_group(value: object) -> bool:
    return is_dataclass(value) and not isinstance(value, Amount | Condition)


def _same_inside(was: object, now: object) -> bool:
    """Whether two conditions differ only in plain values, which have labels."""
    if not isinstance(was, Condition) or not isinstance(now, Condition):
        return False
    return was.any_of == now.any_of and was.unless == now.unless


def _is_list(value: object) -> bool:
    return isinstance(value, tuple) and bool(value) and all(_is_group(each) for each in value)


def with_value(holder: Any, path: Path, value: Any) -> Any:
    """The same format with one value changed; `path` as in `changed_values`."""
    if not path:
        return value
    first, *rest = path
    if isinstance(first, int):
        inner = with_value(holder[first], tuple(rest), value)
        return (*holder[:first], inner, *holder[first + 1 :])
    return replace(holder, **{first: with_value(getattr(holder, first), tuple(rest), value)})


def _value(value: Any) -> str:
    if value is None:
        return _("not stated")
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, datetime):
        return moment(value)
    if isinstance(value, date):
        return weekday(value)
    if isinstance(value, int | float):
        return plain(value)
    if isinstance(value, Condition):
        return quoted(describe(value))
    if isinstance(value, StrEnum | str):
        return quoted(value)
    if isinstance(value, tuple):
        return joined(_value(each) for each in value) or _("none")
    return str(value)
