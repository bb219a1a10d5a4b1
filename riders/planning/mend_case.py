"""A finding to be mended in its run, and what a mend is."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from events.rules.findings import Finding
from events.rules.run import PlannedTrick, Run
from riders.planning.ground import Ground, Record, bare


@dataclass(frozen=True, slots=True)
class Mend:
    """A change in words, and the run after it."""

    sentence: str
    run: Run


@dataclass(frozen=True, slots=True)
class Case:
    """A finding to be mended in its run."""

    finding: Finding
    run: Run
    ground: Ground
    record: Record

    @property
    def pass_no(self) -> int:
        return self.finding.pass_no or 1

    @property
    def here(self) -> tuple[int, int]:
        return self.pass_no, self.finding.position or 1

    @property
    def tricks(self) -> tuple[PlannedTrick, ...]:
        """The tricks of the pass that is meant."""
        return self.run.passes[self.pass_no - 1].tricks

    @property
    def planned(self) -> PlannedTrick:
        """The trick that is meant."""
        return self.run.passes[self.pass_no - 1].attempts[self.here[1] - 1]

    @property
    def is_on_course(self) -> bool:
        """Whether a trick of the pass is meant, not a bonus trick."""
        return self.here[1] <= len(self.tricks)


Ways = Callable[[Case], Iterable[Mend]]
"""The changes to try for a finding."""


def unused(run: Run, record: Iterable[PlannedTrick]) -> list[PlannedTrick]:
    """The tricks of a record that the run does not have."""
    planned = {bare(place.planned) for place in run.places()}
    return [each for each in record if bare(each) not in planned]
