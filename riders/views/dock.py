"""What a rider wants to read on the dock, where there may be no reception."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from riders.models import Entry, Rider
from riders.selectors import entries_of
from riders.views.riding import rider_required


@require_safe
@rider_required
def dock(request: HttpRequest, rider: Rider) -> HttpResponse:
    """The pages of each coming event that the rider rides in, to keep on the phone."""
    today = timezone.localdate()
    coming = [
        state
        for state in entries_of(rider)
        if state.entry.division.event.last_day >= today
        and state.entry.state != Entry.State.WITHDRAWN
    ]
    return render(request, "riders/dock.html", {"entries": coming[::-1]})
