"""What public pages say of entries: how many, and whether a place is free. No names."""

from dataclasses import dataclass
from datetime import datetime

from django import template
from django.db.models import Count
from django.utils import timezone

from events.models import Division, Event
from riders.eligibility import Window, free_places
from riders.entry_conditions import eligibility_of, entries_window
from riders.models import Entry

register = template.Library()


@dataclass(frozen=True)
class Stand:
    """How far the entries of a division are; `free` is None where no limit is stated."""

    riding: int = 0
    waiting: int = 0
    free: int | None = None
    is_open: bool = False
    is_early: bool = False
    opens: datetime | None = None
    closes: datetime | None = None


@register.simple_tag
def entries_of_event(event: Event) -> list[tuple[str, Stand]]:
    """The divisions that have entries, with how many ride and wait: one query."""
    rows = Entry.objects.filter(division__event=event)
    rows = rows.values("division", "division__name", "state").annotate(count=Count("pk"))
    counts: dict[tuple[int, str], dict[str, int]] = {}
    for row in rows.order_by("division__place", "division"):
        counts.setdefault((row["division"], row["division__name"]), {})[row["state"]] = row[
            "count"
        ]
    return [(name, _stand(each)) for (_, name), each in counts.items() if _stand(each).riding]


@register.simple_tag
def entries_of_division(division: Division) -> Stand:
    """How far the entries of one division are, and until when they are open."""
    rows = division.entries.values_list("state").annotate(count=Count("pk")).order_by()
    stand = _stand(dict(rows))
    window = entries_window(division)
    now = window.at(timezone.now())
    return Stand(
        stand.riding,
        stand.waiting,
        free_places(eligibility_of(division), stand.riding),
        now is Window.OPEN,
        now is Window.EARLY,
        window.opens,
        window.closes,
    )


def _stand(counts: dict[str, int]) -> Stand:
    return Stand(counts.get(Entry.State.RIDING, 0), counts.get(Entry.State.WAITING, 0))
