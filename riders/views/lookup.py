"""Fetching what an address names, for the rider whose it is."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, wraps
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode

from events.models import Edition
from riders.models import Entry, EntryQuerySet, PlannedRun, PlanVariant, Rider
from riders.rows import sheet_from_data
from riders.views.riding import rider_required


@dataclass(frozen=True)
class OwnPlace:
    """One entry of a rider in one round, with the rules in force."""

    entry: Entry
    edition: Edition
    round_name: str

    @property
    def plan(self) -> PlannedRun | None:
        """The plan as kept; None before anything was planned."""
        plans = PlannedRun.objects.select_related("entry__division__event")
        return plans.filter(entry=self.entry, round_name=self.round_name).first()

    @property
    def older_plans(self) -> list[PlannedRun]:
        """The plans for rounds that the rules name no longer, with something in them."""
        names = self.edition.round_names or [""]
        found = self.entry.plans.exclude(round_name__in=names)
        return [each for each in found if sheet_from_data(each.rows).size]

    @property
    def is_of_old_rules(self) -> bool:
        """Whether the rules in force do not name this round."""
        return self.round_name not in (self.edition.round_names or [""])

    def is_elsewhere(self, variant: PlanVariant) -> bool:
        """Whether a variant was kept in another round."""
        return variant.round_name != self.round_name

    @property
    def context(self) -> dict[str, Any]:
        """What every page about the place shows."""
        division = self.entry.division
        return {
            "entry": self.entry,
            "division": division,
            "event": division.event,
            "round_name": self.round_name,
            "round_query": self.query,
        }

    @property
    def query(self) -> str:
        """The end of an address that names the round; empty where the rules have none."""
        if not self.round_name and not self.edition.round_names:
            return ""
        return f"?{urlencode({'round': self.round_name})}"

    def redirect(self, name: str) -> HttpResponse:
        """Go to one of the pages of this entry and round."""
        return redirect(f"{reverse(name, args=[self.entry.pk])}{self.query}")


@cache
def _entries() -> EntryQuerySet:
    """Every entry with what its pages show; a question that is put together only once.

    It is never asked itself: whoever narrows it asks anew.
    """
    return Entry.objects.select_related("division__event__club").with_made_tricks()


def rider_entry(rider: Rider, pk: int) -> Entry:
    """The rider's entry; somebody else's is not found."""
    entry = get_object_or_404(_entries(), pk=pk, rider=rider)
    entry.rider = rider
    return entry


def no_rules(request: HttpRequest, entry: Entry) -> HttpResponse:
    """The page that stands for every other one until rules are published."""
    division = entry.division
    context = {"entry": entry, "division": division, "event": division.event}
    return render(request, "riders/no_rules.html", context)


def place_of(entry: Entry, edition: Edition, asked: str | None) -> OwnPlace:
    """The round that was asked for, the first if none was; 404 for an unknown one.

    A round that a new edition names no longer is still found while the rider has a plan for
    it, so that the plan can be taken elsewhere.
    """
    names = edition.round_names or [""]
    if asked is None:
        return OwnPlace(entry, edition, names[0])
    if asked not in names and not entry.plans.filter(round_name=asked).exists():
        raise Http404("No such round.")
    return OwnPlace(entry, edition, asked)


def place_required(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Go on with the rider's entry and the round in the address."""

    @rider_required
    @wraps(view)
    def inner(request: HttpRequest, rider: Rider, entry_pk: int) -> HttpResponse:
        entry = rider_entry(rider, entry_pk)
        edition = entry.division.edition
        if edition is None:
            return no_rules(request, entry)
        return view(request, place_of(entry, edition, request.GET.get("round")))

    return inner
