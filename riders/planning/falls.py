"""What a landing or a fall leads to: the one set of transitions of a ridden run.

The survival figures and the what-if story both ride by these, so that they never disagree.
"""

from typing import NamedTuple

from events.rules.format import Format
from events.rules.run import Run
from events.rules.words import BonusCondition, Counts, NextFall, Per
from riders.planning.metres import fits, is_past, position
from riders.planning.route import Route
from riders.planning.stretches import Bar, Extra, Leg, Next, Stretch, stretches


class Progress(NamedTuple):
    """How far a rider has come.

    `metres` is the take-off position of the next trick. `falls` are counted in the scope
    of the allowance, `obstacles` are those of them on obstacles (only kept where they have
    an allowance of their own). `run_falls` and `pass_falls` are only kept as far as the
    condition of a bonus trick or a marker for the first fall asks for them. `lost` is a bit
    for each bonus trick of the pass whose cutoff marker lies before a fall.
    """

    metres: float
    falls: int = 0
    obstacles: int = 0
    run_falls: int = 0
    pass_falls: int = 0
    lost: int = 0


def allowed_falls(format: Format) -> int | None:
    """Falls after which riding goes on; the sum of the two allowances where no total is."""
    falls = format.falls
    if falls.allowed is not None:
        return falls.allowed
    if falls.water_allowed is None or falls.obstacle_allowed is None:
        return None
    return falls.water_allowed + falls.obstacle_allowed


_NEXT = {
    NextFall.ENDS_RUN: Next.RUN_ENDS,
    NextFall.NOTHING_LATER_COUNTS: Next.RUN_ENDS,  # nothing after it is planned
    NextFall.ENDS_PASS: Next.PASS_ENDS,
}


class Rules:
    """The transitions of one run under one format.

    A restart allowance that is not stated takes no metres here; who needs it must ask
    first. The conditions of a bonus trick look at falls as the format counts them, while
    a marker looks at every fall on the course.
    """

    def __init__(
        self,
        run: Run,
        format: Format,
        route: Route,
        round: str | None = None,
        division: str | None = None,
    ) -> None:
        falls = format.falls
        self.begun_counts = format.passes.begun_counts
        self.course_counts = falls.course is not Counts.FREE
        self.per_pass = falls.counted_per is Per.PASS
        self.allowed = allowed_falls(format)
        self.water_allowed = falls.water_allowed
        self.obstacle_allowed = falls.obstacle_allowed
        self.apart = falls.water_allowed is not None or falls.obstacle_allowed is not None
        self.next_fall = _NEXT[falls.next_fall] if falls.next_fall else Next.UNSTATED
        self.stretches = tuple(stretches(run, format, route, round, division))
        asked = [
            extra.stated.falls_fewer_than or 1
            for stretch in self.stretches
            for extra in stretch.extras
            if extra.stated and extra.stated.condition is BonusCondition.FEWER_FALLS
        ]
        asked += [1 for each in self.stretches for cutoff in each.cutoffs if cutoff.first_only]
        self.run_falls_most = max(asked, default=0)

    def start(self, progress: Progress, stretch: Stretch) -> Progress:
        """The rider at the start of a pass."""
        falls, obstacles = (0, 0) if self.per_pass else (progress.falls, progress.obstacles)
        return Progress(stretch.first_setup_m, falls, obstacles, progress.run_falls)

    def fits(self, progress: Progress, stretch: Stretch, leg: Leg) -> bool:
        """Whether the next trick is still ridden; if not, the pass ends there."""
        return fits(progress.metres, leg.trick_m, stretch.length_m, self.begun_counts)

    def lands(self, progress: Progress, leg: Leg) -> Progress:
        """After a landed trick and the set-up for the next."""
        metres, falls, obstacles, run_falls, pass_falls, lost = progress
        metres = position(metres + leg.trick_m + leg.next_setup_m)
        return Progress(metres, falls, obstacles, run_falls, pass_falls, lost)

    def not_picked_up(self, progress: Progress, stretch: Stretch) -> Next:
        """What the no-pick-up markers say of a fall at this take-off.

        A marker for the first fall speaks of the first counted fall of the run, also where
        the allowance starts afresh in each pass.
        """
        effect = Next.GOES_ON
        for cutoff in stretch.cutoffs:
            if is_past(progress.metres, cutoff.marker) and (
                not cutoff.first_only or (self.course_counts and progress.run_falls == 0)
            ):
                effect = max(effect, cutoff.effect)
        return effect

    def falls(self, progress: Progress, stretch: Stretch, leg: Leg) -> tuple[Progress, Next]:
        """After a fall on a trick: the rider restarts where the next trick wants."""
        effect = self.not_picked_up(progress, stretch)
        metres, falls, obstacles, run_falls, pass_falls, lost = progress
        for extra in stretch.extras:
            if extra.marker is not None and is_past(metres, extra.marker):
                lost |= extra.bit
        metres = position(metres + leg.fall_m)
        after = Progress(metres, falls, obstacles, run_falls, pass_falls, lost)
        if not self.course_counts:
            return after, effect
        after, counted = self.count(after, stretch, leg.obstacle)
        return after, max(effect, counted)

    def count(
        self, progress: Progress, stretch: Stretch, obstacle: bool = False
    ) -> tuple[Progress, Next]:
        """After one more counted fall, wherever it was."""
        falls = progress.falls + 1
        obstacles = progress.obstacles + (1 if obstacle and self.apart else 0)
        over = self._is_over(falls, obstacles)
        effect = Next.UNSTATED if over is None else self.next_fall if over else Next.GOES_ON
        if over and not self.apart and self.allowed is not None:
            falls = self.allowed + 1  # more of them change nothing
        after = Progress(
            progress.metres,
            falls,
            obstacles,
            min(progress.run_falls + 1, self.run_falls_most),
            1 if stretch.asks_pass_falls else 0,
            progress.lost,
        )
        return after, effect

    def _is_over(self, falls: int, obstacles: int) -> bool | None:
        water, obstacle = self.water_allowed, self.obstacle_allowed
        if water is not None and falls - obstacles > water:
            return True
        if obstacle is not None and obstacles > obstacle:
            return True
        return None if self.allowed is None else falls > self.allowed

    def bar(self, progress: Progress, extra: Extra) -> Bar | None:
        """Why a bonus trick is not on offer at the end of its pass; None if it is."""
        if extra.bar is not None or extra.stated is None:
            return extra.bar or Bar.UNSTATED
        if progress.lost & extra.bit:
            return Bar.PAST_MARKER
        condition, fewer = extra.stated.condition, extra.stated.falls_fewer_than
        if condition is BonusCondition.NO_FALL_IN_PASS and progress.pass_falls:
            return Bar.FALL_IN_PASS
        if condition is BonusCondition.FEWER_FALLS:
            if fewer is None:  # without a fall there are surely fewer
                return Bar.UNSTATED if progress.run_falls else None
            if progress.run_falls >= fewer:
                return Bar.TOO_MANY_FALLS
        return None

    def falls_on_bonus(
        self, progress: Progress, stretch: Stretch, extra: Extra
    ) -> tuple[Progress, Next]:
        """After a fall on a bonus trick, which has no place on the course."""
        if extra.stated is not None and extra.stated.fall_counts is False:
            return progress, Next.GOES_ON
        return self.count(progress, stretch, extra.obstacle)
