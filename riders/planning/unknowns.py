"""What the survival figures need and do not have: chances, and what a format leaves open."""

from collections.abc import Iterator

from events.rules.findings import Finding, Grade
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.run import Run
from events.rules.words import BonusCondition, Counts, NextFall, Per
from riders.planning.falls import allowed_falls
from riders.planning.metres import is_past
from riders.planning.route import Route
from riders.planning.stretches import furthest, stated_bonus, stretches

ASK = mark("Ask the organiser; until then these figures are left out.")
CHANCE_MISSING = "chance-missing"
COUNTED_PER = "counted-per-unstated"
# Said, but the figures do not wait for it: the bonus trick is offered after every pass.
BONUS_PASS = "bonus-pass-unstated"
TOO_LONG = "too-long-to-figure"
# As many tricks as a plan may have. The states grow with the tricks, the falls allowed and
# the different lengths; a run of this size is still figured within a second or so.
MOST_TRICKS = 60


# What is said where it leaves the chance to land everything open.
BONUS_OPEN = mark(
    "Whether there is the bonus trick that you planned is not stated, so how likely everything "
    "is landed cannot be told. Ask the organiser."
)


def needs(run: Run, format: Format, route: Route) -> list[Finding]:
    """What is missing for the survival figures; empty where all of them can be told.

    With a chance missing, or more than `MOST_TRICKS` planned, nothing can be told. With
    anything else missing only the chance to land everything can, since no fall takes part
    in that. Where a format says nothing at all of no-pick-up markers, there are none.
    Whether a bonus trick is offered at all is a matter of the rules, and asked there.
    """
    return [
        *_size(run),
        *_chances(run),
        *_falls(run, format),
        *_markers(run, format),
        *_open_markers(run, format, route),
        *_bonus(run, format),
    ]


def _unstated(
    code: str,
    message: str,
    hint: str = "",
    pass_no: int | None = None,
    position: int | None = None,
) -> Finding:
    return Finding(code, Grade.UNSTATED, message, hint or _(ASK), pass_no, position)


def _size(run: Run) -> Iterator[Finding]:
    if len(run) > MOST_TRICKS:
        yield Finding(
            TOO_LONG,
            Grade.WARNING,
            _("{number} tricks are too many to work out how likely the run is.").format(
                number=len(run)
            ),
            _("Plan at most {number} tricks to see the figures.").format(number=MOST_TRICKS),
        )


def _chances(run: Run) -> Iterator[Finding]:
    for place in run.places():
        if place.planned.likelihood is None:
            yield _unstated(
                CHANCE_MISSING,
                _("How often you land {trick} is not known.").format(trick=place.trick.name),
                _("Enter tries and landings for it, or type a chance."),
                pass_no=place.pass_no,
                position=place.position,
            )


def _bonus_falls_count(run: Run, format: Format) -> bool:
    stated = [stated_bonus(format, place)[0] for place in run.places() if place.planned.bonus]
    return any(each is not None and each.fall_counts is not False for each in stated)


def _falls(run: Run, format: Format) -> Iterator[Finding]:
    falls, allowed = format.falls, allowed_falls(format)
    free = falls.course is Counts.FREE
    sizes: list[int] = [len(each.attempts) for each in run.passes]
    if any(sizes) and not (free and not _bonus_falls_count(run, format)):
        if allowed is None:
            yield _unstated("falls-unstated", _("How many falls are allowed is not stated."))
        elif falls.next_fall is None and _can_exceed(format, allowed, sizes):
            yield _unstated(
                "falls-unstated",
                _("What fall number {number} does is not stated.").format(number=allowed + 1),
            )
        elif falls.counted_per is None and len(sizes) > 1 and allowed > 0:
            yield _unstated(
                COUNTED_PER, _("Whether falls add up over the run or per pass is not stated.")
            )
    measured = any(format.pass_length(n + 1) is not None for n in range(len(sizes)))
    rides_on = free or allowed is None or allowed > 0
    if format.restart_m is None and measured and rides_on and any(sizes):
        yield _unstated(
            "restart-unstated", _("How much of the course a fall uses up is not stated.")
        )


def _can_exceed(format: Format, allowed: int, sizes: list[int]) -> bool:
    falls = format.falls
    apart = [n for n in (falls.water_allowed, falls.obstacle_allowed) if n is not None]
    most = max(sizes) if falls.counted_per is Per.PASS else sum(sizes)
    return most > min([allowed, *apart])


def _markers(run: Run, format: Format) -> Iterator[Finding]:
    for number, each in enumerate(run.passes, start=1):
        for cutoff in format.pickup_cutoffs or ():
            told = format.marker(number, cutoff.at_m, cutoff.at_fraction) is not None
            if each.tricks and cutoff.pass_no in (number, None) and not told:
                yield _unstated(
                    "cutoff-unstated",
                    _(
                        "Where the no-pick-up marker of pass {number} stands cannot be told."
                    ).format(number=number),
                    pass_no=number,
                )


def _open_markers(run: Run, format: Format, route: Route) -> Iterator[Finding]:
    """Of markers that a fall can lie past: which fall they speak of, and what it ends."""
    if all(each.fall and each.effect for each in format.pickup_cutoffs or ()):
        return
    last = max((place.pass_no for place in run.places()), default=0)
    for stretch in stretches(run, format, route, None, None):
        length = stretch.length_m
        for cutoff in stretch.cutoffs:
            past = [leg for leg, metres in furthest(stretch) if is_past(metres, cutoff.marker)]
            if not past or (length is not None and cutoff.marker >= length):
                continue
            second = past[-1].index > 0 and not _ends_the_run(run, format, 2)
            if not cutoff.fall_stated and second:
                yield _unstated(
                    "cutoff-unstated",
                    _(
                        "Whether the no-pick-up marker of pass {number} speaks of the first "
                        "fall or of any is not stated."
                    ).format(number=stretch.number),
                    pass_no=stretch.number,
                )
            goes_on = stretch.number < last and not _ends_the_run(run, format, 1)
            if not cutoff.effect_stated and goes_on:
                yield _unstated(
                    "cutoff-unstated",
                    _(
                        "Whether a fall past the no-pick-up marker of pass {number} ends the "
                        "run or the pass is not stated."
                    ).format(number=stretch.number),
                    pass_no=stretch.number,
                )


def _ends_the_run(run: Run, format: Format, number: int) -> bool:
    """Whether this fall of a run, counted from 1, surely ends it."""
    falls, allowed = format.falls, allowed_falls(format)
    adds_up = number == 1 or falls.counted_per is not Per.PASS or len(run.passes) == 1
    ends = falls.next_fall in (NextFall.ENDS_RUN, NextFall.NOTHING_LATER_COUNTS)
    counts = falls.course is not Counts.FREE
    return counts and ends and adds_up and allowed is not None and number > allowed


def _bonus(run: Run, format: Format) -> Iterator[Finding]:
    for place in run.places():
        if place.position <= len(run.passes[place.pass_no - 1].tricks):
            continue
        name = place.planned.bonus
        stated, _bar = stated_bonus(format, place)
        if stated is None:
            continue
        last = max(format.passes.count or 0, len(run.passes))
        if stated.after_pass is None and place.pass_no < last:
            yield _unstated(
                BONUS_PASS,
                _("After which pass the {bonus} comes is not stated.").format(bonus=name),
                _("Ask the organiser; here it is taken as offered after every pass."),
                place.pass_no,
                place.position,
            )
        fewer = stated.condition is BonusCondition.FEWER_FALLS
        if fewer and stated.falls_fewer_than is None:
            yield _unstated(
                "bonus-condition-unstated",
                _(
                    "The {bonus} is offered to riders with few falls; how few is not stated."
                ).format(bonus=name),
                _(ASK),
                place.pass_no,
                place.position,
            )
        marker = format.marker(place.pass_no, stated.cutoff_m, stated.cutoff_fraction)
        if stated.cutoff_fraction is not None and marker is None:
            yield _unstated(
                "cutoff-unstated",
                _("Where the cutoff of the {bonus} stands cannot be told.").format(bonus=name),
                _(ASK),
                place.pass_no,
                place.position,
            )
