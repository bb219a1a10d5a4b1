"""Who may do what: the one place where roles are looked up.

Views call these after fetching what is asked for. A signed-in person without the role gets
a 403 page; views ask for a sign-in first with Django's `login_required`.
"""

from django.contrib.auth.models import AbstractBaseUser, AnonymousUser
from django.core.exceptions import PermissionDenied
from django.utils.functional import SimpleLazyObject
from django.utils.translation import gettext as _

from events.models import Club, Event, Official

User = AbstractBaseUser | AnonymousUser
Role = Official.Role
Place = Club | Event


def has_role(user: User, place: Place, *roles: str) -> bool:
    """Whether the user holds one of the roles for the place.

    A role for the whole club holds for all its events; one for an event holds there alone,
    and never for the club.
    """
    if isinstance(place, Event):
        here = {(place.club_id, None), (place.club_id, place.pk)}
    else:
        here = {(place.pk, None)}
    return any(role in roles and (club, event) in here for role, club, event in _held(user))


def require_organiser(user: User, place: Place) -> None:
    """Go on only for an organiser of the club or the event."""
    if not has_role(user, place, Role.ORGANISER):
        raise PermissionDenied(_("Only an organiser may do this."))


def require_table(user: User, place: Place) -> None:
    """Go on only for the table of the club or the event, or an organiser."""
    if not has_role(user, place, Role.ORGANISER, Role.TABLE):
        raise PermissionDenied(_("Only the table and organisers may see this."))


def require_dock(user: User, place: Place) -> None:
    """Go on only for the dock of the club or the event, its table, or an organiser."""
    if not has_role(user, place, Role.ORGANISER, Role.TABLE, Role.DOCK):
        raise PermissionDenied(_("Only the dock, the table and organisers may see this."))


def offices_of(user: User) -> set[str]:
    """The roles that the user holds anywhere, for the site's menu."""
    return {role for role, _, _ in _held(user)}


def _held(user: User) -> list[tuple[str, int, int | None]]:
    """Each office of a user: the role, the club, the event or None for the whole club.

    The user of a request is a lazy object, made anew for each: theirs are read once.
    """
    if not user.is_authenticated:
        return []
    held: list[tuple[str, int, int | None]] | None = getattr(user, "held_offices", None)
    if held is None:
        found = Official.objects.filter(user=user).order_by("pk")
        held = list(found.values_list("role", "club", "event"))
        if isinstance(user, SimpleLazyObject):
            user.held_offices = held
    return held
