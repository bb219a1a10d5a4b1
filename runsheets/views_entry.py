"""The table's pages of one entry, of a late entry by hand, and of places drawn by lot."""

import secrets

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from events.access import Role, has_role, require_organiser, require_table
from events.models import Division, Event
from riders.entering import enter, waiting_place
from riders.entry_forms import show_refusal
from riders.models import Entry, Rider
from riders.newcomers import make_rider
from runsheets.desk_services import change_entry, draw_places, lots_to_draw, move
from runsheets.forms_desk import NAMES, ChooseForm, EntryForm, LotsForm, MoveForm, NewcomerForm
from runsheets.lookup import division_for_table, event_for_table


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def entry_page(request: HttpRequest, pk: int) -> HttpResponse:
    """One entry: rank, wishes, and for organisers the contacts; or another division."""
    entries = Entry.objects.select_related("rider", "division__event__club")
    entry = get_object_or_404(entries, pk=pk)
    event = entry.division.event
    require_table(request.user, event)
    sees_contacts = has_role(request.user, event, Role.ORGANISER)
    moves, posted = "move" in request.POST, request.method == "POST"
    form = EntryForm(
        request.POST if posted and not moves else None,
        instance=entry, sees_contacts=sees_contacts,
    )  # fmt: skip
    mover = MoveForm(request.POST if moves else None, entry=entry)
    if moves and mover.is_valid():
        if _moved(request, entry, mover):
            return redirect("table-entry", pk)
    elif form.saved(lambda: _change(form, request.user)):
        messages.success(request, _("The entry is saved."))
        return redirect("table-entry", pk)
    context = {
        "event": event,
        "entry": entries.get(pk=pk),
        "form": form,
        "mover": mover,
        "place": waiting_place(entry),
        "sees_contacts": sees_contacts,
    }
    return render(request, "runsheets/entry.html", context)


def _change(form: EntryForm, by: User) -> Entry:
    # The form has put what was typed into its own entry already; what changes is told apart.
    fresh = Entry.objects.select_related("rider", "division__event__club").get(
        pk=form.instance.pk
    )
    change_entry(entry=fresh, said=form.cleaned_data, by=by)
    return fresh


def _moved(request: HttpRequest, entry: Entry, form: MoveForm) -> bool:
    division = form.cleaned_data["division"]
    try:
        promoted = move(entry=entry, division=division, by=request.user)
    except ValidationError as error:
        for sentence in error.messages:
            form.add_error("division", sentence)
        return False
    up = ", ".join(each.rider.name for each in promoted)
    said = " " + _("From the waiting list: {names}.").format(names=up) if up else ""
    messages.success(
        request,
        _("{rider} is in {division} now.").format(rider=entry.rider, division=division.name)
        + said,
    )
    return True


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def entry_new(request: HttpRequest, event: str) -> HttpResponse:
    """Enter a rider by hand, also after entries closed: first who and where, then the rest."""
    found = event_for_table(request, event)
    chooser = ChooseForm(request.GET or None, event=found)
    form = None
    if request.GET and chooser.is_valid():
        division, email = chooser.cleaned_data["division"], chooser.cleaned_data["email"]
        division.event = found
        form = NewcomerForm(request.POST or None, email=email, division=division)
        if request.method == "POST" and form.is_valid():
            answer = _entered(request, form, division, email)
            if answer is not None:
                return answer
    context = {"event": found, "chooser": chooser, "form": form}
    return render(request, "runsheets/entry_new.html", context)


def _entered(
    request: HttpRequest, form: NewcomerForm, division: Division, email: str
) -> HttpResponse | None:
    try:
        with transaction.atomic():
            rider = form.found or _made(form, email)
            entry = enter(rider=rider, division=division, details=form.details, by=request.user)
    except ValidationError as error:
        show_refusal(form, error)
        return None
    messages.success(
        request,
        _("{rider} is entered in {division}.").format(rider=rider, division=division.name),
    )
    return redirect("table-entry", entry.pk)


def _made(form: NewcomerForm, email: str) -> Rider:
    return make_rider(email=email, **{name: form.cleaned_data[name] for name in NAMES})


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def lots(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw the free places of a division among those who wait, for organisers."""
    division = division_for_table(request, pk)
    event: Event = division.event
    require_organiser(request.user, event)
    form = LotsForm(request.POST or None, initial={"word": secrets.token_hex(4)})
    if form.is_valid() and _drawn(request, division, form):
        return redirect(f"{reverse('table-entries', args=[event.slug])}?division={pk}")
    waiting = division.entries.filter(state=Entry.State.WAITING).select_related("rider")
    context = {
        "event": event,
        "division": division,
        "places": lots_to_draw(division),
        "waiting": waiting.order_by("pk"),
        "form": form,
    }
    return render(request, "runsheets/lots.html", context)


def _drawn(request: HttpRequest, division: Division, form: LotsForm) -> bool:
    word = form.cleaned_data["word"]
    try:
        given = draw_places(division=division, seed=word, by=request.user)
    except ValueError as error:
        messages.error(request, str(error))
        return False
    names = ", ".join(each.rider.name for each in given)
    messages.success(
        request,
        _("Drawn with the word “{word}”: {names}. They are written to.").format(
            word=word, names=names
        ),
    )
    return True
