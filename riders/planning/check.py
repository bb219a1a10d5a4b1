"""The whole check of a run: rules, route and survival in one call."""

from dataclasses import dataclass

from events.rules.figures import AS_PUBLISHED, Units
from events.rules.findings import Finding, is_legal
from events.rules.format import Format
from events.rules.legality import legality
from events.rules.run import Run
from riders.planning.advice import route_findings
from riders.planning.route import Foot, Route, Side, plan_route
from riders.planning.survival import Survival, needs, survive


@dataclass(frozen=True, slots=True)
class Check:
    """What a check found; `findings` come in the order rules, course and planning."""

    run: Run
    findings: tuple[Finding, ...]
    route: Route
    survival: Survival

    @property
    def is_legal(self) -> bool:
        """Whether the run breaks no rule."""
        return is_legal(self.findings)

    def at(self, pass_no: int, position: int) -> tuple[Finding, ...]:
        """The findings about one planned trick."""
        return tuple(
            f for f in self.findings if f.pass_no == pass_no and f.position == position
        )

    @property
    def general(self) -> tuple[Finding, ...]:
        """The findings about the whole run or a whole pass."""
        return tuple(finding for finding in self.findings if finding.position is None)


def check(
    run: Run,
    format: Format,
    *,
    foot: Foot = Foot.LEFT,
    side: Side = Side.STARBOARD,
    division: str | None = None,
    round: str | None = None,
    units: Units = AS_PUBLISHED,
) -> Check:
    """Check a run against an effective format for a rider who starts on `side`.

    The findings tell lengths in `units`; nothing else depends on them.
    """
    route = plan_route(run, format, foot, side)
    findings = (
        *legality(run, format, division, round, units),
        *route_findings(run, format, route, units),
        *needs(run, format, route),
    )
    survival = survive(run, format, route, round=round, division=division)
    return Check(run, _once(findings), route, survival)


def _once(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    # Two parts of the check may miss the same value of the format; it is said once.
    return tuple(dict.fromkeys(findings))
