"""What counts of a ride, told by the rules themselves: the check on the exact figures."""

from dataclasses import dataclass, replace

from events.rules.findings import Grade
from events.rules.format import Format
from events.rules.legality import legality
from events.rules.rules_repeats import identity
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.words import Per, Repeat
from riders.planning.route import Route
from tests.planning.simulator import Ride, all_outcomes, find_bonus, simulate


def counted(run: Run, format: Format, ride: Ride) -> tuple[int, int]:
    """How many of the landed tricks of a ride count, and the sum of their tiers.

    The rules are asked about the ride itself: only what was attempted, with its falls
    marked. They say of it what is not counted. What they say of a planned repeat that may
    count is looked up by hand: of the same trick one landing counts, the first where it is
    a back-up, the one with the highest tier where the better counts.
    """
    landed = set(ride.landed)
    passes, places, index = [], [], 0
    for number, each in enumerate(run.passes, start=1):
        parts = []
        for part in (each.tricks, each.bonus):
            kept = [(index + at, planned) for at, planned in enumerate(part)
                    if index + at in ride.attempted]  # fmt: skip
            parts.append(tuple(replace(p, fell=at not in landed) for at, p in kept))
            places += [(at, number) for at, _ in kept]
            index += len(part)
        passes.append(Pass(*parts))
    spots = Run(tuple(passes)).places()
    index_of = {(s.pass_no, s.position): at for s, (at, _) in zip(spots, places, strict=True)}
    one_of_alike = format.repeats.rule in (Repeat.BEST_COUNTS, Repeat.ONCE_UNLESS_NOT_LANDED)
    out = {
        index_of[finding.pass_no, finding.position]
        for finding in legality(Run(tuple(passes)), format)
        if finding.grade is Grade.UNCOUNTED
        and not (one_of_alike and finding.code.startswith("repeat"))
    }  # fmt: skip
    tricks = [place.planned for place in run.places()]
    kept = [at for at in ride.landed if at not in out]
    if not one_of_alike:
        return len(kept), sum(tricks[at].trick.tier for at in kept)
    number_of = {at: number for at, number in places}
    alike: dict[object, list[int]] = {}
    for at in ride.landed:
        scope = number_of[at] if format.repeats.per is Per.PASS else 0
        exempt = (
            at if tricks[at].bonus and not binds(format, number_of[at], tricks[at]) else None
        )
        look = identity(tricks[at].trick, format.repeats.differs_by)
        alike.setdefault((look, scope, exempt), []).append(at)
    tiers = []
    for group in alike.values():
        if format.repeats.rule is Repeat.BEST_COUNTS:
            best = [tricks[at].trick.tier for at in group if at in kept]
            tiers += [max(best)] if best else []
        elif group[0] in kept:
            tiers.append(tricks[group[0]].trick.tier)
    return len(tiers), sum(tiers)


def binds(format: Format, pass_no: int, planned: PlannedTrick) -> bool:
    """Whether limits and repeats hold for a bonus trick."""
    stated = find_bonus(format, pass_no, planned.bonus)
    return stated is None or stated.limits_bind is True


@dataclass
class ExpectedCounts:
    """What counts of a run, by adding up all outcomes."""

    counts: list[float]
    tiers: float


def enumerate_counts(run: Run, format: Format, route: Route) -> ExpectedCounts:
    """Add up what counts in every outcome of a run."""
    sums = ExpectedCounts([0.0] * (len(run) + 1), 0.0)
    for outcomes, weight in all_outcomes(run):
        if weight:
            number, tiers = counted(run, format, simulate(run, format, route, outcomes))
            sums.counts[number] += weight
            sums.tiers += weight * tiers
    return sums
