"""How measured blocks are put on pages: one below the other, in one column or several."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Optional, Protocol

from runsheets.pdf.page import Pen

COLUMN_GAP = 18.0


class Block(Protocol):
    """Something that is measured and can be drawn.

    `gap` is the space above it, unless it is the first of its column. `lead` is drawn
    before it wherever a column begins with it, and once where blocks with the same one
    follow each other: the head of a table, or the name of a rider.
    """

    @property
    def height(self) -> float:
        """Its height."""

    @property
    def gap(self) -> float:
        """The space above it."""

    @property
    def lead(self) -> Optional["Block"]:
        """What has to stand above it."""

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it with its upper left corner at (x, y)."""


@dataclass
class Stack:
    """One column of a page: its blocks and how much height is left."""

    room: float
    blocks: list[Block] = field(default_factory=list)

    def _with_lead(self, block: Block, last: Block | None) -> list[Block]:
        shown = last.lead if last else None
        return [block.lead, block] if block.lead and block.lead is not shown else [block]

    def needs(self, group: Sequence[Block]) -> float:
        """The height that a group would take here."""
        total, last = 0.0, self.blocks[-1] if self.blocks else None
        for block in group:
            for each in self._with_lead(block, last):
                total += each.height + (each.gap if last else 0)
                last = each if each is block else last or each
        return total

    def put(self, block: Block) -> None:
        """Put a block at the end, after what has to stand above it."""
        last = self.blocks[-1] if self.blocks else None
        for each in self._with_lead(block, last):
            self.room -= each.height + (each.gap if self.blocks else 0)
            self.blocks.append(each)


def pages_of(
    groups: Iterable[Sequence[Block]], first: float, later: float, columns: int = 1
) -> list[list[Stack]]:
    """Put groups of blocks on pages whose columns are `first` and then `later` points high.

    A group that fits a column is never parted; a block never is.
    """
    pages = [[Stack(first)]]

    def turn() -> None:
        if len(pages[-1]) < columns:
            pages[-1].append(Stack(first if len(pages) == 1 else later))
        else:
            pages.append([Stack(later)])

    for group in groups:
        stack = pages[-1][-1]
        if stack.blocks and stack.room < stack.needs(group) <= later:
            turn()
        for block in group:
            stack = pages[-1][-1]
            if stack.blocks and stack.needs([block]) > stack.room:
                turn()
            pages[-1][-1].put(block)
    return pages
