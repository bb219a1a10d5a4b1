"""Choosing the units that figures are shown in."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST

from events.rules.figures import CHOICES, Units
from events.site import go_back
from events.units import in_words, keep
from events.units_models import UnitsChoice

NO_SUCH = gettext_lazy("Choose each unit from its list. Nothing is changed.")


@require_POST
def choose(request: HttpRequest) -> HttpResponse:
    """Keep a choice in the cookie and with the account, and go back to the page."""
    response = go_back(request)
    asked = {kind: request.POST.get(kind, "") or None for kind in CHOICES}
    if any(unit not in (None, *CHOICES[kind]) for kind, unit in asked.items()):
        messages.error(request, NO_SUCH)
        return response
    units = Units(**asked)
    keep(response, units)
    if request.user.is_authenticated:
        UnitsChoice.objects.update_or_create(user=request.user, defaults={"units": units.text})
    messages.success(request, _("Figures are shown so: {units}.").format(units=in_words(units)))
    return response
