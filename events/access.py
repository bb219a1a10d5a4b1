"""Who may do what: the one place where roles are looked up.

Views call these after fetching what is asked for. A signed-in person without the role gets
a 403 page; views ask for a sign-in first with Django's `login_required`.
"""

from django.contrib.auth.models import AbstractBaseUser, AnonymousUser
from django.core.exceptions import PermissionDenied

from events.models import Club, Official

User = AbstractBaseUser | AnonymousUser
Role = Official.Role


def has_role(user: User, club: Club, *roles: str) -> bool:
    """Whether the user holds one of the roles in the club."""
    if not user.is_authenticated:
        return False
    return Official.objects.filter(club=club, user=user, role__in=roles).exists()


def require_organiser(user: User, club: Club) -> None:
    """Go on only for an organiser of the club."""
    if not has_role(user, club, Role.ORGANISER):
        raise PermissionDenied("Only an organiser of the club may do this.")


def require_table(user: User, club: Club) -> None:
    """Go on only for the table of the club, or an organiser."""
    if not has_role(user, club, Role.ORGANISER, Role.TABLE):
        raise PermissionDenied("Only the club's table and organisers may see this.")


def require_dock(user: User, club: Club) -> None:
    """Go on only for the dock of the club, its table, or an organiser."""
    if not has_role(user, club, Role.ORGANISER, Role.TABLE, Role.DOCK):
        raise PermissionDenied("Only the club's dock, table and organisers may see this.")


def offices_of(user: User) -> set[str]:
    """The roles that the user holds anywhere, for the site's menu."""
    if not user.is_authenticated:
        return set()
    return set(Official.objects.filter(user=user).values_list("role", flat=True))
