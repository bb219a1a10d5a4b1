"""The rider's landing log: what it says, a trick's days, and its lines."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _

from riders.log_day import today_of
from riders.log_forms import LineForm, LogFilterForm, WidthForm
from riders.log_models import LandingDay
from riders.log_services import (
    FIELDS,
    Line,
    TrickTotal,
    by_day,
    keep_line,
    lines_of,
    reader_of,
    totals,
    trick_total,
)
from riders.models import Rider
from riders.planning.training import tries_for_width
from riders.templatetags.rider_tags import percent
from riders.trend import trend, trend_picture
from riders.views.riding import rider_required

LINES_SHOWN = 60
WIDTH_USUAL = 20  # points of per cent; what is asked where the rider asks for nothing


@rider_required
def log_home(request: HttpRequest, rider: Rider) -> HttpResponse:
    """What the log says about each trick, as filtered."""
    form = LogFilterForm(request.GET or None)
    form.is_valid()
    asked = getattr(form, "cleaned_data", {})
    context = {
        "form": form,
        "tricks": totals(lines=lines_of(rider=rider, **asked)),
        "is_filtered": any(asked.values()),
        "has_lines": rider.landing_days.exists(),
    }
    return render(request, "riders/log.html", context)


@rider_required
def log_trick(request: HttpRequest, rider: Rider, trick: str) -> HttpResponse:
    """The days of one trick, and their trend."""
    lines = rider.landing_days.filter(trick=trick)
    points = trend(by_day(lines=lines))
    if not points:
        raise Http404("This trick is not in your log.")
    total = trick_total(trick=trick, points=points)
    form = WidthForm(request.GET if "width" in request.GET else {"width": str(WIDTH_USUAL)})
    context = {
        "trick": trick,
        "total": total,
        "width_form": form,
        "more": _more_tries(total, form.cleaned_data["width"]) if form.is_valid() else None,
        "picture": trend_picture(trick, points, percent),
        "page": Paginator(lines, LINES_SHOWN).get_page(request.GET.get("page")),
    }
    return render(request, "riders/log_trick.html", context)


def _more_tries(total: TrickTotal, points: int) -> int:
    return tries_for_width(total.landed, total.tried, points / 100)


@rider_required
def log_add(request: HttpRequest, rider: Rider) -> HttpResponse:
    """Write a line for any day."""
    today, trick = today_of(rider), request.GET.get("trick", "")[:120]
    start = {"day": today, "trick": trick, "setting": LandingDay.Setting.PRACTICE}
    form = LineForm(request.POST or None, initial=start, reader=reader_of(rider=rider))
    return _line_page(request, rider, form, None)


@rider_required
def log_edit(request: HttpRequest, rider: Rider, pk: int) -> HttpResponse:
    """Correct a line."""
    line = get_object_or_404(LandingDay, pk=pk, rider=rider)
    form = LineForm(request.POST or None, instance=line, reader=reader_of(rider=rider))
    return _line_page(request, rider, form, line)


def _line_page(
    request: HttpRequest, rider: Rider, form: LineForm, line: LandingDay | None
) -> HttpResponse:
    def keep() -> LandingDay:
        content = Line(**{name: form.cleaned_data[name] for name in FIELDS})
        return keep_line(rider=rider, line=content, replaces=line)

    kept = form.saved(keep)
    if kept is not None:
        messages.success(request, _("Kept: {line}.").format(line=kept))
        return redirect("log-trick", kept.trick)
    context = {"form": form, "line": line, "vocabulary": form.reader.vocabulary}
    return render(request, "riders/log_line.html", context)


@rider_required
def log_delete(request: HttpRequest, rider: Rider, pk: int) -> HttpResponse:
    """Ask, then delete a line."""
    line = get_object_or_404(LandingDay, pk=pk, rider=rider)
    if request.method != "POST":
        return render(request, "riders/log_delete.html", {"line": line})
    line.delete()
    messages.success(request, _("Deleted: {line}.").format(line=line))
    if rider.landing_days.filter(trick=line.trick).exists():
        return redirect("log-trick", line.trick)
    return redirect("log-home")
