"""Entries as a file, out and in. Nothing is written before it was looked at."""

from io import BytesIO

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.signing import BadSignature
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from events.access import Role, has_role, require_organiser
from events.faults import faults_of_rows
from events.models import Event
from riders.entry_files import EXAMPLE, TITLES, EntryTable, read_entries, write_entries
from riders.entry_import import Look, look_at, take_in
from riders.entry_rows import lines_of, sealed, unsealed
from riders.models import Entry
from riders.spreadsheets import FileProblem
from runsheets.forms_entry_files import EntriesFileForm
from runsheets.lookup import event_for_table
from runsheets.views_print import SPREADSHEETS

TOO_OLD = gettext_lazy(
    "This preview is no longer valid, so nothing was taken in. Choose the file again."
)


def _event_for_organiser(request: HttpRequest, slug: str) -> Event:
    found = get_object_or_404(Event.objects.select_related("club"), slug=slug)
    require_organiser(request.user, found)
    return found


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def entries_import(request: HttpRequest, event: str) -> HttpResponse:
    """Choose a file, then see what would be made and changed."""
    found = _event_for_organiser(request, event)
    sent = (request.POST, request.FILES) if request.method == "POST" else ()
    form = EntriesFileForm(*sent, event=found)
    if sent and form.is_valid():
        try:
            table = read_entries(form.cleaned_data["file"])
        except FileProblem as problem:
            form.add_error("file", str(problem))
        else:
            look = look_at(event=found, table=table)
            return _preview(request, found, table, look)
    context = {"event": found, "form": form, "columns": TITLES.values()}
    return render(request, "runsheets/import.html", context)


def _preview(request: HttpRequest, event: Event, table: EntryTable, look: Look) -> HttpResponse:
    context = {
        "event": event,
        "look": look,
        "wrong": faults_of_rows(look.bad),
        "unknown": table.unknown,
        "sealed": "" if look.bad else sealed(table, event),
        "form": EntriesFileForm(event=event),
    }
    return render(request, "runsheets/import_preview.html", context)


@login_required
@require_POST
def entries_import_confirm(request: HttpRequest, event: str) -> HttpResponse:
    """Take in what was previewed, all or none."""
    found = _event_for_organiser(request, event)
    try:
        table = unsealed(request.POST.get("rows", ""), found)
    except BadSignature:
        messages.error(request, TOO_OLD)
        return redirect("table-entries-import", event)
    look = take_in(event=found, table=table, by=request.user)
    if look.bad:
        return _preview(request, found, table, look)
    counts = look.counts
    said = _("Taken in: {made} made, {changed} changed. {unchanged} were so already.")
    messages.success(request, said.format(**counts))
    return redirect("table-entries", event)


@login_required
@require_safe
def entries_template(request: HttpRequest, event: str, ending: str) -> HttpResponse:
    """A file with the columns and one invented row."""
    found = _event_for_organiser(request, event)
    division = found.divisions.first()
    line = EXAMPLE | {"division": division.name if division else ""}
    return _file(write_entries([line], ending), "entries template", ending)


@login_required
@require_safe
def entries_export(request: HttpRequest, event: str, ending: str) -> HttpResponse:
    """Every entry as a file that can be taken in again; contacts for organisers only."""
    found = event_for_table(request, event)
    private = has_role(request.user, found, Role.ORGANISER)
    entries = Entry.objects.filter(division__event=found)
    entries = entries.select_related("rider__user", "division")
    ordered = entries.order_by("division__place", "division__name", "entered_at", "pk")
    data = write_entries(lines_of(ordered), ending, private=private)
    return _file(data, f"{found.name} entries", ending)


def _file(data: bytes, words: str, ending: str) -> FileResponse:
    if ending not in SPREADSHEETS:
        raise Http404
    name = f"{slugify(words)[:120]}.{ending}"
    return FileResponse(BytesIO(data), filename=name, content_type=SPREADSHEETS[ending])
