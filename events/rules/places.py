"""Where a format is looked at: the divisions, rounds and boats that it names."""

from collections.abc import Iterable, Iterator
from difflib import get_close_matches

from events.rules.answers_words import joined, quoted
from events.rules.findings import Finding, Grade
from events.rules.format import Format, Override, named
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.loading import read_group
from events.rules.reading import misspelt

KINDS = ("division", "round", "boat")
_NO_SUCH = {
    "division": mark(
        "The format has no division {name}; {near} may be meant. It names {known}."
    ),
    "round": mark("The format has no round {name}; {near} may be meant. It names {known}."),
    "boat": mark("The format has no boat {name}; {near} may be meant. It names {known}."),
}
_DIFFERS = {
    "division": (
        mark("These rules differ by division: {names}; checked without one."),
        mark("Name the division."),
    ),
    "round": (
        mark("These rules differ by round: {names}; checked without one."),
        mark("Name the round."),
    ),
    "boat": (
        mark("These rules differ by boat: {names}; checked without one."),
        mark("Name the boat."),
    ),
}
_NOT_NAMED = {
    "division": mark("The format does not name the division {name}; no exception holds."),
    "round": mark("The format does not name the round {name}; no exception holds."),
    "boat": mark("The format does not name the boat {name}; no exception holds."),
}


def known_names(format: Format) -> dict[str, tuple[str, ...]]:
    """Every division, round and boat that the format names anywhere, by kind."""
    parts = [format, *(read_group(Format, each.set, (), []) for each in format.overrides)]
    bonuses = [bonus for part in parts for bonus in part.double_ups or ()]
    rounds = [each for part in parts for each in part.rounds or ()]
    elsewhere: dict[str, list[str | None]] = {
        "division": [name for bonus in bonuses for name in bonus.divisions or ()],
        "round": [
            *(each.name for each in rounds),
            *(name for bonus in bonuses for name in bonus.rounds or ()),
        ],
        "boat": [],
    }
    return {kind: _once([*_in_overrides(format, kind), *elsewhere[kind]]) for kind in KINDS}


def unknown_names(
    format: Format, division: str | None, round: str | None, boat: str | None
) -> list[str]:
    """A sentence for each name that cannot be meant: a misspelt one, or a round not listed.

    Where rounds are not listed, and for divisions and boats, a format names only those in
    which something differs; another name may be right.
    """
    problems = []
    for kind, name, known in _not_named(format, (division, round, boat)):
        near = misspelt(name, known)
        if near is None and kind == "round" and format.rounds:
            spellings = {each.casefold(): each for each in known}
            near = spellings[get_close_matches(name.casefold(), spellings, 1, 0)[0]]
        if near is not None:
            problems.append(
                _(_NO_SUCH[kind]).format(
                    name=quoted(name), near=quoted(near), known=joined(map(quoted, known))
                )
            )
    return problems


def _not_named(
    format: Format, given: tuple[str | None, ...]
) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """(kind, name, known ones) of names that are not among those that the format has."""
    known = known_names(format)
    for kind, name in zip(KINDS, given, strict=True):
        if name is not None and known[kind] and not named(name, known[kind]):
            yield kind, name, known[kind]


def open_questions(
    format: Format, division: str | None, round: str | None, boat: str | None
) -> tuple[Finding, ...]:
    """What stays open where rules differ by something not given, or not known to them.

    `format` is the whole one, with its overrides.
    """
    findings = []
    for kind, given in zip(KINDS, (division, round, boat), strict=True):
        names = _once(_in_overrides(format, kind))
        if names and given is None:
            message, hint = _DIFFERS[kind]
            message, hint = _(message).format(names=joined(names)), _(hint)
            findings.append(Finding(f"differs-by-{kind}", Grade.UNSTATED, message, hint))
    for kind, name, known in _not_named(format, (division, round, boat)):
        message = _(_NOT_NAMED[kind]).format(name=quoted(name))
        hint = _("It names {known}: see whether one of them is meant.").format(
            known=joined(map(quoted, known))
        )
        findings.append(Finding(f"{kind}-not-named", Grade.WARNING, message, hint))
    return tuple(findings)


def _in_overrides(format: Format, kind: str) -> list[str]:
    return [name for each in format.overrides for name in _when(each)[kind] or ()]


def _when(override: Override) -> dict[str, tuple[str, ...] | None]:
    groups = (override.divisions, override.rounds, override.boats)
    return dict(zip(KINDS, groups, strict=True))


def _once(names: Iterable[str | None]) -> tuple[str, ...]:
    """The names, each in its first spelling, told apart without regard to case."""
    first: dict[str, str] = {}
    for name in names:
        if name:
            first.setdefault(name.casefold(), name)
    return tuple(first.values())
