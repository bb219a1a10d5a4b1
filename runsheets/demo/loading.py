"""Writes the demo through the same services that people use, so that it obeys every rule."""

from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth import get_user_model
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from events.models import Club, Division, Edition, Event, Official, Venue
from events.rules.loading import read_format
from events.rules.notation import NotationError, read_run
from events.rules.run import PlannedTrick, Run
from events.rules.trick import Edge
from events.rules.words import RidingOrder
from events.services import (
    add_official,
    create_club,
    publish_edition,
    save_division,
    save_draft,
    save_event,
    save_venue,
    set_public,
)
from riders.entry_conditions import Details
from riders.models import Entry, Rider
from riders.planning.route import Side
from riders.rows import PassRows, Row, Sheet
from riders.services import declare, keep_plan, wording
from runsheets.bibs import fill_bibs
from runsheets.days import fill, plan_version, publish_day, save_day
from runsheets.demo.contest import ride_contest
from runsheets.demo.entries import enter_all, keep_desk
from runsheets.demo.plot import FOLDER, Days, formats_of, read_story, read_toml
from runsheets.models import DayPlan
from runsheets.orders import make_order, order_version, publish_order
from runsheets.schedule import schedule_of

PASSWORD = "buoyline-demo"
ENTERED_BEFORE = timedelta(days=5)
DECLARED_BEFORE = timedelta(hours=3)
CLOCKS = ("starts_at", "latest_end", "sunrise", "sunset")


class DemoError(Exception):
    """The demo cannot be loaded; the text says why."""


@dataclass
class Cast:
    """Who takes part: users by user name and riders by their id in the story."""

    club: Club
    venue: Venue
    users: dict[str, Any]
    riders: dict[str, Rider] = field(default_factory=dict)
    details: dict[str, Details] = field(default_factory=dict)


def is_loaded(story: dict[str, Any]) -> bool:
    """Whether the demo's club is there already."""
    return Club.objects.filter(slug=story["club"]["slug"]).exists()


@transaction.atomic
def load(story: dict[str, Any] | None = None, now: datetime | None = None) -> None:
    """Load the whole demo, or nothing of it; raises DemoError."""
    story = story or read_story()
    now = now or timezone.now()
    cast = _cast(story)
    for said in story["events"]:
        zone = ZoneInfo(said["time_zone"])
        days = Days(now.astimezone(zone).date(), zone)
        _load_event(said, cast, days, now)


def _cast(story: dict[str, Any]) -> Cast:
    users = {each["username"]: _user(each, PASSWORD) for each in story["people"]}
    organiser = next(u for u in story["people"] if u.get("role") == Official.Role.ORGANISER)
    by = users[organiser["username"]]
    club = create_club(name=story["club"]["name"], by=by)
    if club.slug != story["club"]["slug"]:
        raise DemoError(f"The address {story['club']['slug']} belongs to another club.")
    for each in story["people"]:
        if each.get("role") not in (None, Official.Role.ORGANISER):
            add_official(club=club, user=users[each["username"]], role=each["role"], by=by)
    venue = save_venue(venue=Venue(club=club, **story["venue"]), by=by)
    cast = Cast(club, venue, users)
    for each in story["riders"]:
        user = users.get(each["id"]) or _user({**each, "username": f"demo-{each['id']}"}, None)
        rider = Rider(
            user=user,
            given_name=each["given"],
            family_name=each["family"],
            foot=each["foot"],
            club_name=each["club"],
        )
        rider.full_clean()
        rider.save()
        cast.riders[each["id"]] = rider
        cast.details[each["id"]] = _details(each)
    return cast


def _details(said: dict[str, Any]) -> Details:
    guardian = said.get("guardian", {})
    return Details(
        born_on=said["born"],
        guardian=guardian.get("name", ""),
        guardian_phone=guardian.get("phone", ""),
        consented=bool(guardian),
        is_named=guardian.get("names_rider", False),
        emergency_name=said["contact"],
        emergency_phone=said["contact_phone"],
        acknowledged=True,
        wishes=said.get("wishes", ""),
    )


def _user(said: dict[str, Any], password: str | None) -> Any:
    name = said["username"]
    users = get_user_model().objects
    if users.filter(username=name).exists():
        raise DemoError(
            f"There is already somebody with the user name {name}. Load the demo into an "
            "empty database: name another folder with BUOYLINE_STATE."
        )
    return users.create_user(
        name,
        email=f"{name}@example.org",
        password=password,
        first_name=said["given"],
        last_name=said["family"],
    )


def _load_event(said: dict[str, Any], cast: Cast, days: Days, now: datetime) -> None:
    organiser = cast.users["organiser"]
    event = Event(
        club=cast.club,
        venue=cast.venue,
        name=said["name"],
        slug=said["slug"],
        first_day=days.day(said["first_day"]),
        last_day=days.day(said["last_day"]),
        time_zone=said["time_zone"],
        entries_close=days.moment(said["entries_close"]),
        declare_by=days.moment(said["declare_by"]),
    )
    save_event(event=event, by=organiser)
    divisions = []
    for place, each in enumerate(said["divisions"]):
        division = Division(event=event, name=each["name"], slug=each["slug"], place=place)
        save_division(division=division, by=organiser)
        _load_runs(each, division, cast, days, now)
        divisions.append((each, division))
    set_public(event=event, public=True, by=organiser)
    if any("order" in each for each, _ in divisions):
        fill_bibs(event=event, by=cast.users["table"])
    for each, division in divisions:
        if "order" in each:
            made = make_order(
                division=Division.objects.get(pk=division.pk),
                round_name=each["order"].get("round", "Final"),
                method=RidingOrder(each["order"]["method"]),
                seed=each["order"].get("seed", ""),
                by=cast.users["table"],
            )
            version, by = order_version(made), cast.users["table"]
            publish_order(order=made, public=True, version=version, by=by)
    if "days" in said:
        _plan_days(said["days"], event, cast.users["table"], days)
    if "contest" in said:
        ride_contest(read_toml(FOLDER / said["contest"]), event, cast.users["table"], days)


def _plan_days(said: list[dict[str, Any]], event: Event, by: Any, days: Days) -> None:
    """Plan the days, put the heats on them, and publish the times."""
    for each in said:
        clocks = {k: time.fromisoformat(v) for k, v in each.items() if k in CLOCKS}
        other = {k: v for k, v in each.items() if k not in (*CLOCKS, "day")}
        plan = DayPlan(event=event, day=days.day(each["day"]), **clocks, **other)
        save_day(plan=plan, by=by)
    fill(event=event, version=plan_version(schedule_of(event)), by=by)
    for plan in event.day_plans.all():
        publish_day(plan=plan, public=True, by=by)


def _load_runs(
    said: dict[str, Any], division: Division, cast: Cast, days: Days, now: datetime
) -> None:
    """Editions, entries and declared runs, in the order in which they would have happened."""
    entered = min(division.event.entries_close, now) - ENTERED_BEFORE
    entries: list[tuple[dict[str, Any], Entry]] = []
    moments = [days.moment(said["published"])]
    if "edition_2" in said:
        moments.append(days.moment(said["edition_2"]["published"]))
    for number, (data, moment) in enumerate(zip(formats_of(said), moments, strict=True)):
        save_draft(division=division, format=read_format(data), by=cast.users["organiser"])
        edition = publish_edition(division=division, by=cast.users["organiser"])
        # An edition never changes; only its moment is put back into the demo's past.
        Edition.objects.filter(pk=edition.pk).update(published_at=moment)
        if not entries:
            listed = said["entries"]
            entries = enter_all(listed, division, cast.riders, cast.details, entered)
        is_last = number == len(moments) - 1
        until = min(division.event.declare_by, now) if is_last else moments[number + 1]
        for at, (each, entry) in enumerate(entries):
            # One more hour for each, so that they were not all declared at once.
            declared = until - DECLARED_BEFORE - timedelta(hours=at)
            for line in each.get("runs" if is_last else "early", ()):
                _declare(entry, each.get("round", ""), line, edition, declared)
    keep_desk(entries, cast.users["table"], days)
    for each, entry in entries:
        if "plan" in each:
            _plan(entry, each["round"], _read(each["plan"], entry))


def _read(line: str, entry: Entry) -> Run:
    try:
        return read_run(line)
    except NotationError as error:
        raise DemoError(f"The run of {entry} cannot be read: {error}") from error


def _declare(entry: Entry, name: str, line: str, edition: Edition, at: datetime) -> None:
    run = _read(line, entry)
    sheet = _plan(entry, name, run)
    try:
        declare(
            entry=entry,
            round_name=name,
            run=run,
            side=sheet.side,
            seen_edition=edition.number,
            at=at,
        )
    except ValidationError as error:
        raise DemoError(f"{entry}, {line}: {' '.join(error.messages)}") from error


def _plan(entry: Entry, name: str, run: Run) -> Sheet:
    """Keep the run as a plan, with its landing records."""
    sheet = Sheet(
        side=_first_side(run, entry.rider),
        passes=[
            PassRows(
                [_row(planned) for planned in each.tricks],
                [_row(planned) for planned in each.bonus],
            )
            for each in run.passes
        ],
    )
    keep_plan(entry=entry, round_name=name, sheet=sheet, run=run)
    return sheet


def _row(planned: PlannedTrick) -> Row:
    record = {} if planned.tried is None else {
        "landed": str(planned.landed), "tried": str(planned.tried)}  # fmt: skip
    return Row(trick=wording(planned), name=planned.bonus, **record)


def _first_side(run: Run, rider: Rider) -> str:
    """The side from which the first trick needs no move."""
    first = next(run.places()).trick
    toeside = first.approach is Edge.TOESIDE
    right_foot = rider.foot == Rider.Foot.RIGHT
    switch = first.stance == "switch"
    return (Side.PORT if toeside ^ right_foot ^ switch else Side.STARBOARD).value
