"""What the table does with results: post, protests, official, take back.

Each act locks the division, checks that it still makes sense, and goes into the audit trail.
"""

from collections.abc import Callable
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.models import Division
from events.services import record
from riders.contest_log import put_contest_run, take_contest_run
from riders.models import Entry
from runsheets.models import Protest, RiddenTrick, Ride, RoundResult, RunningOrder
from runsheets.orders import named
from runsheets.results import order_of, result_of

Outcome = RiddenTrick.Outcome
TRIED = {
    Outcome.LANDED: 1,
    Outcome.CHANGED: 1,
    Outcome.FALLEN: 0,
    Outcome.CHANGED_FALLEN: 0,
}
NOT_COMPLETE = gettext_lazy(
    "Marks or runs are missing, so the result cannot be posted yet. The list below says which."
)
NOTHING = gettext_lazy("Nobody rides in this round, so there is no result to post.")
NOT_POSTED = gettext_lazy("The result is not posted. Post it as provisional first.")
IS_OFFICIAL = gettext_lazy(
    "The result is official. Take it back before you change anything about it."
)
WINDOW_OPEN = gettext_lazy(
    "Protests are taken until {until:%H:%M}. Wait until then, or write a "
    "reason why the result is official before."
)
PROTEST_OPEN = gettext_lazy(
    "A protest has no ruling yet. Rule on it, or write a reason to go on without."
)
TIE_OPEN = gettext_lazy(
    "A tie is still to be decided. Decide it, or write a reason why it stands."
)
REASON_NEEDED = gettext_lazy("Write the reason: riders and the audit trail need it.")


class ResultRefused(Exception):
    """The act is refused; the text says why and what to do."""


@transaction.atomic
def post_result(*, order: RunningOrder, by: Any) -> RoundResult:
    """Post the result as provisional; it is public from now on. Twice is the same as once."""
    fresh, division = locked(order)
    result = result_of(division, fresh)
    if result.posted is not None:
        return result.posted
    if not result.rows and not result.waiting:
        raise ResultRefused(NOTHING)
    if not result.is_complete:
        raise ResultRefused(NOT_COMPLETE)
    posted = RoundResult.objects.create(order=fresh, by=by)
    _record(
        fresh, by, _("Posted the provisional result of {round}.").format(round=named(fresh))
    )
    return posted


@transaction.atomic
def make_official(*, order: RunningOrder, by: Any, reason: str = "") -> RoundResult:
    """Make a posted result official: its marks are locked, and landing logs are filled.

    Refused while protests are taken, one is open or a tie is undecided, unless a reason is
    given, and always while marks are missing.
    """
    fresh, division = locked(order)
    result = result_of(division, fresh)
    posted = result.posted
    if posted is None:
        raise ResultRefused(NOT_POSTED)
    if posted.official_at is not None:
        return posted
    if not result.is_complete:
        raise ResultRefused(NOT_COMPLETE)
    reason = " ".join(reason.split())
    if not reason:
        if result.window_is_open and result.protests_until is not None:
            until = result.protests_until.astimezone(division.event.zone)
            raise ResultRefused(WINDOW_OPEN.format(until=until))
        if fresh.protests.filter(ruled_at=None).exists():
            raise ResultRefused(PROTEST_OPEN)
        if result.undecided:
            raise ResultRefused(TIE_OPEN)
    posted.official_at = timezone.now()
    posted.by = by
    posted.save()
    _each_logged_ride(fresh, division, _log)
    said = (
        _("Made the result of {round} official. Reason: {reason}")
        if reason
        else _("Made the result of {round} official.")
    )
    _record(fresh, by, said.format(round=named(fresh), reason=reason))
    return posted


@transaction.atomic
def take_back(*, order: RunningOrder, by: Any, reason: str) -> None:
    """Take one step back: an official result is provisional again, a provisional one hidden.

    Marks can be changed again, and what an official result logged for riders is taken out.
    """
    fresh, division = locked(order)
    posted = RoundResult.objects.filter(order=fresh).first()
    if posted is None:
        raise ResultRefused(NOT_POSTED)
    reason = " ".join(reason.split())
    if not reason:
        raise ResultRefused(REASON_NEEDED)
    if posted.official_at is not None:
        posted.official_at = None
        posted.save(update_fields=["official_at"])
        _each_logged_ride(fresh, division, _take_out)
        said = _("The result of {round} is provisional again. Reason: {reason}")
    else:
        posted.delete()
        said = _("Took back the provisional result of {round}. Reason: {reason}")
    _record(fresh, by, said.format(round=named(fresh), reason=reason))


@transaction.atomic
def show_tricks(*, order: RunningOrder, shown: bool, by: Any) -> None:
    """Show everybody what was ridden beside a posted result, or hide it again."""
    fresh, _division = locked(order)
    posted = RoundResult.objects.filter(order=fresh).first()
    if posted is None:
        raise ResultRefused(NOT_POSTED)
    if posted.shows_tricks is not shown:
        posted.shows_tricks = shown
        posted.save(update_fields=["shows_tricks"])
        _record(
            fresh,
            by,
            (
                _("Shows what was ridden in {round}.")
                if shown
                else _("Hides what was ridden in {round}.")
            ).format(round=named(fresh)),
        )


@transaction.atomic
def note_protest(*, order: RunningOrder, entry: Entry, about: str, by: Any) -> Protest:
    """Note a protest against a provisional result; raises ResultRefused or ValidationError."""
    fresh, _division = locked(order)
    _refuse_unless_provisional(fresh)
    protest = Protest(order=fresh, entry=entry, about=" ".join(about.split()), noted_by=by)
    protest.full_clean()
    protest.save()
    _record(
        fresh,
        by,
        _("Noted a protest of {rider} in {round}.").format(
            rider=entry.rider, round=named(fresh)
        ),
    )
    return protest


@transaction.atomic
def rule_protest(*, order: RunningOrder, protest_id: int, ruling: str, by: Any) -> Protest:
    """Write down the ruling on a protest, in place of an earlier one."""
    fresh, _division = locked(order)
    _refuse_unless_provisional(fresh)
    protest = fresh.protests.select_related("entry__rider").filter(pk=protest_id).first()
    if protest is None:
        raise ResultRefused(_("There is no such protest in this round."))
    protest.ruling = " ".join(ruling.split())
    if not protest.ruling:
        raise ValidationError({"ruling": [_("Write what was ruled.")]})
    protest.ruled_at = timezone.now()
    protest.full_clean()
    protest.save()
    who = protest.entry.rider
    _record(
        fresh,
        by,
        _("Ruled on the protest of {rider} in {round}.").format(rider=who, round=named(fresh)),
    )
    return protest


def _refuse_unless_provisional(order: RunningOrder) -> None:
    posted = RoundResult.objects.filter(order=order).first()
    if posted is None:
        raise ResultRefused(NOT_POSTED)
    if posted.official_at is not None:
        raise ResultRefused(IS_OFFICIAL)


def locked(order: RunningOrder) -> tuple[RunningOrder, Division]:
    """The order and its division as they stand now; others wait until this act is over."""
    Division.objects.select_for_update().get(pk=order.division_id)
    found = Division.objects.select_related("event__club").prefetch_related("editions")
    division = found.get(pk=order.division_id)
    fresh = order_of(division, order.round_name)
    if fresh is None:
        raise ResultRefused(_("The running order of this round is gone."))
    fresh.division = division
    return fresh, division


def _each_logged_ride(
    order: RunningOrder, division: Division, act: Callable[[Ride, Division], None]
) -> None:
    rides = order.rides.filter(entry__logs_attempts=True)
    for ride in rides.select_related("entry__rider", "order").prefetch_related("tricks"):
        act(ride, division)


def source_of(ride: Ride, division: Division) -> str:
    """How a run is called in its rider's log; the number tells runs of one name apart."""
    parts = (division.event.name[:60], division.name[:60], ride.order.round_name[:40])
    return _("{who}, run {number} (no. {key})").format(
        who=", ".join(filter(None, parts)), number=ride.number, key=ride.pk
    )


def _log(ride: Ride, division: Division) -> None:
    attempts: dict[str, tuple[int, int]] = {}
    for trick in ride.tricks.all():
        if trick.outcome not in TRIED:
            continue
        name = trick.actual or trick.planned
        landed, tried = attempts.get(name, (0, 0))
        attempts[name] = (landed + TRIED[Outcome(trick.outcome)], tried + 1)
    began = ride.begun_at or ride.ended_at
    day = began.astimezone(division.event.zone).date() if began else division.event.first_day
    source = source_of(ride, division)
    put_contest_run(rider=ride.entry.rider, day=day, source=source, attempts=attempts)


def _take_out(ride: Ride, division: Division) -> None:
    take_contest_run(rider=ride.entry.rider, source=source_of(ride, division))


def _record(order: RunningOrder, by: Any, what: str) -> None:
    event = order.division.event
    record(club=event.club, event=event, by=by, what=what)
