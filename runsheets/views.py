"""The table's pages: running orders, bibs, run sheets, and who has not declared."""

from io import BytesIO
from typing import Any
from urllib.parse import urlencode

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import Count
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods, require_safe

from events.access import Role, has_role, require_table
from events.models import Division, Event
from events.rules.words import RidingOrder
from riders.models import Entry
from runsheets.books import sheet_book
from runsheets.forms import METHODS, BibsForm, OrderForm
from runsheets.lineup import Lineup, lineup, rounds_of, states_of
from runsheets.pdf.page import PAPERS
from runsheets.pdf.run_sheets import run_sheets_pdf
from runsheets.services import (
    Move,
    StaleOrder,
    change_order,
    fill_bibs,
    make_order,
    order_version,
    riders_of,
    save_bibs,
)

STALE = (
    "The running order was changed by somebody else in the meantime. This is how it stands "
    "now: look at it, then do what you wanted again if it is still needed."
)


@login_required
@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """The events whose table the user sits at, the coming ones first."""
    events = Event.objects.tabled_by(request.user).select_related("club", "venue")
    events = list(events.annotate(riders=Count("divisions__entries__rider", distinct=True)))
    today = timezone.localdate()
    coming = [event for event in events if event.last_day >= today]
    past = [event for event in reversed(events) if event.last_day < today]
    return render(request, "runsheets/home.html", {"coming": coming, "past": past})


def _event(request: HttpRequest, slug: str) -> Event:
    """The event, for its table only."""
    found = get_object_or_404(Event.objects.select_related("club", "venue"), slug=slug)
    require_table(request.user, found.club)
    return found


def _division(request: HttpRequest, pk: int) -> Division:
    """The division, for the table of its event only."""
    divisions = Division.objects.select_related("event__club", "event__venue")
    found = get_object_or_404(divisions.prefetch_related("editions"), pk=pk)
    require_table(request.user, found.event.club)
    return found


@login_required
@require_safe
def event(request: HttpRequest, event: str) -> HttpResponse:
    """Every round of every division, and what there is to do."""
    found = _event(request, event)
    context = {"event": found, "states": states_of(found)}
    return render(request, "runsheets/event.html", context)


@login_required
@require_safe
def entries(request: HttpRequest, event: str) -> HttpResponse:
    """Who is entered; guardians of riders under age are shown to organisers only."""
    found = _event(request, event)
    entered = Entry.objects.filter(division__event=found).select_related("rider", "division")
    context = {
        "event": found,
        "entries": entered.order_by("division__place", "division__name", "entered_at"),
        "sees_guardians": has_role(request.user, found.club, Role.ORGANISER),
    }
    return render(request, "runsheets/entries.html", context)


@login_required
@require_safe
def readiness(request: HttpRequest, event: str) -> HttpResponse:
    """Who has not declared a run yet, and who declared under older rules."""
    found = _event(request, event)
    states = [
        {"state": state, "deadline": state.division.deadline(state.name or None)}
        for state in states_of(found)
    ]
    context = {"event": found, "states": states, "now": timezone.now()}
    return render(request, "runsheets/readiness.html", context)


def _round(request: HttpRequest, division: Division) -> str | None:
    """The round that was asked for, the first if none was; None if there is no such round."""
    names = rounds_of(division)
    asked = request.GET.get("round", names[0])
    return asked if asked in names else None


def _refuse(request: HttpRequest, division: Division, sentence: str) -> HttpResponse:
    messages.error(request, sentence)
    return redirect("table-event", division.event.slug)


NO_ROUND = "There is no such round in {division}; choose one below."
NO_EDITION = (
    "The rules of {division} are not published yet, so there are no run sheets. An organiser "
    "publishes them on the division's page."
)
NO_PAPER = "Run sheets are printed on A4 or Letter paper; choose one below."


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def order(request: HttpRequest, pk: int) -> HttpResponse:
    """Make the running order of a round, and move riders in it."""
    division = _division(request, pk)
    name = _round(request, division)
    if name is None:
        return _refuse(request, division, NO_ROUND.format(division=division))
    line = lineup(division, name)
    if request.method == "POST" and "move" in request.POST:
        return _move(request, line, division, name)
    form = _order_form(request, line, division, name)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            make_order(
                division=division,
                round_name=name,
                method=RidingOrder(data["method"]),
                seed=data["seed"],
                entries=data.get("riders"),
                version=request.POST.get("version", ""),
                by=request.user,
            )
        except StaleOrder:
            messages.error(request, STALE)
            line = lineup(division, name)
        else:
            messages.success(request, "The running order is made.")
            return redirect(_order_url(division, name))
    return render(request, "runsheets/order.html", _order_page(form, line, division, name))


def _order_form(request: HttpRequest, line: Lineup, division: Division, name: str) -> OrderForm:
    later = name != rounds_of(division)[0]
    return OrderForm(
        request.POST or None,
        order=line.order,
        stated=_stated_order(division, name),
        riders=line.everybody if later else None,
        riding=[entry.pk for entry in line.ordered],
    )


def _stated_order(division: Division, name: str) -> RidingOrder | None:
    """The order of riding that the format states for the round."""
    if division.edition is None:
        return None
    rounds = division.edition.effective(name or None).rounds or ()
    return next((each.order for each in rounds if (each.name or "") == name), None)


def _order_page(form: OrderForm, line: Lineup, division: Division, name: str) -> dict[str, Any]:
    stated = _stated_order(division, name)
    return {
        "division": division,
        "event": division.event,
        "round": name,
        "rounds": rounds_of(division),
        "line": line,
        "rows": [(entry, line.bibs.get(entry.rider_id)) for entry in line.ordered],
        "missing": [(entry, line.bibs.get(entry.rider_id)) for entry in line.missing],
        "without_bib": sum(entry.rider_id not in line.bibs for entry in line.everybody),
        "version": order_version(line.order),
        "form": form,
        "stated": stated,
        "stated_is_offered": stated is None or stated in METHODS,
    }


def _order_url(division: Division, name: str, anchor: str = "") -> str:
    query = f"?{urlencode({'round': name})}" if name else ""
    return f"{reverse('table-order', args=[division.pk])}{query}{anchor}"


def _move(request: HttpRequest, line: Lineup, division: Division, name: str) -> HttpResponse:
    what, _, number = request.POST["move"].partition("-")
    known = what in set(Move) and number.isascii() and number.isdigit() and len(number) < 19
    try:
        if line.order is None or not known:
            raise StaleOrder
        change_order(
            order=line.order,
            entry_id=int(number),
            move=Move(what),
            version=request.POST.get("version", ""),
            by=request.user,
        )
    except StaleOrder:
        messages.error(request, STALE)
        return redirect(_order_url(division, name))
    return redirect(_order_url(division, name, f"#rider-{number}"))


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def bibs(request: HttpRequest, event: str) -> HttpResponse:
    """The bibs of all riders in one form."""
    found = _event(request, event)
    form = BibsForm(request.POST or None, event=found, riders=riders_of(found))
    if request.method == "POST" and form.is_valid():
        changed = save_bibs(event=found, numbers=form.numbers, by=request.user)
        given = fill_bibs(event=found, by=request.user) if "fill" in request.POST else 0
        messages.success(request, _bibs_said(changed, given))
        return redirect("table-bibs", found.slug)
    return render(request, "runsheets/bibs.html", {"event": found, "form": form})


def _bibs_said(changed: int, given: int) -> str:
    said = f"{_riders(given)} got the next free numbers. " if given else ""
    if changed or not given:
        said += f"{_riders(changed)} changed." if changed else "The bibs stay as they are."
    return said.strip()


def _riders(count: int) -> str:
    return "1 rider" if count == 1 else f"{count} riders"


@login_required
@require_safe
def sheets(request: HttpRequest, pk: int) -> HttpResponse:
    """The run sheets of a division in one round as PDF."""
    division = _division(request, pk)
    edition = division.edition
    name = _round(request, division)
    paper = request.GET.get("paper", "a4").lower()
    if edition is None:
        return _refuse(request, division, NO_EDITION.format(division=division))
    if name is None:
        return _refuse(request, division, NO_ROUND.format(division=division))
    if paper not in PAPERS:
        return _refuse(request, division, NO_PAPER)
    edition.division = division
    book = sheet_book(division, edition, name, timezone.now())
    data = run_sheets_pdf(book, paper, fonts=settings.STATE_DIR / "fonts")
    words = slugify(f"{division.event.name} {division.name} {name} run sheets {paper}")
    return FileResponse(
        BytesIO(data), filename=f"{words[:120]}.pdf", content_type="application/pdf"
    )
