"""What the falls of a run do while it is ridden: whether the pass or the run ends, in words.

Pure Python. The rules are those of `riders.planning.whatif`, which riders plan by, so that
the table and a rider are told the same of the same fall.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from events.rules.answers_words import number
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from events.rules.run import PlannedTrick
from events.rules.trick import Family, Trick
from events.rules.words import NextFall, Per
from riders.planning.falls import allowed_falls
from riders.planning.whatif import Ending
from runsheets.judging.departures import Ridden, as_run, story_of

ASK_HEAD_JUDGE = mark("The rules do not say what this fall does: the head judge decides.")
IN_WORDS = 6  # beyond, numbers are read faster as figures


@dataclass(frozen=True, slots=True)
class FallsSoFar:
    """`falls` on tricks are marked, `free` of them do not count.

    `says` is one sentence on what follows, empty where nobody fell. `is_over` says that the
    run ended, or that nothing more of it counts.
    """

    falls: int = 0
    free: int = 0
    says: str = ""
    is_over: bool = False


def falls_so_far(
    actual: Sequence[Sequence[Ridden]],
    format: Format,
    division: str | None = None,
    round: str | None = None,
) -> FallsSoFar:
    """What the falls marked so far do under the effective format.

    A ride that stops at a marker is not told: where the course lies is not known here.
    """
    run, _places = as_run([[_readable(each) for each in places] for places in actual])
    if not run.has_marks:
        return FallsSoFar()
    story = story_of(run, format, division, round)
    falls = sum(each.fell for one in run.passes for each in one.attempts)
    too_late = sum(place.planned.fell for place in story.not_reached)
    is_over = story.ending is Ending.FALLS
    ends = {each.code: each.pass_no for each in story.findings}
    if is_over and format.falls.next_fall is NextFall.NOTHING_LATER_COUNTS:
        says = _("Nothing that is ridden after the fall in pass {number} counts.")
        says = says.format(number=ends["run-ended"])
    elif is_over:
        says = _("The run ends with the fall in pass {number}.")
        says = says.format(number=ends["run-ended"])
    elif "falls-unstated" in ends:
        says = _(ASK_HEAD_JUDGE)
    elif ends.get("pass-ended") == len(run.passes):
        says = _("Pass {number} ends with that fall.").format(number=len(run.passes))
    elif story.falls:
        says = _left(story.falls, format)
    else:
        says = ngettext(
            "It does not count: riding goes on.", "They do not count: riding goes on.", falls
        )
    return FallsSoFar(falls, falls - too_late - story.falls, says, is_over)


def _readable(each: Ridden) -> Ridden:
    """A fall counts as one whatever the trick was, so that one of no known name is kept."""
    if not each.was_ridden or each.trick is not None:
        return each
    unread = PlannedTrick(Trick(key="", name=each.words, family=Family.SPIN))
    return replace(each, actual=unread)


def _left(falls: int, format: Format) -> str:
    """Riding goes on, and for how many more falls, where that is one number for the run."""
    allowed = allowed_falls(format)
    apart = format.falls.water_allowed is not None or format.falls.obstacle_allowed is not None
    if allowed is None or apart or format.falls.counted_per is Per.PASS:
        return _("Riding goes on.")
    more = allowed - falls
    if not more:
        return _("Riding goes on, with no more falls allowed.")
    said = ngettext(
        "Riding goes on, with {number} more fall allowed.",
        "Riding goes on, with {number} more falls allowed.",
        more,
    )
    return said.format(number=number(more) if 0 < more <= IN_WORDS else more)
