"""Plans beside each other: what is compared, and what another format changes for a run."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from django.db.models import prefetch_related_objects
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.models import Edition
from events.rules.differences import Difference, differences
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.findings import Finding, Grade
from events.rules.format import Format
from events.rules.notation import write_run
from riders.models import Entry, PlannedRun, PlanVariant, Rider
from riders.planner import Planner
from riders.planning.survival import Survival
from riders.rows import sheet_from_data
from riders.services import without_records
from riders.strips import planned_strip

PLANS_MOST = 4
TOO_MANY = gettext_lazy(
    "At most four plans can be compared. These are the first {number} you chose."
)
NOT_THERE = gettext_lazy(
    "A plan that you asked for is not there any more: choose from the list."
)


@dataclass(frozen=True)
class Choice:
    """A plan or a variant that can be chosen; `key` names it in an address."""

    key: str
    plan: PlannedRun | PlanVariant

    @property
    def entry(self) -> Entry:
        """Whose plan it is."""
        return self.plan.entry

    @property
    def name(self) -> str:
        """The variant's name, or that it is the plan itself."""
        return self.plan.name if isinstance(self.plan, PlanVariant) else _("the plan")

    @property
    def place(self) -> str:
        """Event, division and round."""
        division = self.entry.division
        parts = [division.event.name, division.name, self.plan.round_name]
        return ", ".join(filter(None, parts))


def choices_of(rider: Rider) -> list[Choice]:
    """The rider's plans and variants with something in them, the newest event first."""
    prefetch_related_objects([rider], "records", "landing_days", "own_tricks")
    plans, variants = (
        model.objects.filter(entry__rider=rider)
        .select_related("entry__division__event__club")
        .prefetch_related("entry__division__editions", "entry__division__event__club__tricks")
        for model in (PlannedRun, PlanVariant)
    )
    found = [Choice(f"p{each.pk}", each) for each in plans]
    found += [Choice(f"v{each.pk}", each) for each in variants]
    kept = [c for c in found if c.entry.division.edition and sheet_from_data(c.plan.rows).size]
    for choice in kept:
        choice.entry.rider = rider  # with its records, so that no plan asks again
    kept.sort(key=lambda c: (c.place, isinstance(c.plan, PlanVariant), c.name))
    return sorted(kept, key=lambda c: c.entry.division.event.first_day, reverse=True)


def choose(choices: Sequence[Choice], keys: Iterable[str]) -> tuple[list[Choice], list[str]]:
    """The plans that an address names, at most four, and a sentence for each trouble."""
    by_key = {choice.key: choice for choice in choices}
    asked = list(dict.fromkeys(keys))
    chosen = [by_key[key] for key in asked if key in by_key]
    troubles = []
    if len(chosen) < len(asked):
        troubles.append(str(NOT_THERE))
    if len(chosen) > PLANS_MOST:
        troubles.append(TOO_MANY.format(number=PLANS_MOST))
    return chosen[:PLANS_MOST], troubles


class Compared:
    """One plan, read and checked, as it stands beside others."""

    def __init__(self, planner: Planner, name: str = "", place: str = "") -> None:
        self.planner = planner
        self.name = name
        self.place = place
        self.findings: tuple[Finding, ...] = planner.check.findings if planner.check else ()
        self.survival = planner.check.survival if planner.check else Survival()
        self.shorthand = write_run(without_records(planner.run)) if len(planner.run) else ""

    @property
    def is_legal(self) -> bool | None:
        """Whether no rule is broken; None where there is nothing to check."""
        if self.planner.check is None or not len(self.planner.run):
            return None
        return self.planner.check.is_legal

    @property
    def strip(self) -> str:
        """The plan on the course, as safe SVG."""
        check = self.planner.check
        return planned_strip(check, self.planner.format, self.planner.units) if check else ""

    @property
    def counts(self) -> list[int]:
        """How many findings of each grade, in the order of the grades."""
        return [sum(f.grade is grade for f in self.findings) for grade in Grade]


def compared(choice: Choice, units: Units = AS_PUBLISHED) -> Compared:
    """A chosen plan under the edition in force in its own division."""
    edition = choice.entry.division.edition
    assert edition is not None
    sheet = sheet_from_data(choice.plan.rows)
    planner = Planner(choice.entry, edition, choice.plan.round_name, sheet, units=units)
    return Compared(planner, choice.name, choice.place)


def grade_lines(plans: Sequence[Compared]) -> list[tuple[str, list[tuple[Compared, int]]]]:
    """Each grade that any of the plans has, with every plan's number of findings."""
    lines = []
    for index, grade in enumerate(Grade):
        line = [(plan, plan.counts[index]) for plan in plans]
        if any(count for _, count in line):
            lines.append((grade.label, line))
    return lines


@dataclass(frozen=True)
class Change:
    """What another format changes for a run."""

    before: Compared
    after: Compared
    new: list[Finding]
    gone: list[Finding]
    same: list[Finding]
    groups: list[tuple[str, list[str]]]


def change_of(
    source: PlannedRun,
    old: Edition,
    entry: Entry,
    new: Edition,
    round_name: str,
    units: Units = AS_PUBLISHED,
) -> Change:
    """The same rows under the format of their own place and of another."""
    sheets = (sheet_from_data(source.rows) for _ in range(2))
    before = Compared(Planner(source.entry, old, source.round_name, next(sheets), units=units))
    after = Compared(Planner(entry, new, round_name, next(sheets), units=units))
    new_there, gone, both = sorted_out(before.findings, after.findings)
    return Change(
        before,
        after,
        new=new_there,
        gone=gone,
        same=both,
        groups=grouped(
            old.effective(source.round_name or None), new.effective(round_name or None)
        ),
    )


def sorted_out(
    before: Sequence[Finding], after: Sequence[Finding]
) -> tuple[list[Finding], list[Finding], list[Finding]]:
    """The findings after that are new, those before that are gone, and the rest of those after.

    A finding of the same kind at the same place is the same finding, though its sentence may
    name another number.
    """
    left, new = list(before), list(after)
    for same in (_exactly, _alike):
        for finding in tuple(new):
            match = next((each for each in left if same(each) == same(finding)), None)
            if match is not None:
                left.remove(match)
                new.remove(finding)
    both = list(after)
    for finding in new:
        both.remove(finding)
    return new, left, both


def _exactly(finding: Finding) -> tuple[object, ...]:
    return finding.grade, finding.message, finding.pass_no, finding.position


def _alike(finding: Finding) -> tuple[object, ...]:
    return finding.code, finding.grade, finding.words, finding.pass_no, finding.position


def grouped(old: Format, new: Format) -> list[tuple[str, list[str]]]:
    """The differences of two formats under the headings of their answers."""

    def heading(each: Difference) -> str:
        return each.group

    found = sorted(differences(old, new), key=heading)
    return [(name, [d.sentence for d in each]) for name, each in groupby(found, heading)]
