"""Starting an event from an earlier year: all of what was shown, or nothing."""

from django.contrib.auth.models import User
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from events.earlier.plan import Plan, plan_of
from events.earlier.wishes import Wish
from events.models import Club, Division
from events.services import record, save_division, save_event


class ShownOtherwise(Exception):
    """What would be made now differs from what was shown; `plan` is how it stands now."""

    def __init__(self, plan: Plan) -> None:
        super().__init__(_("The plan changed after it was shown."))
        self.plan = plan


@transaction.atomic
def take_over(*, club: Club, wish: Wish, shown: str, by: User) -> Plan:
    """Make what is not there yet; done again it makes nothing.

    `shown` is the digest of the plan that was looked at: raises ShownOtherwise if something
    else would be made by now, and NotThere as `plan_of` does.
    """
    locked = Club.objects.select_for_update().get(pk=club.pk)
    plan = plan_of(locked, wish)
    if not plan.does_something:
        return plan
    if plan.digest != shown:
        raise ShownOtherwise(plan)
    new = plan.new_divisions
    event = plan.event
    if not plan.is_there:
        event = save_event(event=event, by=by)
    for each in new:
        division = Division(
            event=event, name=each.name, place=each.place, fee=each.fee, draft=each.draft
        )
        save_division(division=division, by=by)
    what = ", ".join((_taken(plan, len(new)), _moved(plan))) + "."
    record(club=locked, event=event, by=by, what=what)
    return plan


def _taken(plan: Plan, divisions: int) -> str:
    return ngettext(
        "Took over from {origin}: {divisions} division with drafts",
        "Took over from {origin}: {divisions} divisions with drafts",
        divisions,
    ).format(origin=plan.origin, divisions=divisions)


def _moved(plan: Plan) -> str:
    if plan.move is None:
        return _("dates of formats left open")
    return _("dates moved by {days} days").format(days=plan.move.days)
