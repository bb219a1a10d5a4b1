"""Figures in templates, in the units that the visitor likes."""

from django import template

from events.rules.figures import Units

register = template.Library()


@register.filter
def metres(length_m: float, units: Units) -> str:
    """A published length: "370 m", or "1214 ft (370 m as published)"."""
    return units.published_metres(length_m)
