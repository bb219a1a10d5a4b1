"""What riders do with whole plans: share, keep, put aside, take up again, copy."""

import secrets
from datetime import date, datetime, time
from hashlib import sha256
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from events.rules.language import mark
from riders.models import CoachLink, Entry, PlannedRun, PlanShare, PlanVariant, Rider
from riders.rows import sheet_from_data

TOKEN_BYTES = 24
NAME_LENGTH = 80
# How the variants are named that the site keeps; what stands there is told with "before" as
# its context.
BEFORE, AFTER = mark("before {what}"), mark("after {what}")

OWN_PLAN = gettext_lazy("This is your own plan: you find it under My riding.")
GONE = gettext_lazy("This plan is no longer shared. Ask the rider for a new link.")
NOTHING_TO_KEEP = gettext_lazy("There is nothing in this plan yet: plan a trick first.")
NAME_TAKEN = gettext_lazy("You have a variant called {name} here already: choose another name.")
NOTHING_TO_COPY = gettext_lazy("There is nothing in this plan to copy yet: plan a trick first.")
SAME_PLAN = gettext_lazy("This is the plan itself: choose another entry or round.")
OTHER_RIDER = gettext_lazy("A plan can be copied to your own entries only.")


def hashed(token: str) -> str:
    """What is stored of a link's token."""
    return sha256(token.encode()).hexdigest()


@transaction.atomic
def make_link(
    *,
    entry: Entry,
    round_name: str,
    expires_on: date | None = None,
    at: datetime | None = None,
) -> tuple[PlanShare, str]:
    """Share a plan by a new link; return the share and the link's token, told only now.

    An earlier link stops working. Those who keep the plan go on seeing it, unless the
    sharing had ended. Raises ValidationError for a day that is over.
    """
    at = at or timezone.now()
    # Locked, so that two links made at once follow each other.
    Entry.objects.select_for_update().get(pk=entry.pk)
    expires_at = _end_of(expires_on, entry)
    if expires_at is not None and expires_at <= at:
        raise ValidationError(_("This day is over: choose today or a later day."))
    share = PlanShare.objects.filter(entry=entry, round_name=round_name, ended_at=None).first()
    if share is not None and not share.is_live(at):
        _end(share, share.expires_at or at)
        share = None
    share = share or PlanShare(entry=entry, round_name=round_name, made_at=at)
    token = secrets.token_urlsafe(TOKEN_BYTES)
    share.token_hash = hashed(token)
    share.expires_at = expires_at
    share.full_clean()
    share.save()
    return share, token


def _end_of(day: date | None, entry: Entry) -> datetime | None:
    return day and datetime.combine(day, time.max, entry.division.event.zone)


def _end(share: PlanShare, at: datetime) -> None:
    share.token_hash = None
    share.ended_at = at
    share.save()


@transaction.atomic
def stop_sharing(*, share: PlanShare, at: datetime | None = None) -> None:
    """End a share: its link and the view of everybody who keeps it."""
    if share.ended_at is None:
        _end(share, at or timezone.now())


@transaction.atomic
def take_back(*, keeper: CoachLink, at: datetime | None = None) -> None:
    """End the view of one person. The link ends as well, because that person knows it."""
    if keeper.taken_back_at is None:
        keeper.taken_back_at = at or timezone.now()
        keeper.save()
        keeper.share.token_hash = None
        keeper.share.save()


@transaction.atomic
def keep_share(*, share: PlanShare, coach: Rider) -> CoachLink:
    """Put a shared plan into a person's coach's table; once is enough."""
    if share.entry.rider_id == coach.pk:
        raise ValidationError(OWN_PLAN)
    if not share.is_live():
        raise ValidationError(GONE)
    link, _created = CoachLink.objects.update_or_create(
        share=share, coach=coach, defaults={"taken_back_at": None}
    )
    return link


@transaction.atomic
def keep_variant(*, entry: Entry, round_name: str, name: str) -> PlanVariant:
    """Keep the plan as it is under a name of its own."""
    rows = _rows(entry, round_name)
    if not sheet_from_data(rows).size:
        raise ValidationError(NOTHING_TO_KEEP)
    name = " ".join(name.split())
    if any(name.casefold() == each.casefold() for each in _names(entry, round_name)):
        raise ValidationError(NAME_TAKEN.format(name=name))
    variant = PlanVariant(entry=entry, round_name=round_name, name=name, rows=rows)
    variant.full_clean()
    variant.save()
    return variant


@transaction.atomic
def use_variant(*, variant: PlanVariant, round_name: str) -> PlanVariant | None:
    """Make a variant the plan of a round of its entry, its own or another.

    Returns the variant that now keeps the replaced plan, if there was one.
    """
    # A plan put aside "before a mend" is taken up again: what is replaced comes "after" it.
    said = _without(BEFORE, variant.name)
    name = _(AFTER if said != variant.name else BEFORE).format(what=_without(AFTER, said))
    return _replace(variant.entry, round_name, variant.rows, name)


@transaction.atomic
def copy_plan(*, source: PlannedRun, entry: Entry, round_name: str) -> PlanVariant | None:
    """Copy a plan to another entry or round of the rider, row by row as typed.

    Returns the variant that now keeps the plan that was there, if there was one.
    """
    if source.entry.rider_id != entry.rider_id:
        raise ValidationError(OTHER_RIDER)
    if (source.entry_id, source.round_name) == (entry.pk, round_name):
        raise ValidationError(SAME_PLAN)
    if not sheet_from_data(source.rows).size:
        raise ValidationError(NOTHING_TO_COPY)
    division = source.entry.division
    origin = [division.event.name, division.name, source.round_name]
    before = pgettext("before", "the copy from {place}")
    before = before.format(place=", ".join(filter(None, origin)))
    return replace_plan(entry=entry, round_name=round_name, rows=source.rows, before=before)


@transaction.atomic
def replace_plan(
    *, entry: Entry, round_name: str, rows: Any, before: str, window: str = ""
) -> PlanVariant | None:
    """Put other rows in the plan; return the variant that now keeps the replaced ones.

    `before` ends that variant's name: "before ...". None where nothing would be lost.
    """
    return _replace(entry, round_name, rows, _(BEFORE).format(what=before), window)


def _without(message: str, name: str) -> str:
    """What stands in a name made by the message in any language; the name otherwise."""
    for code, _language in settings.LANGUAGES:
        with translation.override(code):
            begins, _what, ends = _(message).partition("{what}")
        if name.startswith(begins) and name.endswith(ends):
            return name.removeprefix(begins).removesuffix(ends)
    return name


def _replace(
    entry: Entry, round_name: str, rows: Any, name: str, window: str = ""
) -> PlanVariant | None:
    Entry.objects.select_for_update().get(pk=entry.pk)
    kept = _put_aside(entry, round_name, rows, name)
    PlannedRun.objects.update_or_create(
        entry=entry, round_name=round_name, defaults={"rows": rows, "window": window}
    )
    return kept


def _put_aside(entry: Entry, round_name: str, new: Any, name: str) -> PlanVariant | None:
    """Keep the plan that is about to be replaced, unless nothing would be lost."""
    old = _rows(entry, round_name)
    variants = PlanVariant.objects.filter(entry=entry, round_name=round_name)
    if not sheet_from_data(old).size or old == new:
        return None
    held = next((each for each in variants if each.rows == old), None)
    if held is not None:
        return held
    name = _free_name(name, _names(entry, round_name))
    return PlanVariant.objects.create(entry=entry, round_name=round_name, name=name, rows=old)


def _free_name(wanted: str, taken: set[str]) -> str:
    name, number = wanted[:NAME_LENGTH], 1
    while name in taken:
        number += 1
        ending = f" {number}"
        name = wanted[: NAME_LENGTH - len(ending)] + ending
    return name


def _rows(entry: Entry, round_name: str) -> Any:
    plan = PlannedRun.objects.filter(entry=entry, round_name=round_name).first()
    return plan.rows if plan else None


def _names(entry: Entry, round_name: str) -> set[str]:
    found = PlanVariant.objects.filter(entry=entry, round_name=round_name)
    return set(found.values_list("name", flat=True))
