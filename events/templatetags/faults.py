"""The summary of a refused page, for `_base.html`."""

from django import template
from django.contrib.messages import constants
from django.template.context import Context
from django.utils.translation import gettext as _

from events.faults import Fault, faults_in

register = template.Library()


@register.simple_tag(takes_context=True)
def page_faults(context: Context) -> list[Fault]:
    """What is wrong with the forms of the page, from the top down; empty if nothing is."""
    return faults_in(context.flatten().values())


@register.simple_tag(takes_context=True)
def refusal_word(context: Context, faults: list[Fault]) -> str:
    """What the page's title begins with, so that a refusal is the first thing heard."""
    said = context.get("messages") or ()
    refused = faults or any(each.level == constants.ERROR for each in said)
    return _("Error: ") if refused else ""
