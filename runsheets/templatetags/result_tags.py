"""Words for results."""

from collections.abc import Iterable

from django import template

from riders.models import Entry

register = template.Library()


@register.filter
def named(entries: Iterable[Entry], in_full: bool) -> str:
    """The riders of some entries: by the whole name at the table, else as everybody may see."""
    return ", ".join(each.rider.name if in_full else each.public_name for each in entries)
