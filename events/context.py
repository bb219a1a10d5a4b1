"""What every page can show."""

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from events.access import offices_of
from events.languages import LanguageOnPage
from events.units import UnitsOnPage


def offices(request: HttpRequest) -> dict[str, object]:
    """`offices`: the roles that the user holds in any club, looked up only where shown."""
    user = getattr(request, "user", None)
    return {"offices": SimpleLazyObject(lambda: offices_of(user) if user else set())}


def units(request: HttpRequest) -> dict[str, object]:
    """`units`: the form for the visitor's units; read only where it is shown."""
    return {"units": SimpleLazyObject(lambda: UnitsOnPage(request))}


def language(request: HttpRequest) -> dict[str, object]:
    """`language`: the form for the visitor's language; read only where it is shown."""
    return {"language": SimpleLazyObject(lambda: LanguageOnPage(request))}
