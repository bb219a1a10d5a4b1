"""The language that sentences are said in; pure, so that the engine can speak every one.

    from events.rules.language import gettext as _, mark, ngettext

    _("A pass ends at {marker}.").format(marker=marker)
    ngettext("{number} fall", "{number} falls", falls).format(number=number(falls))
    ENDS = {EndedBy.MARKER: mark("A pass ends at the end marker.")}  # said with _(ENDS[by])

The words in the code are English and are what is looked up. The site plugs in its catalogues
with `speak`; where nobody did, everything is said as it is written here.
"""

from gettext import NullTranslations
from typing import Protocol


class Catalogue(Protocol):
    """Looks sentences up; `gettext.NullTranslations` and Django's module both do."""

    def gettext(self, message: str, /) -> str: ...
    def ngettext(self, singular: str, plural: str, number: int, /) -> str: ...
    def pgettext(self, context: str, message: str, /) -> str: ...
    def npgettext(self, context: str, singular: str, plural: str, number: int, /) -> str: ...
    def get_language(self) -> str | None: ...


class _AsWritten(NullTranslations):
    def get_language(self) -> str | None:
        return "en"


_catalogue: Catalogue = _AsWritten()


def speak(catalogue: Catalogue) -> None:
    """Look everything up in `catalogue` from now on."""
    global _catalogue
    _catalogue = catalogue


def gettext(message: str) -> str:
    """The message in the language that is spoken now."""
    return _catalogue.gettext(message)


def ngettext(singular: str, plural: str, number: int) -> str:
    """The message for a number of things; languages have one to six forms for it."""
    return _catalogue.ngettext(singular, plural, number)


def pgettext(context: str, message: str) -> str:
    """The message where its English has two meanings: `context` says which it is."""
    return _catalogue.pgettext(context, message)


def npgettext(context: str, singular: str, plural: str, number: int) -> str:
    """`pgettext` for a number of things."""
    return _catalogue.npgettext(context, singular, plural, number)


def mark(message: str) -> str:
    """The message as it is: it enters the catalogues here and is looked up where it is said."""
    return message


def mark_in(context: str, message: str) -> str:
    """`mark` for a message that is looked up with `pgettext`."""
    return message


def spoken() -> str:
    """The code of the language that is spoken now ("en", "de"): part of the key of whatever
    keeps sentences."""
    return (_catalogue.get_language() or "en").partition("-")[0]
