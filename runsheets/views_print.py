"""The print page of the table: papers as PDF, rows for a spreadsheet, and codes looked up."""

from io import BytesIO
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import Max
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from events.languages import made_on_paper
from events.models import Event
from riders.spreadsheets import file_of
from runsheets.books import event_facts, rounds_to_print, rounds_with_rules
from runsheets.forms_print import CodeForm, PrintForm
from runsheets.lookup import (
    NO_ROUND,
    division_and_others,
    event_for_table,
    refuse,
    round_asked,
)
from runsheets.models import Heat, Judge, Printing
from runsheets.papers.codes import read_code, spaced
from runsheets.papers.pack import KINDS
from runsheets.papers.paper import Kind, title_of
from runsheets.papers.table import Row, table_of
from runsheets.pdf.pack import papers_pdf
from runsheets.pdf.page import PAPERS
from runsheets.print_acts import NothingToPrint, ask_pack, is_long, print_papers
from runsheets.printing import Choice, judged, make_pack, recent_printings

NO_EDITION = gettext_lazy(
    "The rules of {division} are not published yet, so there are no run "
    "sheets. An organiser publishes them on the division's page."
)
NO_PAPER = gettext_lazy("Run sheets are printed on A4 or Letter paper; choose one below.")
SPREADSHEETS = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def print_page(request: HttpRequest, event: str) -> HttpResponse:
    """Choose papers and print them. Printing is a POST, because it is recorded."""
    found = event_for_table(request, event)
    rounds = rounds_with_rules(found.divisions.prefetch_related("editions"))
    heats = Heat.objects.filter(order__division__event=found).aggregate(most=Max("number"))
    form = PrintForm(
        request.POST or None,
        rounds=rounds,
        heats=heats["most"] or 0,
        judges=Judge.objects.filter(event=found).count(),
        initial={"rounds": request.GET.getlist("round") or rounds_to_print(rounds)},
    )
    if request.method == "POST" and form.is_valid():
        answer = _printed(request, found, form)
        if answer is not None:
            return answer
    codes = CodeForm(request.GET if "code" in request.GET else None)
    if codes.is_bound and codes.is_valid():
        return redirect("paper", spaced(codes.cleaned_data["code"]))
    context = {
        "event": found,
        "form": form,
        "codes": codes,
        "rounds": rounds,
        "titles": [(kind.value, title_of(kind)) for kind in KINDS],
        "recent": recent_printings(found),
    }
    return render(request, "runsheets/print.html", context)


def _printed(request: HttpRequest, event: Event, form: PrintForm) -> HttpResponse | None:
    """The papers as a file, recorded; None if the form has to be shown again."""
    choice = form.choice()
    only = request.POST.get("only", "")
    if only in KINDS:
        choice = Choice(choice.rounds, choice.heat, (Kind(only),), choice.per_judge)
    wanted: dict[str, Any] = {
        "event": event, "choice": choice, "only_changed": "changed" in request.POST,
        "size": form.cleaned_data["paper"], "by": request.user,
    }  # fmt: skip
    if is_long(event, choice):
        return redirect("table-pack", ask_pack(**wanted).pk)
    try:
        made = print_papers(at=timezone.now(), **wanted)
    except NothingToPrint as refused:
        if refused.about == "heat":
            form.add_error("heat", str(refused))
        if refused.about:
            return None  # the page says so
        messages.success(request, str(refused))
        return redirect("table-print", event.slug)
    name = f"{event.name} papers {wanted['size']}"
    return _file(made.pdf, name, "pdf", "application/pdf")


def _file(data: bytes, words: str, ending: str, kind: str) -> FileResponse:
    name = f"{slugify(words)[:120]}.{ending}"
    return FileResponse(BytesIO(data), filename=name, content_type=kind)


@login_required
@require_safe
def sheets(request: HttpRequest, pk: int) -> HttpResponse:
    """One set of run sheets of a division in one round as PDF; nothing is recorded."""
    division = division_and_others(request, pk)
    name = round_asked(request, division)
    size = request.GET.get("paper", "a4").lower()
    if division.edition is None:
        return refuse(request, division, NO_EDITION.format(division=division))
    if name is None:
        return refuse(request, division, NO_ROUND.format(division=division))
    if size not in PAPERS:
        return refuse(request, division, NO_PAPER)
    choice = Choice([(division.pk, name)], kinds=(Kind.RUN_SHEETS,), per_judge=False)
    papers = make_pack(division.event, choice, timezone.now()).papers
    title = ", ".join(filter(None, (division.event.name, division.name, name)))
    data = papers_pdf(papers, size, fonts=settings.STATE_DIR / "fonts", title=title)
    words = f"{division.event.name} {division.name} {name} run sheets {size}"
    return _file(data, words, "pdf", "application/pdf")


@login_required
@require_safe
def rows(request: HttpRequest, event: str, ending: str) -> HttpResponse:
    """Every rider of every round as a table for a spreadsheet, with the declared runs."""
    if ending not in SPREADSHEETS:
        raise Http404
    found = event_for_table(request, event)
    names, lines = _table(found)
    cells = [[line.get(name, "") for name in names] for line in lines]
    data = file_of(names, cells, ending, _("Riders"))
    kind = SPREADSHEETS[ending]
    return _file(data, f"{found.name} riders", ending, kind)


@made_on_paper
def _table(event: Event) -> tuple[list[str], list[Row]]:
    return table_of(event_facts(event, timezone.now()))


@login_required
@require_safe
def paper(request: HttpRequest, code: str) -> HttpResponse:
    """Whether the paper with this code still holds, and what changed if not."""
    try:
        read = read_code(code)
    except ValueError as error:
        return render(
            request, "runsheets/paper.html", {"code": code, "problem": str(error)}, status=404
        )
    mine = Event.objects.tabled_by(request.user)
    printings = Printing.objects.filter(code=read, event__in=mine)
    related = ("event__club", "event__venue", "division", "printed_by")
    printing = printings.select_related(*related).first()
    context: dict[str, Any] = {"code": spaced(read)}
    if printing is None:
        return render(request, "runsheets/paper.html", context, status=404)
    if printing.division is not None:
        printing.division.event = printing.event
    context["verdict"] = judged(printing, timezone.now())
    context["event"] = printing.event
    return render(request, "runsheets/paper.html", context)
