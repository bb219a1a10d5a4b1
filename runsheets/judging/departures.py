"""Where a run as it was ridden departs from the declared one and from the format.

Pure Python. A departure is a sentence for the judges. Nothing here takes a mark away or
disqualifies anybody.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from events.rules.findings import Finding, Grade
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from events.rules.legality import legality
from events.rules.notation_match import write_words
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.words import OutOfOrder
from riders.planning.route import plan_route
from riders.planning.whatif import Ending, Story, follow

# A run that falls cut short lacks passes and tricks; the places not ridden tell that.
SHORTNESS = frozenset(
    {"run-empty", "pass-empty", "pass-missing", "pass-count", "too-few-tricks",
     "too-few-different", "limit-least", "double-up-missing"}
)  # fmt: skip
OUT_OF_ORDER = {
    OutOfOrder.NOT_COUNTED: mark(
        "{trick} was declared for another place. The declared order is binding; a trick out of "
        "it is not counted."
    ),
    OutOfOrder.MARKED_DOWN: mark(
        "{trick} was declared for another place. The declared order is binding; a trick out of "
        "it is marked down."
    ),
    OutOfOrder.JUDGES_DECIDE: mark(
        "{trick} was declared for another place. The declared order is binding; the judges "
        "decide what a trick out of it is worth."
    ),
    None: mark(
        "{trick} was declared for another place. The declared order is binding; what a trick "
        "out of it is worth is not stated."
    ),
}


class Outcome(StrEnum):
    """What became of a place. Nothing is known of an open one yet."""

    OPEN = ""
    LANDED = "landed"
    FALLEN = "fallen"
    NOT_REACHED = "not reached"


class Kind(StrEnum):
    """What a departure is about."""

    CHANGED = "another trick"
    ORDER = "out of order"
    EXTRA = "extra trick"
    LEFT_OUT = "left out"
    FALLS = "after the last fall"
    RULE = "rule"
    UNCOUNTED = "not counted"
    UNREAD = "not read"


@dataclass(frozen=True, slots=True)
class Ridden:
    """One place of a pass as it was ridden, bonus tricks after the tricks of the pass.

    `planned` is None where nothing was declared. `words` are what was typed for a trick
    ridden instead, and `actual` is that trick; None where the words could not be read.
    """

    planned: PlannedTrick | None
    outcome: Outcome
    actual: PlannedTrick | None = None
    words: str = ""
    bonus: str = ""

    @property
    def was_ridden(self) -> bool:
        """Whether the rider tried it, landed or not."""
        return self.outcome in (Outcome.LANDED, Outcome.FALLEN)

    @property
    def trick(self) -> PlannedTrick | None:
        """What was ridden; None where nothing was, or nobody can tell."""
        if not self.was_ridden:
            return None
        found = self.actual if self.words else self.actual or self.planned
        if found is None:
            return None
        fell = self.outcome is Outcome.FALLEN
        return replace(found, fell=fell, bonus=self.bonus, chance=None, landed=None, tried=None)


@dataclass(frozen=True, slots=True)
class Departure:
    """One thing for the judges to look at. Pass and place count from 1; None: the run."""

    kind: Kind
    sentence: str
    pass_no: int | None = None
    place: int | None = None


def departures(
    declared: Run | None,
    actual: Sequence[Sequence[Ridden]],
    format: Format,
    division: str | None = None,
    round: str | None = None,
) -> tuple[Departure, ...]:
    """Every departure: from the declared run first, then what the format says of the rest.

    `format` must be the effective one. Without a declared run only the format is looked at.
    Of what the rules find, only breaches and tricks that do not count are told, and only
    those that the declared run does not have already; a shortage of tricks is not, since a
    run may end by falls. Where the course lies is not known here, so that no marker is
    looked at.
    """
    found = [*_against_declared(declared, actual, format)] if declared else []
    found += _unread(actual)
    run, places = as_run(actual)
    found += _after_the_last_fall(run, places, format, division, round)
    found += _against_rules(declared, run, places, format, division, round)
    return tuple(_with_place(each, actual) for each in found)


def _with_place(each: Departure, actual: Sequence[Sequence[Ridden]]) -> Departure:
    """The sentence with the place that it speaks of before it."""
    if each.pass_no is None:
        return each
    said, bonus = _("Pass {number}: {sentence}"), ""
    if each.place is not None:
        bonus = actual[each.pass_no - 1][each.place - 1].bonus
        said = _("Pass {number}, trick {place}: {sentence}")
    if bonus:
        said = _("Pass {number}, {bonus}: {sentence}")
    told = said.format(
        number=each.pass_no, place=each.place, bonus=bonus, sentence=each.sentence
    )
    return replace(each, sentence=told)


def _against_declared(
    declared: Run, actual: Sequence[Sequence[Ridden]], format: Format
) -> Iterator[Departure]:
    tricks = {each.trick for each in declared.places()}
    for pass_no, places in enumerate(actual, start=1):
        for at, each in enumerate(places, start=1):
            if each.was_ridden and each.planned is None:
                if each.trick is not None:
                    said = _("{trick} was ridden and not declared.")
                    said = said.format(trick=_name(each.trick))
                    yield Departure(Kind.EXTRA, said, pass_no, at)
            elif each.planned is None:
                continue
            elif each.trick is not None and each.trick.trick != each.planned.trick:
                said = _("{planned} was declared, {ridden} was ridden.")
                said = said.format(planned=_name(each.planned), ridden=_name(each.trick))
                yield Departure(Kind.CHANGED, said, pass_no, at)
                if format.declared_order.binding and each.trick.trick in tricks:
                    said = _(OUT_OF_ORDER[format.declared_order.out_of_order])
                    said = said.format(trick=_name(each.trick))
                    yield Departure(Kind.ORDER, said, pass_no, at)
            elif each.outcome is Outcome.NOT_REACHED and _went_on(actual, pass_no, at):
                said = _("{trick} was not ridden, though riding went on after it.")
                said = said.format(trick=_name(each.planned))
                yield Departure(Kind.LEFT_OUT, said, pass_no, at)


def _went_on(actual: Sequence[Sequence[Ridden]], pass_no: int, place: int) -> bool:
    """Whether a later trick of the pass was ridden, or a later pass after one without a fall.

    A fall uses up course, so that the end of its pass may never have been reached.
    """
    here = actual[pass_no - 1]
    if any(each.was_ridden for each in here[place:]):
        return True
    if any(each.outcome is Outcome.FALLEN for each in here):
        return False
    return any(each.was_ridden for later in actual[pass_no:] for each in later)


def _unread(actual: Sequence[Sequence[Ridden]]) -> Iterator[Departure]:
    for pass_no, places in enumerate(actual, start=1):
        for at, each in enumerate(places, start=1):
            if each.was_ridden and each.trick is None:
                said = _("“{words}” is no trick known here, so it was not checked.")
                said = said.format(words=each.words)
                yield Departure(Kind.UNREAD, said, pass_no, at)


def as_run(
    actual: Sequence[Sequence[Ridden]],
) -> tuple[Run, dict[tuple[int, int], int]]:
    """The ridden tricks as a run, and the place of each by its pass and position in it."""
    passes, places = [], {}
    for pass_no, each in enumerate(actual, start=1):
        ridden = [(at, one.trick) for at, one in enumerate(each, start=1)]
        inside = [(at, one) for at, one in ridden if one is not None and not one.bonus]
        after = [(at, one) for at, one in ridden if one is not None and one.bonus]
        for position, (at, _one) in enumerate(inside + after, start=1):
            places[pass_no, position] = at
        passes.append(Pass(tuple(one for _at, one in inside), tuple(one for _at, one in after)))
    while passes and not passes[-1].attempts:
        passes.pop()
    return Run(tuple(passes)), places


def story_of(run: Run, format: Format, division: str | None, round: str | None) -> Story:
    """What the marked falls of a run lead to, wherever on the course it was ridden."""
    anywhere = replace(
        format, passes=replace(format.passes, length_m=None), pickup_cutoffs=None
    )
    return follow(run, anywhere, plan_route(run, anywhere), round, division)


def _after_the_last_fall(
    run: Run,
    places: dict[tuple[int, int], int],
    format: Format,
    division: str | None,
    round: str | None,
) -> list[Departure]:
    """Tricks ridden after a fall that ended the pass or the run."""
    if not run.has_marks:
        return []
    story = story_of(run, format, division, round)
    offered = {(each.place.pass_no, each.place.position) for each in story.offers}
    late = [
        each
        for each in story.not_reached
        if (each.pass_no, each.position) not in offered or story.ending is Ending.FALLS
    ]
    if not late:
        return []
    said = ngettext(
        "The run had {number} counted fall, more than allowed; {trick} was ridden after that.",
        "The run had {number} counted falls, more than allowed; {trick} was ridden after that.",
        story.falls,
    )
    return [
        Departure(
            Kind.FALLS,
            said.format(number=story.falls, trick=_name(each.planned)),
            each.pass_no,
            places[each.pass_no, each.position],
        )
        for each in late
    ]


def _against_rules(
    declared: Run | None,
    run: Run,
    places: dict[tuple[int, int], int],
    format: Format,
    division: str | None,
    round: str | None,
) -> Iterator[Departure]:
    known = Counter(
        (each.code, each.message)
        for each in (legality(declared, format, division, round) if declared else ())
    )
    too_many = len(run.passes) > (format.passes.count or len(run.passes))
    short = SHORTNESS - {"pass-count"} if too_many else SHORTNESS
    for each in legality(run, format, division, round):
        if each.grade not in (Grade.RULE, Grade.UNCOUNTED) or each.code in short:
            continue
        if known[each.code, each.message]:
            known[each.code, each.message] -= 1
            continue
        yield _departure(each, places)


def _departure(finding: Finding, places: dict[tuple[int, int], int]) -> Departure:
    kind = Kind.RULE if finding.grade is Grade.RULE else Kind.UNCOUNTED
    at = None
    if finding.pass_no is not None and finding.position is not None:
        at = places.get((finding.pass_no, finding.position))
    return Departure(kind, finding.message, finding.pass_no, at)


def _name(planned: PlannedTrick) -> str:
    return write_words(planned)
