"""A page for whoever looks after a club's site: what can be read from here, and how."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from events.models import Event
from events.site import absolute


@require_safe
def for_webmasters(request: HttpRequest) -> HttpResponse:
    """The addresses of the JSON interface, the calendar and the boxes, with a public event."""
    event = Event.objects.public().order_by("-first_day", "-pk").first()
    return render(request, "exchange/about.html", {"event": event, "site": absolute("/")})
