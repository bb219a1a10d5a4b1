"""The story of a run with marked falls: what is still ridden, and how it ends."""

from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from events.rules.figures import AS_PUBLISHED
from events.rules.findings import Finding, Grade
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.run import Pass, Place, Run
from events.rules.words import Counts, RunIn
from riders.planning.falls import Progress, Rules
from riders.planning.metres import is_past
from riders.planning.route import Route
from riders.planning.stretches import Bar, Extra, Leg, Next, Stretch


class Ending(StrEnum):
    """How the run ended."""

    TO_THE_END = "ridden to the end"
    FALLS = "ended by falls"
    NOT_PICKED_UP = "not picked up"


class _Where(NamedTuple):
    """What is said of a fall by where it was: it is free, it counts, or it may count."""

    free: str
    counted: str
    unstated: str = ""


_RUN_IN = _Where(
    mark("The fall in the run-in is free: it does not count."),
    mark("The fall in the run-in counts: number {number} of the run."),
    mark("Whether a fall in the run-in counts is not stated; it is counted here."),
)
_TURN = _Where(
    mark("The fall in the turn is free: it does not count."),
    mark("The fall in the turn counts: number {number} of the run."),
    mark("Whether a fall in the turn counts is not stated; it is counted here."),
)
_AFTER_END = _Where(
    mark("The fall after the end is free: it does not count."),
    mark("The fall after the end counts: number {number} of the run."),
    mark("Whether a fall after the end counts is not stated; it is counted here."),
)
_ON_COURSE = _Where(
    mark("The fall on {trick} at {metres} is free: it does not count."),
    mark("The fall on {trick} at {metres} counts: number {number} of the run."),
)
_ON_BONUS = _Where(
    mark("The fall on {trick} is free: it does not count."),
    mark("The fall on {trick} counts: number {number} of the run."),
)


@dataclass(frozen=True, slots=True)
class Offer:
    """A planned bonus trick, and why it was not on offer; None where it was."""

    place: Place
    bar: str | None


@dataclass(frozen=True, slots=True)
class Story:
    """What follows from the marked falls.

    `ridden` were attempted and `landed` are those without a fall; `not_reached` were
    planned but not attempted, bonus tricks included. `falls` are the counted falls of the
    run. `certain` is False where the format leaves something open that the story needed;
    a finding then says what was taken instead.
    """

    ending: Ending
    ridden: tuple[Place, ...]
    landed: tuple[Place, ...]
    not_reached: tuple[Place, ...]
    offers: tuple[Offer, ...]
    falls: int
    certain: bool
    findings: tuple[Finding, ...]


def follow(
    run: Run,
    format: Format,
    route: Route,
    round: str | None = None,
    division: str | None = None,
) -> Story:
    """Ride a run with the falls that are marked in it; every trick not marked is landed.

    A fall in the run-in or in the turn uses no course, and the rider restarts ready for
    the next trick. A fall in the turn belongs to the pass before it; after the last pass
    it is a fall after the end. Where the format does not say whether a fall counts, it is
    counted; where it does not say what a fall does, riding goes on.
    """
    teller = _Teller(run, format, Rules(run, format, route, round, division))
    for stretch, each in zip(teller.rules.stretches, run.passes, strict=True):
        teller.ride_pass(stretch, each)
    return teller.story()


@dataclass(slots=True)
class _Teller:
    run: Run
    format: Format
    rules: Rules
    progress: Progress = Progress(0.0)
    ending: Ending = Ending.TO_THE_END
    falls: int = 0
    run_in_falls: int = 0
    certain: bool = True
    stopped: str = ""  # why the next trick of the pass is not reached
    fall_ended_pass: bool = False
    ridden: list[Place] = field(default_factory=list)
    missed: list[Place] = field(default_factory=list)
    offers: list[Offer] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)

    @property
    def is_over(self) -> bool:
        return self.ending is not Ending.TO_THE_END

    def say(
        self, code: str, grade: Grade, message: str, hint: str = "", at: Place | int = 0
    ) -> None:
        where = (at.pass_no, at.position) if isinstance(at, Place) else (at or None, None)
        self.findings.append(Finding(code, grade, message, hint, *where))

    def unsure(self, code: str, message: str, at: Place | int) -> None:
        self.certain = False
        self.say(code, Grade.UNSTATED, message, _("Ask the organiser."), at)

    def ride_pass(self, stretch: Stretch, each: Pass) -> None:
        if not self.is_over:
            self.progress = self.rules.start(self.progress, stretch)
            self.stopped, self.fall_ended_pass = "", False
            self.run_in(stretch, each.run_in_falls)
        for leg in stretch.legs:
            self.ride_leg(stretch, leg)
        for extra in stretch.extras:
            self.ride_extra(stretch, extra)
        self.turn(stretch, each.turn_falls)

    def run_in(self, stretch: Stretch, falls: int) -> None:
        rule = self.format.falls.run_in
        for _fall in range(falls):
            if self.stopped:
                return
            self.run_in_falls += 1
            first_free = rule is RunIn.FIRST_FREE and self.run_in_falls == 1
            free = rule is RunIn.FREE or first_free
            self.progress = self.progress._replace(metres=0.0)  # restarts where it wants
            self.aside(stretch, _RUN_IN, free, rule is not None)

    def turn(self, stretch: Stretch, falls: int) -> None:
        is_last = stretch is self.rules.stretches[-1]
        rule = self.format.falls.after_end if is_last else self.format.falls.turn
        where = _AFTER_END if is_last else _TURN
        for _fall in range(falls):
            if not self.is_over:
                self.aside(stretch, where, rule is Counts.FREE, rule is not None)

    def aside(self, stretch: Stretch, where: _Where, free: bool, stated: bool) -> None:
        """A fall before the course, or after it."""
        at = stretch.number
        if free:
            self.free(where, at)
            return
        if not stated:
            self.unsure("fall-unstated", _(where.unstated), at)
        self.progress, effect = self.rules.count(self.progress, stretch)
        self.counted(where, at, effect)

    def free(self, where: _Where, at: Place | int, **names: str) -> None:
        self.say("fall-free", Grade.ADVICE, _(where.free).format(**names), at=at)

    def counted(self, where: _Where, at: Place | int, effect: Next, **names: str) -> None:
        """Tell a counted fall and what the allowance makes of it."""
        self.falls += 1
        message = _(where.counted).format(number=self.falls, **names)
        self.say("fall-counted", Grade.ADVICE, message, at=at)
        if effect is Next.UNSTATED:
            message = _("What this fall does is not stated; here riding goes on.")
            self.unsure("falls-unstated", message, at)
        elif effect is not Next.GOES_ON:
            if self.ends_run(effect, Ending.FALLS):
                message = _("It is one fall more than allowed, and ends the run.")
                self.say("run-ended", Grade.WARNING, message, at=at)
            else:
                message = _("It is one fall more than allowed, and ends the pass.")
                self.say("pass-ended", Grade.WARNING, message, at=at)

    def ends_run(self, effect: Next, ending: Ending) -> bool:
        """End the pass, or the run, by a fall; whether it was the run."""
        is_run = effect is not Next.PASS_ENDS
        if is_run:
            self.ending = ending
        self.stopped = _("a fall ended the run") if is_run else _("a fall ended the pass")
        self.fall_ended_pass = True
        return is_run

    def ride_leg(self, stretch: Stretch, leg: Leg) -> None:
        place, metres = leg.place, self.progress.metres
        if not self.stopped and not self.rules.fits(self.progress, stretch, leg):
            left = max(0.0, (stretch.length_m or 0.0) - metres)
            self.stopped = _("only {metres} of the pass are left by then").format(
                metres=AS_PUBLISHED.apart(left)[0]
            )
        if self.stopped:
            self.missed.append(place)
            message = _("{trick} is not reached: {reason}.").format(
                trick=place.trick.name, reason=self.stopped
            )
            self.say("not-reached", Grade.UNREACHABLE, message, at=place)
            return
        self.ridden.append(place)
        if place.planned.fell:
            self.fall_on_course(stretch, leg)
        else:
            self.progress = self.rules.lands(self.progress, leg)

    def fall_on_course(self, stretch: Stretch, leg: Leg) -> None:
        place = leg.place
        trick, at = place.trick.name, AS_PUBLISHED.apart(self.progress.metres)[0]
        refused = self.rules.not_picked_up(self.progress, stretch)
        metres, is_first = self.progress.metres, self.falls == 0
        self.progress, effect = self.rules.falls(self.progress, stretch, leg)
        by_marker = refused is not Next.GOES_ON and refused is effect
        if self.rules.course_counts:
            after = Next.GOES_ON if by_marker else effect
            self.counted(_ON_COURSE, place, after, trick=trick, metres=at)
        else:
            self.free(_ON_COURSE, place, trick=trick, metres=at)
        if by_marker:
            is_run = self.ends_run(effect, Ending.NOT_PICKED_UP)
            message = _("It lies past the no-pick-up marker, and the pass ends there.")
            doubt = _("What its marker says of it is not all stated; here the pass ends.")
            if is_run:
                message = _("It lies past the no-pick-up marker, and the run ends there.")
                doubt = _("What its marker says of it is not all stated; here the run ends.")
            self.say("not-picked-up", Grade.WARNING, message, at=place)
            if self.is_open(stretch, metres, is_first):
                self.unsure("cutoff-unstated", doubt, place)
        elif (
            self.format.restart_m is None and stretch.length_m is not None and not self.stopped
        ):
            message = _("How much course a fall uses up is not stated; none is taken here.")
            self.unsure("restart-unstated", message, place)

    def is_open(self, stretch: Stretch, metres: float, is_first: bool) -> bool:
        """Whether a no-pick-up marker before a fall leaves open what the story needs."""
        goes_on = stretch is not self.rules.stretches[-1]
        return any(
            is_past(metres, cutoff.marker)
            and not ((cutoff.fall_stated or is_first) and (cutoff.effect_stated or not goes_on))
            for cutoff in stretch.cutoffs
        )

    def ride_extra(self, stretch: Stretch, extra: Extra) -> None:
        place, why = extra.place, self.why_not(extra)
        name = place.planned.bonus
        self.offers.append(Offer(place, why))
        if why is not None:
            self.missed.append(place)
            message = _("The {bonus} is not on offer: {reason}.").format(bonus=name, reason=why)
            self.say("double-up-lost", Grade.UNREACHABLE, message, at=place)
            return
        message = _("The {bonus} is on offer.").format(bonus=name)
        self.say("double-up-offered", Grade.ADVICE, message, at=place)
        self.ridden.append(place)
        if not place.planned.fell:
            return
        trick = place.trick.name
        if extra.stated is not None and extra.stated.fall_counts is False:
            self.free(_ON_BONUS, place, trick=trick)
            return
        self.progress, effect = self.rules.falls_on_bonus(self.progress, stretch, extra)
        self.counted(_ON_BONUS, place, effect, trick=trick)

    def why_not(self, extra: Extra) -> str | None:
        if self.fall_ended_pass:
            return self.stopped
        bar = self.rules.bar(self.progress, extra)
        if bar is Bar.UNSTATED:
            message = _("Whether the {bonus} is offered is not stated; here it is not.").format(
                bonus=extra.place.planned.bonus
            )
            self.unsure("bonus-unstated", message, extra.place)
        return None if bar is None else _(bar.value)

    def story(self) -> Story:
        return Story(
            self.ending,
            tuple(self.ridden),
            tuple(place for place in self.ridden if not place.planned.fell),
            tuple(self.missed),
            tuple(self.offers),
            self.falls,
            self.certain,
            tuple(self.findings),
        )
