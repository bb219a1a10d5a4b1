"""Printing papers: which there are, recording that they were printed, and what changed since.

Every printing goes into the audit trail.
"""

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Count, Max
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from events.languages import made_on_paper
from events.models import Division, Event
from events.services import record
from runsheets.books import RoundKey, event_facts
from runsheets.lineup import rounds_of
from runsheets.models import Printing
from runsheets.papers.changes import changes
from runsheets.papers.codes import spaced
from runsheets.papers.heading import SheetHeading
from runsheets.papers.pack import KINDS, EventFacts, Printed, Reprint, papers_of, reprint
from runsheets.papers.paper import (
    PAPER,
    Kind,
    Paper,
    Scope,
    read_snapshot,
    title_of,
)

WHOLE_ROUND = (Kind.BOAT, Kind.RULES)
Addresses = Callable[[Division], str]


@dataclass(frozen=True)
class Choice:
    """What to print: no rounds means the whole event, no heat means every heat."""

    rounds: Collection[RoundKey] = ()
    heat: int | None = None
    kinds: Collection[Kind] = KINDS
    per_judge: bool = True

    def takes(self, scope: Scope) -> bool:
        """Whether a paper of the chosen rounds and kinds is of the chosen heat too."""
        return self.heat is None or scope.heat == self.heat or scope.kind in WHOLE_ROUND


@dataclass(frozen=True)
class Pack:
    """Papers as chosen, and all of their rounds, which is what changes are looked for in."""

    event: Event
    choice: Choice
    papers: list[Paper]
    at: datetime
    facts: EventFacts

    @property
    def chosen(self) -> list[Paper]:
        """The papers to print."""
        return [paper for paper in self.papers if self.choice.takes(paper.scope)]


@made_on_paper
def make_pack(
    event: Event, choice: Choice, at: datetime, address: Addresses = lambda division: ""
) -> Pack:
    """The papers of an event as they are at a moment, in the order of handing out."""
    facts = event_facts(event, at, address=address, only=choice.rounds or None)
    papers = papers_of(facts, choice.kinds, per_judge=choice.per_judge)
    return Pack(event, choice, papers, at, facts)


@made_on_paper
def changed(pack: Pack) -> Reprint:
    """What of a pack changed since each paper was last printed."""
    last = last_printings(pack.event, _Within(pack))
    wanted = {paper.scope for paper in pack.chosen}
    heading = SheetHeading(
        event=pack.event.name,
        division=_("What changed since the last printing"),
        round="",
        edition_no=0,
        printed_at=pack.at.astimezone(pack.event.zone),
        venue=pack.event.venue.name,
        title=title_of(Kind.CHANGES),
    )
    return reprint(pack.papers, last, wanted, heading)


class _Within:
    """Which printings are of the rounds, kinds and heat that a pack was made of."""

    def __init__(self, pack: Pack) -> None:
        self.choice = pack.choice
        self.divisions = {key for key, _ in pack.choice.rounds}

    def __call__(self, scope: Scope) -> bool:
        choice = self.choice
        if scope.kind not in choice.kinds or not choice.takes(scope):
            # Riders who moved here came from another heat of the round.
            return scope.kind in choice.kinds and choice.heat is not None and self._here(scope)
        return self._here(scope)

    def _here(self, scope: Scope) -> bool:
        if not self.choice.rounds:
            return True
        if scope.kind is Kind.RULES:
            return scope.division in self.divisions
        return (scope.division, scope.round) in self.choice.rounds


def last_printings(
    event: Event, wanted: Callable[[Scope], bool] = lambda scope: True
) -> dict[Scope, Printed]:
    """The last printing of each paper of an event: one query."""
    newest = (
        Printing.objects.filter(event=event)
        .order_by()
        .values("division", "round_name", "kind")
        .annotate(newest=Max("pk"))
        .values("newest")
    )
    found = {}
    for each in Printing.objects.filter(pk__in=newest):
        printed = printed_of(each)
        if printed is not None and wanted(printed.scope):
            found[printed.scope] = printed
    return found


def printed_of(printing: Printing) -> Printed | None:
    """A printing as a value; None for a kind that is no longer printed."""
    kind, _, number = printing.kind.rpartition(" ")
    if not number.isdigit():
        kind, number = printing.kind, "0"
    if kind not in KINDS or printing.division_id is None:
        return None
    scope = Scope(printing.division_id, printing.round_name, Kind(kind), int(number))
    return Printed(scope, printing.code, read_snapshot(printing.rows), printing.printed_at)


@transaction.atomic
def record_printings(*, event: Event, papers: Iterable[Paper], by: Any, at: datetime) -> int:
    """Keep what each paper says, with its code; return how many there were."""
    made = [
        Printing(
            event=event,
            division_id=paper.scope.division,
            round_name=paper.scope.round,
            kind=paper.scope.label,
            code=paper.code,
            rows=paper.snapshot.as_data(),
            printed_at=at,
            printed_by=by,
        )
        for paper in papers
    ]
    Printing.objects.bulk_create(made)
    if made:
        what = ngettext("Printed {number} paper.", "Printed {number} papers.", len(made))
        what = what.format(number=len(made))
        record(club=event.club, event=event, by=by, what=what)
    return len(made)


def recent_printings(event: Event, most: int = 6) -> list[dict[str, Any]]:
    """When papers were printed last, by whom, and how many: one query."""
    by = ("printed_by__first_name", "printed_by__last_name", "printed_by__username")
    found = Printing.objects.filter(event=event).order_by().values("printed_at", *by)
    rows = found.annotate(papers=Count("pk")).order_by("-printed_at")[:most]
    return [
        {
            "at": row["printed_at"],
            "papers": row["papers"],
            "by": f"{row[by[0]]} {row[by[1]]}".strip() or row[by[2]],
        }
        for row in rows
    ]


@dataclass(frozen=True)
class Verdict:
    """Whether a printed paper still holds.

    `changes` are sentences on what differs today. `since` is when the first of it changed,
    as far as that is known. `newer` is a later printing of the same paper. `is_gone`: there
    is no such paper any more.
    """

    printing: Printing
    title: str
    place: str
    changes: list[str] = field(default_factory=list)
    since: datetime | None = None
    newer: Printing | None = None
    is_gone: bool = False

    @property
    def newer_code(self) -> str:
        """The code of the later printing as it stands on paper."""
        return spaced(self.newer.code) if self.newer else ""

    @property
    def is_current(self) -> bool:
        """Whether it says what a new one would say."""
        return not (self.changes or self.is_gone)


def judged(printing: Printing, now: datetime) -> Verdict:
    """Look whether a paper still says what one printed now would say."""
    then = printed_of(printing)
    if then is None or printing.division is None:
        return Verdict(printing, printing.kind, "", is_gone=True)
    division = printing.division
    scope = then.scope
    heat = _("heat {number}").format(number=scope.heat) if scope.heat else ""
    place = ", ".join(filter(None, (division.name, scope.round, heat)))
    title = title_of(scope.kind)
    paper = _today(division, scope, bool(then.snapshot.paper.get("judges")), now)
    if paper is None:
        return Verdict(printing, title, place, is_gone=True)
    if paper.code == printing.code:
        return Verdict(printing, title, place)
    found = changes(then.snapshot, paper.snapshot)
    moments = [
        at
        for key in {each.key or PAPER for each in found}
        if (at := paper.moments.get(key)) is not None and at > printing.printed_at
    ]
    said = [each.sentence for each in found] or [_("Something else on it changed.")]
    return Verdict(printing, title, place, said, min(moments, default=None), _newer(printing))


@made_on_paper
def _today(division: Division, scope: Scope, per_judge: bool, now: datetime) -> Paper | None:
    """The same paper as it would be printed now."""
    name = scope.round or rounds_of(division)[0]
    facts = event_facts(division.event, now, only=[(division.pk, name)])
    papers = papers_of(facts, {scope.kind}, per_judge=per_judge)
    return next((paper for paper in papers if paper.scope == scope), None)


def _newer(printing: Printing) -> Printing | None:
    same = Printing.objects.filter(
        event=printing.event_id,
        division=printing.division_id,
        round_name=printing.round_name,
        kind=printing.kind,
    )
    newest = same.order_by("-pk").first()
    return newest if newest and newest.pk != printing.pk else None
