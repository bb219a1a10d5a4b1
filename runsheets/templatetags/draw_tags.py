"""How a running order was found, and how a drawn one can be repeated."""

from django import template
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from events.rules.language import mark
from events.rules.words import RidingOrder
from runsheets import drawn
from runsheets.models import RunningOrder
from runsheets.orders import BY_HAND_AFTER

METHODS = {
    RidingOrder.ALPHABETICAL.value: mark("alphabetical"),
    RidingOrder.RANDOM.value: mark("random"),
    RidingOrder.RANKING.value: mark("ranking, best last"),
    RidingOrder.REVERSE.value: mark("reverse of the last round"),
    RidingOrder.BY_HAND.value: mark("by hand"),
}

register = template.Library()
register.simple_tag(drawn.how_drawn)


@register.filter
def order_said(method: str) -> str:
    """A way to find an order, as it stands within a sentence: "reverse of the last round"."""
    return _(METHODS[method]) if method in METHODS else method


@register.filter
def method_said(order: RunningOrder) -> str:
    """How an order was found: "Random", or "Random, then changed by hand"."""
    stored = order.method.removesuffix(BY_HAND_AFTER)
    method = capfirst(order_said(stored))
    if stored == order.method:
        return method
    return _("{method}, then changed by hand").format(method=method)
