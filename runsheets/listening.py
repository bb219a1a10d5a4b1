"""What the table's side does when something happens to a rider."""

from typing import Any

from django.db.models import Value
from django.db.models.functions import Replace
from django.dispatch import receiver

from events.models import Division
from riders.erasing import name_left
from riders.models import Rider
from riders.signals import asked_if_order_is_public, rider_erased
from runsheets.models import Printing, Protest, Ride, RunningOrder

# Where officials write in their own words about a ride; they may have named the rider.
WRITTEN: tuple[tuple[type[Ride] | type[Protest], str], ...] = (
    (Ride, "reason"),
    (Ride, "points_reason"),
    (Protest, "about"),
    (Protest, "ruling"),
)


@receiver(rider_erased)
def forget_name(rider: Rider, **_: Any) -> None:
    """Take the rider's name out of what printed papers said and of what officials wrote."""
    left = " ".join(name_left())
    own = Printing.objects.filter(event__divisions__entries__rider=rider).distinct()
    printings = list(own)
    for printing in printings:
        printing.rows = without(printing.rows, rider.name, left)
    Printing.objects.bulk_update(printings, ["rows"], batch_size=200)
    for model, field in WRITTEN:
        event = {"entry__division__event__divisions__entries__rider": rider}
        named = model._default_manager.filter(**event, **{f"{field}__contains": rider.name})
        model._default_manager.filter(pk__in=list(named.values_list("pk", flat=True))).update(
            **{field: Replace(field, Value(rider.name), Value(left))}
        )


@receiver(asked_if_order_is_public)
def order_is_public(division: Division, **_: Any) -> bool:
    """Whether riders can see a running order of the division."""
    orders = RunningOrder.objects.filter(division=division)
    return orders.exclude(published_at=None).exists()


def without(said: Any, name: str, left: str) -> Any:
    """Plain data with what is left of the name in its place wherever it stands."""
    if isinstance(said, dict):
        return {key: without(each, name, left) for key, each in said.items()}
    if isinstance(said, list):
        return [without(each, name, left) for each in said]
    return said.replace(name, left) if isinstance(said, str) else said
