"""Words for times."""

from datetime import timedelta

from django import template
from django.utils.translation import gettext as _

register = template.Library()


@register.filter
def minutes(seconds: float) -> str:
    """Seconds as people say them: "4 min 20 s", "75 s"."""
    whole = round(seconds)
    if whole < 100:
        return f"{whole} s"
    rest = f" {whole % 60} s" if whole % 60 else ""
    return f"{whole // 60} min{rest}"


@register.filter
def in_words(wait: str) -> str:
    """A wait as it stands in a sentence: "in about 40 minutes", "any moment now"."""
    if wait in ("any moment", _("any moment")):
        return _("any moment now")
    return _("in {wait}").format(wait=wait)


@register.filter
def late(by: timedelta) -> str:
    """How much later or earlier than planned, from five minutes on; else nothing."""
    whole = round(by.total_seconds() / 60)
    if whole >= 5:
        return _("{number} minutes later than planned").format(number=whole)
    if whole <= -5:
        return _("{number} minutes earlier than planned").format(number=-whole)
    return ""
