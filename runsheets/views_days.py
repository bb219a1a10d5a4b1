"""The table's pages of the days: which heats are ridden when."""

from datetime import date, time, timedelta
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST

from events.models import Event
from runsheets.days import (
    PlanRefused,
    Shift,
    StalePlan,
    fill,
    give_rest,
    keep_start,
    plan_version,
    publish_day,
    remove_day,
    save_day,
    shift_heat,
)
from runsheets.forms_days import DayForm
from runsheets.lookup import event_for_table
from runsheets.models import DayPlan
from runsheets.schedule import Schedule, schedule_of

STALE = gettext_lazy(
    "The days were changed by somebody else in the meantime. This is how "
    "they stand now: look at them, then do what you wanted again if it is "
    "still needed."
)
NOT_A_TIME = gettext_lazy(
    "“{typed}” is not a time: write one such as 09:30, or leave the field empty."
)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def days(request: HttpRequest, event: str) -> HttpResponse:
    """Every day with its heats and their times, and the heats that are on no day yet."""
    found = event_for_table(request, event)
    if request.method == "POST":
        return _change(request, found)
    schedule = schedule_of(found, timezone.now())
    context = {
        "event": found,
        "schedule": schedule,
        "version": plan_version(schedule),
        "free_days": _free_days(found, schedule),
        "days": [_shown(day, schedule) for day in schedule.days],
    }
    return render(request, "runsheets/days.html", context)


def _shown(day: Any, schedule: Schedule) -> dict[str, Any]:
    """A day with its rows in order: heats with their riders, and pauses."""
    times = day.times
    names = {pk: entry.rider.name for e in day.heats for entry in e.line.riding
             for pk in (entry.rider_id,)}  # fmt: skip
    return {
        "day": day,
        "plan": day.plan,
        "rows": [(day.by_key.get(getattr(row, "key", None)), row) for row in times.rows],
        "times": times,
        "clashes": [
            (names[each.rider], day.by_key[each.first], day.by_key[each.second])
            for each in day.clashes
        ],
    }


def _free_days(event: Event, schedule: Schedule) -> list[date]:
    """The days of the event that have no plan yet."""
    taken = {day.plan.day for day in schedule.days}
    length = (event.last_day - event.first_day).days + 1
    days = [event.first_day + timedelta(days=n) for n in range(length)]
    return [each for each in days if each not in taken]


def _change(request: HttpRequest, event: Event) -> HttpResponse:
    anchor = ""
    try:
        anchor = _changed(request, event)
    except StalePlan:
        messages.error(request, STALE)
    except PlanRefused as refused:
        messages.error(request, str(refused))
    return redirect(f"{reverse('table-days', args=[event.slug])}{anchor}")


def _changed(request: HttpRequest, event: Event) -> str:
    """Do what was pressed; returns where on the page to go on."""
    asked, version = request.POST, request.POST.get("version", "")
    if "fill" in asked:
        left = fill(event=event, version=version, by=request.user)
        messages.success(request, left or _("Every heat is on a day now."))
        return ""
    if "rest" in asked:
        plan = _plan(event, asked["rest"])
        left = give_rest(plan=plan, version=version, by=request.user)
        said = (
            _("{pairs} could not be parted.").format(pairs=left)
            if left
            else _("Every rider has the rest.")
        )
        messages.success(
            request, _("The heats of the day are in a new order. {said}").format(said=said)
        )
        return f"#day-{plan.pk}"
    if "keep" in asked:
        heat = _number(asked["keep"])
        keep_start(event=event, heat_id=heat, clock=_clock(asked.get(f"start-{heat}", "")),
                   was=asked.get(f"was-{heat}"), by=request.user)  # fmt: skip
        return f"#heat-{heat}"
    if "shift" in asked:
        what, _dash, rest = asked["shift"].partition("-")
        heat, _on, day = rest.partition("-on-")
        if what not in set(Shift):
            raise StalePlan
        shift_heat(event=event, heat_id=_number(heat), shift=Shift(what), day=_day(day),
                   version=version, by=request.user)  # fmt: skip
        return f"#heat-{heat}"
    for word in ("publish", "unpublish"):
        if word in asked:
            plan = _plan(event, asked[word])
            publish_day(plan=plan, public=word == "publish", by=request.user)
            return f"#day-{plan.pk}"
    raise StalePlan


def _plan(event: Event, number: str) -> DayPlan:
    plan = event.day_plans.filter(pk=_number(number)).first()
    if plan is None:
        raise StalePlan
    plan.event = event
    return plan


def _number(text: str) -> int:
    if not (text.isascii() and text.isdigit()) or len(text) > 18:
        raise StalePlan
    return int(text)


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        raise StalePlan from None


def _clock(text: str) -> time | None:
    try:
        return time.fromisoformat(text.strip()).replace(tzinfo=None) if text.strip() else None
    except ValueError:
        raise PlanRefused(NOT_A_TIME.format(typed=text.strip()[:40])) from None


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def day_new(request: HttpRequest, event: str) -> HttpResponse:
    """Plan one more day of the event."""
    found = event_for_table(request, event)
    free = _free_days(found, schedule_of(found))
    if not free:
        messages.error(request, _("Every day of the event is planned already."))
        return redirect("table-days", found.slug)
    form = DayForm(request.POST or None, instance=DayPlan(event=found), event=found, days=free)
    return _form_page(request, form, found)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def day_edit(request: HttpRequest, event: str, pk: int) -> HttpResponse:
    """Change the plan of a day."""
    found = event_for_table(request, event)
    plan = get_object_or_404(DayPlan, pk=pk, event=found)
    plan.event = found
    form = DayForm(request.POST or None, instance=plan, event=found, days=[plan.day])
    return _form_page(request, form, found)


def _form_page(request: HttpRequest, form: DayForm, event: Event) -> HttpResponse:
    plan = form.instance
    if form.saved(lambda: save_day(plan=plan, by=request.user)):
        messages.success(request, _("The day is planned."))
        return redirect(f"{reverse('table-days', args=[event.slug])}#day-{plan.pk}")
    return render(request, "runsheets/day_form.html", {"event": event, "form": form})


@login_required
@require_POST
def day_remove(request: HttpRequest, event: str, pk: int) -> HttpResponse:
    """Take a day's plan away."""
    found = event_for_table(request, event)
    plan = get_object_or_404(DayPlan, pk=pk, event=found)
    plan.event = found
    try:
        remove_day(plan=plan, by=request.user)
    except PlanRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("The day’s plan is gone. Its heats are on no day."))
    return redirect("table-days", found.slug)
