"""The table's page of one running order: make it, move riders, publish it."""

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from events.models import Division
from events.rules.words import RidingOrder
from runsheets.forms import OrderForm
from runsheets.lineup import Lineup, lineup, rounds_of
from runsheets.lookup import NO_ROUND, division_for_table, refuse, round_asked
from runsheets.next_round import GoingOn, before
from runsheets.orders import (
    OrderRefused,
    StaleOrder,
    change_order,
    heat_size,
    make_order,
    order_version,
    publish_order,
    stated_round,
)
from runsheets.starting.moves import Move

STALE = gettext_lazy(
    "The running order was changed by somebody else in the meantime. This "
    "is how it stands now: look at it, then do what you wanted again if it "
    "is still needed."
)


@login_required
@require_http_methods(["GET", "HEAD", "POST"])
def order(request: HttpRequest, pk: int) -> HttpResponse:
    """Make the running order of a round, move riders in it, and publish it."""
    division = division_for_table(request, pk)
    name = round_asked(request, division)
    if name is None:
        return refuse(request, division, NO_ROUND.format(division=division))
    line = lineup(division, name)
    if request.method == "POST" and ("move" in request.POST or "public" in request.POST):
        return _change(request, line, division, name)
    onward = before(division, name, line.orders)
    form = _form(request, line, division, name, onward)
    if request.method == "POST" and form.is_valid():
        try:
            _make(request, form, division, name, onward)
        except (StaleOrder, OrderRefused) as error:
            messages.error(request, str(error) or STALE)
            line = lineup(division, name)
        except ValueError as error:
            form.add_error("method", str(error))
        else:
            messages.success(request, _("The running order is made."))
            return redirect(order_url(division, name))
    page = _page(form, line, division, name) | {"onward": onward}
    return render(request, "runsheets/order.html", page)


def order_url(division: Division, name: str, anchor: str = "") -> str:
    """The address of the running order of a round."""
    query = f"?{urlencode({'round': name})}" if name else ""
    return f"{reverse('table-order', args=[division.pk])}{query}{anchor}"


def _make(
    request: HttpRequest, form: OrderForm, division: Division, name: str, onward: GoingOn | None
) -> None:
    data = form.cleaned_data
    reverse_of = onward if data["method"] is RidingOrder.REVERSE else None
    make_order(
        division=division,
        round_name=name,
        method=data["method"],
        seed=data["seed"],
        entries=data.get("riders"),
        ranking=reverse_of.ranking if reverse_of else None,
        spread=data["spread"],
        version=request.POST.get("version", ""),
        by=request.user,
    )


def _form(
    request: HttpRequest, line: Lineup, division: Division, name: str, onward: GoingOn | None
) -> OrderForm:
    later = name != rounds_of(division)[0]
    stated = stated_round(division, name)
    riding = [entry.pk for entry in line.ordered]
    if onward and not riding:
        riding = [row.entry.pk for row in onward.chosen]
    return OrderForm(
        request.POST or None,
        order=line.order,
        stated=stated.order if stated else None,
        riders=line.everybody if later else None,
        riding=riding,
        placed=onward is not None,
        ranked=any(entry.rank for entry in line.everybody),
    )


def _page(form: OrderForm, line: Lineup, division: Division, name: str) -> dict[str, Any]:
    stated = stated_round(division, name)
    return {
        "division": division,
        "event": division.event,
        "round": name,
        "rounds": rounds_of(division),
        "line": line,
        "missing": [(entry, line.bibs.get(entry.rider_id)) for entry in line.missing],
        "heat_size": heat_size(division, name),
        "without_bib": sum(entry.rider_id not in line.bibs for entry in line.everybody),
        "version": order_version(line.order, line.heats),
        "form": form,
        "stated": stated.order if stated else None,
    }


def _change(request: HttpRequest, line: Lineup, division: Division, name: str) -> HttpResponse:
    try:
        if line.order is None:
            raise StaleOrder
        anchor = _changed(request, line)
    except (StaleOrder, OrderRefused) as error:
        messages.error(request, str(error) or STALE)
        anchor = ""
    return redirect(order_url(division, name, anchor))


def _changed(request: HttpRequest, line: Lineup) -> str:
    """Do what was pressed; returns where on the page to go on."""
    version = request.POST.get("version", "")
    if "public" in request.POST:
        public = request.POST["public"] == "yes"
        publish_order(order=line.order, public=public, version=version, by=request.user)
        return ""
    what, _dash, number = request.POST["move"].partition("-")
    if what not in set(Move) or not (number.isascii() and number.isdigit()) or len(number) > 18:
        raise StaleOrder
    change_order(
        order=line.order, entry_id=int(number), move=Move(what), version=version,
        by=request.user,
    )  # fmt: skip
    return f"#rider-{number}"
