"""What the rules look at: a run, the format it is checked against, and where it is ridden."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from events.rules.answers_words import number as in_words
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.findings import Finding, Grade
from events.rules.format import Format, named
from events.rules.language import mark
from events.rules.riding import DoubleUp
from events.rules.run import PlannedTrick, Run
from events.rules.trick import Trick
from events.rules.words import Breach

ASK = mark("Ask the organiser.")
"""The hint of every finding that depends on what the format leaves open."""

IN_WORDS_UP_TO = 10


class Spot(NamedTuple):
    """One planned trick with its place and the bonus that it claims, if the format has it."""

    pass_no: int
    position: int
    planned: PlannedTrick
    trick: Trick
    bonus: DoubleUp | None

    @property
    def at(self) -> tuple[int, int]:
        """Its pass and its position there."""
        return self.pass_no, self.position


@dataclass(frozen=True)
class Subject:
    """A run under an effective format, in a division and a round; None where not known.

    `units` are those that the findings tell figures in.
    """

    run: Run
    format: Format
    division: str | None = None
    round: str | None = None
    units: Units = AS_PUBLISHED

    @cached_property
    def spots(self) -> tuple[Spot, ...]:
        """Every planned trick in declared order."""
        return tuple(self._spots())

    def _spots(self) -> Iterator[Spot]:
        for number, each in enumerate(self.run.passes, start=1):
            for position, planned in enumerate(each.tricks, start=1):
                yield Spot(number, position, planned, planned.trick, None)
            for position, planned in enumerate(each.bonus, start=len(each.tricks) + 1):
                stated = self.stated_bonus(number, planned.bonus)
                yield Spot(number, position, planned, planned.trick, stated)

    def stated_bonus(self, pass_no: int, name: str) -> DoubleUp | None:
        """The bonus trick of that name after that pass, if the format has one."""
        for bonus in self.format.bonus_after(pass_no):
            if bonus.name is not None and named(name, (bonus.name,)):
                return bonus
        return None


def finding_at(
    spot: Spot, code: str, grade: Grade, message: str, hint: str = "", words: str = ""
) -> Finding:
    """A finding about one planned trick."""
    return Finding(code, grade, message, hint, spot.pass_no, spot.position, words)


def grade_of(breach: Breach | None) -> Grade:
    """How a breach weighs in a check; where no effect is stated it breaks a rule."""
    match breach:
        case Breach.NOT_COUNTED:
            return Grade.UNCOUNTED
        case Breach.JUDGES_DECIDE:
            return Grade.WARNING
        case Breach.FOR_INFORMATION:
            return Grade.ADVICE
        case _:
            return Grade.RULE


def spelled(number: int) -> str:
    """A small number in words, "no" for 0; larger ones in figures."""
    return in_words(number) if number <= IN_WORDS_UP_TO else str(number)
