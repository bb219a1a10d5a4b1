"""Erasing a person's data: what is theirs goes, what a contest needs stays without a name.

Goes: plans, variants, shares, own tricks, landing log and records, letters, contacts,
guardians, wishes, date of birth, club, address, password, roles. Stays: the rider, as "Rider
withdrawn", with entries, bibs of contests that have begun, declared runs and results, because
the results of others rest on them. What officials wrote in the audit trail stays without name
and address.
"""

import re

from django.conf import settings
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q, Value
from django.db.models.functions import Replace
from django.utils import timezone, translation
from django.utils.crypto import get_random_string
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from events.access import Role
from events.lake_days import season, today_at
from events.languages import on_paper
from events.models import Act, Club, Event, Invitation, LanguageChoice, Letter, UnitsChoice
from events.services import GAVE, TOOK, record
from events.sign_in import sign_out_everywhere
from riders.models import Bib, Entry, PlannedRun, PlanShare, PlanVariant, Rider
from riders.signals import rider_erased

NOBODY = gettext_lazy("somebody who left")
LAST_ORGANISER = gettext_lazy(
    "You are the only organiser of {club}. Give somebody else the role "
    "first, so that its events can be looked after."
)
NO_CONTACT = {
    "guardian": "",
    "guardian_phone": "",
    "emergency_name": "",
    "emergency_phone": "",
    "wishes": "",
    "logs_attempts": False,
}


def name_left() -> tuple[str, str]:
    """How somebody is called whose data was erased; everybody reads it, so as on paper."""
    with on_paper():
        return _("Rider"), pgettext("after Rider, in place of a name", "withdrawn")


def check_can_go(user: User) -> None:
    """Raise ValidationError with a sentence if a club would be left without an organiser."""
    whole = {"role": Role.ORGANISER, "event": None}
    mine = Club.objects.filter(officials__in=user.offices.filter(**whole))
    for club in mine:
        others = club.officials.filter(**whole).exclude(user=user)
        if not others.exists():
            raise ValidationError(LAST_ORGANISER.format(club=club))


@transaction.atomic
def erase(user: User) -> None:
    """Erase what the site holds of a person. Raises ValidationError as `check_can_go`."""
    check_can_go(user)
    rider = Rider.objects.select_for_update().filter(user=user).first()
    names = {user.email, user.get_full_name()}
    clubs = set(Club.objects.filter(officials__user=user))
    if rider is not None:
        names.add(rider.name)
        clubs |= set(Club.objects.filter(events__divisions__entries__rider=rider))
        _erase_rider(rider)
    Letter.objects.filter(Q(person=user) | Q(to__iexact=user.email, to__gt="")).delete()
    clubs |= set(Club.objects.filter(invitations__email__iexact=user.email))
    Invitation.objects.filter(email__iexact=user.email).delete()
    _scrub_acts(names, clubs, user)
    user.offices.all().delete()
    UnitsChoice.objects.filter(user=user).delete()
    LanguageChoice.objects.filter(user=user).delete()
    sign_out_everywhere(user)
    user.username = f"left-{get_random_string(16).lower()}"
    user.email = user.first_name = user.last_name = ""
    user.is_active = user.is_staff = user.is_superuser = False
    user.set_unusable_password()
    user.save()
    for club in clubs:
        what = _("Somebody erased their data. Their results stay without a name.")
        record(club=club, by=user, what=what)


def _erase_rider(rider: Rider) -> None:
    rider_erased.send(sender=Rider, rider=rider)
    own = Q(entry__rider=rider)
    for model in (PlannedRun, PlanVariant, PlanShare):
        model.objects.filter(own).delete()
    for things in (rider.own_tricks, rider.records, rider.landing_days, rider.kept_plans):
        things.all().delete()
    bibs = Bib.objects.filter(rider=rider).select_related("event")
    unused = [bib.pk for bib in bibs if today_at(bib.event) < bib.event.first_day]
    Bib.objects.filter(pk__in=unused).delete()
    rider.entries.update(**NO_CONTACT)
    events = Event.objects.filter(divisions__entries__rider=rider).distinct()
    coming = rider.entries.filter(division__event__in=season(events).coming)
    coming.exclude(state=Entry.State.WITHDRAWN).update(
        state=Entry.State.WITHDRAWN, withdrawn_at=timezone.now()
    )
    rider.given_name, rider.family_name = name_left()
    rider.club_name = ""
    rider.born_on, rider.sex = None, ""
    rider.save()


def _scrub_acts(names: set[str], clubs: set[Club], user: User) -> None:
    """Take the person's names and address out of the audit trail, the longest first."""
    acts = Act.objects.filter(Q(club__in=clubs) | Q(user=user))
    with on_paper():
        nobody = str(NOBODY)
    for name in sorted(filter(str.strip, names), key=len, reverse=True):
        acts.filter(what__contains=name).update(
            what=Replace("what", Value(name), Value(nobody))
        )
    changed = []
    for act in acts.filter(what__contains=user.username):
        act.what = _without_official(act.what, user.username)
        changed.append(act)
    Act.objects.bulk_update(changed, ["what"], batch_size=200)


def _without_official(what: str, name: str) -> str:
    """A line about a role without the name of the account, in whichever language it is.

    Only there: a short name may be a common word elsewhere.
    """
    for code, _language in settings.LANGUAGES:
        with translation.override(code):
            for message in (GAVE, TOOK):
                said = re.escape(_(message))
                said = said.replace(r"\{user\}", re.escape(name)).replace(
                    r"\{role\}", "(?P<role>.*)"
                )
                if found := re.fullmatch(said, what, re.DOTALL):
                    return _(message).format(user=NOBODY, role=found["role"])
    return what
