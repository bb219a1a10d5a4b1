"""The language that a PDF says it is in, for who has it read aloud."""

from events.rules.language import spoken

BRITISH = "en-GB"  # what our English is


def language_code() -> str:
    """The code of the language that is spoken now, as PDF has it (RFC 3066)."""
    code = spoken()
    return BRITISH if code == "en" else code
