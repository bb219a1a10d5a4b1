"""Values of formats and tricks as words."""

from django import template

from events.rules.answers_bonus import bonus_word
from events.rules.answers_words import capital
from events.value_words import value_word

register = template.Library()
register.filter(value_word)


@register.filter
def bonus_said(name: str) -> str:
    """The name of a bonus trick to begin a line with; the double-up in the page's language."""
    return capital(bonus_word(name))
