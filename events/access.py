"""Who may do what: the one place where roles are looked up.

Views call these after fetching what is asked for. A signed-in person without the role gets
a 403 page; views ask for a sign-in first with Django's `login_required`.
"""

from django.contrib.auth.models import AbstractBaseUser, AnonymousUser
from django.core.exceptions import PermissionDenied
from django.db.models import Q

from events.models import Club, Event, Official

User = AbstractBaseUser | AnonymousUser
Role = Official.Role
Place = Club | Event


def has_role(user: User, place: Place, *roles: str) -> bool:
    """Whether the user holds one of the roles for the place.

    A role for the whole club holds for all its events; one for an event holds there alone,
    and never for the club.
    """
    if not user.is_authenticated:
        return False
    offices = Official.objects.filter(user=user, role__in=roles)
    if isinstance(place, Event):
        here = Q(event=None) | Q(event=place)
        return offices.filter(here, club=place.club_id).exists()
    return offices.filter(club=place, event=None).exists()


def require_organiser(user: User, place: Place) -> None:
    """Go on only for an organiser of the club or the event."""
    if not has_role(user, place, Role.ORGANISER):
        raise PermissionDenied("Only an organiser may do this.")


def require_table(user: User, place: Place) -> None:
    """Go on only for the table of the club or the event, or an organiser."""
    if not has_role(user, place, Role.ORGANISER, Role.TABLE):
        raise PermissionDenied("Only the table and organisers may see this.")


def require_dock(user: User, place: Place) -> None:
    """Go on only for the dock of the club or the event, its table, or an organiser."""
    if not has_role(user, place, Role.ORGANISER, Role.TABLE, Role.DOCK):
        raise PermissionDenied("Only the dock, the table and organisers may see this.")


def offices_of(user: User) -> set[str]:
    """The roles that the user holds anywhere, for the site's menu."""
    if not user.is_authenticated:
        return set()
    return set(Official.objects.filter(user=user).values_list("role", flat=True))
