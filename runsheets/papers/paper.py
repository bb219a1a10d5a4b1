"""A paper as plain values: its heading, and blocks that are drawn one below the other. Pure.

Every hand at the lake gets a paper of its own kind. What it says of each rider is kept as
well, so that a later printing can tell what changed.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import Any

from events.rules.language import gettext as _
from events.rules.language import mark
from runsheets.papers.codes import code_of
from runsheets.papers.heading import SheetHeading
from runsheets.sheets import CourseStrip, RiderSheet


class Kind(StrEnum):
    """Which hand a paper is for; in the order of a print pack."""

    RUN_SHEETS = "run sheets"
    SCRIBE = "scribe"
    DOCK = "dock"
    BOAT = "boat"
    ANNOUNCER = "announcer"
    RULES = "rules"
    CHANGES = "changes"


TITLES = {
    Kind.RUN_SHEETS: mark("Run sheets"),
    Kind.SCRIBE: mark("Scribe’s sheet"),
    Kind.DOCK: mark("Dock starter’s list"),
    Kind.BOAT: mark("Boat crew’s sheet"),
    Kind.ANNOUNCER: mark("Announcer’s list"),
    Kind.RULES: mark("Rules"),
    Kind.CHANGES: mark("What changed"),
}


def title_of(kind: Kind) -> str:
    """What a paper of this kind is called."""
    return _(TITLES[kind])


class Look(StrEnum):
    """How the cells of a column are set."""

    BIG = "big"
    STRONG = "strong"
    TEXT = "text"


@dataclass(frozen=True)
class Column:
    """A column of a list; `share` of the width of the page."""

    label: str
    share: float
    look: Look = Look.TEXT


@dataclass(frozen=True)
class Boxes:
    """Boxes to tick by hand, each with its word, or one without; `ticked`: the first is."""

    labels: tuple[str, ...] = ("",)
    ticked: bool = False


Cell = str | Boxes


@dataclass(frozen=True)
class ListRow:
    """A row of a list. A row that is `struck` has a line through it."""

    cells: tuple[Cell, ...]
    struck: bool = False


@dataclass(frozen=True)
class Listing:
    """A table; its head is repeated on every page. `empty` is said where there is no row.

    With `ruled`, each row has a line to write on below it, and these words before the line.
    """

    columns: tuple[Column, ...]
    rows: tuple[ListRow, ...]
    heading: str = ""
    empty: str = ""
    ruled: str = ""


@dataclass(frozen=True)
class Facts:
    """Pairs of label and sentence on a pale ground."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Strips:
    """The course to scale."""

    strips: tuple[CourseStrip, ...]


@dataclass(frozen=True)
class Words:
    """A heading with sentences below it."""

    heading: str
    sentences: tuple[str, ...]


@dataclass(frozen=True)
class Caution:
    """What keeps people safe, in a heavy frame."""

    sentences: tuple[str, ...]


@dataclass(frozen=True)
class Square:
    """An address as a QR code, with a sentence and the address in letters."""

    address: str
    sentence: str


@dataclass(frozen=True)
class JudgedRun:
    """A rider's run with boxes for the judge: the falls and the marks."""

    sheet: RiderSheet
    marks: tuple[str, ...]
    falls: int
    key: str = ""


@dataclass(frozen=True)
class WrittenRun:
    """A rider's run with lines to write down what was ridden."""

    sheet: RiderSheet
    key: str = ""


Block = Listing | Facts | Strips | Words | Caution | Square | JudgedRun | WrittenRun


@dataclass(frozen=True)
class Snapshot:
    """What a paper says: of everybody by label, and of each rider by the key of the entry.

    Only plain data, so that it can be kept and compared with a later one.
    """

    paper: Mapping[str, Any] = field(default_factory=dict)
    riders: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)

    def as_data(self) -> dict[str, Any]:
        """Plain data; `read_snapshot` reads it back."""
        return {
            PAPER: dict(self.paper),
            **{key: dict(each) for key, each in self.riders.items()},
        }


PAPER = "paper"


def read_snapshot(data: Mapping[str, Any]) -> Snapshot:
    """The snapshot that was kept as plain data."""
    return Snapshot(
        data.get(PAPER, {}), {key: each for key, each in data.items() if key != PAPER}
    )


@dataclass(frozen=True)
class Scope:
    """What a paper is about: the key of its division, the round, and the heat, 0 for none."""

    division: int
    round: str
    kind: Kind
    heat: int = 0

    @property
    def label(self) -> str:
        """The kind with the heat, as printings are kept by: "dock 2"."""
        return f"{self.kind.value} {self.heat}" if self.heat else self.kind.value


@dataclass(frozen=True)
class Paper:
    """One paper. Its code is made from its scope and snapshot.

    `running` is a sentence repeated on every page. `copies` are the names of those who get
    one each; an empty name leaves a line to write on. `columns` of text stand side by side.
    `moments` say when something on it last changed, by the key of the rider or "paper".
    """

    scope: Scope
    heading: SheetHeading
    blocks: tuple[Block, ...]
    snapshot: Snapshot = field(default_factory=Snapshot)
    running: str = ""
    copies: tuple[str, ...] = ()
    columns: int = 1
    moments: Mapping[str, datetime] = field(default_factory=dict)

    @property
    def code(self) -> str:
        """The code of what stands on it; the same as long as that is the same."""
        scope = self.scope
        said = (scope.division, scope.round, scope.label, self.heading.event)
        return code_of(said, self.snapshot.as_data())
