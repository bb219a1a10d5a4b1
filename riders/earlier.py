"""Who rode at an earlier event and may be invited to this one. Nothing is written or sent.

Nobody has agreed to letters about other events, so organisers get names and addresses and
write themselves. Addresses are for organisers only.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from django.utils.translation import gettext_lazy, ngettext, pgettext

from events.earlier.riders import EarlierRider, EarlierRiders
from events.models import Division, Event
from riders.entry_conditions import is_minor
from riders.entry_files import TITLES, read_entries
from riders.entry_rows import EntryRowForm
from riders.models import Entry
from riders.spreadsheets import FileProblem

MINOR = gettext_lazy("Under age: write to the guardian, {guardian}.")
NO_GUARDIAN = gettext_lazy("Under age, and no guardian is known: ask before you write.")
NO_ADDRESS = gettext_lazy("No e-mail address is known.")


def riders_of_event(earlier: Event, event: Event) -> EarlierRiders:
    """Everybody who had a place or waited for one, by name."""
    entries = Entry.objects.filter(division__event=earlier).select_related(
        "rider__user", "division"
    )
    there = [each for each in entries if each.rider.user.is_active]
    kept = [each for each in there if each.state != Entry.State.WITHDRAWN]
    people = (
        _person(
            each.rider.name,
            each.rider.user.email,
            each.division.name,
            each.rider.born_on,
            each.guardian,
            event,
        )
        for each in kept
    )
    riding = {each.rider_id for each in kept}
    gone = {each.rider_id for each in entries} - {each.rider_id for each in there}
    withdrew = {each.rider_id for each in there} - riding
    found = EarlierRiders(riders=_each_once(people))
    found.left_out = [
        said(len(some)) for said, some in ((_withdrew, withdrew), (_gone, gone)) if some
    ]
    return found


def riders_of_file(content: bytes, event: Event) -> EarlierRiders:
    """The same from a file of entries, with each bad row."""
    try:
        table = read_entries(content)
    except FileProblem as problem:
        return EarlierRiders(problem=str(problem))
    found = EarlierRiders(unknown=table.unknown)
    people, withdrew = [], 0
    # A row is judged as when it is taken in, but for the division: this event need not have it.
    anything = [Division(name="")]
    for number, cells in table.rows:
        division = cells.get("division", "")[:80]
        form = EntryRowForm({**cells, "division": ""}, divisions=anything)
        if not form.is_valid():
            found.bad.append((number, _problems(form, cells)))
            continue
        said = form.cleaned_data
        if division and division not in found.division_names:
            found.division_names.append(division)
        if said["state"] == Entry.State.WITHDRAWN:
            withdrew += 1
            continue
        name = f"{said['given_name']} {said['family_name']}"
        born_on, guardian = said["born_on"], said["guardian"]
        people.append(_person(name, said["email"], division, born_on, guardian, event))
    found.riders = _each_once(people)
    if withdrew:
        found.left_out = [_withdrew(withdrew)]
    return found


def _withdrew(count: int) -> str:
    said = ngettext(
        "{count} who withdrew is left out.", "{count} who withdrew are left out.", count
    )
    return said.format(count=count)


def _gone(count: int) -> str:
    said = ngettext(
        "{count} who had their data erased is left out.",
        "{count} who had their data erased are left out.",
        count,
    )
    return said.format(count=count)


def _problems(form: EntryRowForm, cells: dict[str, str]) -> list[tuple[str, str, str]]:
    return [
        (TITLES.get(name, pgettext("of a file", "Row")), cells.get(name, ""), " ".join(said))
        for name, said in form.errors.items()
    ]


def _person(
    name: str, email: str, division: str, born_on: date | None, guardian: str, event: Event
) -> EarlierRider:
    """Somebody with what to look out for before writing to them."""
    notes = [] if email else [str(NO_ADDRESS)]
    under_age = bool(born_on and event.first_day and is_minor(born_on, event))
    if under_age:
        notes.append(MINOR.format(guardian=guardian) if guardian else str(NO_GUARDIAN))
    divisions = (division,) if division else ()
    return EarlierRider(name, email, divisions, " ".join(notes), under_age)


def _each_once(people: Iterable[EarlierRider]) -> list[EarlierRider]:
    """Whoever rode in several divisions once, with all of them; by name."""
    by_person: dict[tuple[str, str], EarlierRider] = {}
    for each in people:
        key = each.name.casefold(), each.email.casefold()
        held = by_person.get(key)
        by_person[key] = _joined(held, each) if held else each
    return sorted(by_person.values(), key=lambda each: each.name.casefold())


def _joined(one: EarlierRider, other: EarlierRider) -> EarlierRider:
    divisions = tuple(dict.fromkeys((*one.divisions, *other.divisions)))
    note = max(one.note, other.note, key=len)
    return replace(one, divisions=divisions, note=note)


def answer(earlier: Event | None, file: bytes | None, event: Event) -> EarlierRiders | None:
    """What `events` asked for; None where it named neither an event nor a file."""
    if earlier is not None:
        return riders_of_event(earlier, event)
    return riders_of_file(file, event) if file is not None else None
