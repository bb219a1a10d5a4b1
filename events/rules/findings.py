"""What a check says: one finding for each thing it found."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from events.rules.language import gettext as _
from events.rules.language import mark


class Grade(StrEnum):
    """How much a finding weighs. Only RULE makes a run illegal."""

    RULE = "rule"  # breaks a rule
    UNCOUNTED = "uncounted"  # legal, but not counted
    UNREACHABLE = "unreachable"  # cannot be reached
    WARNING = "warning"  # discouraged or doubtful
    UNSTATED = "unstated"  # depends on something the format leaves open
    ADVICE = "advice"

    @property
    def label(self) -> str:
        """The grade as riders read it."""
        return _(_LABELS[self])


_LABELS = {
    Grade.RULE: mark("Breaks a rule"),
    Grade.UNCOUNTED: mark("Legal, not counted"),
    Grade.UNREACHABLE: mark("Cannot be reached"),
    Grade.WARNING: mark("Doubtful"),
    Grade.UNSTATED: mark("Not stated"),
    Grade.ADVICE: mark("Advice"),
}


@dataclass(frozen=True, slots=True)
class Finding:
    """One result of a check.

    `code` is stable and lower-case-with-hyphens. `pass_no` and `position` count from 1;
    None means the whole run, or the whole pass. `message` says what was found and `hint`
    how to mend it. `words` are the organiser's own, where there are any.
    """

    code: str
    grade: Grade
    message: str
    hint: str = ""
    pass_no: int | None = None
    position: int | None = None
    words: str = ""


def is_legal(findings: Iterable[Finding]) -> bool:
    """Whether nothing found breaks a rule."""
    return all(finding.grade is not Grade.RULE for finding in findings)
