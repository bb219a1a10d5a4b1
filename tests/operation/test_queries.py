"""How many queries each page asks: at most twelve, and as many with forty riders as with two.

Taken from the list of addresses, so that a new page is counted without anybody thinking of it.
"""

from itertools import count

from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from events.models import Division
from events.rules.words import RidingOrder
from riders.models import Bib, Declaration, Entry, LandingDay
from runsheets.models import Ride, RunningOrder
from runsheets.orders import make_order
from tests.factories import EntryFactory, RiderFactory
from tests.operation.permission_world import World, build
from tests.operation.test_permissions import MAY, address

MOST = 12
FIRST_CHOICE = ("organiser", "table", "rider", "coach", "anonymous")
# Their own work grows with what is taken along: everything that the site holds of somebody.
WHOLE = {"account-data"}
# Keys that are none, and pages that lead who is signed in, or has done it, elsewhere.
NOT_SHOWN = dict.fromkeys(("invitation", "key-email", "key-in", "key-once", "key-role"), 410)
NOT_SHOWN |= dict.fromkeys(
    ("password-forgotten", "shared-keep", "sign-in", "sign-up", "table-day-new"), 302
)
number = count(1)


def grow(world: World, riders: int) -> None:
    """More riders in the same division, each with a bib, a declared run and a ridden one."""
    division = Division.objects.get(pk=world.numbers["division"])
    first = Declaration.objects.get(pk=world.numbers["declared"])
    owner = Entry.objects.get(pk=world.numbers["entry"]).rider
    by = world.people["table"]
    for n in range(riders):
        entry = EntryFactory(division=division, rider=RiderFactory())
        first.pk, first.entry = None, entry
        first.save(force_insert=True)
        Bib.objects.create(event=division.event, rider=entry.rider, number=100 + next(number))
        day = timezone.localdate().replace(day=1 + n % 28)
        LandingDay.objects.create(rider=owner, trick=f"trick {n}", day=day, landed=1, tried=2)
    order = RunningOrder.objects.get(division=division)
    ridden = order.rides.first()
    order.rides.all().delete()
    order = make_order(division=division, round_name="", method=RidingOrder.ALPHABETICAL, by=by)
    for slot in order.slots.all():
        Ride.objects.create(order=order, entry=slot.entry, state=ridden.state)


def asked(client, world: World, name: str) -> int | None:
    """How many queries a page asks; None for what only takes what is sent."""
    person = next((who for who in FIRST_CHOICE if who in MAY[name]), "anonymous")
    user = world.people[person]
    client.logout() if user is None else client.force_login(user)
    where = address(world, name)
    with transaction.atomic(), CaptureQueriesContext(connection) as seen:
        answer = client.get(where)
        if answer.streaming:
            b"".join(answer.streaming_content)
        transaction.set_rollback(True)
    if answer.status_code == 405:
        return None
    assert answer.status_code == NOT_SHOWN.get(name, 200), name
    return sum(not each["sql"].startswith(("SAVEPOINT", "RELEASE", "ROLL")) for each in seen)


def test_every_page_asks_few_queries_whatever_the_number_of_riders(db, client):
    world = build()
    names = sorted(set(MAY) - WHOLE)
    for name in names:
        asked(client, world, name)  # what is kept after the first time
    few = {name: asked(client, world, name) for name in names}
    grow(world, 38)
    many = {name: asked(client, world, name) for name in names}

    assert {name: asked for name, asked in many.items() if (asked or 0) > MOST} == {}
    grown = {
        name: (few[name], asked)
        for name, asked in many.items()
        if asked is not None and asked > few[name]
    }
    assert grown == {}
