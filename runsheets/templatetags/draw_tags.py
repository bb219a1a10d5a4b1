"""How a running order was found, and how a drawn one can be repeated."""

from django import template
from django.utils.translation import gettext as _

from events.rules.language import mark
from events.rules.words import RidingOrder
from runsheets import drawn
from runsheets.models import RunningOrder
from runsheets.orders import BY_HAND_AFTER

METHODS = {
    RidingOrder.ALPHABETICAL.value: mark("Alphabetical"),
    RidingOrder.RANDOM.value: mark("Random"),
    RidingOrder.RANKING.value: mark("Ranking, best last"),
    RidingOrder.REVERSE.value: mark("Reverse of the last round"),
    RidingOrder.BY_HAND.value: mark("By hand"),
}

register = template.Library()
register.simple_tag(drawn.how_drawn)


@register.filter
def method_said(order: RunningOrder) -> str:
    """How an order was found: "Random", or "Random, then changed by hand"."""
    stored = order.method.removesuffix(BY_HAND_AFTER)
    method = _(METHODS[stored]) if stored in METHODS else stored
    if stored == order.method:
        return method
    return _("{method}, then changed by hand").format(method=method)
