"""The short code on a paper: made from what stands on it, so that it changes with it. Pure.

The letters are Crockford's base 32, which has no I, L, O and U: a code can be read aloud
and typed back. Eight of them are 40 bits; among 3000 papers of one event two share a code
once in a quarter of a million events.
"""

import hashlib
import json
from typing import Any

from events.rules.language import gettext as _

LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH = 8
_MISREAD = str.maketrans("OILU", "011V")


def code_of(*said: Any) -> str:
    """The code of plain values: the same for the same values, whatever the order of keys."""
    text = json.dumps(said, sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    number = int.from_bytes(hashlib.sha256(text.encode()).digest()[: LENGTH * 5 // 8], "big")
    return "".join(LETTERS[number >> 5 * at & 31] for at in reversed(range(LENGTH)))


def spaced(code: str) -> str:
    """A code as it is printed: "K7Q2-9XMF"."""
    return "-".join(code[at : at + 4] for at in range(0, len(code), 4))


def read_code(typed: str) -> str:
    """The code that somebody typed, small letters and misread ones taken for what they are.

    Raises ValueError with a sentence if it cannot be one.
    """
    code = "".join(each for each in typed.upper() if not each.isspace() and each != "-")
    code = code.translate(_MISREAD)
    if not code:
        raise ValueError(_("Type the code at the foot of the paper, such as K7Q2-9XMF."))
    if len(code) != LENGTH or any(each not in LETTERS for each in code):
        raise ValueError(
            _(
                "A code has {number} letters and digits, such as K7Q2-9XMF. Look at the foot "
                "of the paper again."
            ).format(number=LENGTH)
        )
    return code
