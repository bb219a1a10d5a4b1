"""Entries taken in from a file: what each row would do, and doing it, all or nothing.

Looking and doing are the same steps in memory, so that what is shown is what will be made.
"""

from dataclasses import dataclass, field
from typing import Any

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from events.models import Division, Event
from events.rules.language import mark
from events.services import record
from riders.entry_conditions import Details, is_minor
from riders.entry_files import TITLES, EntryTable
from riders.entry_rows import EntryRowForm
from riders.entry_taking import OF_ENTRY, OF_RIDER, Desk, birth
from riders.models import Entry, Rider

OWN = gettext_lazy(
    "{rider} keeps an own account that says otherwise. Ask the rider to change it there."
)
NAMED = gettext_lazy(
    "This address is of somebody with another name. Write that name, or the right address."
)
NO_EMAIL = gettext_lazy(
    "Write the rider’s e-mail address: nobody of this name and birth date is entered here."
)
AGAIN = gettext_lazy(
    "Row {number} is the same rider in the same division. Take one of the two out."
)
CONSENT = gettext_lazy("The guardian must consent: ask them, then write yes.")
STAYS = gettext_lazy("still entered; withdraw on the entries page")
PLACES = {
    Entry.State.RIDING: mark("has a place"),
    Entry.State.WAITING: mark("on the waiting list"),
}


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


def look_at(*, event: Event, table: EntryTable) -> Look:
    """What the file would do; nothing is written."""
    return _Taking(event, table, hold=False).all_of(table)


def take_in(*, event: Event, table: EntryTable, by: User) -> Look:
    """Do what the file says in one transaction; nothing where any row is bad."""
    with transaction.atomic():
        taking = _Taking(event, table, hold=True)
        look = taking.all_of(table)
        if look.does_something and not look.bad:
            taking.desk.store(by)
            counts = look.counts
            what = _(
                "Took entries in from a file: {made} made, {changed} changed, "
                "{unchanged} unchanged."
            ).format(
                made=counts["made"], changed=counts["changed"], unchanged=counts["unchanged"]
            )
            record(club=event.club, event=event, by=by, what=what)
    return look


class _Taking:
    """The rows of a file, one after the other."""

    def __init__(self, event: Event, table: EntryTable, *, hold: bool) -> None:
        emails = (cells.get("email", "") for _, cells in table.rows)
        self.desk = Desk(event, emails, hold=hold)
        self.seen: dict[tuple[int, int], int] = {}

    def all_of(self, table: EntryTable) -> Look:
        """What every row does; the caller stores it where none is bad."""
        look = Look()
        for number, cells in table.rows:
            form = EntryRowForm(cells, divisions=self.desk.divisions)
            try:
                if form.is_valid():
                    look.steps.append(self._one(number, form.cleaned_data))
                    continue
                wrong = {name: list(each) for name, each in form.errors.items()}
            except ValidationError as error:
                by_field = hasattr(error, "error_dict")
                wrong = error.message_dict if by_field else {"__all__": error.messages}
                if "consented" in wrong:
                    wrong["consented"] = [str(CONSENT)]  # there is nothing to tick in a file
            problems = [
                (
                    TITLES.get(name, pgettext("of a file", "Row")),
                    cells.get(name, ""),
                    " ".join(said),
                )
                for name, said in wrong.items()
            ]
            look.bad.append((number, problems))
        return look

    def _one(self, number: int, said: dict[str, Any]) -> Step:
        division: Division = said["division"]
        step = Step(number, f"{said['given_name']} {said['family_name']}", division.name)
        rider, step.matched = self._rider(said)
        entry = self.desk.entry_of(rider, division) if rider else None
        withdrawn = said["state"] == Entry.State.WITHDRAWN
        if withdrawn and (entry is None or entry.state == Entry.State.WITHDRAWN):
            step.kind, step.note = "left out", pgettext("what an entry is", "withdrawn")
            return step
        with self.desk.as_it_was_if_refused(rider, entry):
            self._once(rider, division)
            if rider is None:
                rider = self.desk.draft(said)
            elif changes := _change_rider(rider, said, step.kept):
                step.changes = changes
                self.desk.changed_riders[id(rider)] = rider
            if entry is None or entry.state == Entry.State.WITHDRAWN:
                self._made(step, rider, division, said)
            else:
                changes = _change_entry(entry, said)
                if changes:
                    self.desk.changed.append(entry)
                step.changes += changes
                step.kind = "changed" if step.changes else "unchanged"
                step.note = str(STAYS) if withdrawn else ""
        self.desk.know(rider)
        self.seen[id(rider), division.pk] = number
        return step

    def _once(self, rider: Rider | None, division: Division) -> None:
        first = self.seen.get((id(rider), division.pk))
        if first is not None:
            raise ValidationError(AGAIN.format(number=first))

    def _rider(self, said: dict[str, Any]) -> tuple[Rider | None, str]:
        email = said["email"].casefold()
        if rider := self.desk.by_email.get(email):
            return _same_person(rider, said), _("by e-mail, in this event")
        if rider := self.desk.by_birth.get(birth(said)):
            return rider, _("by name and birth date, in this event")
        if not email:
            raise ValidationError({"email": NO_EMAIL})
        if rider := self.desk.accounts.get(email):
            return _same_person(rider, said), _("by e-mail, has an account")
        return None, _("new rider, gets an account")

    def _made(self, step: Step, rider: Rider, division: Division, said: dict[str, Any]) -> None:
        names = (*OF_ENTRY[:4], "wishes", "born_on", "sex")
        details = Details(
            consented=bool(said["consented"]),
            is_named=bool(said["is_named"]),
            **{name: said[name] for name in names},
        )
        entry = self.desk.enter(rider, division, details)
        entry.fee, entry.rank = said["fee"] or entry.fee, said["rank"] or entry.rank
        step.kind, step.note = "made", _(PLACES[entry.state])


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
    rider.clean_fields(exclude={"user"})
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
    named = entry.is_named if said["is_named"] is None else said["is_named"]
    born_on, event = entry.rider.born_on, entry.division.event
    if said["is_named"] is None and not entry.consented_at and born_on:
        named = named and not is_minor(born_on, event)  # the birth date came with this file
    if named != entry.is_named:
        entry.is_named = named
        changes.append(TITLES["is_named"])
    entry.clean_fields(exclude={"rider", "division"})
    return changes
