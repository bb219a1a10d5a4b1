"""The event as data in its page, for search engines and calendars."""

import json
from collections.abc import Iterable

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from events.exchange.linked_data import event_data
from events.models import Division, Event

register = template.Library()
# In JSON these stand in texts alone, where they may be written so; nothing ends the script.
HARMLESS = {ord(sign): f"\\u{ord(sign):04x}" for sign in "<>&"}


@register.simple_tag
def linked_data(event: Event, divisions: Iterable[Division]) -> SafeString:
    """A script element that browsers do not run."""
    # No sign that HTML reads is left in it.
    text = json.dumps(event_data(event, divisions), ensure_ascii=False).translate(HARMLESS)
    safe = mark_safe(text)  # nosec B308
    return format_html('<script type="application/ld+json">{}</script>', safe)
