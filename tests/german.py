"""Words of English that no German text has, to find what was left untranslated."""

import re

WORDS = (
    "the", "is", "are", "not", "of", "and", "it", "you", "your", "with", "that", "this", "there",
    "which", "whether", "how", "from",
)  # fmt: skip


def english(*more: str) -> re.Pattern[str]:
    """Finds words of nearly every English sentence, and `more` of the texts that are read."""
    return re.compile(rf"\b(?:{'|'.join((*WORDS, *more))})\b", re.IGNORECASE)
