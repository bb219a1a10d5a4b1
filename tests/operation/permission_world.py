"""A club with one of everything, and everybody who may knock at its pages."""

from dataclasses import dataclass, field
from datetime import time
from typing import Any

from django.utils import timezone

from events.invitations import invite
from events.models import ClubTrick, Official
from events.post import send
from events.rules.notation import read_run
from events.rules.words import RidingOrder
from riders.models import (
    CoachLink,
    Entry,
    LandingDay,
    OwnTrick,
    PlanVariant,
)
from riders.rows import PassRows, Row, Sheet
from riders.services import declare, keep_plan
from riders.share_services import keep_share, make_link
from runsheets.models import AskedPack, DayPlan, Printing, Ride, RoundResult
from runsheets.orders import make_order
from tests.factories import (
    DivisionFactory,
    EditionFactory,
    EntryFactory,
    EventFactory,
    OfficialFactory,
    RiderFactory,
)

RULES = {
    "passes": {"count": 2, "length_m": 400, "ended_by": "marker"},
    "falls": {"allowed": 1, "counted_per": "run", "next_fall": "ends run"},
}
RUN = "HS backroll, TS FS 180"
# Told on the owner's entry; they may stand on an organiser's pages and the owner's own.
SECRETS = {
    "guardian": "Wendelin Quietwater",
    "phone": "+43 1 555 0142",
    "emergency": "Ottokar Ferryman",
    "birth": "17 May 2012",
}


@dataclass
class World:
    """What addresses need, and the people by what they are to the club."""

    people: dict[str, Any] = field(default_factory=dict)
    numbers: dict[str, Any] = field(default_factory=dict)


def build() -> World:
    """One club, its event with a division, a rider with everything, and everybody else."""
    event = EventFactory()
    division = DivisionFactory(event=event, slug="open")
    EditionFactory(division=division, data=RULES)
    entry = _entry(division)
    people = {"anonymous": None, "rider": entry.rider.user}
    people["other rider"] = EntryFactory(division=division).rider.user
    for name in Official.Role.values:
        official = OfficialFactory(club=event.club, role=name, user=RiderFactory().user)
        people[name] = official.user
    people["other club"] = OfficialFactory(user=RiderFactory().user).user
    coach = RiderFactory()
    people["coach"] = coach.user
    numbers = {"event": event.slug, "club": event.club.slug, "division": division.pk}
    numbers |= {"venue": event.venue.pk, "slug": division.slug, "entry": entry.pk}
    numbers |= _riding(entry, coach)
    numbers |= _club(event, people[Official.Role.ORGANISER], entry)
    numbers |= _contest(division, entry, people[Official.Role.TABLE])
    return World(people, numbers)


def _entry(division) -> Entry:
    rider = RiderFactory(given_name="Marisol", family_name="Reedwick", born_on="2012-05-17")
    return EntryFactory(
        division=division, rider=rider, guardian=SECRETS["guardian"],
        guardian_phone=SECRETS["phone"], consented_at=timezone.now(),
        emergency_name=SECRETS["emergency"], emergency_phone=SECRETS["phone"],
    )  # fmt: skip


def _riding(entry: Entry, coach) -> dict[str, Any]:
    """What the rider has: a plan, a declared run, a link, a variant, a log, a trick."""
    run = read_run(RUN)
    rows = [PassRows([Row(trick="HS backroll"), Row(trick="TS FS 180")], [])]
    sheet = Sheet(side="starboard", passes=rows)
    keep_plan(entry=entry, round_name="", sheet=sheet, run=run)
    declared = declare(entry=entry, round_name="", run=run, side="starboard", seen_edition=1)
    share, token = make_link(entry=entry, round_name="")
    keeper: CoachLink = keep_share(share=share, coach=coach)
    variant = PlanVariant.objects.create(entry=entry, name="safe", rows=entry.plans.get().rows)
    line = LandingDay.objects.create(
        rider=entry.rider, trick="HS backroll", day="2026-06-01", landed=3, tried=5
    )
    trick = OwnTrick.objects.create(
        rider=entry.rider, name="Heron hop", family="tantrum", approach="heelside"
    )
    return {
        "declared": declared.pk, "share": share.pk, "token": token, "keeper": keeper.pk,
        "variant": variant.pk, "line": line.pk, "own_trick": trick.pk,
    }  # fmt: skip


def _club(event, by, entry: Entry) -> dict[str, Any]:
    letter = send(
        to="somebody@example.org", subject="About the rules", text="They changed.", event=event
    )
    trick = ClubTrick.objects.create(
        club=event.club, name="Otter roll", family="tantrum", approach="heelside"
    )
    person = Official.objects.get(club=event.club, role=Official.Role.DOCK)
    invited = invite(
        club=event.club, event=event, role="table", email="invited@example.org", by=by
    )
    return {
        "letter": letter.pk, "club_trick": trick.pk, "person": person.pk,
        "invitation": invited.pk,
    }  # fmt: skip


def _contest(division, entry: Entry, by) -> dict[str, Any]:
    """What the table has: an order, a heat, a ride, a day, a paper, a posted result."""
    order = make_order(division=division, round_name="", method=RidingOrder.ALPHABETICAL, by=by)
    Ride.objects.create(order=order, entry=entry, state=Ride.State.DONE)
    RoundResult.objects.create(order=order, by=by)
    day = DayPlan.objects.create(
        event=division.event, day=division.event.first_day, starts_at=time(9)
    )
    paper = Printing.objects.create(
        event=division.event, kind="dock", code="K7Q29XMF", printed_by=by
    )
    pack = AskedPack.objects.create(
        event=division.event,
        asked_by=by,
        size="a4",
        state=AskedPack.State.READY,
        document=b"%PDF",
    )
    return {
        "order": order.pk, "heat": order.heats.first().pk, "day": day.pk, "code": paper.code,
        "pack": pack.pk,
    }  # fmt: skip
