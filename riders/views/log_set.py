"""The log between two sets: one tap for each try."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST
from django_htmx.http import HttpResponseClientRedirect

from riders.log_day import today_of
from riders.log_forms import CHOOSE_SETTING, Setting, TrickForm
from riders.log_models import LastTap
from riders.log_services import reader_of, tap, tap_row, tap_rows, undo_tap
from riders.log_words import UnknownTrick
from riders.models import Rider
from riders.views.riding import rider_required

SETTING_KEY, ADDED_KEY = "log_setting", "log_added"
ADDED_MOST = 12
NOTHING_TO_UNDO = gettext_lazy(
    "There is no tap to take back, or its line was changed since. Correct "
    "the line on the page of its trick."
)


def _setting(request: HttpRequest, today: date) -> str:
    """The setting chosen today; the next day begins with practice again."""
    day, setting = request.session.get(SETTING_KEY, ("", ""))
    is_today = day == today.isoformat()
    return setting if is_today and setting in Setting.values else Setting.PRACTICE


def _context(request: HttpRequest, rider: Rider, form: TrickForm) -> dict[str, Any]:
    today = today_of(rider)
    setting = _setting(request, today)
    added = request.session.get(ADDED_KEY, [])
    vocabulary = form.reader.vocabulary
    rows = tap_rows(
        rider=rider, setting=setting, today=today, vocabulary=vocabulary, added=added
    )
    return {
        "form": form,
        "setting": setting,
        "settings": Setting.choices,
        "today": today,
        "rows": rows,
        "last": LastTap.objects.select_related("line").filter(rider=rider).first(),
        "vocabulary": vocabulary,
    }


@rider_required
def log_set(request: HttpRequest, rider: Rider) -> HttpResponse:
    """The page for tapping; a POST is a tap."""
    added = request.session.get(ADDED_KEY, [])
    reader = reader_of(rider=rider, extra=added)
    if request.method != "POST":
        context = _context(request, rider, TrickForm(reader=reader))
        return render(request, "riders/log_set.html", context)
    try:
        trick = reader.read(request.POST.get("trick", "").replace("\x00", "")[:120])
    except UnknownTrick as error:
        messages.error(request, str(error))
        return _back(request)
    today = today_of(rider)
    setting = _setting(request, today)
    landed = request.POST.get("tap") == "landed"
    line = tap(rider=rider, trick=trick, setting=setting, today=today, landed=landed)
    if not request.htmx:
        return _back(request)
    context = {
        "row": tap_row(rider=rider, setting=setting, today=today, trick=trick),
        "last": LastTap(rider=rider, line=line, landed=landed),
        "instant": True,
    }
    return render(request, "riders/_log_tapped.html", context)


def _back(request: HttpRequest) -> HttpResponse:
    target = redirect("log-set")
    return HttpResponseClientRedirect(target.url) if request.htmx else target


@rider_required
@require_POST
def log_undo(request: HttpRequest, rider: Rider) -> HttpResponse:
    """Take the last tap back."""
    last = undo_tap(rider=rider)
    if last is None:
        messages.error(request, NOTHING_TO_UNDO)
    else:
        done = (
            _("Taken back: {trick}, landed.")
            if last.landed
            else _("Taken back: {trick}, fell.")
        )
        messages.success(request, done.format(trick=last.line.trick))
    return _back(request)


@rider_required
@require_POST
def log_setting(request: HttpRequest, rider: Rider) -> HttpResponse:
    """Choose the setting that today's taps count in."""
    setting = request.POST.get("setting", "")
    if setting in Setting.values:
        request.session[SETTING_KEY] = (today_of(rider).isoformat(), setting)
    else:
        messages.error(request, CHOOSE_SETTING)
    return _back(request)


@rider_required
@require_POST
def log_set_trick(request: HttpRequest, rider: Rider) -> HttpResponse:
    """Put another trick on the page for tapping."""
    added = request.session.get(ADDED_KEY, [])
    form = TrickForm(request.POST, reader=reader_of(rider=rider, extra=added))
    if not form.is_valid():
        return render(request, "riders/log_set.html", _context(request, rider, form))
    trick = form.cleaned_data["trick"]
    kept = [trick, *(each for each in added if each != trick)]
    request.session[ADDED_KEY] = kept[:ADDED_MOST]
    messages.success(request, _("{trick} stands first in the list.").format(trick=trick))
    return _back(request)
