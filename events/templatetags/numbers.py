"""Numbers as words."""

from django import template

from events.rules.answers_words import number

register = template.Library()


@register.filter
def number_word(value: int) -> str:
    """A count in words up to twelve, "no" for none, in figures beyond."""
    return number(value)
