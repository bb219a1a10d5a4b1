"""Values of formats and tricks as words: stored in English, shown in any language."""

from collections.abc import Iterable
from typing import Any

from django.utils.translation import pgettext, pgettext_lazy


def value_word(value: str) -> str:
    """A value as stored ("one wake") in the language of the page; "" for none at all."""
    return pgettext("value", value) if value else ""


def choices_in_words(values: Iterable[str]) -> list[tuple[str, Any]]:
    """Choices of a field: each value as stored, and its word in the language of the page."""
    return [(value, pgettext_lazy("value", value)) for value in values]
