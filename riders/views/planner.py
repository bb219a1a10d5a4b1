"""The planner: one address for the page, its buttons, and the check at every change."""

from datetime import datetime
from functools import partial
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import get_random_string
from django.utils.functional import SimpleLazyObject
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext, pgettext_lazy
from django_htmx.http import HttpResponseClientRedirect, reswap, retarget

from events.models import Division, Edition
from events.units import units_of
from riders.models import Entry, PlannedRun, PlanVariant, Rider
from riders.planner import TOO_MANY, Planner
from riders.rows import act, sheet_from_data, sheet_from_post
from riders.services import Window, declare, keep_plan
from riders.share_services import replace_plan
from riders.strips import planned_strip
from riders.suggestions import sure
from riders.views.lookup import no_rules, rider_entry
from riders.views.riding import rider_required
from riders.views.suggestions import NO_MEND, mended

UNREAD = gettext_lazy(
    "Some rows cannot be read yet: see the sentence beside each, then declare."
)
ROUND_GONE = gettext_lazy(
    "The rounds changed while you planned: this is now your plan for "
    "{round}. What you had planned there is kept under Variants. Look at "
    "the findings, then go on."
)
ELSEWHERE = pgettext_lazy("before", "going on in another window")
WINDOW_LENGTH = 16
EMPTY = gettext_lazy("There is no trick in this run yet: add one, then declare.")


@rider_required
def plan(request: HttpRequest, rider: Rider, entry_pk: int) -> HttpResponse:
    """Plan, check and declare the run of one entry in one round."""
    entry = rider_entry(rider, entry_pk)
    edition = entry.division.edition
    if edition is None:
        return no_rules(request, entry)
    asked = request.POST.get("round", request.GET.get("round", ""))
    names = edition.round_names or [""]
    round_name = asked if asked in names else names[0]
    if request.method == "POST":
        return _posted(request, entry, edition, round_name, asked)
    window = _window(request)  # before the plan is read: what is kept in between is told
    kept = PlannedRun.objects.filter(entry=entry, round_name=round_name).first()
    sheet = sheet_from_data(kept.rows if kept else None)
    planner = Planner(entry, edition, round_name, sheet, units=units_of(request))
    planner.window = window
    undo = _undo(entry, round_name, request.GET.get("undo", ""))
    return render(request, "riders/plan.html", {**_context(planner), "undo": undo})


def _undo(entry: Entry, round_name: str, asked: str) -> PlanVariant | None:
    """The variant that takes a suggestion back, right after it was taken over."""
    if not (asked.isascii() and asked.isdigit() and len(asked) < 10):
        return None
    return entry.variants.filter(round_name=round_name, pk=int(asked)).first()


def _window(request: HttpRequest) -> Window:
    """The page in which the plan is typed; a new one where that is not said."""
    key, since = request.POST.get("window", ""), request.POST.get("opened", "")
    try:
        opened = datetime.fromisoformat(since)
    except ValueError:
        opened = timezone.now()
    if not (key.isascii() and key.isalnum() and len(key) <= WINDOW_LENGTH and opened.tzinfo):
        return Window(get_random_string(WINDOW_LENGTH), timezone.now())
    return Window(key, opened)


def _keep(planner: Planner, asked: str, whole: bool) -> str:
    """Keep the plan; return a sentence where the round that it was for is no more.

    A plan for a round that a new edition dropped or renamed becomes that of the first round
    at the next press of a button. What was planned there is kept as a variant.
    """
    entry, round_name, sheet = planner.entry, planner.round_name, planner.sheet
    if asked in ("", round_name):
        window, typed = planner.window, planner.typed
        if not keep_plan(
            entry=entry, round_name=round_name, sheet=sheet, run=typed, window=window
        ):
            planner.elsewhere = replace_plan(
                entry=entry, round_name=round_name, rows=sheet.as_data(), before=str(ELSEWHERE),
                window=window.key,
            )  # fmt: skip
        return ""
    if whole:
        rows = sheet.as_data()
        replace_plan(
            entry=entry,
            round_name=round_name,
            rows=rows,
            before=pgettext("before", "the rounds changed"),
        )
    return ROUND_GONE.format(round=round_name or pgettext("a plan for", "the division"))


def _posted(
    request: HttpRequest, entry: Entry, edition: Edition, round_name: str, asked: str
) -> HttpResponse:
    sheet = sheet_from_post(request.POST)
    focus = act(sheet, request.POST)
    planner = Planner(entry, edition, round_name, sheet, focus, units=units_of(request))
    planner.window = _window(request)
    action = request.POST.get("action", "")
    whole = bool(action or focus or "mend" in request.POST)
    gone = "" if planner.too_many else _keep(planner, asked, whole)
    if gone:
        if whole:
            messages.warning(request, gone)
    elif action == "declare":
        done = _declared(request, planner)
        if done is not None:
            return done
    elif "mend" in request.POST and not planner.too_many:
        done = mended(planner, request.POST["mend"])
        if done is not None:
            messages.success(request, _("Mended. What was done: {done}").format(done=done[1]))
            return HttpResponseClientRedirect(done[0]) if request.htmx else redirect(done[0])
        messages.warning(request, NO_MEND)
    elif action == "suggest":
        query = urlencode({"round": round_name}) if round_name else ""
        target = f"{reverse('suggest', args=[entry.pk])}?{query}"
        return HttpResponseClientRedirect(target) if request.htmx else redirect(target)
    elif action == "check" and not request.htmx:
        planner.is_refused = planner.unread > 0  # the page is new, so say first what is wrong
    elif action == "save":
        messages.success(request, _("Your plan is kept as it is."))
    return _answer(request, planner, whole=whole)


def _answer(request: HttpRequest, planner: Planner, *, whole: bool) -> HttpResponse:
    context = _context(planner)
    if not request.htmx:
        return render(request, "riders/plan.html", context)
    if whole:
        response = render(request, "riders/_planner.html", {**context, "swapped": True})
        return reswap(retarget(response, "#planner"), "outerHTML")
    return render(request, "riders/_check.html", {**context, "instant": True})


def _declared(request: HttpRequest, planner: Planner) -> HttpResponse | None:
    if planner.too_many or planner.unread or not len(planner.run):
        problem = TOO_MANY if planner.too_many else UNREAD if planner.unread else EMPTY
        planner.is_refused = True
        messages.error(request, problem)
        return None
    seen = request.POST.get("edition", "")
    try:
        declaration = declare(
            entry=planner.entry,
            round_name=planner.round_name,
            run=planner.run,
            side=planner.sheet.side,
            seen_edition=int(seen) if seen.isascii() and seen.isdigit() else 0,
        )
    except ValidationError as error:
        planner.is_refused = True
        messages.error(request, " ".join(error.messages))
        return None
    target = redirect("receipt", declaration.pk)
    return HttpResponseClientRedirect(target.url) if request.htmx else target


def _context(planner: Planner) -> dict[str, Any]:
    division: Division = planner.entry.division
    deadline = division.deadline(planner.round_name or None)
    return {
        "planner": planner,
        "can_mend": True,
        "entry": planner.entry,
        "division": division,
        "event": division.event,
        "edition": planner.edition,
        "check": planner.check,
        "survival": planner.check.survival if planner.check else None,
        "strip": (
            planned_strip(planner.check, planner.format, planner.units) if planner.check else ""
        ),
        "deadline": deadline,
        "is_late": timezone.now() > deadline,
        "too_many": TOO_MANY if planner.too_many else "",
        "newest": SimpleLazyObject(planner.newest_declaration),
        "sure": partial(sure, planner),
    }
