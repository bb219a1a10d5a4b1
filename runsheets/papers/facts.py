"""What papers are made from: a round of a division, its heats and riders. Pure."""

from dataclasses import dataclass
from datetime import datetime

from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.run import Run
from riders.planning.route import Foot
from runsheets.papers.heading import SheetHeading, when_planned
from runsheets.papers.paper import Kind, title_of

FEET = {Foot.LEFT: mark("Left foot forward"), Foot.RIGHT: mark("Right foot forward")}


@dataclass(frozen=True)
class RiderFacts:
    """A rider in a round. `key` is the entry's; `order` counts over the whole round.

    `needs_guardian` is None where the age is not known. `run` is the declared run in force,
    None if there is none, and `run_note` what to know of it. `changed_at` is when the run
    was declared or the rider withdrawn, as far as that is known.
    """

    key: str
    order: int
    name: str
    foot: Foot
    bib: str = ""
    club: str = ""
    scratched: bool = False
    is_checked_in: bool = False
    needs_guardian: bool | None = None
    wishes: str = ""
    run: Run | None = None
    run_note: str = ""
    changed_at: datetime | None = None

    @property
    def stance(self) -> str:
        """The forward foot in the rider's own stance, in words."""
        return _(FEET[self.foot])

    @property
    def called(self) -> str:
        """How the table calls the rider: "Bib 12 Ada Moreau"."""
        said = _("Bib {bib} {name}").format(bib=self.bib, name=self.name)
        return said if self.bib else self.name


@dataclass(frozen=True)
class HeatFacts:
    """A heat; number 0 holds those who are in no heat. `start` as far as it is known.

    `name` stands on its papers; `turn` sorts the heats of an event as they are ridden.
    """

    number: int
    riders: tuple[RiderFacts, ...]
    name: str = ""
    start: datetime | None = None
    turn: tuple[int, ...] = ()

    @property
    def riding(self) -> tuple[RiderFacts, ...]:
        """Those who ride, without the scratched."""
        return tuple(rider for rider in self.riders if not rider.scratched)


@dataclass(frozen=True)
class RoundFacts:
    """A round of a division with everything that its papers say.

    `division_key` is the division's own; `rules` is the format as it holds there.
    `address` is where the public page is found; empty if it is not public.
    """

    event: str
    venue: str
    division_key: int
    division: str
    round: str
    rules: Format
    edition_no: int
    published_at: datetime | None
    heats: tuple[HeatFacts, ...]
    printed_at: datetime
    judges: tuple[str, ...] = ()
    address: str = ""
    differs: tuple[str, ...] = ()
    deadline: str = ""

    @property
    def turn(self) -> tuple[int, ...]:
        """Sorts the rounds of an event by their first heats."""
        return min((heat.turn for heat in self.heats), default=())

    def heading(self, kind: Kind, heat: HeatFacts | None = None) -> SheetHeading:
        """The heading of one of its papers, or of one of a heat."""
        return SheetHeading(
            event=self.event,
            division=self.division,
            round=self.round,
            edition_no=self.edition_no,
            printed_at=self.printed_at,
            venue=self.venue,
            title=title_of(kind),
            heat=heat.name if heat else "",
            starts=when_planned(heat.start) if heat else "",
        )

    @property
    def common(self) -> dict[str, str]:
        """What every paper says of everybody."""
        return {
            "event": self.event,
            "venue": self.venue,
            "division": self.division,
            "round": self.round,
            "edition": str(self.edition_no),
        }
