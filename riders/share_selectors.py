"""Shared plans as their readers see them, in a fixed number of queries."""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from django.contrib.auth.models import AnonymousUser, User
from django.db.models import Prefetch
from django.utils import timezone
from django.utils.translation import gettext as _

from events.models import Edition
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.findings import Finding
from events.rules.notation import write_run
from riders.models import CoachLink, Declaration, PlannedRun, PlanShare, Rider
from riders.planner import Planner, PlannerRow
from riders.planning.check import Check
from riders.rows import Row, sheet_from_data
from riders.services import without_records
from riders.share_services import hashed
from riders.strips import planned_strip

# Everything that is read of a shared plan, so that no row of a table asks again.
PLACE = ("entry__division__event__club", "entry__rider")
AROUND = (
    "entry__division__editions",
    "entry__division__event__club__tricks",
    "entry__rider__records",
    "entry__rider__landing_days",
    "entry__rider__own_tricks",
    "entry__plans",
)


def around(prefix: str = "") -> list[str | Prefetch]:
    """What to read with a share; `prefix` leads to it, such as "share__"."""
    declared = Declaration.objects.select_related("edition")
    return [
        *(f"{prefix}{each}" for each in AROUND),
        Prefetch(f"{prefix}entry__declarations", declared),
    ]


@dataclass(frozen=True)
class ShownRow:
    """A row of a plan as it was typed, with what was found about it."""

    words: str
    record: str
    errors: tuple[str, ...]
    findings: tuple[Finding, ...]
    bonus: str = ""


@dataclass(frozen=True)
class ShownPass:
    """A pass of a plan, without empty rows."""

    number: int
    rows: list[ShownRow]


class SharedPlan:
    """The plan behind a share. The rider's other plans and contacts are no part of it."""

    def __init__(self, share: PlanShare, units: Units = AS_PUBLISHED) -> None:
        self.units = units
        self.share = share
        self.entry = share.entry
        self.rider = share.entry.rider
        self.division = share.entry.division
        self.event = share.entry.division.event
        self.round_name = share.round_name

    @property
    def edition(self) -> Edition:
        """The edition in force; only a division with one has plans to share."""
        edition = self.division.edition
        assert edition is not None
        return edition

    @cached_property
    def plan(self) -> PlannedRun | None:
        """The plan as kept; None before anything was planned."""
        plans = self.entry.plans.all()
        return next((each for each in plans if each.round_name == self.round_name), None)

    @cached_property
    def planner(self) -> Planner:
        """The plan, read and checked under the edition in force."""
        sheet = sheet_from_data(self.plan.rows if self.plan else None)
        return Planner(self.entry, self.edition, self.round_name, sheet, units=self.units)

    @property
    def check(self) -> Check | None:
        """What the check found; None where the plan has too many rows."""
        return self.planner.check

    @property
    def is_empty(self) -> bool:
        """Whether nothing has been typed yet."""
        return not self.planner.sheet.size

    @property
    def changed_at(self) -> datetime | None:
        """When the plan was last changed."""
        return self.plan.updated_at if self.plan else None

    @cached_property
    def declared(self) -> Declaration | None:
        """The declared run in force."""
        found = [d for d in self.entry.declarations.all() if d.round_name == self.round_name]
        return max(found, key=lambda each: each.number, default=None)

    @cached_property
    def is_as_declared(self) -> bool:
        """Whether the plan is the declared run, trick by trick."""
        if self.declared is None or self.planner.unread:
            return False
        return write_run(without_records(self.planner.run)) == self.declared.notation

    @cached_property
    def deadline(self) -> datetime:
        """Until when a run can be declared."""
        return self.division.deadline(self.round_name or None)

    @property
    def is_late(self) -> bool:
        """Whether the deadline has passed."""
        return timezone.now() > self.deadline

    @property
    def strip(self) -> str:
        """The plan on the course, as safe SVG."""
        planner = self.planner
        return planned_strip(self.check, planner.format, self.units) if self.check else ""

    @property
    def passes(self) -> list[ShownPass]:
        """The rows as planned, pass by pass."""
        pairs = zip(self.planner.passes, self.planner.sheet.passes, strict=True)
        return [
            ShownPass(
                page.number,
                [
                    _shown(row, typed)
                    for row, typed in zip(
                        page.rows + page.bonus, sheet.tricks + sheet.bonus, strict=True
                    )
                    if not typed.is_blank
                ],
            )
            for page, sheet in pairs
        ]


def _shown(row: PlannerRow, typed: Row) -> ShownRow:
    errors = [str(error) for each in row.form.errors.values() for error in each]
    record = row.remembered
    if typed.chance:
        record = _("{number} %").format(number=typed.chance)
    elif typed.landed or typed.tried:
        record = _("{landed} landed of {tried} tried").format(
            landed=typed.landed or "?", tried=typed.tried or "?"
        )
    return ShownRow(typed.trick, record, tuple(errors), row.findings, row.name)


def share_by_token(token: str) -> PlanShare | None:
    """The live share that a link opens; None for a link that is unknown or has ended."""
    found = PlanShare.objects.live().select_related(*PLACE).prefetch_related(*around())
    return found.filter(token_hash=hashed(token)).first()


def keeps(user: User | AnonymousUser, share: PlanShare) -> bool:
    """Whether somebody has a shared plan in their coach's table."""
    if not user.is_authenticated:
        return False
    return share.keepers.filter(coach__user=user, taken_back_at=None).exists()


@dataclass(frozen=True)
class KeptPlan:
    """A row of a coach's table."""

    link: CoachLink
    shared: SharedPlan


@dataclass(frozen=True)
class CoachTable:
    """What a coach keeps: plans by deadline, and links to what is no longer shared."""

    plans: list[KeptPlan]
    ended: list[CoachLink]


def coach_links(coach: Rider) -> "list[CoachLink]":
    """Everything that a person ever kept and did not take out."""
    found = coach.kept_plans.select_related(*(f"share__{each}" for each in PLACE))
    return list(found.prefetch_related(*around("share__")))


def coach_table(coach: Rider) -> CoachTable:
    """The coach's table, the next deadline first."""
    links = coach_links(coach)
    plans = [KeptPlan(link, SharedPlan(link.share)) for link in links if link.is_live]
    plans.sort(key=lambda each: (each.shared.deadline, each.shared.rider.name))
    return CoachTable(plans, [link for link in links if not link.is_live])


def kept_link(coach: Rider, pk: int) -> CoachLink | None:
    """One kept plan of a coach, whether still shared or not."""
    found = coach.kept_plans.select_related(*(f"share__{each}" for each in PLACE))
    return found.prefetch_related(*around("share__")).filter(pk=pk).first()


def share_of(entry_pk: int, round_name: str) -> PlanShare | None:
    """The live share of a plan, for its rider's page."""
    found = PlanShare.objects.live().prefetch_related("keepers__coach")
    return found.filter(entry=entry_pk, round_name=round_name).first()
