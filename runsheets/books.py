"""From what is stored to what papers are made from.

Reads the database in a fixed number of queries, however many divisions and riders there are.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property
from typing import Any

from django.db.models import OuterRef, Subquery, prefetch_related_objects
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.models import Division, Edition, Event
from events.rules.answers import exception
from events.rules.findings import is_legal
from events.rules.format import Format, named
from events.rules.legality import legality
from events.rules.run import Run
from riders.eligibility import age_on
from riders.models import Bib, Declaration, Entry
from riders.planning.route import Foot
from riders.services import declared_run, say_when
from runsheets.lineup import (
    HeatLine,
    Seat,
    by_name,
    declared_round,
    heat_lines,
    rounds_of,
)
from runsheets.models import Judge, RunningOrder
from runsheets.papers.facts import HeatFacts, RiderFacts, RoundFacts
from runsheets.papers.pack import EventFacts
from runsheets.schedule import EventHeat, planned_starts

NO_ORDER = gettext_lazy("Alphabetical, no running order yet")
NOT_PLACED = gettext_lazy("Not in the running order")
NO_PLACE = 10**9  # sorts what is on no day after what is

Addresses = Callable[[Division], str]
RoundKey = tuple[int, str]


def event_facts(
    event: Event,
    printed_at: datetime,
    *,
    address: Addresses = lambda division: "",
    only: Iterable[RoundKey] | None = None,
) -> EventFacts:
    """All rounds with rules in force, or `only` some, by (division, round).

    Riders who are not in the running order come last, alphabetically. In a later round that
    has a running order only those in it ride. `address` finds a division's public page.
    """
    return _Stored(event, printed_at.astimezone(event.zone), address).facts(only)


@dataclass
class _Stored:
    """Everything that is read of an event, each in one query."""

    event: Event
    printed_at: datetime
    address: Addresses
    runs: dict[tuple[int, str], Declaration] = field(default_factory=dict)

    @cached_property
    def every_division(self) -> dict[int, Division]:
        prefetch_related_objects([self.event], "divisions__editions")  # unless they are read
        found = {each.pk: each for each in self.event.divisions.all()}
        for division in found.values():
            division.event = self.event
            if division.edition is not None:
                division.edition.division = division
        return found

    @property
    def divisions(self) -> list[Division]:
        return [each for each in self.every_division.values() if each.edition is not None]

    @cached_property
    def lines(self) -> dict[RoundKey, list[HeatLine]]:
        orders = RunningOrder.objects.filter(division__event=self.event)
        found: dict[RoundKey, list[HeatLine]] = defaultdict(list)
        for line in heat_lines(orders, self.bibs):
            order = line.heat.order
            found[order.division_id, order.round_name].append(line)
        return found

    @cached_property
    def bibs(self) -> dict[int, int]:
        return {e.rider_id: e.bib for e in self.everybody if e.bib is not None}

    @cached_property
    def everybody(self) -> list[Any]:
        """Every entry with its rider and the rider's bib, also the withdrawn."""
        bib = Bib.objects.filter(event=self.event, rider=OuterRef("rider")).values("number")
        entries = Entry.objects.filter(division__event=self.event)
        return list(entries.select_related("rider").annotate(bib=Subquery(bib)))

    @cached_property
    def entries(self) -> dict[int, list[Entry]]:
        found: dict[int, list[Entry]] = defaultdict(list)
        for entry in self.everybody:
            if entry.state == Entry.State.RIDING:
                found[entry.division_id].append(entry)
        return found

    @cached_property
    def declarations(self) -> dict[tuple[int, str], Declaration]:
        found = Declaration.objects.in_force().filter(entry__division__event=self.event)
        return {(d.entry_id, d.round_name): d for d in found.select_related("edition")}

    @cached_property
    def starts(self) -> dict[int, datetime]:
        """When heats start by the plan of their day, by the number of the heat.

        Not when they really do: a list would be out of date with every minute of delay.
        """
        heats = [
            EventHeat(line, self.every_division[pk])
            for (pk, _), lines in self.lines.items()
            for line in lines
        ]
        return planned_starts(self.event, heats)

    @cached_property
    def judges(self) -> tuple[str, ...]:
        return tuple(Judge.objects.filter(event=self.event).values_list("name", flat=True))

    def facts(self, only: Iterable[RoundKey] | None) -> EventFacts:
        wanted = None if only is None else set(only)
        rounds = [
            self._round(division, name, (division.place, division.pk, number))
            for division in self.divisions
            for number, name in enumerate(rounds_of(division))
            if wanted is None or (division.pk, name) in wanted
        ]
        keys = {each.division_key for each in rounds}
        whole = [self._division(each) for each in self.divisions if each.pk in keys]
        return EventFacts(tuple(rounds), tuple(whole))

    def _of(self, division: Division, name: str, rules: Format) -> RoundFacts:
        edition = _edition(division)
        return RoundFacts(
            event=self.event.name,
            venue=self.event.venue.name,
            division_key=division.pk,
            division=division.name,
            round=name,
            rules=rules,
            edition_no=edition.number,
            published_at=edition.published_at,
            heats=(),
            printed_at=self.printed_at,
            judges=self.judges,
        )

    def _division(self, division: Division) -> RoundFacts:
        """The division without a round: what its rules sheet says."""
        edition = _edition(division)
        rules = edition.effective()
        differs = tuple(
            exception(rules, each)
            for each in edition.format.overrides
            if (each.rounds or each.boats)
            and (each.divisions is None or named(division.name, each.divisions))
        )
        return replace(
            self._of(division, "", rules),
            differs=differs,
            deadline=say_when(division.deadline(), self.event),
            address=self.address(division),
        )

    def _round(self, division: Division, name: str, turn: tuple[int, ...]) -> RoundFacts:
        facts = self._of(division, name, _edition(division).effective(name or None))
        is_first = name == rounds_of(division)[0]
        lines = self.lines.get((division.pk, name))
        heats = [self._heat(facts, division, line, turn) for line in lines or ()]
        placed = {seat.entry.pk for line in lines or () for seat in line.seats}
        rest = by_name(e for e in self.entries[division.pk] if e.pk not in placed)
        if (rest and (is_first or not lines)) or not heats:
            heats.append(self._unplaced(facts, division, rest, bool(lines), turn))
        return replace(facts, heats=tuple(heats))

    def _heat(
        self, facts: RoundFacts, division: Division, line: HeatLine, turn: tuple[int, ...]
    ) -> HeatFacts:
        heat = line.heat
        riders = tuple(self._rider(facts, division, seat) for seat in line.seats)
        day = (heat.day.toordinal() if heat.day else NO_PLACE, heat.place or NO_PLACE)
        start = self.starts.get(heat.pk, heat.not_before)
        if start is not None:
            start = start.astimezone(self.event.zone)
        return HeatFacts(
            heat.number,
            riders,
            _("Heat {number}").format(number=heat.number),
            start,
            (*day, *turn, heat.number),
        )

    def _unplaced(
        self,
        facts: RoundFacts,
        division: Division,
        entries: list[Entry],
        has_order: bool,
        turn: tuple[int, ...],
    ) -> HeatFacts:
        """Those who are in no heat; numbered only where nobody is in one."""
        seats = [
            Seat(0 if has_order else number, entry, self.bibs.get(entry.rider_id))
            for number, entry in enumerate(entries, start=1)
        ]
        riders = tuple(self._rider(facts, division, seat) for seat in seats)
        name = str(NOT_PLACED if has_order else NO_ORDER)
        return HeatFacts(0, riders, name, None, (NO_PLACE, NO_PLACE, *turn, NO_PLACE))

    def _rider(self, facts: RoundFacts, division: Division, seat: Seat) -> RiderFacts:
        entry = seat.entry
        source = declared_round(division.edition, facts.round)
        declaration = None if seat.scratched else self.declarations.get((entry.pk, source))
        run = declared_run(declaration) if declaration else None
        return RiderFacts(
            key=str(entry.pk),
            order=seat.position,
            name=entry.rider.name,
            foot=Foot(entry.rider.foot),
            bib=str(seat.bib or ""),
            club=entry.rider.club_name,
            scratched=seat.scratched,
            is_checked_in=entry.checked_in_at is not None,
            needs_guardian=self._needs_guardian(entry),
            wishes=entry.wishes,
            run=run,
            run_note=_run_note(declaration, run, _edition(division), facts),
            changed_at=declaration.declared_at if declaration else entry.withdrawn_at,
        )

    def _needs_guardian(self, entry: Entry) -> bool | None:
        born = entry.rider.born_on
        if born is None:
            return None
        return age_on(born, self.event.first_day) < self.event.adult_age


def _edition(division: Division) -> Edition:
    assert division.edition is not None
    return division.edition


def _run_note(
    declaration: Declaration | None, run: Run | None, edition: Edition, facts: RoundFacts
) -> str:
    """What to know of a run that was checked against an older edition than the one in force."""
    if declaration is None or run is None or declaration.edition.number == edition.number:
        return ""
    was = declaration.edition.number
    said = _("Declared under edition {number}").format(number=was)
    if is_legal(legality(run, facts.rules, facts.division, facts.round or None)):
        return said
    return _("Declared under edition {was}; breaks a rule of edition {number}").format(
        was=was, number=edition.number
    )


def rounds_with_rules(divisions: Iterable[Division]) -> Mapping[RoundKey, str]:
    """The rounds that papers can be printed for, with their names in words."""
    return {
        (division.pk, name): ", ".join(filter(None, (division.name, name)))
        for division in divisions
        if division.edition is not None
        for name in rounds_of(division)
    }


def rounds_to_print(rounds: Mapping[RoundKey, str]) -> list[str]:
    """Those that are worth printing now, as the print page names them: one query.

    The first round of each division, and later ones that have a running order: before that
    nobody knows who goes on.
    """
    orders = RunningOrder.objects.filter(division__in={pk for pk, _ in rounds})
    made = set(orders.values_list("division", "round_name"))
    first = {pk: (pk, name) for pk, name in reversed(rounds)}
    return [
        f"{pk}:{name}" for pk, name in rounds if (pk, name) in made or (pk, name) == first[pk]
    ]
