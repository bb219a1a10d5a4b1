"""Public pages of the event day: the times, a calendar of them, and the running orders."""

import hashlib

from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import quote_etag
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from events.site import absolute
from events.views.lookup import visible_event
from riders.models import Rider
from runsheets.public_times import feed, public_days, public_orders


@require_safe
def times(request: HttpRequest, event: str) -> HttpResponse:
    """When which heat and rider rides, as it now looks; asked by htmx, the times alone."""
    found = visible_event(request.user, event)
    now = timezone.now()
    context = {
        "event": found,
        "now": now,
        "days": public_days(found, now, _own_riders(request.user)),
    }
    page = "runsheets/_times.html" if request.htmx else "runsheets/times.html"
    return render(request, page, context)


def _own_riders(user: AbstractBaseUser | AnonymousUser) -> set[int]:
    """The riders whom the user is, for pointing their starts out."""
    if not user.is_authenticated:
        return set()
    return set(Rider.objects.filter(user=user).values_list("pk", flat=True))


@require_safe
def times_feed(request: HttpRequest, event: str) -> HttpResponse:
    """The times as iCalendar; with `?bib=12`, that rider's own starts alone."""
    found = visible_event(request.user, event)
    asked = request.GET.get("bib", "")
    bib = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 9 else None
    if asked and bib is None:
        return HttpResponse(
            _("Give a bib as a number, such as ?bib=12.") + "\n", "text/plain", 400
        )
    page = absolute(reverse("times", args=[found.slug]))
    text = feed(found, page, request.get_host().partition(":")[0], bib)
    etag = quote_etag(hashlib.sha256(text).hexdigest()[:32])
    response = get_conditional_response(request, etag=etag)
    if response is None:
        response = HttpResponse(text, "text/calendar; charset=utf-8")
        response["Content-Disposition"] = f'inline; filename="{found.slug}-times.ics"'
    response["ETag"] = etag
    response["Cache-Control"] = "max-age=60"
    return response


@require_safe
def running_order(request: HttpRequest, event: str) -> HttpResponse:
    """The published running orders, and how anybody can repeat each draw."""
    found = visible_event(request.user, event)
    context = {"event": found, "orders": public_orders(found)}
    return render(request, "runsheets/running_order.html", context)
