"""The table's pages about entries: who is entered, fees, withdrawing, check-in at the dock."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.db.models import Count, OuterRef, Q, Subquery
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from events.access import Role, has_role, require_dock, require_table
from events.lake_days import season, today_at
from events.models import Event
from riders.entering import withdraw
from riders.entry_conditions import is_minor
from riders.models import Entry, EntryQuerySet
from runsheets.bibs import bibs_of
from runsheets.desk_services import check_in, set_fee
from runsheets.lookup import event_for_table

ENTRIES_A_PAGE = 60
PAST_SHOWN = 5
FILTERS = ("division", "state", "fee", "find")


@login_required
@require_safe
def entries(request: HttpRequest, event: str) -> HttpResponse:
    """Who is entered; contacts and guardians are shown to organisers only."""
    found = event_for_table(request, event)
    asked = {name: request.GET.get(name, "").strip()[:80] for name in FILTERS}
    sees_contacts = has_role(request.user, found, Role.ORGANISER)
    everybody = Entry.objects.filter(division__event=found)
    shown = _narrowed(everybody, asked).select_related("rider", "division")
    shown = shown.order_by("division__place", "division__name", "entered_at", "pk")
    shown = shown.annotate(waiting_place=_waiting_place())
    pages = Paginator(shown, ENTRIES_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "event": found,
        "asked": asked,
        "query": f"?{urlencode(asked)}",
        "pages": pages,
        "divisions": found.divisions.all(),
        "states": Entry.State.choices,
        "fees": Entry.Fee.choices,
        "totals": _totals(everybody),
        "entries": pages.object_list,
        "sees_contacts": sees_contacts,
    }
    return render(request, "runsheets/entries.html", context)


def _waiting_place() -> Subquery:
    """The place of an entry on the waiting list, as `riders.entering.waiting_place` counts."""
    earlier = Q(entered_at__lt=OuterRef("entered_at")) | Q(
        entered_at=OuterRef("entered_at"), pk__lte=OuterRef("pk")
    )
    waiting = Entry.objects.filter(
        earlier, division=OuterRef("division"), state=Entry.State.WAITING
    )
    return Subquery(waiting.order_by().values("division").annotate(n=Count("pk")).values("n"))


def _narrowed(entries: EntryQuerySet, asked: dict[str, str]) -> EntryQuerySet:
    if asked["division"].isdecimal():
        entries = entries.filter(division__pk=int(asked["division"]))
    if asked["state"] in Entry.State.values:
        entries = entries.filter(state=asked["state"])
    if asked["fee"] in Entry.Fee.values:
        entries = entries.filter(fee=asked["fee"])
    for word in asked["find"].split():
        named = Q(rider__given_name__icontains=word) | Q(rider__family_name__icontains=word)
        entries = entries.filter(named | Q(rider__club_name__icontains=word))
    return entries


def _totals(entries: EntryQuerySet) -> dict[str, int]:
    counts = {
        name: Count("pk", filter=Q(state=Entry.State.RIDING, fee=name))
        for name in Entry.Fee.values
    }
    counts |= {name: Count("pk", filter=Q(state=name)) for name in Entry.State.values}
    totals: dict[str, int] = entries.aggregate(**counts)
    return totals


@login_required
@require_POST
def entry_act(request: HttpRequest, pk: int) -> HttpResponse:
    """One press on the entries page: note the fee, or withdraw the entry."""
    entry = _entry(pk)
    event = entry.division.event
    require_table(request.user, event)
    act = request.POST.get("act", "")
    if act in Entry.Fee.values:
        set_fee(entry=entry, fee=Entry.Fee(act), by=request.user)
        messages.success(
            request,
            _("Fee of {rider}: {fee}.").format(
                rider=entry.rider, fee=str(Entry.Fee(act).label).lower()
            ),
        )
    elif act == "withdraw" and request.POST.get("sure"):
        promoted = withdraw(entry=entry, by=request.user)
        messages.success(
            request,
            _("{rider} is withdrawn.").format(rider=entry.rider) + _moved_up(promoted),
        )
    elif act == "withdraw":
        messages.error(request, _("Tick “sure” to withdraw {rider}.").format(rider=entry.rider))
    else:
        messages.error(request, _("Nothing was chosen, so nothing changed."))
    asked = {name: request.POST.get(name, "")[:80] for name in FILTERS}
    address = reverse("table-entries", args=[event.slug])
    return redirect(f"{address}?{urlencode(asked)}#entry-{entry.pk}")


def _moved_up(promoted: list[Entry]) -> str:
    names = ", ".join(each.rider.name for each in promoted)
    return " " + _("From the waiting list: {names}.").format(names=names) if names else ""


def _entry(pk: int) -> Entry:
    entries = Entry.objects.select_related("rider", "division__event__club")
    return get_object_or_404(entries, pk=pk)


@login_required
@require_safe
def dock_home(request: HttpRequest) -> HttpResponse:
    """The events at whose dock the user checks riders in, the coming ones first."""
    held = Event.objects.held_by(request.user, Role.ORGANISER, Role.TABLE, Role.DOCK)
    events = season(held.select_related("club", "venue"))
    context = {"coming": events.coming, "past": events.past[:PAST_SHOWN]}
    return render(request, "runsheets/dock_home.html", context)


@login_required
@require_safe
def check_in_page(request: HttpRequest, event: str) -> HttpResponse:
    """Who has a place and whether they are at the dock; no contacts."""
    found = get_object_or_404(Event.objects.select_related("club"), slug=event)
    require_dock(request.user, found)
    find = request.GET.get("find", "").strip()[:80]
    bibs = bibs_of(found)
    riding = Entry.objects.filter(division__event=found).riding()
    riding = riding.select_related("rider", "division")
    everybody = list(riding.order_by("division__place", "division__name", "rider__family_name"))
    lines = [_line(entry, bibs.get(entry.rider_id), found) for entry in everybody]
    context = {
        "event": found,
        "find": find,
        "lines": [line for line in lines if _is_meant(line, find)],
        "count": len(lines),
        "present": sum(entry.checked_in_at is not None for entry in everybody),
    }
    return render(request, "runsheets/check_in.html", context)


def _line(entry: Entry, bib: int | None, event: Event) -> dict[str, object]:
    born = entry.rider.born_on
    came = entry.checked_in_at
    today = today_at(event)
    return {
        "entry": entry,
        "is_earlier": came is not None and came.astimezone(event.zone).date() != today,
        "division": entry.division,
        "bib": bib,
        "is_minor": born is not None and is_minor(born, event),
        "age_unknown": born is None,
    }


def _is_meant(line: dict[str, object], find: str) -> bool:
    entry = line["entry"]
    assert isinstance(entry, Entry)
    said = f"{entry.rider.name} {line['bib'] or ''}".casefold()
    return all(word in said for word in find.casefold().split())


@login_required
@require_POST
def check_in_act(request: HttpRequest, pk: int) -> HttpResponse:
    """Check a rider in, or take it back."""
    entry = _entry(pk)
    event = entry.division.event
    require_dock(request.user, event)
    present = request.POST.get("present") == "yes"
    if present and entry.state != Entry.State.RIDING:
        messages.error(
            request,
            _("{rider} has no place now. Send them to the table.").format(rider=entry.rider),
        )
    else:
        check_in(entry=entry, present=present, by=request.user)
        said = (
            _("{rider} is checked in.") if present else _("{rider} is not checked in any more.")
        )
        messages.success(request, said.format(rider=entry.rider))
    query = urlencode({"find": request.POST.get("find", "")[:80]})
    return redirect(f"{reverse('check-in', args=[event.slug])}?{query}#entry-{entry.pk}")
