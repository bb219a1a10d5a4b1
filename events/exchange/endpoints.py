"""The JSON interface to events and their rules: read by anybody, written by nobody."""

from datetime import datetime
from typing import Any

from django.db.models import Prefetch
from django.http import HttpRequest
from ninja import Path, Query, Router
from ninja.errors import HttpError

from events.exchange.schemas import (
    DivisionOut,
    EditionOut,
    EventDetail,
    EventOut,
    EventPage,
    Problem,
    RulesOut,
    VenueOut,
)
from events.models import Division, Edition, Event
from events.rules.loading import as_data
from events.site import absolute
from events.views.reading import reading

router = Router(tags=["Events and rules"])
MISSING = {400: Problem, 404: Problem}
NO_EVENT = "There is no such event, or it is not open to the public."
NO_DIVISION = "The event has no such division."
NO_RULES = "The rules of this division are not published yet."
NO_ROUND = "The rules name no such round; /rules without a round tells which there are."
NO_EDITION = "There is no such edition of these rules."
Slug = Path(..., max_length=80, pattern=r"^[-a-zA-Z0-9_]+$")


def public_event(slug: str) -> Event:
    """The event, if everybody may see it; 404 in words else."""
    found = Event.objects.public().select_related("club", "venue").filter(slug=slug).first()
    if found is None:
        raise HttpError(404, NO_EVENT)
    return found


def public_division(event: str, division: str) -> Division:
    """The division of a public event; 404 in words else."""
    found = public_event(event)
    one = found.divisions.prefetch_related("editions").filter(slug=division).first()
    if one is None:
        raise HttpError(404, NO_DIVISION)
    one.event = found
    return one


@router.get("/events", response={200: EventPage, 400: Problem}, url_name="api-events")
def events(
    request: HttpRequest,
    limit: int = Query(50, ge=1, le=100, description="How many at most."),
    offset: int = Query(0, ge=0, le=1_000_000, description="How many to leave out first."),
) -> EventPage:
    """Every public event, the earliest first."""
    found = Event.objects.public().select_related("club", "venue")
    some = found.order_by("first_day", "name", "pk")[offset : offset + limit]
    return EventPage(count=found.count(), items=[EventOut(**_event(each)) for each in some])


def _event(event: Event) -> dict[str, Any]:
    return {
        "slug": event.slug,
        "name": event.name,
        "club": event.club.name,
        "venue": event.venue.name,
        "first_day": event.first_day,
        "last_day": event.last_day,
        "time_zone": event.time_zone,
        "page": absolute(event.get_absolute_url()),
    }


@router.get("/events/{event}", response={200: EventDetail} | MISSING, url_name="api-event")
def one_event(request: HttpRequest, event: str = Slug) -> EventDetail:
    """One event with its deadlines, its venue and its divisions."""
    found = public_event(event)
    editions = Prefetch("editions", Edition.objects.defer("data", "changes"))
    return EventDetail(
        **_event(found),
        entries_close=_there(found, found.entries_close),
        declare_by=_there(found, found.declare_by),
        place=VenueOut(
            name=found.venue.name,
            course_m=found.venue.course_m,
            direction=found.venue.direction,
            start_dock=found.venue.start_dock,
            notes=found.venue.notes,
        ),
        divisions=[
            _division(found, each) for each in found.divisions.prefetch_related(editions)
        ],
    )


def _there(event: Event, moment: datetime) -> datetime:
    """A moment in the time of the lake."""
    return moment.astimezone(event.zone)


def _division(event: Event, division: Division) -> DivisionOut:
    division.event = event
    edition = division.edition
    return DivisionOut(
        slug=division.slug,
        name=division.name,
        page=absolute(division.get_absolute_url()),
        edition=edition.number if edition else None,
        published_at=_there(event, edition.published_at) if edition else None,
    )


@router.get(
    "/events/{event}/divisions/{division}/rules",
    response={200: RulesOut} | MISSING,
    url_name="api-rules",
)
def rules(
    request: HttpRequest,
    event: str = Slug,
    division: str = Slug,
    round: str | None = Query(None, description="One of the rounds; the first if left out."),
) -> RulesOut:
    """The rules in force: questions with answers in sentences, and the format as data."""
    one = public_division(event, division)
    edition = one.edition
    if edition is None:
        raise HttpError(404, NO_RULES)
    shown = reading(one, edition.format, round)
    if round is not None and shown.round != round:
        raise HttpError(404, NO_ROUND)
    return RulesOut(
        event=one.event.slug,
        division=one.name,
        edition=edition.number,
        published_at=_there(one.event, edition.published_at),
        round=shown.round,
        rounds=list(shown.rounds),
        answers=[
            {
                "code": each.code,
                "group": each.group,
                "question": each.question,
                "sentences": list(each.sentences),
                "stated": each.stated,
            }
            for _, group in shown.groups
            for each in group
        ],
        exceptions=list(shown.exceptions),
        format=as_data(edition.format),
    )


@router.get(
    "/events/{event}/divisions/{division}/editions",
    response={200: list[EditionOut]} | MISSING,
    url_name="api-editions",
)
def editions(request: HttpRequest, event: str = Slug, division: str = Slug) -> list[EditionOut]:
    """Every edition of the rules of a division, the newest first."""
    one = public_division(event, division)
    return [_edition(one.event, each) for each in one.editions.all()]


@router.get(
    "/events/{event}/divisions/{division}/editions/{number}",
    response={200: EditionOut} | MISSING,
    url_name="api-edition",
)
def one_edition(
    request: HttpRequest,
    event: str = Slug,
    division: str = Slug,
    number: int = Path(..., ge=1, le=100_000),
) -> EditionOut:
    """One edition, as it was published."""
    one = public_division(event, division)
    found = next((each for each in one.editions.all() if each.number == number), None)
    if found is None:
        raise HttpError(404, NO_EDITION)
    return _edition(one.event, found)


def _edition(event: Event, edition: Edition) -> EditionOut:
    return EditionOut(
        number=edition.number,
        published_at=_there(event, edition.published_at),
        changes=list(edition.changes),
        format=as_data(edition.format),
    )
