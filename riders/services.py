"""What riders do that writes: plan and declare. All or nothing, and checked again here."""

from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.made_tricks import vocabulary_with
from events.models import Club, Division, Edition
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.notation import read_run, write_run, write_trick
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.trick import Air, Direction, Edge, Family, Stance, Takeoff, Trick
from events.rules.vocabulary import Vocabulary
from riders.models import Declaration, Entry, LandingRecord, PlannedRun, Rider
from riders.planning.check import Check, check
from riders.planning.route import Foot, Side
from riders.rows import Sheet

# What plain data becomes again when a frozen trick is read back.
KINDS: dict[str, Callable[[Any], Any]] = {
    "family": Family,
    "approach": Edge,
    "takeoff": Takeoff,
    "stance": Stance,
    "direction": Direction,
    "air": Air,
    "aliases": tuple,
}

# A plain sentence for each thing that stops a rider.
NO_RULES = gettext_lazy(
    "The rules of this division are not published yet, so nothing can be declared."
)
TOO_LATE = gettext_lazy(
    "The deadline was {when}. Ask the organiser whether a late run is still taken."
)
OLD_EDITION = gettext_lazy(
    "Edition {number} of the rules was published while you planned. Your "
    "run was checked again under it: look at the findings, then declare."
)
ILLEGAL = gettext_lazy("This run breaks the rules and cannot be declared. {first}")


def say_when(moment: datetime, event: Any) -> str:
    """A moment in the event's own time, as people write it."""
    return date_format(moment.astimezone(event.zone), _("l j F Y, H:i"))


@dataclass(frozen=True)
class Window:
    """An open page in which a plan is typed: which one, and since when it is open."""

    key: str
    opened: datetime


def keep_plan(
    *, entry: Entry, round_name: str, sheet: Sheet, run: Run, window: Window | None = None
) -> bool:
    """Keep a plan as typed, and the landing records that were typed with it.

    Each is a statement of its own: a plan that is kept while its records are not loses
    nothing, and the next change of the form brings them again. False, and the plan stays as
    it is, where it was kept elsewhere since the `window` was opened.
    """
    rows = sheet.as_data()
    plans = PlannedRun.objects.filter(entry=entry, round_name=round_name)
    _keep_records(entry.rider, [place.planned for place in run.places()])
    values = {"rows": rows, "window": window.key if window else ""}
    ours = plans
    if window is not None:
        ours = plans.filter(Q(window=window.key) | Q(updated_at__lte=window.opened))
    if ours.update(**values, updated_at=timezone.now()):
        return True
    if window is not None and plans.exists():
        return False
    PlannedRun.objects.update_or_create(entry=entry, round_name=round_name, defaults=values)
    return True


def _keep_records(rider: Rider, tricks: list[PlannedTrick]) -> None:
    """Keep what was typed of landings, where it is not what was kept before."""
    typed = {wording(each): each for each in tricks if each.likelihood is not None}
    if not typed:
        return
    kept = {
        trick: record
        for trick, *record in rider.records.values_list("trick", "landed", "tried", "chance")
    }
    changed = {
        trick: each
        for trick, each in typed.items()
        if [each.landed, each.tried, each.chance] != kept.get(trick)
    }
    if changed:
        LandingRecord.objects.bulk_create(
            [_record(rider, trick, each) for trick, each in changed.items()],
            update_conflicts=True,
            unique_fields=["rider", "trick"],
            update_fields=["landed", "tried", "chance", "updated_at"],
        )


def _record(rider: Rider, trick: str, planned: PlannedTrick) -> LandingRecord:
    return LandingRecord(
        rider=rider,
        trick=trick,
        landed=planned.landed,
        tried=planned.tried,
        chance=planned.chance,
        updated_at=timezone.now(),
    )


def wording(planned: PlannedTrick) -> str:
    """The trick alone, as records are kept by: no bonus place, no record, no chance."""
    alone = replace(planned, bonus="", takeoff=None) if planned.bonus else planned
    return write_trick(_bare(alone))


def _bare(planned: PlannedTrick) -> PlannedTrick:
    return replace(planned, landed=None, tried=None, chance=None, fell=False)


def without_records(run: Run) -> Run:
    """The run as the table may see it: no landing records and no chances."""
    return Run(
        tuple(
            Pass(
                tuple(_bare(planned) for planned in each.tricks),
                tuple(_bare(planned) for planned in each.bonus),
            )
            for each in run.passes
        )
    )


@transaction.atomic
def declare(
    *,
    entry: Entry,
    round_name: str,
    run: Run,
    side: str,
    seen_edition: int,
    at: datetime | None = None,
) -> Declaration:
    """Declare a run: freeze it with the edition in force and the result of its check.

    Raises ValidationError with a sentence when the deadline has passed, the rules changed
    since they were seen, or the run breaks one.
    """
    at = at or timezone.now()
    # The division is locked so that no edition is published between check and storing.
    division = (
        Division.objects.select_for_update().select_related("event").get(pk=entry.division_id)
    )
    edition = _edition_for(division, round_name, seen_edition, at)
    result = check_under(edition, run, entry.rider, side, round_name)
    broken = [finding for finding in result.findings if finding.grade == "rule"]
    if broken:
        raise ValidationError(ILLEGAL.format(first=broken[0].message))
    bare = without_records(run)
    last = entry.declarations.filter(round_name=round_name).order_by("-number").first()
    notation = write_run(bare)
    if last and (last.notation, last.edition_id) == (notation, edition.pk):
        return last  # pressed twice: the same run under the same rules is declared already
    declaration = Declaration(
        entry=entry,
        round_name=round_name,
        number=last.number + 1 if last else 1,
        edition=edition,
        notation=notation,
        tricks=[
            frozen_trick(t)
            for t in {p.planned.entry.key: p.planned.entry for p in run.places()}.values()
        ],
        check_result=result_as_data(result),
        declared_at=at,
    )
    declaration.full_clean()
    declaration.save()
    return declaration


def _edition_for(division: Division, round_name: str, seen: int, at: datetime) -> Edition:
    edition = division.edition
    if edition is None:
        raise ValidationError(NO_RULES)
    if at > division.deadline(round_name):
        when = say_when(division.deadline(round_name), division.event)
        raise ValidationError(TOO_LATE.format(when=when))
    if edition.number != seen:
        raise ValidationError(OLD_EDITION.format(number=edition.number))
    return edition


def check_under(
    edition: Edition,
    run: Run,
    rider: Rider,
    side: str,
    round_name: str,
    units: Units = AS_PUBLISHED,
) -> Check:
    """Check a rider's run against an edition as it holds in a round.

    What is kept of a check is told as published; `units` are for who reads it now.
    """
    return check(
        run,
        edition.effective(round_name or None),
        foot=Foot(rider.foot),
        side=Side(side),
        division=edition.division.name,
        round=round_name or None,
        units=units,
    )


def result_as_data(result: Check) -> dict[str, Any]:
    """The part of a check that a declaration keeps."""
    return {
        "findings": [asdict(finding) for finding in result.findings],
        "clean": result.survival.clean,
        "expected_landed": result.survival.expected_landed,
    }


def frozen_trick(trick: Trick) -> dict[str, Any]:
    """The attributes of a trick as plain data, kept beside a declared run."""
    return asdict(trick) | {"source": str(trick.source)}  # that of a made one is looked up


def declared_run(declaration: Declaration) -> Run:
    """The declared run as it was declared, whatever the vocabulary says today."""
    return read_run(declaration.notation, Vocabulary(map(_thawed, declaration.tricks)))


def _thawed(data: dict[str, Any]) -> Trick:
    known = {key: value for key, value in data.items() if key in Trick.__dataclass_fields__}
    return Trick(
        **{key: KINDS.get(key, lambda plain: plain)(value) for key, value in known.items()}
    )


def vocabulary_of(rider: Rider, club: Club | None = None) -> Vocabulary:
    """The tricks that a rider can plan: the trade's, the club's, and the rider's own."""
    of_club = club.tricks.all() if club is not None else ()
    return vocabulary_with(of_club, rider.own_tricks.all())
