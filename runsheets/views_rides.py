"""The table's pages while a heat is ridden: the panel, a heat, and one ride."""

from datetime import date, datetime, time
from functools import cache

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from events.access import require_table
from events.faults import Fault
from events.lake_days import today_at
from events.models import Event
from events.rules.answers import reminders
from events.rules.format import Format
from events.rules.run import Run
from events.rules.vocabulary import standard_vocabulary
from events.rules.words import Late
from riders.models import Entry
from riders.services import declared_run, vocabulary_of
from runsheets.departed import told_of
from runsheets.forms_rides import SheetForm
from runsheets.judging.scoring import Scoring
from runsheets.lineup import bibs_of, declared_round, heat_lines
from runsheets.lookup import event_for_table
from runsheets.models import Heat, Ride, RunningOrder, Slot
from runsheets.orders import stated_round
from runsheets.ride_sheet import cells_of
from runsheets.rides import (
    LOCKED,
    RideRefused,
    begin_heat,
    correct_heat,
    end_heat,
    give_re_ride,
    panel_text,
    save_ride,
    set_judges,
)

PANEL_MOST = 9
USUAL_PANEL = 3
NOT_A_TIME = gettext_lazy(
    "Write both times such as 09:30, or leave one empty. Nothing was changed."
)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def judges(request: HttpRequest, event: str) -> HttpResponse:
    """The numbered panel of judges of an event."""
    found = event_for_table(request, event)
    held = list(found.judges.all())
    by_number = {judge.number: judge.name for judge in held}
    most = max([PANEL_MOST, *by_number])
    names = [by_number.get(n, "") for n in range(1, most + 1)]
    read = panel_text(held)
    error = ""
    if request.method == "POST":
        names = [request.POST.get(f"judge-{n}", "").strip() for n in range(1, most + 1)]
        read = request.POST.get("read", "")
        error = _panel(request, found, names, read)
        if not error:
            messages.success(request, _("The panel is saved."))
            return redirect("table-judges", found.slug)
    context = {
        "event": found,
        "names": list(enumerate(names, start=1)),
        "read": read,
        "wrong": [Fault(error, target=f"judge-{_too_long(names) or 1}")] if error else [],
        "panels": _panels(found),
    }
    return render(request, "runsheets/judges.html", context)


def _panel(request: HttpRequest, event: Event, names: list[str], read: str) -> str:
    if _too_long(names):
        return _("Write names of at most 120 characters.")
    try:
        set_judges(event=event, names=names, read=read, by=request.user)
    except RideRefused as refused:
        return str(refused)
    return ""


def _too_long(names: list[str]) -> int:
    """The number of the first judge whose name is too long; 0 where none is."""
    return next((n for n, name in enumerate(names, start=1) if len(name) > 120), 0)


def _panels(event: Event) -> list[tuple[str, int | None]]:
    """How many judges the rules of each division ask for."""
    return [
        (division.name, division.edition.format.judging.panel if division.edition else None)
        for division in event.divisions.prefetch_related("editions")
    ]


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def heat(request: HttpRequest, pk: int) -> HttpResponse:
    """The riders of a heat in order, how far each is, and the heat's real times."""
    heats = Heat.objects.select_related("order__division__event__club")
    found = get_object_or_404(heats, pk=pk)
    event = found.order.division.event
    require_table(request.user, event)
    if request.method == "POST":
        _heat_act(request, found, event)
        return redirect("table-heat", found.pk)
    lines = heat_lines([found.order], bibs_of(event))
    at = next(n for n, each in enumerate(lines) if each.heat.pk == found.pk)
    states: dict[int, list[Ride]] = {}
    for ride in Ride.objects.filter(order=found.order).order_by("number"):
        states.setdefault(ride.entry_id, []).append(ride)
    context = {
        "event": event,
        "heat": found,
        "division": found.order.division,
        "seats": [(seat, states.get(seat.entry.pk, [])) for seat in lines[at].seats],
        "before": lines[at - 1].heat if at else None,
        "after": lines[at + 1].heat if at + 1 < len(lines) else None,
    }
    return render(request, "runsheets/heat.html", context)


def _heat_act(request: HttpRequest, heat: Heat, event: Event) -> None:
    try:
        if "begin" in request.POST:
            begin_heat(heat=heat, by=request.user)
        elif "end" in request.POST:
            end_heat(heat=heat, by=request.user)
        elif "correct" in request.POST:
            begun = _moment(request, "begun", heat.begun_at, heat, event)
            ended = _moment(request, "ended", heat.ended_at, heat, event)
            correct_heat(heat=heat, begun=begun, ended=ended, by=request.user)
    except RideRefused as refused:
        messages.error(request, str(refused))


def _moment(
    request: HttpRequest, name: str, held: datetime | None, heat: Heat, event: Event
) -> datetime | None:
    text = request.POST.get(name, "").strip()
    if not text:
        return None
    try:
        clock = time.fromisoformat(text).replace(tzinfo=None)
    except ValueError:
        raise RideRefused(NOT_A_TIME) from None
    if held and f"{held.astimezone(event.zone):%H:%M}" == f"{clock:%H:%M}":
        return held  # not touched: its seconds stay
    day: date = heat.day or today_at(event)
    if heat.begun_at:
        day = heat.begun_at.astimezone(event.zone).date()
    return datetime.combine(day, clock, tzinfo=event.zone)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def ride(request: HttpRequest, order_pk: int, entry_pk: int, number: int = 1) -> HttpResponse:
    """One run: what became of each trick, the judges' marks, and how far it is."""
    slots = Slot.objects.select_related(
        "entry__rider", "heat", "order__division__event__club", "order__result"
    ).prefetch_related("order__division__editions")
    slot = get_object_or_404(slots, order__pk=order_pk, entry__pk=entry_pk)
    order, event = slot.order, slot.order.division.event
    require_table(request.user, event)
    kept = Ride.objects.filter(order=order, entry=slot.entry).select_related("changed_by")
    rides = list(kept.order_by("number"))
    held = next((each for each in rides if each.number == number), None)
    stated = stated_round(order.division, order.round_name)
    own = (stated.best_of if stated else None) or 1
    if held is None and not 1 <= number <= own:
        return redirect("table-ride", order.pk, entry_pk)
    run = _declared(order, slot.entry)
    form = _sheet(order, slot.entry, held, run)
    answer = None
    if request.method == "POST":
        answer, form = _ride_act(request, order, slot.entry, number, held, form, run)
    if answer is not None:
        return answer
    rules = _rules(order)
    numbers = sorted({*range(1, own + 1), *(each.number for each in rides)})
    result = getattr(order, "result", None)
    context = {
        "event": event,
        "order": order,
        "entry": slot.entry,
        "heat": slot.heat,
        "number": number,
        "numbers": numbers,
        "ride": held,
        "re_ride": next((r for r in rides if held and r.repeats_id == held.pk), None),
        "has_re_ride": any(each.repeats_id for each in rides),
        "form": form,
        "told": told_of(
            form,
            run,
            rules,
            order.division.name,
            order.round_name,
            cache(lambda: vocabulary_of(slot.entry.rider, event.club)),
        ),
        "falls_rule": dict(reminders(rules)).get(_("Falls"), ""),
        "late": stated.late_points if stated and stated.late is Late.POINTS else None,
        "locked": LOCKED if result and result.official_at else "",
        "vocabulary": standard_vocabulary(),
        "faults_say": _("These fields are not saved; the others are."),
    }
    return render(request, "runsheets/ride.html", context)


def _rules(order: RunningOrder) -> Format:
    edition = order.division.edition
    return edition.effective(order.round_name or None) if edition else Format()


def _declared(order: RunningOrder, entry: Entry) -> Run | None:
    name = declared_round(order.division.edition, order.round_name)
    declared = entry.declarations.in_force().filter(round_name=name).first()
    return declared_run(declared) if declared else None


def _sheet(order: RunningOrder, entry: Entry, held: Ride | None, run: Run | None) -> SheetForm:
    rules = _rules(order)
    judges = order.division.event.judges.all()
    criteria = Scoring.of(rules).criteria
    return SheetForm(cells_of(held), run, rules.passes.count or 2, judges, criteria)


def _ride_act(
    request: HttpRequest,
    order: RunningOrder,
    entry: Entry,
    number: int,
    held: Ride | None,
    form: SheetForm,
    run: Run | None,
) -> tuple[HttpResponse | None, SheetForm]:
    """Do what was pressed; the answer, or the sheet to show with what is wrong in it."""
    try:
        if "again" in request.POST:
            if held is None:
                raise RideRefused(_("This run has not been ridden, so it is not ridden again."))
            reason = request.POST.get("again_reason", "")
            made = give_re_ride(ride=held, reason=reason, by=request.user)
            return redirect("table-ride-again", order.pk, entry.pk, made.number), form
        form.read(request.POST)
        clashes = save_ride(
            order=order, entry=entry, number=number, typed=form.typed, by=request.user
        )
    except RideRefused as refused:
        messages.error(request, str(refused))
        return None, form
    if not clashes and not form.errors:
        messages.success(request, _("Saved."))
        return redirect(_ride_url(order, entry, number)), form
    held = Ride.objects.get(order=order, entry=entry, number=number)
    fresh = _sheet(order, entry, held, run)
    fresh.read_errors(form)
    fresh.clashed(clashes)
    return None, fresh


def _ride_url(order: RunningOrder, entry: Entry, number: int) -> str:
    if number == 1:
        return reverse("table-ride", args=[order.pk, entry.pk])
    return reverse("table-ride-again", args=[order.pk, entry.pk, number])
