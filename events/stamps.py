"""Short texts that tell whether stored values are still those that somebody looked at."""

import hashlib
import json
from typing import Any


def stamp(value: Any) -> str:
    """A short text that changes whenever the value does; what JSON lacks goes as text."""
    text = json.dumps(value, sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()[:16]
