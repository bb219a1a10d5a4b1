"""Nobody of the demo may be found on the internet: their password is in the guide."""

from typing import Any

from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.checks import CheckMessage, Error, Tags, register
from django.db import DatabaseError


@register(Tags.database)
def check_demo_people(databases: Any = None, **kwargs: Any) -> list[CheckMessage]:
    """In production, an error for every account of the demo that its password still opens."""
    if not settings.PRODUCTION or not databases:
        return []
    from runsheets.demo.loading import PASSWORD  # late: it needs every model
    from runsheets.demo.plot import read_story

    names = [person["username"] for person in read_story()["people"]]
    try:
        found = list(get_user_model().objects.filter(username__in=names, is_active=True))
    except DatabaseError:
        return []  # not migrated yet
    return [
        Error(
            f"The account {user.username} of the demo is on this site and everybody knows its "
            "password.",
            hint="Begin with an empty database, or make the account inactive.",
            id="runsheets.E001",
        )
        for user in found
        if user.check_password(PASSWORD)
    ]
