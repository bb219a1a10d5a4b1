"""The landing log: read it, add to it, tap in it. Everything is one rider's own."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple
from zlib import crc32

from django.db import transaction
from django.db.models import Count, F, Max, QuerySet, Sum
from django.utils.text import slugify

from events.made_tricks import vocabulary_with
from events.models import ClubTrick
from events.rules.vocabulary import Vocabulary
from riders.forms import RowForm
from riders.log_models import LandingDay, LastTap
from riders.log_words import TrickReader
from riders.models import Entry, PlannedRun, Rider
from riders.planning.landing import LandingEstimate, estimate
from riders.rows import sheet_from_data
from riders.services import wording
from riders.trend import TrendPoint

FEW_TRIES = 10  # below this the interval is too wide to lean on; the figure is ours
PLANS_READ = 6  # the newest plans, whose tricks are offered for tapping
FIELDS = ("trick", "day", "landed", "tried", "setting", "note")


class Line(NamedTuple):
    """The content of a line. Equal content in a file and in the log is the same line."""

    trick: str
    day: date
    landed: int
    tried: int
    setting: str
    note: str


@dataclass(frozen=True)
class TrickTotal:
    """What the log says about one trick."""

    trick: str
    landed: int
    tried: int
    days: int
    last_day: date

    @property
    def estimate(self) -> LandingEstimate:
        """Counted share, cautious share and 95 % interval."""
        return estimate(self.landed, self.tried)

    @property
    def is_few(self) -> bool:
        """Whether there are too few tries to lean on."""
        return self.tried < FEW_TRIES


def lines_of(
    *, rider: Rider, setting: str = "", first: date | None = None, last: date | None = None
) -> QuerySet[LandingDay]:
    """The lines of a rider in a setting and from the first to the last day, both included."""
    asked: dict[str, Any] = {"setting": setting, "day__gte": first, "day__lte": last}
    return rider.landing_days.filter(**{key: value for key, value in asked.items() if value})


def totals(*, lines: QuerySet[LandingDay]) -> list[TrickTotal]:
    """The lines added up by trick, by name. One query."""
    rows = lines.order_by("trick").values("trick").annotate(
        landed_sum=Sum("landed"), tried_sum=Sum("tried"),
        days=Count("day", distinct=True), last=Max("day"),
    )  # fmt: skip
    return [
        TrickTotal(
            each["trick"], each["landed_sum"], each["tried_sum"], each["days"], each["last"]
        )
        for each in rows
    ]


def trick_total(*, trick: str, points: Sequence[TrendPoint]) -> TrickTotal:
    """The total of a trick whose days are known already. No query."""
    total = points[-1].so_far
    return TrickTotal(trick, total.landed, total.tried, len(points), points[-1].day)


def by_day(*, lines: QuerySet[LandingDay]) -> list[tuple[date, int, int]]:
    """Day, landed and tried of the lines, the first day first. One query."""
    rows = lines.order_by("day").values("day").annotate(l=Sum("landed"), t=Sum("tried"))
    return [(each["day"], each["l"], each["t"]) for each in rows]


def log_vocabulary(*, rider: Rider) -> Vocabulary:
    """The trade's tricks, those of the clubs whose events the rider entered, and their own."""
    clubs = Entry.objects.filter(rider=rider).values("division__event__club")
    of_clubs = ClubTrick.objects.filter(club__in=clubs)
    return vocabulary_with(of_clubs, rider.own_tricks.all())


def reader_of(*, rider: Rider, extra: Iterable[str] = ()) -> TrickReader:
    """Reads names with the rider's vocabulary; tricks that were logged before are known."""
    logged = rider.landing_days.order_by().values_list("trick", flat=True).distinct()
    return TrickReader(log_vocabulary(rider=rider), {*logged, *extra})


def planned_tricks(*, rider: Rider, vocabulary: Vocabulary) -> list[str]:
    """The tricks of the rider's newest plans, in the order they are planned."""
    plans = PlannedRun.objects.filter(entry__rider=rider).order_by("-updated_at")
    found: list[str] = []
    for plan in plans[:PLANS_READ]:
        for each in sheet_from_data(plan.rows).passes:
            for row in (*each.tricks, *each.bonus):
                typed = {"trick": row.trick}
                form = RowForm(typed, vocabulary=lambda: vocabulary, bonus=row.name)
                if form.is_valid() and form.planned is not None:
                    found.append(wording(form.planned))
    return list(dict.fromkeys(found))


@dataclass(frozen=True)
class TapRow:
    """One trick on the page for tapping: today's count in the setting, and all of the log."""

    trick: str
    landed: int = 0
    tried: int = 0
    landed_ever: int = 0
    tried_ever: int = 0

    @property
    def key(self) -> str:
        """An id for the page; the sum tells names apart that read alike as addresses."""
        return f"{slugify(self.trick)}-{crc32(self.trick.encode()):08x}"


def tap_rows(
    *,
    rider: Rider,
    setting: str,
    today: date,
    vocabulary: Vocabulary,
    added: Sequence[str] = (),
) -> list[TapRow]:
    """The tricks to tap: those added just now, then of the plans, then of the log."""
    everything = {each.trick: each for each in totals(lines=lines_of(rider=rider))}
    now = totals(lines=lines_of(rider=rider, setting=setting, first=today, last=today))
    counts = {each.trick: each for each in now}
    planned = planned_tricks(rider=rider, vocabulary=vocabulary)
    names = dict.fromkeys([*added, *planned, *everything])
    return [_tap_row(name, counts.get(name), everything.get(name)) for name in names]


def tap_row(*, rider: Rider, setting: str, today: date, trick: str) -> TapRow:
    """One row of the page for tapping."""
    lines = lines_of(rider=rider).filter(trick=trick)
    now = lines.filter(setting=setting, day=today)
    return _tap_row(trick, *(next(iter(totals(lines=each)), None) for each in (now, lines)))


def _tap_row(name: str, now: TrickTotal | None, ever: TrickTotal | None) -> TapRow:
    today = (now.landed, now.tried) if now else (0, 0)
    return TapRow(name, *today, *((ever.landed, ever.tried) if ever else (0, 0)))


def _locked(rider: Rider) -> None:
    """Let the changes of one rider's log wait for each other until the transaction ends."""
    Rider.objects.select_for_update().get(pk=rider.pk)


@transaction.atomic
def tap(*, rider: Rider, trick: str, setting: str, today: date, landed: bool) -> LandingDay:
    """Count one try of today, landed or not; the trick's newest line of today takes it."""
    _locked(rider)
    line = rider.landing_days.filter(trick=trick, day=today, setting=setting).first()
    if line is None:
        line = LandingDay.objects.create(
            rider=rider, trick=trick, day=today, setting=setting, landed=int(landed), tried=1
        )
    else:
        LandingDay.objects.filter(pk=line.pk).update(
            landed=F("landed") + int(landed), tried=F("tried") + 1
        )
    LastTap.objects.update_or_create(rider=rider, defaults={"line": line, "landed": landed})
    return line


@transaction.atomic
def undo_tap(*, rider: Rider) -> LastTap | None:
    """Take the last tap back, once. None: there is none, or its line was changed since."""
    _locked(rider)
    last = LastTap.objects.select_related("line").filter(rider=rider).first()
    if last is None:
        return None
    last.delete()
    line = last.line
    if line.tried <= 1:
        if line.landed != int(last.landed):
            return None
        line.delete()
        return last
    if line.landed - last.landed < 0 or line.landed - last.landed > line.tried - 1:
        return None
    LandingDay.objects.filter(pk=line.pk).update(
        landed=F("landed") - int(last.landed), tried=F("tried") - 1
    )
    return last


@transaction.atomic
def keep_line(*, rider: Rider, line: Line, replaces: LandingDay | None = None) -> LandingDay:
    """Add a line, or write it in place of one. Raises ValidationError where it cannot be."""
    _locked(rider)
    if replaces is not None:
        # Who corrects a line by hand no longer wants a tap in it taken back.
        LastTap.objects.filter(line=replaces).delete()
    kept = replaces or LandingDay(rider=rider)
    for name, value in line._asdict().items():
        setattr(kept, name, value)
    kept.full_clean()
    kept.save()
    return kept


def missing_lines(*, rider: Rider, lines: Sequence[Line]) -> list[Line]:
    """The lines that the log does not hold yet. Equal lines count as often as they occur."""
    held = Counter(Line(*each) for each in rider.landing_days.order_by().values_list(*FIELDS))
    missing = []
    for line in lines:
        if held[line]:
            held[line] -= 1
        else:
            missing.append(line)
    return missing


@transaction.atomic
def add_lines(*, rider: Rider, lines: Sequence[Line]) -> int:
    """Add the lines that the log does not hold yet, all or none; how many they were."""
    _locked(rider)
    missing = missing_lines(rider=rider, lines=lines)
    LandingDay.objects.bulk_create(
        [LandingDay(rider=rider, **line._asdict()) for line in missing], batch_size=500
    )
    return len(missing)


def logged_counts(*, rider: Rider) -> dict[str, tuple[int, int]]:
    """Landed and tried by trick over the whole log, for the planner.

    One query; none where the rider's `landing_days` are prefetched, as for many plans at once.
    """
    if "landing_days" not in getattr(rider, "_prefetched_objects_cache", ()):
        sums = totals(lines=lines_of(rider=rider))
        return {each.trick: (each.landed, each.tried) for each in sums}
    counts: dict[str, tuple[int, int]] = {}
    for line in rider.landing_days.all():
        landed, tried = counts.get(line.trick, (0, 0))
        counts[line.trick] = (landed + line.landed, tried + line.tried)
    return counts
