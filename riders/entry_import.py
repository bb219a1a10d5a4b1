"""Entries taken in from a file: what each row would do, and doing it, all or nothing.

Looking does everything and takes it back, so that what is shown is what will be made.
"""

from dataclasses import dataclass, field
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from events.models import Division, Event
from events.services import record
from riders.entering import Details, enter
from riders.entry_files import TITLES, EntryTable
from riders.entry_rows import EntryRowForm
from riders.models import Entry, Rider
from riders.newcomers import make_rider, rider_of_email

OF_ENTRY = (
    "guardian", "guardian_phone", "emergency_name", "emergency_phone", "fee", "rank", "wishes",
)  # fmt: skip
OF_RIDER = ("given_name", "family_name", "born_on", "sex", "foot", "club_name")
OWN = "{rider} keeps an own account that says otherwise. Ask the rider to change it there."
NAMED = "This address is of somebody with another name. Write that name, or the right address."
NO_EMAIL = (
    "Write the rider’s e-mail address: nobody of this name and birth date is entered here."
)
AGAIN = "Row {number} is the same rider in the same division. Take one of the two out."
CONSENT = "The guardian must consent: ask them, then write yes."
STAYS = "still entered; withdraw on the entries page"


@dataclass
class Step:
    """What one row does: `kind` is made, changed, unchanged or left out.

    `matched` says how the rider was told; `changes` are the columns that change, `kept` those
    that stay because the rider's own account says otherwise.
    """

    number: int
    name: str
    division: str = ""
    kind: str = ""
    matched: str = ""
    changes: list[str] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)
    note: str = ""


@dataclass
class Look:
    """What a file would do; nothing at all while there are bad rows."""

    steps: list[Step] = field(default_factory=list)
    bad: list[tuple[int, list[tuple[str, str, str]]]] = field(default_factory=list)
    """For each bad row its number and, by bad cell, column, what stands there, a sentence."""

    def count(self, kind: str) -> int:
        """How many rows do so."""
        return sum(step.kind == kind for step in self.steps)

    @property
    def counts(self) -> dict[str, int]:
        """How many rows do what."""
        kinds = ("made", "changed", "unchanged", "left out")
        return {kind.replace(" ", "_"): self.count(kind) for kind in kinds}

    @property
    def does_something(self) -> bool:
        """Whether anything would be written."""
        return bool(self.count("made") or self.count("changed"))


def look_at(*, event: Event, table: EntryTable, by: User) -> Look:
    """What the file would do; nothing of it stays."""
    with transaction.atomic():
        look = _Taking(event, by).all_of(table)
        transaction.set_rollback(True)
    return look


def take_in(*, event: Event, table: EntryTable, by: User) -> Look:
    """Do what the file says in one transaction; nothing where any row is bad."""
    with transaction.atomic():
        look = _Taking(event, by).all_of(table)
        if look.bad:
            transaction.set_rollback(True)
        elif look.does_something:
            counts = look.counts
            what = (
                f"Took entries in from a file: {counts['made']} made, "
                f"{counts['changed']} changed, {counts['unchanged']} unchanged."
            )
            record(club=event.club, event=event, by=by, what=what)
    return look


class _Taking:
    """Rows being taken in, inside a transaction that the caller holds."""

    def __init__(self, event: Event, by: User) -> None:
        self.event, self.by = event, by
        # All at once and by number, as `move_entry` does: two imports never run at a time, and
        # nobody waits for each other.
        held = event.divisions.select_for_update(of=("self",)).order_by("pk")
        divisions: list[Division] = list(held.prefetch_related("editions"))
        self.divisions = sorted(divisions, key=lambda each: (each.place, each.name))
        for division in self.divisions:
            division.event = event
        entries = Entry.objects.filter(division__event=event)
        self.entries = {
            (entry.rider_id, entry.division_id): entry
            for entry in entries.select_related("rider__user", "division").order_by("pk")
        }
        riders = [entry.rider for entry in self.entries.values()]
        self.by_email = {r.user.email.casefold(): r for r in riders if r.user.email}
        self.by_birth = {self._birth(vars(r)): r for r in riders if r.born_on}
        self.seen: dict[tuple[int, int], int] = {}

    @staticmethod
    def _birth(said: dict[str, Any]) -> tuple[object, ...]:
        names = (said["family_name"].casefold(), said["given_name"].casefold())
        return (*names, said["born_on"])

    def all_of(self, table: EntryTable) -> Look:
        """Do every row; the caller takes all of it back where one is bad."""
        look = Look()
        for number, cells in table.rows:
            form = EntryRowForm(cells, divisions=self.divisions)
            try:
                if form.is_valid():
                    look.steps.append(self._one(number, form.cleaned_data))
                    continue
                wrong = {name: list(each) for name, each in form.errors.items()}
            except ValidationError as error:
                by_field = hasattr(error, "error_dict")
                wrong = error.message_dict if by_field else {"__all__": error.messages}
                if "consented" in wrong:
                    wrong["consented"] = [CONSENT]  # there is nothing to tick in a file
            problems = [
                (TITLES.get(name, "Row"), cells.get(name, ""), " ".join(said))
                for name, said in wrong.items()
            ]
            look.bad.append((number, problems))
        return look

    def _one(self, number: int, said: dict[str, Any]) -> Step:
        division: Division = said["division"]
        step = Step(number, f"{said['given_name']} {said['family_name']}", division.name)
        rider, step.matched = self._rider(said)
        entry = self.entries.get((rider.pk, division.pk)) if rider else None
        withdrawn = said["state"] == Entry.State.WITHDRAWN
        if withdrawn and (entry is None or entry.state == Entry.State.WITHDRAWN):
            step.kind, step.note = "left out", "withdrawn"
            return step
        if rider is None:
            names = ("given_name", "family_name", "email", "foot", "club_name")
            rider = make_rider(**{name: said[name] for name in names})
            self.by_email[said["email"].casefold()] = rider
        else:
            step.changes = _change_rider(rider, said, step.kept)
        if rider.born_on or said["born_on"]:
            self.by_birth[self._birth(said | {"born_on": rider.born_on or said["born_on"]})] = (
                rider
            )
        self._once(number, rider, division)
        if entry is None or entry.state == Entry.State.WITHDRAWN:
            return self._made(step, rider, division, said)
        step.changes += _change_entry(entry, said)
        step.kind = "changed" if step.changes else "unchanged"
        step.note = STAYS if withdrawn else ""
        return step

    def _once(self, number: int, rider: Rider, division: Division) -> None:
        first = self.seen.setdefault((rider.pk, division.pk), number)
        if first != number:
            raise ValidationError(AGAIN.format(number=first))

    def _rider(self, said: dict[str, Any]) -> tuple[Rider | None, str]:
        email = said["email"].casefold()
        if rider := self.by_email.get(email):
            return _same_person(rider, said), "by e-mail, in this event"
        if rider := self.by_birth.get(self._birth(said)):
            return rider, "by name and birth date, in this event"
        if not email:
            raise ValidationError({"email": NO_EMAIL})
        if rider := rider_of_email(email):
            return _same_person(rider, said), "by e-mail, has an account"
        return None, "new rider, gets an account"

    def _made(self, step: Step, rider: Rider, division: Division, said: dict[str, Any]) -> Step:
        names = (*OF_ENTRY[:4], "wishes", "born_on", "sex")
        details = Details(
            consented=bool(said["consented"]), **{name: said[name] for name in names}
        )
        entry = enter(rider=rider, division=division, details=details, by=self.by)
        entry.fee, entry.rank = said["fee"] or entry.fee, said["rank"] or entry.rank
        entry.save(update_fields=["fee", "rank"])
        self.entries[rider.pk, division.pk] = entry
        step.kind, step.note = "made", entry.get_state_display().lower()
        return step


def _is_kept_by_owner(rider: Rider) -> bool:
    """Whether somebody signed in to this account, so that it is theirs to change."""
    return rider.user.last_login is not None


def _same_person(rider: Rider, said: dict[str, Any]) -> Rider:
    same = all(
        getattr(rider, name).casefold() == said[name].casefold()
        for name in ("given_name", "family_name")
    )
    if not same:
        raise ValidationError({"email": NAMED})
    return rider


def _change_rider(rider: Rider, said: dict[str, Any], kept: list[str]) -> list[str]:
    changes = []
    for name in OF_RIDER:
        now = getattr(rider, name)
        if said[name] in ("", None) or said[name] == now:
            continue
        if now and _is_kept_by_owner(rider):
            if name == "born_on":
                raise ValidationError({name: OWN.format(rider=rider.name)})
            kept.append(TITLES[name])
            continue
        setattr(rider, name, said[name])
        changes.append(TITLES[name])
    if changes:
        rider.full_clean()
        rider.save(update_fields=list(OF_RIDER))
    return changes


def _change_entry(entry: Entry, said: dict[str, Any]) -> list[str]:
    changes = []
    for name in OF_ENTRY:
        if said[name] not in ("", None) and said[name] != getattr(entry, name):
            setattr(entry, name, said[name])
            changes.append(TITLES[name])
    if said["consented"] is not None and said["consented"] != bool(entry.consented_at):
        entry.consented_at = timezone.now() if said["consented"] else None
        changes.append(TITLES["consented"])
    if changes:
        entry.full_clean()
        entry.save(update_fields=[*OF_ENTRY, "consented_at"])
    return changes
