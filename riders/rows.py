"""The rows of a planner as they were typed, and what its buttons do to them.

A sheet keeps text only, readable or not, so that nothing typed is ever lost. It is what a
planned run stores.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

ROWS_KEPT = 500  # rows of one form that are read back; more than anybody can plan
PASSES_MOST = 12
TEXT_KEPT = 400

_ACTION = re.compile(r"(up|down|remove)-(\d{1,3})")


@dataclass
class Row:
    """One trick as typed: its words, a landing record or a chance in per cent."""

    trick: str = ""
    landed: str = ""
    tried: str = ""
    chance: str = ""
    name: str = ""  # of the bonus trick that the row is for

    @property
    def is_blank(self) -> bool:
        """Whether nothing was typed."""
        return not (self.trick or self.landed or self.tried or self.chance)


@dataclass
class PassRows:
    """The rows of one pass, and those of its bonus tricks."""

    tricks: list[Row] = field(default_factory=list)
    bonus: list[Row] = field(default_factory=list)


@dataclass
class Sheet:
    """Everything typed into a planner."""

    side: str = "starboard"
    passes: list[PassRows] = field(default_factory=list)

    @property
    def size(self) -> int:
        """How many rows hold something."""
        rows = (row for each in self.passes for row in each.tricks + each.bonus)
        return sum(not row.is_blank for row in rows)

    def as_data(self) -> dict[str, Any]:
        """Plain data for storage; `sheet_from_data` reads it back."""
        passes = [
            {"tricks": [vars(row).copy() for row in each.tricks],
             "bonus": [vars(row).copy() for row in each.bonus]}
            for each in self.passes
        ]  # fmt: skip
        return {"side": self.side, "passes": passes}


def sheet_from_data(data: Any) -> Sheet:
    """The sheet that was stored; an empty one where nothing was."""
    if not isinstance(data, Mapping):
        return Sheet()
    passes = [
        PassRows([Row(**row) for row in each["tricks"]], [Row(**row) for row in each["bonus"]])
        for each in data.get("passes", [])
    ]
    return Sheet(data.get("side", "starboard"), passes)


def sheet_from_post(post: Mapping[str, str]) -> Sheet:
    """The sheet that a form sent."""
    left = [ROWS_KEPT]
    passes = []
    for number in range(1, _count(post, "passes", PASSES_MOST) + 1):
        tricks = _rows(post, f"p{number}", left)
        bonus = _rows(post, f"b{number}", left)
        passes.append(PassRows(tricks, bonus))
    side = "port" if post.get("side") == "port" else "starboard"
    return Sheet(side, passes)


def _count(post: Mapping[str, str], name: str, most: int) -> int:
    text = post.get(name, "")
    return min(int(text), most) if text.isascii() and text.isdigit() and len(text) < 6 else 0


def _rows(post: Mapping[str, str], prefix: str, left: list[int]) -> list[Row]:
    count = _count(post, f"{prefix}-rows", left[0])
    left[0] -= count
    return [
        Row(**{key: typed(post, f"{prefix}-{number}-{key}") for key in Row.__annotations__})
        for number in range(1, count + 1)
    ]


def typed(post: Mapping[str, str], name: str) -> str:
    """What a field sent, trimmed and without characters that no database keeps."""
    return post.get(name, "").replace("\x00", "").strip()[:TEXT_KEPT]


def act(sheet: Sheet, post: Mapping[str, str]) -> str:
    """Do what the pressed button says; return the prefix of the row that it was about.

    Buttons are `p1-row` with up-2, down-2 or remove-2, and `p1-add`, which adds the trick
    picked in `p1-pick`, or an empty row.
    """
    for number, each in enumerate(sheet.passes, start=1):
        prefix = f"p{number}"
        if f"{prefix}-add" in post:
            each.tricks.append(Row(trick=typed(post, f"{prefix}-pick")))
            return f"{prefix}-{len(each.tricks)}"
        match = _ACTION.fullmatch(post.get(f"{prefix}-row", ""))
        if match:
            return f"{prefix}-{_move(each.tricks, match[1], int(match[2]))}"
    return ""


def _move(rows: list[Row], what: str, number: int) -> int:
    here = number - 1
    if not 0 <= here < len(rows):
        return max(1, min(number, len(rows)))
    if what == "remove":
        del rows[here]
        return max(1, min(number, len(rows)))
    there = here - 1 if what == "up" else here + 1
    if not 0 <= there < len(rows):
        return number
    rows[here], rows[there] = rows[there], rows[here]
    return there + 1
