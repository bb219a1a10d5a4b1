"""A rider's own pages: entries, tricks, receipts."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from riders.forms import OwnTrickForm
from riders.models import Declaration, OwnTrick, Rider
from riders.selectors import declared_passes, entries_of


def rider_required(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Go on for a signed-in rider; ask a signed-in person without one for their name first."""

    @login_required
    @wraps(view)
    def ask(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        rider = Rider.objects.filter(user=request.user).first()
        if rider is None:
            query = urlencode({"next": request.get_full_path()})
            return redirect(f"{reverse('rider-edit')}?{query}")
        return view(request, rider, *args, **kwargs)

    @wraps(view)
    def inner(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if request.htmx and not request.user.is_authenticated:
            # A script would follow the way to the sign-in page unseen; this it tells about.
            return HttpResponse(status=401)
        return ask(request, *args, **kwargs)

    return inner


@rider_required
def riding_home(request: HttpRequest, rider: Rider) -> HttpResponse:
    """Everything that is the rider's: entries with their runs, records, own tricks."""
    context = {"rider": rider, "entries": entries_of(rider), "records": rider.records.all()}
    return render(request, "riders/riding_home.html", context)


@rider_required
def own_tricks(request: HttpRequest, rider: Rider) -> HttpResponse:
    """The rider's own tricks, and a form for another one."""
    form = OwnTrickForm(request.POST or None, rider=rider)
    if request.method == "POST" and form.is_valid():
        trick = form.save()
        messages.success(request, _("{trick} can be planned now.").format(trick=trick))
        return redirect("own-tricks")
    context = {"form": form, "tricks": rider.own_tricks.all()}
    return render(request, "riders/own_tricks.html", context)


@rider_required
@require_POST
def own_trick_remove(request: HttpRequest, rider: Rider, pk: int) -> HttpResponse:
    """Remove an own trick; declared runs keep it as it was."""
    trick = get_object_or_404(OwnTrick, pk=pk, rider=rider)
    trick.delete()
    messages.success(
        request, _("{name} is removed. Runs that you declared keep it.").format(name=trick.name)
    )
    return redirect("own-tricks")


@rider_required
def receipt(request: HttpRequest, rider: Rider, pk: int) -> HttpResponse:
    """What was declared, when, and under which edition."""
    declarations = Declaration.objects.select_related("entry__division__event", "edition")
    declaration = get_object_or_404(declarations, pk=pk, entry__rider=rider)
    newest = declaration.entry.declarations.filter(round_name=declaration.round_name).first()
    division = declaration.entry.division
    deadline = division.deadline(declaration.round_name or None)
    context = {
        "declaration": declaration,
        "division": division,
        "event": division.event,
        "passes": declared_passes(declaration),
        "is_newest": newest == declaration,
        "newest": newest,
        "deadline": deadline,
        "can_change": timezone.now() <= deadline,
    }
    return render(request, "riders/receipt.html", context)
