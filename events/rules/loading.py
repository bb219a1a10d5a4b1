"""The data form of a format: read from TOML or JSON-like data, written back, overridden.

Reading reports every problem at once, each with its place and what would be right. The text
"not stated" stands for a value that is left open, the same as leaving it out.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import fields, replace
from datetime import date, datetime
from difflib import get_close_matches
from typing import Any

import tomli_w

from events.rules.condition import Condition
from events.rules.contradictions import contradictions
from events.rules.format import Format, Override
from events.rules.language import gettext as _
from events.rules.reading import NOT_STATED, Path, Problem, read_value, value_as_data
from events.rules.schema import Kind, described, one_of
from events.rules.toml_faults import not_toml

OVERRIDE_KEYS = ("when", "set")
WHEN_KEYS = ("division", "round", "boat")
# What sentences give as examples of the file.
TABLE, WHEN, SET = "{ invert = true }", '{ round = "final" }', "{ falls = { allowed = 2 } }"


class FormatError(ValueError):
    """A format cannot be read; `problems` names each place and what would be right."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("\n".join(str(problem) for problem in problems))
        self.problems = problems


def load_format(text: str) -> Format:
    """The format written in some TOML; raises FormatError."""
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # a faulty text, or a number beyond reading
        raise FormatError((Problem((), not_toml(error)),)) from error
    return read_format(data)


def read_format(data: Mapping[str, Any]) -> Format:
    """The format in data of the TOML form; raises FormatError with every problem."""
    format, problems = try_format(data)
    if problems:
        raise FormatError(tuple(problems))
    return format


def try_format(data: Mapping[str, Any]) -> tuple[Format, list[Problem]]:
    """What can be read of a format, and every problem found in it."""
    problems: list[Problem] = []
    own = {key: value for key, value in data.items() if key != "overrides"}
    base: Format = read_group(Format, own, (), problems)
    overrides = _read_overrides(data.get("overrides"), problems)
    format = Format(**{each.name: getattr(base, each.name) for each in fields(Format)[:-1]},
                    overrides=overrides)  # fmt: skip
    problems += contradictions(format)
    problems += _override_contradictions(format, problems)
    return format, problems


def read_group(cls: type, data: Any, path: Path, problems: list[Problem]) -> Any:
    """One group of values; whatever cannot be read is left open and named in `problems`."""
    if not isinstance(data, Mapping):
        problems.append(Problem(path, _("This must be a table of keys and values.")))
        return cls()
    known = {key: (name, spec) for name, key, spec in _described(cls)}
    values: dict[str, Any] = {}
    for key, value in data.items():
        if key not in known:
            problems.append(Problem((*path, key), _unknown_key(key, list(known))))
            continue
        name, spec = known[key]
        if value is None or value == NOT_STATED:
            continue
        here = (*path, key)
        if spec.kind is Kind.GROUP:
            values[name] = read_group(spec.item, value, here, problems)
        elif spec.kind is Kind.CONDITION:
            values[name] = read_condition(value, here, problems)
        elif spec.kind is Kind.LIST:
            values[name] = _read_list(spec.item, value, here, problems)
        else:
            values[name] = read_value(spec, value, here, problems)
    return cls(**values)


def read_condition(data: Any, path: Path, problems: list[Problem]) -> Condition:
    """A condition on tricks, with `any_of` and `unless` inside it."""
    if not isinstance(data, Mapping):
        problems.append(
            Problem(path, _("This must be a table such as {example}.").format(example=TABLE))
        )
        return Condition()
    rest = {key: value for key, value in data.items() if key not in ("any_of", "unless")}
    simple: Condition = read_group(Condition, rest, path, problems)
    any_of = data.get("any_of")
    unless = data.get("unless")
    if any_of is None and unless is None:
        return simple
    values = {name: getattr(simple, name) for name, _key, _spec in _described(Condition)}
    if any_of is not None:
        if isinstance(any_of, list) and len(path) < 12:
            here = (*path, "any_of")
            values["any_of"] = tuple(
                read_condition(each, (*here, number), problems)
                for number, each in enumerate(any_of)
            )
        else:
            message = _("This must be a list of conditions.")
            problems.append(Problem((*path, "any_of"), message))
    if unless is not None:
        if len(path) < 12:
            values["unless"] = read_condition(unless, (*path, "unless"), problems)
        else:
            message = _("Conditions are nested too deeply.")
            problems.append(Problem((*path, "unless"), message))
    return Condition(**values)


def _described(cls: type) -> list[tuple[str, str, Any]]:
    if cls in (Format, Condition):
        plain = [each for each in fields(cls) if "spec" in each.metadata]
        return [(each.name, each.name, each.metadata["spec"]) for each in plain]
    return described(cls)


def _read_list(cls: type, data: Any, path: Path, problems: list[Problem]) -> Any:
    if not isinstance(data, list | tuple):
        message = _("This must be a list: write [[{key}]] per entry.")
        problems.append(Problem(path, message.format(key=path[-1])))
        return None
    if len(data) > 1000:
        problems.append(Problem(path, _("At most 1000 entries can be read.")))
        return None
    return tuple(
        read_group(cls, each, (*path, number), problems) for number, each in enumerate(data)
    )


def _unknown_key(key: Any, known: list[str]) -> str:
    near = get_close_matches(str(key), known, n=1)
    if near:
        said = _('There is no key "{key}" here; "{near}" may be meant.')
        return said.format(key=key, near=near[0])
    said = _('There is no key "{key}" here; it can be {keys}.')
    return said.format(key=key, keys=one_of(known))


def _read_overrides(data: Any, problems: list[Problem]) -> tuple[Override, ...]:
    if data is None or data == NOT_STATED:
        return ()
    if not isinstance(data, list | tuple):
        problems.append(Problem(("overrides",), _("Write [[overrides]] for each one.")))
        return ()
    read = (_read_override(each, ("overrides", n), problems) for n, each in enumerate(data))
    return tuple(override for override in read if override)


def _read_override(data: Any, path: Path, problems: list[Problem]) -> Override | None:
    if not isinstance(data, Mapping):
        problems.append(Problem(path, _("This must be a table with `when` and `set`.")))
        return None
    for key in data:
        if key not in OVERRIDE_KEYS:
            problems.append(Problem((*path, key), _unknown_key(key, list(OVERRIDE_KEYS))))
    when, changes = data.get("when"), data.get("set")
    if not isinstance(when, Mapping) or not when:
        message = _("Say when it holds, such as {example}.").format(example=WHEN)
        problems.append(Problem((*path, "when"), message))
        return None
    if not isinstance(changes, Mapping) or not changes:
        message = _("Say which values it sets, such as {example}.").format(example=SET)
        problems.append(Problem((*path, "set"), message))
        return None
    names = {key: _names(when[key], (*path, "when", key), problems)
             for key in when if key in WHEN_KEYS}  # fmt: skip
    for key in when:
        if key not in WHEN_KEYS:
            problems.append(Problem((*path, "when", key), _unknown_key(key, list(WHEN_KEYS))))
    changes = _undotted(changes)
    read_group(Format, changes, (*path, "set"), problems)
    return Override(names.get("division"), names.get("round"), names.get("boat"), changes)


def _names(value: Any, path: Path, problems: list[Problem]) -> tuple[str, ...]:
    names = [value] if isinstance(value, str) else value
    if isinstance(names, list | tuple) and names and all(isinstance(n, str) for n in names):
        return tuple(names)
    problems.append(Problem(path, _("This must be a name, or a list of names.")))
    return ()


def _undotted(changes: Mapping[str, Any]) -> dict[str, Any]:
    # A quoted key with dots means the same as the nested tables.
    result: dict[str, Any] = {}
    for key, value in changes.items():
        *groups, last = str(key).split(".")
        here = result
        for name in groups:
            inner = here.setdefault(name, {})
            if not isinstance(inner, dict):
                inner = here[name] = {}
            here = inner
        here[last] = merged(here.get(last), value)
    return result


def merged(old: Any, new: Any) -> Any:
    """Tables merge key by key; anything else is replaced."""
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        return {**old, **{key: merged(old.get(key), value) for key, value in new.items()}}
    return new


def effective(
    format: Format,
    division: str | None = None,
    round: str | None = None,
    boat: str | None = None,
) -> Format:
    """What holds in a division, round and boat: the base with the overrides that apply.

    A later override wins over an earlier one. The result has no overrides left.
    """
    changes = [each.set for each in format.overrides if each.holds(division, round, boat)]
    if not format.overrides:
        return format
    data = as_data(format)
    data.pop("overrides", None)
    for change in changes:
        data = merged(data, change)
    return read_format(data)


def effective_or_base(
    format: Format, division: str | None = None, round: str | None = None
) -> Format:
    """What holds, or the base alone where exceptions clash that were never meant to meet.

    That happens when a division is renamed after its format was published.
    """
    try:
        return effective(format, division, round)
    except FormatError:
        return replace(format, overrides=())


def _override_contradictions(format: Format, known: list[Problem]) -> list[Problem]:
    """What is wrong only where an override holds; `known` is what was found before."""
    found: list[Problem] = []
    before = set(known)
    for number, override in enumerate(format.overrides):
        data = as_data(format)
        data.pop("overrides", None)
        _, problems = try_format(merged(data, override.set))
        there = [
            Problem(("overrides", number, "set", *problem.path), problem.message)
            for problem in problems
            if problem not in before
        ]
        found += [problem for problem in there if problem not in before]
    return found


def as_data(format: Format) -> dict[str, Any]:
    """The format as plain data, ready for JSON; what is not stated is left out."""
    data = _group_as_data(format)
    if format.overrides:
        data["overrides"] = [_override_as_data(each) for each in format.overrides]
    return data


def as_toml(format: Format) -> str:
    """The format as TOML that `load_format` reads back to an equal value."""
    return tomli_w.dumps(as_data(format))


def _group_as_data(group: Any) -> dict[str, Any]:
    data: dict[str, Any] = {}
    for name, key, spec in _described(type(group)):
        value = getattr(group, name)
        if value is None:
            continue
        if spec.kind is Kind.GROUP:
            inner = _group_as_data(value)
            if inner:
                data[key] = inner
        elif spec.kind is Kind.CONDITION:
            data[key] = _condition_as_data(value)
        elif spec.kind is Kind.LIST:
            data[key] = [_group_as_data(each) for each in value]
        else:
            data[key] = value_as_data(spec, value)
    return data


def _condition_as_data(condition: Condition) -> dict[str, Any]:
    data = _group_as_data(condition)
    if condition.any_of is not None:
        data["any_of"] = [_condition_as_data(each) for each in condition.any_of]
    if condition.unless is not None:
        data["unless"] = _condition_as_data(condition.unless)
    return data


def _override_as_data(override: Override) -> dict[str, Any]:
    pairs = zip(WHEN_KEYS, (override.divisions, override.rounds, override.boats), strict=True)
    when = {key: list(names) for key, names in pairs if names is not None}
    return {"when": when, "set": _plain_data(override.set)}


def _plain_data(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _plain_data(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain_data(inner) for inner in value]
    return value.isoformat() if isinstance(value, date | datetime) else value
