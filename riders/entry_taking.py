"""An event's entries in memory while a file is taken in: found, judged, changed, then stored.

Reading takes the same few queries for one row as for hundreds, and so does storing. Until
`store` nothing is written.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db.models.functions import Lower
from django.utils import timezone
from django.utils.translation import gettext as _

from events.models import Division, Event
from events.services import record_all
from riders.entry_conditions import Details, check_details, fill, place_for, state_said
from riders.entry_letters import write_letters
from riders.models import Entry, Rider
from riders.newcomers import TAKEN, draft_rider, save_new

OF_ENTRY = (
    "guardian", "guardian_phone", "emergency_name", "emergency_phone", "fee", "rank", "wishes",
)  # fmt: skip
OF_RIDER = ("given_name", "family_name", "born_on", "sex", "foot", "club_name")
NEW = ("given_name", "family_name", "email", "foot", "club_name")
CHANGED_AT_ONCE = 250  # rows: databases limit how long a statement may be


class Desk:
    """The event's divisions, riders and entries as they will be."""

    def __init__(self, event: Event, emails: Iterable[str], *, hold: bool) -> None:
        """`emails` are those that the file names; `hold` keeps others from entering anybody."""
        self.event = event
        self.now = timezone.now()
        # By number, as `move_entry` does, so that nobody waits for each other.
        divisions = event.divisions.order_by("pk").prefetch_related("editions")
        if hold:
            divisions = divisions.select_for_update(of=("self",))
        by_number = {each.pk: each for each in divisions}
        self.divisions = sorted(by_number.values(), key=lambda each: (each.place, each.name))
        for division in self.divisions:
            division.event = event
        riders: dict[int, Rider] = {}
        # New riders have no number yet, so riders are told apart as objects: one for each.
        self.entries: dict[int, dict[int, Entry]] = {}
        self.count: Counter[tuple[int, str]] = Counter()
        entries = Entry.objects.filter(division__event=event).select_related("rider__user")
        for entry in entries.order_by("pk"):
            entry.rider = riders.setdefault(entry.rider_id, entry.rider)
            entry.division = by_number[entry.division_id]
            self.entries.setdefault(id(entry.rider), {})[entry.division_id] = entry
            self.count[entry.division_id, entry.state] += 1
        self.by_email = {r.user.email.casefold(): r for r in riders.values() if r.user.email}
        self.by_birth = {birth(vars(r)): r for r in riders.values() if r.born_on}
        self._read_accounts(emails, riders)
        self.new_riders: dict[int, Rider] = {}
        self.changed_riders: dict[int, Rider] = {}
        self.changed: list[Entry] = []
        self.entered: list[tuple[Entry, int | None]] = []

    def _read_accounts(self, emails: Iterable[str], riders: dict[int, Rider]) -> None:
        """Accounts outside the event that have an address of the file."""
        wanted = {each.lower() for each in emails if each}
        users = User.objects.annotate(address=Lower("email")).filter(address__in=wanted)
        self.accounts: dict[str, Rider] = {}
        self.others: set[str] = set()  # addresses of people who are no riders
        for user in users.select_related("rider").order_by("rider__pk"):
            rider: Rider | None = getattr(user, "rider", None)
            address = user.email.casefold()
            if rider is None or not user.is_active:
                self.others.add(address)
            else:
                self.accounts.setdefault(address, riders.get(rider.pk, rider))

    def entry_of(self, rider: Rider, division: Division) -> Entry | None:
        """The entry of a rider in a division, withdrawn ones too."""
        return self.entries.get(id(rider), {}).get(division.pk)

    def draft(self, said: dict[str, Any]) -> Rider:
        """A new rider; ValidationError where the address is somebody's who is no rider."""
        if said["email"].casefold() in self.others:
            raise ValidationError({"email": TAKEN})
        return draft_rider(**{name: said[name] for name in NEW})

    def enter(self, rider: Rider, division: Division, details: Details) -> Entry:
        """As `riders.entering.enter` does for an official, stored later."""
        held = self.entries.get(id(rider), {})
        others = [e.division for e in held.values() if e.state != Entry.State.WITHDRAWN]
        check_details(rider, division, details, others)
        waiting = self.count[division.pk, Entry.State.WAITING]
        state = place_for(division, self.count[division.pk, Entry.State.RIDING], waiting)
        entry = held.get(division.pk) or Entry(rider=rider, division=division)
        fill(entry, details, self.now)
        entry.state = state
        entry.clean_fields(exclude={"rider", "division"})
        self.entries.setdefault(id(rider), {})[division.pk] = entry
        self.count[division.pk, state] += 1
        self.entered.append((entry, waiting + 1 if state == Entry.State.WAITING else None))
        self.changed_riders[id(rider)] = rider
        return entry

    @contextmanager
    def as_it_was_if_refused(self, *held: Rider | Entry | None) -> Iterator[None]:
        """Undo what a row changed in what it belongs to, where it is refused half-way."""
        before = [(each, dict(vars(each))) for each in held if each is not None]
        try:
            yield
        except ValidationError:
            for each, fields in before:
                vars(each).update(fields)
            raise

    def know(self, rider: Rider) -> None:
        """Find the rider in later rows too."""
        if rider.user.email:
            self.by_email[rider.user.email.casefold()] = rider
        if rider.born_on:
            self.by_birth[birth(vars(rider))] = rider
        if rider.pk is None:
            self.new_riders[id(rider)] = rider

    def store(self, by: User) -> None:
        """Write everything in the caller's transaction, with a record and a letter for each."""
        save_new(list(self.new_riders.values()))
        riders = [
            each for key, each in self.changed_riders.items() if key not in self.new_riders
        ]
        Rider.objects.bulk_update(riders, OF_RIDER, batch_size=CHANGED_AT_ONCE)
        entries = [entry for entry, _place in self.entered]
        back = [entry for entry in entries if entry.pk is not None]  # had been withdrawn
        Entry.objects.bulk_create([entry for entry in entries if entry.pk is None])
        kept = ("id", "rider", "division")
        fields = [f.name for f in Entry._meta.concrete_fields if f.name not in kept]
        Entry.objects.bulk_update(back + self.changed, fields, batch_size=CHANGED_AT_ONCE)
        record_all(
            club=self.event.club,
            event=self.event,
            by=by,
            whats=[
                _("Entered {rider} in {division} by hand: {state}.").format(
                    rider=entry.rider.name,
                    division=entry.division.name,
                    state=state_said(place),
                )
                for entry, place in self.entered
            ],
        )
        write_letters("entered", self.entered)


def birth(said: dict[str, Any]) -> tuple[str, str, date | None]:
    """By which a person is told where no address is written: both names and the birth."""
    return said["family_name"].casefold(), said["given_name"].casefold(), said["born_on"]
