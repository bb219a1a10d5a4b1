"""An invented event of any size, with running orders and declared runs, made in few queries."""

from dataclasses import asdict

from django.contrib.auth.models import User

from events.models import Division, Edition, Event
from events.rules.loading import as_data, load_format
from events.rules.notation import read_run, write_run
from riders.models import Bib, Declaration, Entry, Rider
from runsheets.models import Heat, RunningOrder, Slot
from tests.factories import EventFactory, UserFactory
from tests.runsheets.paper_desk import RULES

NOTATION = (
    "HS backroll, TS FS 180, Tantrum, HS FS 360, Indy | "
    "Half cab, Scarecrow, TS backroll, Melan, HS BS 180 + double-up HS backroll"
)
HEAT_SIZE = 5


def big_event(divisions: int, riders_each: int, heat_size: int = HEAT_SIZE) -> Event:
    """An event whose every rider has a bib, a place in a heat, and a declared run."""
    event, by = EventFactory(), UserFactory()
    rules = as_data(load_format(RULES))
    run = read_run(NOTATION)
    tricks = [
        asdict(t) for t in {p.planned.entry.key: p.planned.entry for p in run.places()}.values()
    ]
    made = Division.objects.bulk_create(
        Division(event=event, name=f"Division {n}", slug=f"division-{n}", place=n, draft={})
        for n in range(divisions)
    )
    editions = Edition.objects.bulk_create(
        Edition(division=each, number=1, data=rules, published_by=by) for each in made
    )
    orders = RunningOrder.objects.bulk_create(
        RunningOrder(division=each, method="by hand", made_by=by) for each in made
    )
    count = divisions * riders_each
    users = User.objects.bulk_create(User(username=f"r{event.pk}-{n}") for n in range(count))
    riders = Rider.objects.bulk_create(
        Rider(user=user, given_name="Ilka", family_name=f"Moorfield{n}", club_name="Reedlake")
        for n, user in enumerate(users)
    )
    entries = Entry.objects.bulk_create(
        Entry(rider=rider, division=made[n // riders_each]) for n, rider in enumerate(riders)
    )
    Bib.objects.bulk_create(
        Bib(event=event, rider=rider, number=n + 1) for n, rider in enumerate(riders)
    )
    Declaration.objects.bulk_create(
        Declaration(
            entry=entry, round_name="", number=1, edition=editions[n // riders_each],
            notation=write_run(run), tricks=tricks, check_result={},
        )
        for n, entry in enumerate(entries)
    )  # fmt: skip
    heats = -(-riders_each // heat_size)
    numbered = Heat.objects.bulk_create(
        Heat(order=order, number=n + 1) for order in orders for n in range(heats)
    )
    Slot.objects.bulk_create(
        Slot(
            order=orders[n // riders_each], entry=entry, position=n % riders_each + 1,
            heat=numbered[n // riders_each * heats + n % riders_each // heat_size],
        )
        for n, entry in enumerate(entries)
    )  # fmt: skip
    return event
