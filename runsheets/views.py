"""The table's pages: running orders, bibs, run sheets, and who has not declared."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from events.lake_days import season
from events.models import Event
from runsheets.bibs import BibTaken, fill_bibs, riders_of, save_bibs
from runsheets.forms import BibsForm
from runsheets.lineup import states_of
from runsheets.lookup import event_for_table


@login_required
@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """The events whose table the user sits at, the coming ones first."""
    events = Event.objects.tabled_by(request.user).select_related("club", "venue")
    events = season(events.annotate(riders=Count("divisions__entries__rider", distinct=True)))
    return render(request, "runsheets/home.html", events._asdict())


@login_required
@require_safe
def event(request: HttpRequest, event: str) -> HttpResponse:
    """Every round of every division, and what there is to do."""
    found = event_for_table(request, event)
    context = {"event": found, "states": states_of(found)}
    return render(request, "runsheets/event.html", context)


@login_required
@require_safe
def readiness(request: HttpRequest, event: str) -> HttpResponse:
    """Who has not declared a run yet, and who declared under older rules."""
    found = event_for_table(request, event)
    states = [
        {"state": state, "deadline": state.division.deadline(state.name or None)}
        for state in states_of(found)
    ]
    context = {"event": found, "states": states, "now": timezone.now()}
    return render(request, "runsheets/readiness.html", context)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def bibs(request: HttpRequest, event: str) -> HttpResponse:
    """The bibs of all riders in one form."""
    found = event_for_table(request, event)
    form = BibsForm(request.POST or None, event=found, riders=riders_of(found))
    if request.method == "POST" and form.is_valid():
        try:
            changed = save_bibs(event=found, numbers=form.numbers, by=request.user)
        except BibTaken as error:
            form.add_error(None, str(error))
        else:
            given = fill_bibs(event=found, by=request.user) if "fill" in request.POST else 0
            messages.success(request, _bibs_said(changed, given))
            return redirect("table-bibs", found.slug)
    return render(request, "runsheets/bibs.html", {"event": found, "form": form})


def _bibs_said(changed: int, given: int) -> str:
    said = [_given(given)] if given else []
    if changed or not given:
        said.append(_changed(changed) if changed else _("The bibs stay as they are."))
    return " ".join(said)


def _given(count: int) -> str:
    return ngettext(
        "{number} rider got the next free number.",
        "{number} riders got the next free numbers.",
        count,
    ).format(number=count)


def _changed(count: int) -> str:
    return ngettext("{number} rider changed.", "{number} riders changed.", count).format(
        number=count
    )
