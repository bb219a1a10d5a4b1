"""A short reference for each request: on its log lines, its answer and its error page."""

import logging
import secrets
from contextvars import ContextVar

# No vowels and nothing that is misheard or misread on the phone.
LETTERS = "BCDFGHJKMPQRTVWX2346789"
NONE = "-"
_current: ContextVar[str] = ContextVar("reference", default=NONE)


def new_reference() -> str:
    """Eight random letters and digits in two groups, such as `K7QX-M2DP`."""
    drawn = "".join(secrets.choice(LETTERS) for _ in range(8))
    return f"{drawn[:4]}-{drawn[4:]}"


def begin_reference() -> str:
    """Give the request that begins a new reference."""
    reference = new_reference()
    _current.set(reference)
    return reference


def current_reference() -> str:
    """The reference of the request that is being answered, or "-" outside of one."""
    return _current.get()


class ReferenceFilter(logging.Filter):
    """Puts the reference of the request on each log record."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Never drops a record."""
        record.reference = current_reference()
        return True
