"""Ties that a ride-off or the judges parted, as the table writes them down."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.services import record
from runsheets.models import RunningOrder, TieDecision
from runsheets.orders import named
from runsheets.result_acts import IS_OFFICIAL, ResultRefused, locked
from runsheets.results import result_of

NO_TIE = gettext_lazy(
    "There is no such tie to decide any more. The table above shows how it stands."
)
NO_SENTENCE = gettext_lazy(
    "Write how it was decided, such as: Ride-off at 14:20, one trick each."
)
SAME_SENTENCE = gettext_lazy(
    "Another tie of this round has this sentence. Say which tie it was, too."
)
NO_PLACES = gettext_lazy("Write a number beside every rider of the tie: 1 for who is ahead.")


@transaction.atomic
def decide_tie(*, order: RunningOrder, ahead: Mapping[int, int], how: str, by: Any) -> None:
    """Keep who is ahead in a tie, by entry: 1 for the first; the same number shares a place.

    Raises ResultRefused once the result is official, and unless the riders are exactly
    those of a tie that people have to decide.
    """
    fresh, division = locked(order)
    result = result_of(division, fresh)
    if result.is_official:
        raise ResultRefused(IS_OFFICIAL)
    tie = next((t for t in result.undecided if {e.pk for e in t} == set(ahead)), None)
    if tie is None:
        raise ResultRefused(NO_TIE)
    if any(number < 1 or number > len(tie) for number in ahead.values()):
        raise ResultRefused(NO_PLACES)
    how = " ".join(how.split())[:150]
    if not how:
        raise ResultRefused(NO_SENTENCE)
    TieDecision.objects.filter(order=fresh, entry__in=ahead).delete()
    if TieDecision.objects.filter(order=fresh, how=how).exists():
        raise ResultRefused(SAME_SENTENCE)
    TieDecision.objects.bulk_create(
        TieDecision(order=fresh, entry=each, ahead=ahead[each.pk], how=how, decided_by=by)
        for each in tie
    )
    names = ", ".join(
        f"{ahead[each.pk]} {each.rider.name}" for each in sorted(tie, key=lambda e: ahead[e.pk])
    )
    said = _("Decided a tie in {round}: {names}. {how}").format(
        round=named(fresh), names=names, how=how
    )
    record(club=division.event.club, event=division.event, by=by, what=said[:300])


@transaction.atomic
def undo_tie(*, order: RunningOrder, how: str, by: Any) -> None:
    """Take a decision back, so that the tie is open again; twice is the same as once."""
    fresh, division = locked(order)
    if result_of(division, fresh).is_official:
        raise ResultRefused(IS_OFFICIAL)
    gone, _by_table = TieDecision.objects.filter(order=fresh, how=how).delete()
    if gone:
        said = _("Took back how a tie in {round} was decided: {how}").format(
            round=named(fresh), how=how
        )
        record(club=division.event.club, event=division.event, by=by, what=said[:300])
