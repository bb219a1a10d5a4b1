"""What stands on a run sheet, as plain rows; drawing them is another matter.

Pure Python. Landing chances and records belong to the rider and never reach these rows.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from events.rules.answers_words import joined
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.notation import write_trick
from events.rules.run import Pass, PlannedTrick, Run

LINES_IF_UNKNOWN = 5
NOT_DECLARED = mark("No run declared")
NO_CRITERIA = (mark("Mark"),)

Wording = Callable[[PlannedTrick], str]


@dataclass(frozen=True)
class Starter:
    """A rider in the running order, with the declared run; None if there is none.

    `order` is 0 for a rider without a place. `notes` are printed after "no run declared".
    """

    order: int
    name: str
    bib: str = ""
    stance: str = ""
    club: str = ""
    run: Run | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class BlankRun:
    """What the format asks for: passes, lines in each, and extras offered after each pass."""

    passes: int = 1
    lines: int = LINES_IF_UNKNOWN
    extras: tuple[tuple[str, ...], ...] = ()

    @classmethod
    def of(cls, rules: Format) -> "BlankRun":
        """The blank run of an effective format; five lines where no number is stated."""
        asked = rules.passes
        count = asked.count or 1
        extras = tuple(
            tuple(extra.name or "" for extra in rules.bonus_after(number))
            for number in range(1, count + 1)
        )
        wanted = asked.tricks_expected or asked.tricks_most or asked.tricks_least
        return cls(count, wanted or LINES_IF_UNKNOWN, extras)

    def extras_after(self, pass_no: int) -> tuple[str, ...]:
        """The names of the extras offered after a pass."""
        return self.extras[pass_no - 1] if pass_no <= len(self.extras) else ()


@dataclass(frozen=True)
class Line:
    """One line to tick. `label` is a number, or the name of a bonus trick."""

    label: str
    text: str = ""


@dataclass(frozen=True)
class PassRows:
    """The lines of one pass, and the bonus lines after it."""

    heading: str
    lines: tuple[Line, ...]
    bonus: tuple[Line, ...] = ()


@dataclass(frozen=True)
class RiderSheet:
    """Everything printed for one rider. `note` says so where no run was declared."""

    order: int
    name: str
    bib: str
    stance: str
    club: str
    passes: tuple[PassRows, ...]
    note: str = ""


@dataclass(frozen=True)
class StripMark:
    """A marker on the course: metres from the start of the pass, and what it means."""

    metres: float
    label: str


@dataclass(frozen=True)
class CourseStrip:
    """A pass as a line of `length_m` metres with its markers in riding order."""

    title: str
    length_m: float
    marks: tuple[StripMark, ...] = ()


def sheet_rows(
    starters: Sequence[Starter], blank: BlankRun, wording: Wording = write_trick
) -> tuple[RiderSheet, ...]:
    """The rows of every starter, as given.

    `wording` puts a planned trick into words, by default in notation; it is shown the
    trick without the rider's chance and record. Passes that were not declared get `blank`
    lines to write on, and so do extras that are offered but not declared.
    """
    return tuple(_rider_sheet(starter, blank, wording) for starter in starters)


def _rider_sheet(starter: Starter, blank: BlankRun, wording: Wording) -> RiderSheet:
    declared = starter.run.passes if starter.run else ()
    count = max(blank.passes, len(declared))
    return RiderSheet(
        order=starter.order,
        name=starter.name,
        bib=starter.bib,
        stance=starter.stance,
        club=starter.club,
        passes=tuple(
            _pass_rows(number, declared[number - 1 : number], blank, wording)
            for number in range(1, count + 1)
        ),
        note=", ".join((*(() if starter.run else (_(NOT_DECLARED),)), *starter.notes)),
    )


def _pass_rows(
    number: int, declared: tuple[Pass, ...], blank: BlankRun, wording: Wording
) -> PassRows:
    texts = [_words(planned, wording) for each in declared for planned in each.tricks]
    bonus = [
        Line(_label(planned.bonus), _words(planned, wording))
        for each in declared
        for planned in each.bonus
    ]
    taken = {line.label for line in bonus}
    offered = map(_label, blank.extras_after(number))
    bonus += [Line(name) for name in offered if name not in taken]
    lines = enumerate(texts or [""] * blank.lines, start=1)
    return PassRows(
        _("Pass {number}").format(number=number),
        tuple(Line(str(n), t) for n, t in lines),
        tuple(bonus),
    )


def _words(planned: PlannedTrick, wording: Wording) -> str:
    return wording(replace(planned, landed=None, tried=None, chance=None, fell=False))


def _label(bonus: str) -> str:
    return bonus[:1].upper() + bonus[1:] if bonus else _("Bonus")


def mark_labels(criteria: Sequence[tuple[str, float | None]]) -> tuple[str, ...]:
    """Labels for the boxes of the judging criteria; one box "Mark" if there are none.

    Weights that add up to 100 (or to 1) are written in per cent, others as they are.
    """
    total = sum(weight or 0 for _, weight in criteria)
    scale = 1 if round(total, 6) == 100 else 100 if round(total, 6) == 1 else None
    return tuple(_mark_label(*each, scale) for each in criteria) or tuple(map(_, NO_CRITERIA))


def _mark_label(name: str, weight: float | None, scale: int | None) -> str:
    if weight is None:
        return name
    if scale is None:
        return f"{name} \N{MULTIPLICATION SIGN} {weight:g}"
    return f"{name} {weight * scale:g} %"


def course_strips(rules: Format) -> tuple[CourseStrip, ...]:
    """The passes of an effective format as lines with their cutoff markers.

    Passes of one length share a line; a marker that does not stand in all of them says in
    which it does. A pass of unknown length has no line, and a marker whose place is not
    stated, or lies beyond the end, is left out.
    """
    count = rules.passes.count or 1
    alike: dict[float, list[int]] = {}
    for number in range(1, count + 1):
        length = rules.pass_length(number)
        if length:
            alike.setdefault(length, []).append(number)
    return tuple(
        CourseStrip(_passes_title(numbers, count), length, _marks(rules, numbers, length))
        for length, numbers in alike.items()
    )


def _marks(rules: Format, numbers: list[int], length: float) -> tuple[StripMark, ...]:
    found: dict[tuple[float, str], list[int]] = {}
    for number in numbers:
        for metres, label in _stated_marks(rules, number):
            if metres is not None and metres <= length:
                found.setdefault((metres, label), []).append(number)
    marks = [
        StripMark(metres, label if places == numbers else f"{_passes(places)}: {label}")
        for (metres, label), places in found.items()
    ]
    return tuple(sorted(marks, key=lambda mark: mark.metres))


def _stated_marks(rules: Format, number: int) -> list[tuple[float | None, str]]:
    no_pickup = [
        (rules.marker(number, cut.at_m, cut.at_fraction), _("no pick-up past here"))
        for cut in rules.pickup_cutoffs or ()
        if cut.pass_no in (number, None)
    ]
    lost = [
        (
            rules.marker(number, extra.cutoff_m, extra.cutoff_fraction),
            _("no {bonus} after a fall past here").format(bonus=extra.name),
        )
        for extra in rules.bonus_after(number)
    ]
    return no_pickup + lost


def _passes_title(numbers: list[int], count: int) -> str:
    if len(numbers) < count:
        return _passes(numbers)
    return _("Each pass") if count > 1 else _("The pass")


def _passes(numbers: list[int]) -> str:
    if len(numbers) == 1:
        return _("Pass {number}").format(number=numbers[0])
    return _("Passes {numbers}").format(numbers=joined(map(str, numbers)))
