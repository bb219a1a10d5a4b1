"""For organisers and the table: who has not declared again since the rules changed."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from events.access import Role, has_role, require_table
from events.models import Division
from riders.re_checks import not_again, re_check


@login_required
@require_safe
def re_checks(request: HttpRequest, pk: int) -> HttpResponse:
    """Riders whose declared run stands under an older edition; addresses for organisers."""
    divisions = Division.objects.select_related("event__club", "event__venue")
    division = get_object_or_404(divisions.prefetch_related("editions"), pk=pk)
    require_table(request.user, division.event)
    riders = not_again(division, re_check(division))
    context = {
        "division": division,
        "event": division.event,
        "edition": division.edition,
        "riders": riders,
        "broken": sum(not each.check.still_legal for each in riders),
        "by_hand": [each for each in riders if each.by_hand],
        "is_organiser": has_role(request.user, division.event, Role.ORGANISER),
    }
    return render(request, "riders/re_checks.html", context)
