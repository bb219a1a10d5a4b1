"""What a rider wants to read on the dock, where there may be no reception."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from events.lake_days import is_over
from riders.models import Entry, Rider
from riders.selectors import entries_of
from riders.views.riding import rider_required


@require_safe
@rider_required
def dock(request: HttpRequest, rider: Rider) -> HttpResponse:
    """The pages of each coming event that the rider rides in, to keep on the phone."""
    coming = [
        state
        for state in entries_of(rider)
        if not is_over(state.entry.division.event)
        and state.entry.state != Entry.State.WITHDRAWN
    ]
    return render(request, "riders/dock.html", {"entries": coming[::-1]})
