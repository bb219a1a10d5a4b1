"""Entering a division and withdrawing from it."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from events.limits import limited
from events.models import Division
from riders.eligibility import Window
from riders.entering import enter, waiting_place, why_not_withdraw, withdraw
from riders.entry_conditions import entries_window
from riders.entry_forms import EnterForm, show_refusal
from riders.models import Entry, Rider
from riders.views.riding import rider_required


@limited("enter", per_hour=120)
@rider_required
@require_http_methods(["GET", "HEAD", "POST"])
def enter_page(request: HttpRequest, rider: Rider, division_pk: int) -> HttpResponse:
    """Enter a division of a public event."""
    public = Division.objects.filter(event__is_public=True).select_related("event__venue")
    division = get_object_or_404(public.prefetch_related("editions"), pk=division_pk)
    form = EnterForm(request.POST or None, rider=rider, division=division)
    if request.method == "POST" and form.is_valid():
        try:
            entry = enter(rider=rider, division=division, details=form.details)
        except ValidationError as error:
            rider.refresh_from_db()
            show_refusal(form, error)
        else:
            messages.success(request, _entered_said(entry, division))
            return redirect("plan", entry.pk)
    window = entries_window(division)
    stands = window.at(timezone.now())
    context = {
        "form": form,
        "division": division,
        "event": division.event,
        "window": window,
        "is_open": stands is Window.OPEN,
        "is_early": stands is Window.EARLY,
        "mine": _mine(rider, division),
    }
    return render(request, "riders/enter.html", context)


def _mine(rider: Rider, division: Division) -> Entry | None:
    entries = Entry.objects.filter(rider=rider, division=division)
    return entries.exclude(state=Entry.State.WITHDRAWN).first()


def _entered_said(entry: Entry, division: Division) -> str:
    place = waiting_place(entry)
    if place is None:
        return _("You are entered in {division}. Now plan your run.").format(division=division)
    return _(
        "You are number {number} on the waiting list of {division}. We write to "
        "you when you get a place. You can plan your run already."
    ).format(number=place, division=division)


@rider_required
@require_http_methods(["GET", "HEAD", "POST"])
def withdraw_page(request: HttpRequest, rider: Rider, pk: int) -> HttpResponse:
    """Withdraw an entry, after a question."""
    entries = Entry.objects.select_related("division__event", "rider")
    entry = get_object_or_404(
        entries.prefetch_related("division__editions"), pk=pk, rider=rider
    )
    reason = why_not_withdraw(entry.division)
    if request.method == "POST" and not reason:
        try:
            withdraw(entry=entry)
        except ValidationError as error:
            reason = " ".join(error.messages)
        else:
            messages.success(
                request, _("You are withdrawn from {division}.").format(division=entry.division)
            )
            return redirect("riding-home")
    context = {
        "entry": entry,
        "division": entry.division,
        "event": entry.division.event,
        "reason": reason,
        "is_withdrawn": entry.state == Entry.State.WITHDRAWN,
    }
    return render(request, "riders/entry_withdraw.html", context)
