"""The permission world with what its forms need to be shown at all, and with a neighbour."""

from datetime import timedelta

from events.models import Division, Event
from events.rules.loading import as_data, load_format
from events.sign_in import send_password_links, send_sign_in_links
from riders.models import Entry, LandingDay
from tests.factories import DivisionFactory, EditionFactory, EntryFactory, RiderFactory
from tests.operation.permission_world import World, build
from tests.riders.conftest import RULES

# The name of everything that belongs to another club, which nobody here may learn.
ELSEWHERE = "Zqelsewhere"
BY_LOT = '\n[division]\nentries_most = 4\nbeyond = "drawn by lot"\n'


def build_for_forms() -> World:
    """A longer event, a second division by lot, chances, letters with links, another club."""
    world = build()
    entry = Entry.objects.select_related("rider__user").get(pk=world.numbers["entry"])
    event = Event.objects.get(slug=world.numbers["event"])
    Event.objects.filter(pk=event.pk).update(last_day=event.last_day + timedelta(days=1))
    Division.objects.filter(pk=world.numbers["division"]).update(name="Open")
    second = DivisionFactory(event=event, name="By lot")
    EditionFactory(division=second, data=as_data(load_format(RULES + BY_LOT)))
    EntryFactory(division=second, rider=entry.rider)
    EntryFactory(division=second, state=Entry.State.WAITING)
    for trick, landed in (("HS backroll", 4), ("TS FS 180", 9), ("Indy", 7)):
        LandingDay.objects.create(
            rider=entry.rider, trick=trick, day="2026-06-03", landed=landed, tried=10
        )
    world.people["invited"] = RiderFactory(user__email="invited@example.org").user
    forgetful = RiderFactory().user  # who signs in ends the links that were sent before
    send_sign_in_links(forgetful.email)
    send_password_links(forgetful.email)
    world.numbers["elsewhere"] = _elsewhere()
    return world


def _elsewhere() -> list[str]:
    """The numbers of what another club has."""
    division = DivisionFactory(
        name=f"{ELSEWHERE} Open",
        event__name=f"{ELSEWHERE} Cup",
        event__is_public=False,
        event__club__name=f"{ELSEWHERE} Club",
        event__venue__name=f"{ELSEWHERE} Lake",
    )
    entry = EntryFactory(division=division, rider__family_name=ELSEWHERE)
    held = (division, division.event, division.event.venue, entry, entry.rider)
    return sorted({str(each.pk) for each in held})
