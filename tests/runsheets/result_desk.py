"""A heat of five with two judges and three criteria, and ways to write what was ridden."""

from decimal import Decimal

import factory

from events.models import Division
from events.rules.words import RidingOrder
from runsheets.models import Judge, Mark, Ride, RunningOrder
from runsheets.orders import make_order
from tests.factories import DivisionFactory, EditionFactory, EntryFactory, RiderFactory

NAMES = ("Adlersee", "Brandquist", "Ćwierk", "Dubrava", "Eskola")
CRITERIA = ("Execution", "Intensity", "Composition")
RULES = {
    "passes": {"count": 2, "length_m": 400, "ended_by": "marker"},
    "judging": {
        "panel": 2,
        "criteria": [
            {"name": "Execution", "weight": 33.3},
            {"name": "Intensity", "weight": 33.4},
            {"name": "Composition", "weight": 33.3},
        ],
        "combine": "mean",
        "tie_breaks": ["Execution"],
    },
    "clock": {"protest_min": 30},
    "rounds": [
        {"name": "Qualifying", "kind": "qualifying", "order": "alphabetical", "advance": 3,
         "advance_from": "the round", "ties": "all advance"},
        {"name": "Final", "kind": "final", "order": "reverse of the last round"},
    ],
}  # fmt: skip
# By hand: Adlersee 90.9 and Brandquist 90.9, parted by execution; then 81, 75, 60.
MARKS = {
    "Adlersee": [("31.2", "30", "29.7")] * 2,
    "Brandquist": [("30.2", "31", "29.7")] * 2,
    "Ćwierk": [("27", "27", "27")] * 2,
    "Dubrava": [("25", "25", "25")] * 2,
    "Eskola": [("20", "20", "20")] * 2,
}


class JudgeFactory(factory.django.DjangoModelFactory):
    """A judge of an event."""

    class Meta:
        model = Judge

    number = factory.Sequence(lambda n: n + 1)
    name = factory.Sequence(lambda n: f"Osk Veldmar {n}")


class RideFactory(factory.django.DjangoModelFactory):
    """A run that was ridden."""

    class Meta:
        model = Ride

    state = Ride.State.DONE


def heat_of_five(by, rules=RULES) -> Division:
    """A division with its order and judges; nobody has ridden yet."""
    division = DivisionFactory(name="Open", slug="open")
    EditionFactory(division=division, data=rules)
    for number, name in enumerate(("Osk Veldmar", "Pim Harrow"), start=1):
        JudgeFactory(event=division.event, number=number, name=name)
    for name in NAMES:
        EntryFactory(division=division, rider=RiderFactory(family_name=name))
    division = Division.objects.get(pk=division.pk)
    make_order(
        division=division, round_name="Qualifying", method=RidingOrder.ALPHABETICAL, by=by
    )
    return division


def mark(ride, by, *judges) -> None:
    """Write the marks of each judge for a run."""
    for number, values in enumerate(judges, start=1):
        judge = Judge.objects.get(event=ride.order.division.event, number=number)
        for criterion, value in zip(CRITERIA, values, strict=True):
            Mark.objects.create(
                ride=ride, judge=judge, criterion=criterion, value=Decimal(value), changed_by=by
            )


def ride_all(division, by, marks=MARKS, name="Qualifying") -> RunningOrder:
    """Every rider rides once and is marked."""
    order = RunningOrder.objects.get(division=division, round_name=name)
    for slot in order.slots.select_related("entry__rider"):
        ride = RideFactory(order=order, entry=slot.entry)
        mark(ride, by, *marks[slot.entry.rider.family_name])
    return order
