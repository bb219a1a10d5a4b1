"""The first steps of organisers, riders and the table, with pictures of the real pages."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from events.first_steps import WHO, tutorial


@require_safe
def first_steps(request: HttpRequest) -> HttpResponse:
    """Which tutorials there are."""
    context = {"tutorials": [tutorial(who) for who in WHO]}
    return render(request, "first_steps/index.html", context)


@require_safe
def first_steps_of(request: HttpRequest, who: str) -> HttpResponse:
    """The steps of the organiser, the rider or the table."""
    if who not in WHO:
        raise Http404
    others = [tutorial(each) for each in WHO if each != who]
    context = {"tutorial": tutorial(who), "others": others}
    return render(request, "first_steps/steps.html", context)
