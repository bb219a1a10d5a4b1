"""The days of an event in words."""

from datetime import date

from django import template
from django.utils.formats import date_format
from django.utils.translation import gettext as _

register = template.Library()


@register.filter
def days(event: object) -> str:
    """The first and the last day of an event: 3 to 4 July 2027."""
    first: date = event.first_day  # type: ignore[attr-defined]
    last: date = event.last_day  # type: ignore[attr-defined]
    end = date_format(last, _("j F Y"))
    if first == last:
        return end
    if (first.year, first.month) == (last.year, last.month):
        return _("{first} to {last}").format(first=date_format(first, _("j")), last=end)
    return _("{first} to {last}").format(
        first=date_format(first, _("j F Y") if first.year != last.year else _("j F")), last=end
    )
