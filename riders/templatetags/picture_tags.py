"""The pictures of a checked run, for templates; see `riders.pictures`."""

from django import template
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from events.rules.figures import AS_PUBLISHED, Units
from events.rules.format import Format
from riders.pictures import alive, from_above
from riders.planning.check import Check
from riders.planning.survival import Survival

register = template.Library()


@register.simple_tag
def picture_from_above(check: Check, format: Format, units: Units = AS_PUBLISHED) -> SafeString:
    """Each pass with the wake and the rider's line."""
    title = _("Your run from above")
    drawn = from_above.from_above(check.route, format, title=title, units=units)
    return mark_safe(drawn)  # nosec B308


@register.simple_tag
def picture_alive(survival: Survival) -> SafeString:
    """Of a hundred runs, how many try each trick; empty without figures."""
    title = _("Of 100 runs, how many try each trick")
    return mark_safe(alive.alive(survival, title=title))  # nosec B308


@register.simple_tag
def picture_landed(survival: Survival) -> SafeString:
    """Of a hundred runs, how many land how many tricks; empty without figures."""
    title = _("How many tricks you land")
    return mark_safe(alive.landed_distribution(survival, title=title))  # nosec B308
