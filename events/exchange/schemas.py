"""What the JSON interface tells of events and their rules. Only what the public pages show."""

from datetime import date, datetime
from typing import Any

from ninja import Field, Schema


class VenueOut(Schema):
    """Where an event is ridden."""

    name: str
    course_m: int = Field(description="From the start marker to the end marker, in metres.")
    direction: str = Field(description="Of the first pass; empty if not stated.")
    start_dock: str = Field(description="Empty if not stated.")
    notes: str = Field(description="Hazards and what else riders should know of the lake.")


class EventOut(Schema):
    """An event. Days are those of the lake, moments carry their offset from UTC."""

    slug: str
    name: str
    club: str
    venue: str
    first_day: date
    last_day: date
    time_zone: str = Field(description="Of the lake, by its name in the tz database.")
    page: str = Field(description="The address of its public page.")


class EventPage(Schema):
    """Some of the events, and how many there are in all."""

    items: list[EventOut]
    count: int


class DivisionOut(Schema):
    """A division with the edition of its rules that is in force; null before the first."""

    slug: str
    name: str
    page: str
    edition: int | None
    published_at: datetime | None


class EventDetail(EventOut):
    """An event with its deadlines, venue and divisions."""

    entries_close: datetime
    declare_by: datetime
    place: VenueOut
    divisions: list[DivisionOut]


class AnswerOut(Schema):
    """A rider's question with its answer, as the public page has it."""

    code: str
    group: str
    question: str
    sentences: list[str]
    stated: bool = Field(description="False where the rules say nothing about it.")


class RulesOut(Schema):
    """The rules of a division in a round: sentences for people, and the format as data.

    The format is the whole one, with its exceptions; the answers are those of the round.
    """

    event: str
    division: str
    edition: int
    published_at: datetime
    round: str | None
    rounds: list[str]
    answers: list[AnswerOut]
    exceptions: list[str]
    format: dict[str, Any]


class EditionOut(Schema):
    """A published edition, and in sentences what it changed."""

    number: int
    published_at: datetime
    changes: list[str]
    format: dict[str, Any]


class Problem(Schema):
    """Why there is no answer."""

    detail: str
