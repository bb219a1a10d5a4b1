"""What the survival figures need and do not have: chances, and what a format leaves open."""

from collections.abc import Iterator

from events.rules.findings import Finding, Grade
from events.rules.format import Format
from events.rules.run import Run
from events.rules.words import BonusCondition, Counts, Per, WhichFall
from riders.planning.falls import allowed_falls
from riders.planning.stretches import Bar, stated_bonus

ASK = "Ask the organiser; until then these figures are left out."
CHANCE_MISSING = "chance-missing"
COUNTED_PER = "counted-per-unstated"
# Said, but the figures do not wait for it: the bonus trick is taken as not ridden.
BONUS_UNSTATED = "bonus-unstated"


def needs(run: Run, format: Format) -> list[Finding]:
    """What is missing for the survival figures; empty where all of them can be told.

    With a chance missing nothing can be told. With anything else missing only the chance
    to land everything can, since no fall takes part in that.
    """
    return [*_chances(run), *_falls(run, format), *_markers(run, format), *_bonus(run, format)]


def _unstated(
    code: str,
    message: str,
    hint: str = ASK,
    pass_no: int | None = None,
    position: int | None = None,
) -> Finding:
    return Finding(code, Grade.UNSTATED, message, hint, pass_no, position)


def _chances(run: Run) -> Iterator[Finding]:
    for place in run.places():
        if place.planned.likelihood is None:
            yield _unstated(
                CHANCE_MISSING,
                f"How often you land {place.trick.name} is not known.",
                "Enter tries and landings for it, or type a chance.",
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
            yield _unstated("falls-unstated", "How many falls are allowed is not stated.")
        elif falls.next_fall is None and _can_exceed(format, allowed, sizes):
            yield _unstated(
                "falls-unstated", f"What fall number {allowed + 1} does is not stated."
            )
        elif falls.counted_per is None and len(sizes) > 1 and _scope_matters(format, allowed):
            yield _unstated(
                COUNTED_PER, "Whether falls add up over the run or per pass is not stated."
            )
    measured = any(format.pass_length(n + 1) is not None for n in range(len(sizes)))
    rides_on = free or allowed is None or allowed > 0
    if format.restart_m is None and measured and rides_on and any(sizes):
        yield _unstated(
            "restart-unstated", "How much of the course a fall uses up is not stated."
        )


def _can_exceed(format: Format, allowed: int, sizes: list[int]) -> bool:
    falls = format.falls
    apart = [n for n in (falls.water_allowed, falls.obstacle_allowed) if n is not None]
    most = max(sizes) if falls.counted_per is Per.PASS else sum(sizes)
    return most > min([allowed, *apart])


def _scope_matters(format: Format, allowed: int) -> bool:
    first_only = any(each.fall is WhichFall.FIRST for each in format.pickup_cutoffs or ())
    return first_only or allowed > 0


def _markers(run: Run, format: Format) -> Iterator[Finding]:
    for number, each in enumerate(run.passes, start=1):
        for cutoff in format.pickup_cutoffs or ():
            told = format.marker(number, cutoff.at_m, cutoff.at_fraction) is not None
            if each.tricks and cutoff.pass_no in (number, None) and not told:
                yield _unstated(
                    "cutoff-unstated",
                    f"Where the no-pick-up marker of pass {number} stands cannot be told.",
                    pass_no=number,
                )


def _bonus(run: Run, format: Format) -> Iterator[Finding]:
    for place in run.places():
        if place.position <= len(run.passes[place.pass_no - 1].tricks):
            continue
        name = place.planned.bonus
        stated, bar = stated_bonus(format, place)
        if bar is Bar.UNSTATED:
            yield _unstated(
                BONUS_UNSTATED,
                f"Whether the {name} is offered is not stated.",
                "Ask the organiser; here it is taken as not ridden.",
                place.pass_no,
                place.position,
            )
        if stated is None:
            continue
        fewer = stated.condition is BonusCondition.FEWER_FALLS
        if fewer and stated.falls_fewer_than is None:
            yield _unstated(
                "bonus-condition-unstated",
                f"The {name} is offered to riders with few falls; how few is not stated.",
                ASK,
                place.pass_no,
                place.position,
            )
        marker = format.marker(place.pass_no, stated.cutoff_m, stated.cutoff_fraction)
        if stated.cutoff_fraction is not None and marker is None:
            yield _unstated(
                "cutoff-unstated",
                f"Where the cutoff of the {name} stands cannot be told.",
                ASK,
                place.pass_no,
                place.position,
            )
