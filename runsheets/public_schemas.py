"""What the JSON interface tells of an event's days. Only what the public pages show."""

from datetime import date, datetime
from typing import Literal

from ninja import Field, Schema


class SeatOut(Schema):
    """A rider's place in a running order."""

    position: int = Field(description="From 1 over the whole round.")
    bib: int | None
    name: str = Field(description="As everybody may read it; of some riders only the bib is.")
    scratched: bool


class OrderHeatOut(Schema):
    """A heat in riding order."""

    number: int
    riders: list[SeatOut]


class OrderOut(Schema):
    """A published running order; `draw_word` is empty where nothing was drawn by lot."""

    division: str
    round: str
    published_at: datetime
    method: str
    draw_word: str
    heats: list[OrderHeatOut]


class StartOut(Schema):
    """About when a rider starts; null for who is scratched or not planned."""

    bib: int | None
    name: str
    scratched: bool
    starts_at: datetime | None


class RowOut(Schema):
    """A heat or a pause of a day. Riders are told once their running order is published."""

    kind: Literal["heat", "pause"]
    name: str
    starts_at: datetime
    ends_at: datetime
    state: str = Field(description="planned, running or ridden; empty for a pause.")
    riders: list[StartOut]


class DayOut(Schema):
    """A day whose times are published, as they now look."""

    day: date
    ends_at: datetime
    rows: list[RowOut]


class MarkOut(Schema):
    """What a judge gave, or the mean of a criterion, as it is read on the page."""

    label: str
    mark: str


class PlaceOut(Schema):
    """A rider in a result; `total` as it is read on the page."""

    place: int | None
    bib: int | None
    name: str
    total: str
    is_sum_of_places: bool = Field(description="True where the lowest total wins.")
    marks: list[MarkOut]
    points_off: str
    state: str
    note: str


class GroupOut(Schema):
    """Riders ranked together: a heat, or the whole round with `heat` null."""

    heat: int | None
    places: list[PlaceOut]


class ResultOut(Schema):
    """A posted result."""

    division: str
    round: str
    official: bool
    posted_at: datetime
    protests_until: datetime | None = Field(description="Null where the rules state none.")
    groups: list[GroupOut]
    page: str
