"""Printing a pack: its papers laid out as PDF and recorded, at once or beside the site.

A long pack is made by the worker where one runs, so that nobody waits at a page that does
not answer. It is asked for in the database: a restart of anything loses nothing.
"""

import logging
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django_tasks import task

from events.languages import on_paper
from events.models import Division, Event
from events.site import absolute
from runsheets.models import AskedPack, Slot
from runsheets.papers.paper import Kind
from runsheets.pdf.pack import papers_pdf
from runsheets.printing import Choice, changed, make_pack, record_printings

log = logging.getLogger(__name__)
NO_RULES = gettext_lazy(
    "The rules of no division are published yet, so there is nothing to print."
)
NO_SUCH_HEAT = gettext_lazy(
    "There is no heat {heat} in what you chose. Choose another heat, or every heat."
)
NOTHING_CHANGED = gettext_lazy(
    "Nothing changed since the last printing: every sheet still holds."
)
BROKE = gettext_lazy(
    "The papers could not be made. Try again; if it fails again, print fewer at once."
)
LONG = 60  # riders; fewer are laid out in about a second
KEPT_FOR = timedelta(days=1)
GIVEN_UP = timedelta(minutes=5)  # after which a pack being made counts as left half-way
State = AskedPack.State


class NothingToPrint(Exception):
    """There is no paper; the text says why, and `about` what of the print page it is about."""

    def __init__(self, say: str, about: str = "") -> None:
        super().__init__(say)
        self.about = about


@dataclass(frozen=True)
class Document:
    """A pack as PDF, and how many papers are in it."""

    pdf: bytes
    papers: int


def print_papers(
    *, event: Event, choice: Choice, only_changed: bool, size: str, by: User, at: datetime
) -> Document:
    """Lay the papers out and record that they were printed. Raises NothingToPrint."""
    pack = make_pack(event, choice, at, _address)
    papers, outdated = pack.chosen, pack.chosen
    if not pack.facts.rounds:
        raise NothingToPrint(NO_RULES, "rules")
    heats = {heat.number for round_ in pack.facts.rounds for heat in round_.heats}
    if choice.heat is not None and choice.heat not in heats:
        raise NothingToPrint(NO_SUCH_HEAT.format(heat=choice.heat), "heat")
    if only_changed:
        again = changed(pack)
        if again.cover is None:
            raise NothingToPrint(NOTHING_CHANGED)
        papers, outdated = [again.cover, *again.papers], again.outdated
    with on_paper():
        title = _("{event}: papers of the table").format(event=event.name)
    pdf = papers_pdf(papers, size, fonts=settings.STATE_DIR / "fonts", title=title)
    record_printings(event=event, papers=outdated, by=by, at=at)
    return Document(pdf, len(papers))


def _address(division: Division) -> str:
    """Where a division's public page is found; empty while the event is not public."""
    return absolute(division.get_absolute_url()) if division.event.is_public else ""


def is_long(event: Event, choice: Choice) -> bool:
    """Whether the pack is left to the worker: one runs, and there are many riders in it."""
    if not settings.POST_WORKER:
        return False
    slots = Slot.objects.filter(order__division__event=event)
    if choice.heat is not None:
        slots = slots.filter(heat__number=choice.heat)
    some = Q()
    for division, name in choice.rounds:
        some |= Q(order__division=division, order__round_name=name)
    return slots.filter(some).count() > LONG


@transaction.atomic
def ask_pack(
    *, event: Event, choice: Choice, only_changed: bool, size: str, by: User
) -> AskedPack:
    """Have a pack made by the worker. Packs of yesterday are thrown away."""
    old = AskedPack.objects.filter(event=event, asked_at__lt=timezone.now() - KEPT_FOR)
    old.delete()
    asked = AskedPack.objects.create(
        event=event,
        asked_by=by,
        rounds=[list(key) for key in choice.rounds],
        heat=choice.heat,
        kinds=[kind.value for kind in choice.kinds],
        per_judge=choice.per_judge,
        only_changed=only_changed,
        size=size,
    )
    prepare_pack.enqueue(asked.pk)  # a row of its own, in the same transaction
    return asked


@task()
def prepare_pack(pk: int) -> None:
    """For the worker."""
    prepare(pk)


def prepare(pk: int) -> None:
    """Make a pack that was asked for, unless somebody makes it already or it is made.

    One that was left half-way, by a worker that was stopped, is made anew.
    """
    now = timezone.now()
    if not _open(now).filter(pk=pk).update(state=State.MAKING, begun_at=now):
        return
    asked = AskedPack.objects.select_related("event__club", "event__venue", "asked_by").get(
        pk=pk
    )
    try:
        with transaction.atomic():
            end = _made(asked)
    except NothingToPrint as refused:
        end = {"state": State.NOTHING, "said": str(refused)}
    except Exception:
        log.exception("Pack %s could not be made", pk)
        end = {"state": State.FAILED, "said": BROKE}
    AskedPack.objects.filter(pk=pk).update(ended_at=timezone.now(), **end)


def again(pk: int) -> None:
    """Make a pack now that failed, or that no worker took."""
    AskedPack.objects.filter(pk=pk, state=State.FAILED).update(state=State.WAITING)
    prepare(pk)


def _open(now: datetime) -> QuerySet[AskedPack]:
    left = Q(state=State.MAKING, begun_at__lt=now - GIVEN_UP)
    return AskedPack.objects.filter(Q(state=State.WAITING) | left)


def _made(asked: AskedPack) -> dict[str, Any]:
    made = print_papers(
        event=asked.event,
        choice=Choice(
            rounds=tuple((division, name) for division, name in asked.rounds),
            heat=asked.heat,
            kinds=tuple(Kind(each) for each in asked.kinds),
            per_judge=asked.per_judge,
        ),
        only_changed=asked.only_changed,
        size=asked.size,
        by=asked.asked_by,
        at=timezone.now(),
    )
    return {"state": State.READY, "document": made.pdf, "papers": made.papers}
