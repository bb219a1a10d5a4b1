"""Results: the table's page of a round, and what everybody sees once it is posted."""

from io import BytesIO
from typing import Any
from urllib.parse import urlencode

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from events.languages import made_on_paper
from events.models import Division
from events.views.lookup import visible_event
from runsheets.forms_results import ProtestForm, ReasonForm, RulingForm, TieForm
from runsheets.lineup import rounds_of
from runsheets.lookup import NO_ROUND, division_for_table, refuse, round_asked
from runsheets.models import RunningOrder
from runsheets.next_round import RankedRow, Told, final_ranking, going_on
from runsheets.pdf.results import result_pdf
from runsheets.result_acts import (
    ResultRefused,
    make_official,
    note_protest,
    post_result,
    rule_protest,
    show_tricks,
    take_back,
)
from runsheets.result_files import ENDINGS, result_rows_file
from runsheets.result_rows import Result
from runsheets.results import (
    order_of,
    orders_with_results,
    protests_of,
    result_of,
    results_of,
    round_after,
)
from runsheets.ridden_shown import ridden_of
from runsheets.tie_decisions import decide_tie, undo_tie

DONE = {
    "post": gettext_lazy("The result is posted as provisional. Everybody can see it now."),
    "official": gettext_lazy("The result is official. Its marks are locked."),
    "back": gettext_lazy("The result is one step back."),
    "protest": gettext_lazy("The protest is noted."),
    "rule": gettext_lazy("The ruling is kept."),
    "decide": gettext_lazy("The tie is decided."),
    "undecide": gettext_lazy("The tie is open again."),
    "show": gettext_lazy("Everybody sees what was ridden."),
    "hide": gettext_lazy("What was ridden is hidden from everybody but the table."),
}


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def table_result(request: HttpRequest, pk: int) -> HttpResponse:
    """The result of a round as it stands, with what the table does about it."""
    division = division_for_table(request, pk)
    name = round_asked(request, division)
    if name is None:
        return refuse(request, division, NO_ROUND.format(division=division))
    order = order_of(division, name)
    context: dict[str, Any] = {
        "division": division, "event": division.event, "round": name,
        "rounds": rounds_of(division), "order": order,
        "next_round": round_after(division, name),
    }  # fmt: skip
    if order is None:
        return render(request, "runsheets/result.html", context)
    order.division = division
    result = result_of(division, order)
    forms = _forms(request, result)
    if request.method == "POST":
        act = request.POST.get("act", "")
        if act not in DONE:
            messages.error(request, _("Press one of the buttons of this page."))
        elif _acted(request, order, act, forms):
            messages.success(request, DONE[act])
            return redirect(result_url(division, name))
    context["ties"] = TieForm.all_of(result.undecided, forms["decide"])
    context["told"] = _told(result)
    context |= {"result": result, "forms": forms, "protests": _with_forms(result, forms)}
    return render(request, "runsheets/result.html", context)


def result_url(division: Division, name: str, page: str = "table-result") -> str:
    """The address of the table's page about the result of a round."""
    query = f"?{urlencode({'round': name})}" if name else ""
    return f"{reverse(page, args=[division.pk])}{query}"


def _forms(request: HttpRequest, result: Result) -> dict[str, Form]:
    """A form for each act; only the one that was sent holds what was typed."""
    sent = request.POST.get("act") if request.method == "POST" else None

    def typed(act: str) -> Any:
        return request.POST if sent == act else None

    entries = [row.entry for row in result.rows] + [each.entry for each in result.waiting]
    return {
        "official": ReasonForm(typed("official"), auto_id="official-%s"),
        "back": ReasonForm(typed("back"), auto_id="back-%s"),
        "protest": ProtestForm(typed("protest"), entries=entries, auto_id="protest-%s"),
        "rule": RulingForm(typed("rule")),
        "decide": TieForm.sent(typed("decide"), result.undecided),
    }


def _with_forms(result: Result, forms: dict[str, Form]) -> list[tuple[Any, Form]]:
    """Every protest with the form for its ruling; the one that was sent keeps its text."""
    sent = forms["rule"]
    pairs = []
    for protest in protests_of(result.order):
        own = sent.is_bound and str(sent["protest"].value()) == str(protest.pk)
        kept = {"protest": protest.pk, "ruling": protest.ruling}
        blank = RulingForm(initial=kept, auto_id=f"rule-{protest.pk}-%s")
        pairs.append((protest, sent if own else blank))
    return pairs


def _acted(request: HttpRequest, order: RunningOrder, act: str, forms: dict[str, Form]) -> bool:
    """Do what was pressed; False if the page has to be shown again with what is wrong."""
    form = forms.get(act)
    if form is not None and not form.is_valid():
        return False
    try:
        _do(request, order, act, form)
    except ResultRefused as error:
        if isinstance(form, ReasonForm):
            form.add_error("reason", str(error))
        elif isinstance(form, TieForm):
            form.add_error(None, str(error))
        else:
            messages.error(request, str(error))
        return False
    except ValidationError as error:
        if form is None:
            raise
        form.add_error(None, error.messages)
        return False
    return True


def _do(request: HttpRequest, order: RunningOrder, act: str, form: Form | None) -> None:
    data = form.cleaned_data if form else {}
    by = request.user
    if act == "post":
        post_result(order=order, by=by)
    elif act == "official":
        make_official(order=order, by=by, reason=data["reason"])
    elif act == "back":
        take_back(order=order, by=by, reason=data["reason"])
    elif isinstance(form, TieForm):
        decide_tie(order=order, ahead=form.ahead, how=data["how"], by=by)
    elif act == "undecide":
        undo_tie(order=order, how=request.POST.get("how", ""), by=by)
    elif act in ("show", "hide"):
        show_tricks(order=order, shown=act == "show", by=by)
    elif isinstance(form, ProtestForm):
        note_protest(order=order, entry=form.entry, about=data["about"], by=by)
    else:
        rule_protest(order=order, protest_id=data["protest"], ruling=data["ruling"], by=by)


@require_safe
def results(request: HttpRequest, event: str) -> HttpResponse:
    """The posted results of an event."""
    found = visible_event(request.user, event)
    context = {"event": found, "orders": orders_with_results(found)}
    return render(request, "results/event.html", context)


@require_safe
def result(request: HttpRequest, event: str, division: str) -> HttpResponse:
    """One posted result in full; 404 before it is posted."""
    found, names, ranking = _posted(request, event, division)
    name = found.order.round_name
    context = {
        "event": found.division.event, "result": found, "rounds": names, "round": name,
        "ranking": ranking, "ridden": ridden_of(found), "told": _told(found),
        "next_round": round_after(found.division, name),
    }  # fmt: skip
    return render(request, "results/result.html", context)


def _told(result: Result) -> list[Told]:
    """Who goes on and who does not; nothing after the last round."""
    name = result.order.round_name
    return going_on(result).told if round_after(result.division, name) else []


@require_safe
@made_on_paper
def result_file(request: HttpRequest, event: str, division: str, ending: str) -> FileResponse:
    """A posted result as PDF, on A4 or Letter, or as rows for a spreadsheet."""
    found, *_ = _posted(request, event, division)
    if ending in ENDINGS:
        data, kind = result_rows_file(found, ending), ENDINGS[ending]
    elif ending == "pdf":
        paper = "letter" if request.GET.get("paper") == "letter" else "a4"
        data = result_pdf(found, _told(found), paper=paper, fonts=settings.STATE_DIR / "fonts")
        kind = "application/pdf"
    else:
        raise Http404
    parts = (found.division.event.name, found.division.name, found.order.round_name, "result")
    name = f"{slugify(' '.join(filter(None, parts)))[:120]}.{ending}"
    return FileResponse(BytesIO(data), filename=name, content_type=kind)


def _posted(
    request: HttpRequest, event: str, division: str
) -> tuple[Result, list[str], list[RankedRow]]:
    """The posted result that was asked for, the last one if no round was named.

    With it the names of the posted rounds, and for the last round the ranking over
    all of them.
    """
    found = visible_event(request.user, event)
    divisions = Division.objects.filter(event=found).prefetch_related("editions")
    of = get_object_or_404(divisions, slug=division)
    of.event = found
    posted = RunningOrder.objects.filter(division=of).exclude(result=None)
    by_name = {each.round_name: each for each in posted.select_related("result")}
    names = [name for name in rounds_of(of) if name in by_name]
    names += [name for name in by_name if name not in names]
    asked = request.GET.get("round", names[-1] if names else "")
    if asked not in by_name:
        raise Http404("This result is not posted.")
    order = by_name[asked]
    order.division = of
    if len(names) < 2 or asked != rounds_of(of)[-1]:
        return result_of(of, order), names, []
    both = results_of(of, [by_name[name] for name in names])
    return both[-1], names, final_ranking(both)
