"""Why a text is not TOML, in words of the language that is spoken.

The reader of the standard library gives its reasons in English. Those that it has are listed
here, so that they can be said in another language; one that is not is told as it came.
"""

import re
from functools import lru_cache

from events.rules.language import gettext as _
from events.rules.language import mark

_PLACED = re.compile(
    r"(?P<reason>.*) \(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\)",
    re.DOTALL,
)
_REASONS = (
    mark("Invalid statement"),
    mark("Expected newline or end of document after a statement"),
    mark("Expected {expected} at the end of a table declaration"),
    mark("Expected {expected} at the end of an array declaration"),
    mark("Expected {expected} after a key in a key/value pair"),
    mark("Expected {expected}"),
    mark("Cannot declare {key} twice"),
    mark("Cannot overwrite a value"),
    mark("Cannot mutate immutable namespace {key}"),
    mark("Cannot redefine namespace {key}"),
    mark("Duplicate inline table key {key}"),
    mark("Invalid initial character for a key part"),
    mark("Unclosed array"),
    mark("Unclosed inline table"),
    mark("Unescaped {sign} in a string"),
    mark("Invalid hex value"),
    mark("Escaped character is not a Unicode scalar value"),
    mark("Unterminated string"),
    mark("Illegal character {sign}"),
    mark("Invalid date or datetime"),
    mark("Invalid value"),
)


def not_toml(error: Exception) -> str:
    """The sentence for a text that `tomllib` did not read, from what it raised."""
    said = _("This is not TOML that can be read: {error}.")
    if isinstance(error, RecursionError):
        return said.format(error=_("it is nested too deeply"))
    placed = _PLACED.fullmatch(str(error))
    if placed is None:  # Python itself reads no number of thousands of digits
        return said.format(error=_("a number in it has too many digits"))
    reason = _in_words(placed["reason"])
    if placed["line"] is None:
        where = _("{reason} (at end of document)").format(reason=reason)
    else:
        where = _("{reason} (at line {line}, column {column})")
        where = where.format(reason=reason, line=placed["line"], column=placed["column"])
    return said.format(error=where)


def _in_words(reason: str) -> str:
    for known in _REASONS:
        if found := _pattern(known).fullmatch(reason):
            return _(known).format(**found.groupdict())
    return reason


@lru_cache(maxsize=len(_REASONS))
def _pattern(known: str) -> re.Pattern[str]:
    """A reason as a pattern, its names in braces as groups."""
    parts = re.split(r"\{(\w+)\}", known)
    named = (f"(?P<{part}>.+)" if at % 2 else re.escape(part) for at, part in enumerate(parts))
    return re.compile("".join(named), re.DOTALL)
