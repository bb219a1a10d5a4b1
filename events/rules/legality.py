"""Whether a run is legal under a format, and every reason why.

Each rule is a small function of a subject (the run, the format, the round and division) that
yields findings. `RULES` is the order in which they are reported.
"""

from events.rules.figures import AS_PUBLISHED, Units
from events.rules.findings import Finding, is_legal
from events.rules.format import Format
from events.rules.rules_bonus import bonus_asked, bonus_condition, bonus_offered, bonus_once
from events.rules.rules_limits import limits
from events.rules.rules_passes import (
    declared_order,
    different_tricks,
    double_up_inside_pass,
    empty_passes,
    fixed_stance,
    pass_count,
    tricks_least,
    tricks_most,
)
from events.rules.rules_repeats import repeats
from events.rules.run import Run
from events.rules.subject import Subject

RULES = (
    empty_passes,
    pass_count,
    tricks_most,
    tricks_least,
    different_tricks,
    repeats,
    limits,
    double_up_inside_pass,
    bonus_offered,
    bonus_once,
    bonus_condition,
    bonus_asked,
    declared_order,
    fixed_stance,
)


def legality(
    run: Run,
    format: Format,
    division: str | None = None,
    round: str | None = None,
    units: Units = AS_PUBLISHED,
) -> list[Finding]:
    """Everything the rules find, all at once, in a fixed order.

    `format` must be the effective one: see `events.rules.loading.effective`.
    """
    subject = Subject(run, format, division, round, units)
    return [finding for rule in RULES for finding in rule(subject)]


def may_be_ridden(
    run: Run, format: Format, division: str | None = None, round: str | None = None
) -> bool:
    """Whether the run breaks no rule."""
    return is_legal(legality(run, format, division, round))
