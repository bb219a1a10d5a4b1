"""The landing log as a file, out and in. Nothing is written before it was looked at."""

from django.contrib import messages
from django.core.signing import BadSignature
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.http import require_POST

from events.faults import faults_of_rows
from events.rules.subject import spelled
from riders.log_csv import FileProblem, Upload, read_csv, sealed, unsealed, write_csv
from riders.log_day import today_of
from riders.log_forms import UploadForm
from riders.log_services import add_lines, missing_lines, reader_of
from riders.models import Rider
from riders.views.riding import rider_required

LINES_PREVIEWED = 12
TOO_OLD = gettext_lazy(
    "This preview is no longer valid, so nothing was taken in. Choose the file again."
)


@rider_required
def log_export(request: HttpRequest, rider: Rider) -> HttpResponse:
    """The whole log, the newest day first."""
    text = write_csv(rider.landing_days.all())
    name = f"landing-log-{today_of(rider):%Y-%m-%d}.csv"
    return HttpResponse(
        text,
        content_type="text/csv; charset=utf-8; header=present",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


@rider_required
def log_import(request: HttpRequest, rider: Rider) -> HttpResponse:
    """Choose a file, then see what would be taken in."""
    sent = (request.POST, request.FILES) if request.method == "POST" else ()
    form = UploadForm(*sent)
    if sent and form.is_valid():
        try:
            upload = read_csv(form.cleaned_data["file"], reader_of(rider=rider))
        except FileProblem as problem:
            form.add_error("file", str(problem))
        else:
            return _preview(request, rider, upload)
    return render(request, "riders/log_import.html", {"form": form})


def _preview(request: HttpRequest, rider: Rider, upload: Upload) -> HttpResponse:
    new = missing_lines(rider=rider, lines=upload.lines)
    context = {
        "upload": upload,
        "wrong": faults_of_rows([(row.number, row.problems) for row in upload.bad]),
        "new": new,
        "shown": new[:LINES_PREVIEWED],
        "held": len(upload.lines) - len(new),
        "sealed": "" if upload.bad else sealed(upload.lines, rider),
        "form": UploadForm(),
    }
    return render(request, "riders/log_preview.html", context)


@rider_required
@require_POST
def log_import_confirm(request: HttpRequest, rider: Rider) -> HttpResponse:
    """Take the lines in that were previewed, all or none."""
    try:
        lines = unsealed(request.POST.get("lines", ""), rider)
    except BadSignature:
        messages.error(request, TOO_OLD)
        return redirect("log-import")
    added = add_lines(rider=rider, lines=lines)
    held = len(lines) - added
    said = [_taken_in(added)] + ([_held(held)] if held else [])
    messages.success(request, " ".join(said))
    return redirect("log-home")


def _taken_in(lines: int) -> str:
    said = ngettext("{number} line taken in.", "{number} lines taken in.", lines)
    return said.format(number=spelled(lines).capitalize())


def _held(lines: int) -> str:
    said = ngettext(
        "{number} line stood in your log already.",
        "{number} lines stood in your log already.",
        lines,
    )
    return said.format(number=spelled(lines).capitalize())
