"""Suggestions for a plan, taken over by a click and taken back by a click."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext
from django.views.decorators.http import require_POST

from events.rules.figures import AS_PUBLISHED, Units
from events.rules.findings import Finding
from events.rules.next_trick import next_tricks
from events.rules.notation import NotationError, read_run
from events.rules.run import Run
from events.units import units_of
from riders.forms import WishForm
from riders.planner import ROWS_MOST, TOO_MANY, Planner
from riders.planning.mends import mend
from riders.rows import Row, sheet_from_data, typed
from riders.services import keep_plan
from riders.share_services import replace_plan
from riders.suggestions import Suggestions, ground_of, known_tricks, sheet_of
from riders.views.lookup import OwnPlace, place_required

NO_MEND = gettext_lazy(
    "Nothing simple mends this without breaking a rule: change the run by hand."
)


def planner_of(place: OwnPlace, units: Units = AS_PUBLISHED) -> Planner:
    """The plan as it is kept; what is found about it is told in `units`."""
    plan = place.plan
    rows = sheet_from_data(plan.rows if plan else None)
    return Planner(place.entry, place.edition, place.round_name, rows, units=units)


def take_over(planner: Planner, run: Run, what: str) -> str:
    """Make a run the plan; return the address of the planner, which offers to undo it."""
    entry, round_name = planner.entry, planner.round_name
    rows = sheet_of(run, planner).as_data()
    kept = replace_plan(entry=entry, round_name=round_name, rows=rows, before=what)
    query = {"round": round_name} if round_name else {}
    query |= {"undo": str(kept.pk)} if kept else {}
    return f"{reverse('plan', args=[entry.pk])}?{urlencode(query)}"


@place_required
def suggest(request: HttpRequest, place: OwnPlace) -> HttpResponse:
    """What would make the plan better, each with its before and after."""
    planner = planner_of(place, units_of(request))
    form = WishForm(request.GET)
    wish = form.cleaned_data if form.is_valid() else {}
    found = Suggestions(planner, **wish)
    told = planner.check is not None and planner.check.survival.clean is not None
    context = {**place.context, "form": form, "found": found, "planner": planner, "told": told}
    return render(request, "riders/suggest.html", context)


@require_POST
@place_required
def apply(request: HttpRequest, place: OwnPlace) -> HttpResponse:
    """Make a suggested run the plan."""
    planner = planner_of(place)
    try:
        run = read_run(request.POST.get("run", ""), planner.vocabulary)
    except NotationError as error:
        raise Http404("No such suggestion.") from error
    if len(run) > ROWS_MOST:
        raise Http404("No such suggestion.")
    what = typed(request.POST, "what")[:60] or pgettext("before", "a suggestion")
    messages.success(request, _("The suggestion is your plan now. Nothing is declared by it."))
    return redirect(take_over(planner, run, what))


def mended(planner: Planner, asked: str) -> tuple[str, str] | None:
    """Mend the finding that was asked for; the address to go to and what was done."""
    finding = _asked(planner, asked)
    if finding is None:
        return None
    found = mend(finding, planner.run, ground_of(planner), known_tricks(planner))
    if found is None:
        return None
    return take_over(planner, found.run, pgettext("before", "a mend")), found.sentence


def _asked(planner: Planner, asked: str) -> Finding | None:
    for finding in planner.check.findings if planner.check else ():
        if asked == f"{finding.code}:{finding.pass_no}:{finding.position}":
            return finding
    return None


@place_required
def next_trick(request: HttpRequest, place: OwnPlace) -> HttpResponse:
    """Which tricks may follow at the end of a pass, and why the others may not."""
    planner = planner_of(place)
    numbers = range(1, len(planner.passes) + 1)
    asked = request.GET.get("pass", "1")
    pass_no = int(asked) if asked in map(str, numbers) else 1
    found = next_tricks(
        planner.run,
        planner.format,
        planner.vocabulary,
        pass_no,
        division=place.entry.division.name,
        round=place.round_name or None,
    )
    context = {
        **place.context,
        "planner": planner,
        "pass_no": pass_no,
        "allowed": [each for each in found if each.allowed],
        "banned": [each for each in found if not each.allowed],
    }
    return render(request, "riders/next_trick.html", context)


@require_POST
@place_required
def add_trick(request: HttpRequest, place: OwnPlace) -> HttpResponse:
    """Put a trick at the end of a pass."""
    planner = planner_of(place)
    asked, words = request.POST.get("pass", ""), typed(request.POST, "trick")[:120]
    if asked not in map(str, range(1, len(planner.passes) + 1)) or not words:
        raise Http404("No such pass, or no trick.")
    if planner.sheet.size >= ROWS_MOST:
        messages.error(request, TOO_MANY)
        return place.redirect("plan")
    tricks = planner.sheet.passes[int(asked) - 1].tricks
    tricks[:] = [row for row in tricks if not row.is_blank] + [Row(trick=words)]
    keep_plan(
        entry=place.entry, round_name=place.round_name, sheet=planner.sheet, run=planner.typed
    )
    messages.success(
        request, _("{trick} is at the end of pass {number}.").format(trick=words, number=asked)
    )
    return place.redirect("plan")
