"""Sharing a plan by a link, reading a shared plan, and the coach's table."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from events.units import units_of
from riders.models import CoachLink, PlanShare, Rider
from riders.share_forms import ShareForm
from riders.share_selectors import (
    SharedPlan,
    coach_table,
    keeps,
    kept_link,
    share_by_token,
    share_of,
)
from riders.share_services import keep_share, make_link, stop_sharing, take_back
from riders.views.lookup import OwnPlace, place_of, place_required
from riders.views.riding import rider_required

View = Callable[..., HttpResponse]


def unlisted(view: View) -> View:
    """No search engine lists the answer, and nobody on the way keeps a copy."""

    @wraps(view)
    def inner(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        response = view(request, *args, **kwargs)
        response["X-Robots-Tag"] = "noindex, nofollow"
        response["Cache-Control"] = "private, no-store"
        return response

    return inner


def by_link(view: View) -> View:
    """An answer whose address is a secret: it is told to no other page."""

    @unlisted
    @wraps(view)
    def inner(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        response = view(request, *args, **kwargs)
        response["Referrer-Policy"] = "no-referrer"
        return response

    return inner


def _gone(request: HttpRequest) -> HttpResponse:
    return render(request, "riders/shared_plan_gone.html", status=404)


@by_link
@require_safe
def shared_plan(request: HttpRequest, token: str) -> HttpResponse:
    """A shared plan, for whoever has the link."""
    share = share_by_token(token)
    if share is None:
        return _gone(request)
    context = {
        "shared": SharedPlan(share, units_of(request)),
        "token": token,
        "is_own": request.user.pk == share.entry.rider.user_id,
        "is_kept": keeps(request.user, share),
    }
    return render(request, "riders/shared_plan.html", context)


@by_link
@rider_required
def keep(request: HttpRequest, rider: Rider, token: str) -> HttpResponse:
    """Keep a shared plan in the coach's table; also where a sign-in on the way ends."""
    share = share_by_token(token)
    if share is None:
        return _gone(request)
    if request.method != "POST":
        return redirect("shared-plan", token)
    try:
        link = keep_share(share=share, coach=rider)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("shared-plan", token)
    messages.success(
        request,
        _("The plan of {rider} is in your coach's table.").format(rider=link.share.entry.rider),
    )
    return redirect("coach")


@unlisted
@rider_required
def coach(request: HttpRequest, rider: Rider) -> HttpResponse:
    """The coach's table: every plan that the person keeps."""
    return render(request, "riders/coach.html", {"table": coach_table(rider)})


@unlisted
@rider_required
def coach_plan(request: HttpRequest, rider: Rider, pk: int) -> HttpResponse:
    """A kept plan."""
    link = kept_link(rider, pk)
    if link is None or not link.is_live:
        return _gone(request)
    context = {"shared": SharedPlan(link.share, units_of(request)), "link": link}
    return render(request, "riders/shared_plan.html", context)


@require_POST
@rider_required
def coach_let_go(request: HttpRequest, rider: Rider, pk: int) -> HttpResponse:
    """Take a plan out of the coach's table."""
    links = CoachLink.objects.select_related("share__entry__rider")
    link = get_object_or_404(links, pk=pk, coach=rider)
    link.delete()
    messages.success(
        request,
        _("The plan of {rider} is out of your table.").format(rider=link.share.entry.rider),
    )
    return redirect("coach")


@unlisted
@place_required
def share(request: HttpRequest, place: OwnPlace) -> HttpResponse:
    """Who reads the rider's plan, and a form for a new link, which is shown once."""
    current = share_of(place.entry.pk, place.round_name)
    label = _("Make a new link") if current else _("Make a link")
    data = request.POST if request.method == "POST" else None
    form = ShareForm(data, entry=place.entry, label=label)
    address = ""
    if request.method == "POST" and form.is_valid():
        day = form.cleaned_data["expires_on"]
        _share, token = make_link(
            entry=place.entry, round_name=place.round_name, expires_on=day
        )
        # Shown in this very answer: nothing that could be stolen later keeps the token.
        address = request.build_absolute_uri(reverse("shared-plan", args=[token]))
        current = share_of(place.entry.pk, place.round_name)
        form = ShareForm(entry=place.entry, label=_("Make a new link"))
    keepers = [] if current is None else current.keepers.all()
    context = {
        "form": form,
        "share": current,
        "others": PlanShare.objects.live()
        .filter(entry=place.entry)
        .exclude(round_name=place.round_name),
        "address": address,
        "keepers": [each for each in keepers if each.taken_back_at is None],
    }
    return render(request, "riders/share.html", {**place.context, **context})


def _back(share: PlanShare) -> HttpResponse:
    edition = share.entry.division.edition
    if edition is None:
        return redirect("riding-home")
    place = OwnPlace(share.entry, edition, share.round_name)
    known = place_of(share.entry, edition, None) if place.is_of_old_rules else place
    return known.redirect("share")


@require_POST
@rider_required
def share_stop(request: HttpRequest, rider: Rider, pk: int) -> HttpResponse:
    """Stop sharing a plan with anybody."""
    shares = PlanShare.objects.select_related("entry__division__event")
    found = get_object_or_404(shares, pk=pk, entry__rider=rider)
    stop_sharing(share=found)
    messages.success(request, _("The plan is no longer shared. Its link opens nothing now."))
    return _back(found)


@require_POST
@rider_required
def share_take_back(request: HttpRequest, rider: Rider, pk: int) -> HttpResponse:
    """Stop sharing a plan with one person who keeps it."""
    keepers = CoachLink.objects.select_related("share__entry__division__event", "coach")
    keeper = get_object_or_404(keepers, pk=pk, share__entry__rider=rider)
    take_back(keeper=keeper)
    messages.success(
        request,
        _(
            "{coach} no longer sees this plan. The link ended as well, because "
            "{coach} knows it: make a new one for others."
        ).format(coach=keeper.coach),
    )
    return _back(keeper.share)
