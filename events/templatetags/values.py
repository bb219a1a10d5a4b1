"""Values of formats and tricks as words."""

from django import template
from django.utils.translation import pgettext

from events.rules.answers_bonus import bonus_word
from events.rules.answers_words import capital

register = template.Library()


@register.filter
def bonus_said(name: str) -> str:
    """The name of a bonus trick to begin a line with; the double-up in the page's language."""
    return capital(bonus_word(name))


@register.filter
def value_word(value: str) -> str:
    """A value as stored ("one wake") in the language of the page; "" for none at all."""
    return pgettext("value", value) if value else ""
