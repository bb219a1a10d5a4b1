"""A check as JSON-ready data, and as text for a person at a terminal, in English."""

from collections.abc import Iterable, Iterator
from typing import Any

from events.rules.findings import Finding
from events.rules.notation import write_trick
from events.rules.units import plain
from riders.planning.check import Check
from riders.planning.route import Route
from riders.planning.survival import Survival, in_hundred, left_out, reading
from riders.planning.unknowns import BONUS_OPEN, CHANCE_MISSING, TOO_LONG
from riders.planning.whatif import Story


def as_json(check: Check, story: Story | None = None) -> dict[str, Any]:
    """The check as plain data.

    Keys: `legal`, `findings`, `route`, `survival`, and `what_if` where falls are marked.
    Figures that cannot be told are None. Passes and positions count from 1.
    """
    data = {
        "legal": check.is_legal,
        "findings": [_finding(finding) for finding in check.findings],
        "route": _route(check.route),
        "survival": _survival(check.survival),
    }
    if story is not None:
        data["what_if"] = {
            "ending": str(story.ending),
            "falls": story.falls,
            "certain": story.certain,
            "landed": [[place.pass_no, place.position] for place in story.landed],
            "not_reached": [[place.pass_no, place.position] for place in story.not_reached],
            "findings": [_finding(finding) for finding in story.findings],
        }
    return data


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "code": finding.code,
        "severity": str(finding.grade),
        "pass": finding.pass_no,
        "position": finding.position,
        "message": finding.message,
        "hint": finding.hint,
    }


def _route(route: Route) -> dict[str, Any]:
    return {
        "moves": [
            {"pass": step.pass_no, "position": step.position, "move": str(move)}
            for step in route.steps()
            for move in step.moves
        ],
        "metres": [each.metres for each in route.passes],
        "dropped": [{"pass": s.pass_no, "position": s.position} for s in route.dropped],
    }


def _survival(survival: Survival) -> dict[str, Any]:
    tricks = None
    if survival.tricks is not None:
        tricks = [
            {
                "pass": odds.place.pass_no,
                "position": odds.place.position,
                "reach": odds.reach,
                "land": odds.land,
            }
            for odds in survival.tricks
        ]
    return {
        "clean": survival.clean,
        "complete": survival.complete,
        "double_up_reached": survival.double_up_reached,
        "double_up_landed": survival.double_up_landed,
        "expected_landed": survival.expected_landed,
        "landed": None if survival.landed is None else list(survival.landed),
        "tricks": tricks,
    }


def as_text(check: Check, story: Story | None = None) -> str:
    """The check as lines for a person."""
    return "\n".join(_lines(check, story))


def _lines(check: Check, story: Story | None) -> Iterator[str]:
    yield "Legal: no rule is broken." if check.is_legal else "Illegal: a rule is broken."
    if check.findings:
        yield ""
        yield from _findings(check.findings)
    yield ""
    yield from _passes(check)
    yield ""
    yield from _figures(check)
    if story is not None:
        yield ""
        yield f"With the falls that are marked: {story.ending}."
        yield from _findings(story.findings)


def _findings(findings: Iterable[Finding]) -> Iterator[str]:
    for finding in findings:
        yield f"{finding.grade.label}{_place(finding)}: {finding.message} [{finding.code}]"
        if finding.hint:
            yield f"    {finding.hint}"


def _place(finding: Finding) -> str:
    if finding.pass_no is None:
        return ""
    trick = "" if finding.position is None else f", trick {finding.position}"
    return f", pass {finding.pass_no}{trick}"


def _passes(check: Check) -> Iterator[str]:
    odds = iter(check.survival.tricks or ())
    for each in check.route.passes:
        used, length = f"{plain(round(each.metres, 1))} m used", "length not stated"
        if each.length_m is not None:
            length = f"{plain(round(each.length_m, 1))} m long"
        yield f"Pass {each.pass_no}: {used}, {length}"
        for step in each.steps:
            moves = "".join(f"{move}, " for move in step.moves)
            words = write_trick(step.planned)
            bonus = step.planned.bonus
            name = f"{bonus}: " if bonus and not words.startswith(bonus) else ""
            reach = next(odds, None)
            # Told for the tricks alone where it is open whether there is a bonus trick.
            is_open = bonus and check.survival.complete is None
            chance = "" if reach is None or is_open else f"  reached {reach.reach:.1%}"
            fits = "" if step.fits else "  does not fit"
            yield f"  {step.position:>2}  {moves}{name}{words} ({step.edge}){fits}{chance}"


def _figures(check: Check) -> Iterator[str]:
    survival, planned = check.survival, len(check.run)
    if survival.clean is None:
        yield _no_clean(check)
    else:
        risk, often = reading(survival.clean), in_hundred(survival.clean)
        yield f"Clean: {survival.clean:.1%}, {risk}. {often}"
    if survival.complete is not None:
        yield f"Every trick attempted: {survival.complete:.1%}"
    if survival.expected_landed is not None:
        yield f"Landed on average: {survival.expected_landed:.2f} of {planned}"
        if said := left_out(survival):
            yield said
    if survival.double_up_reached is not None and survival.double_up_landed is not None:
        yield (
            f"Bonus trick reached: {survival.double_up_reached:.1%}, "
            f"landed: {survival.double_up_landed:.1%}"
        )


def _no_clean(check: Check) -> str:
    """Why the chance to land everything cannot be told."""
    if not len(check.run):
        return "Nothing is planned yet, so there is nothing to work out."
    codes = {finding.code for finding in check.findings}
    if CHANCE_MISSING in codes:
        return "Give every trick a record or a chance to see how likely the run is."
    return "The run is too long to work out." if TOO_LONG in codes else BONUS_OPEN
