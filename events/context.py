"""What every page can show."""

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from events.access import offices_of
from events.units import UnitsOnPage


def offices(request: HttpRequest) -> dict[str, object]:
    """`offices`: the roles that the user holds in any club, looked up only where shown."""
    user = getattr(request, "user", None)
    return {"offices": SimpleLazyObject(lambda: offices_of(user) if user else set())}


def units(request: HttpRequest) -> dict[str, object]:
    """`units`: the form for the visitor's units; read only where it is shown."""
    return {"units": SimpleLazyObject(lambda: UnitsOnPage(request))}
