"""Of a hundred runs: how many are still going at each trick, and how many tricks are landed.

Each bar is a hundred runs. Those with no fall so far are solid, those with one are hatched,
those with more are dotted, and runs that do not try the trick leave the bar empty. All
counts are whole and add up to a hundred.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from events.course_symbols import short
from events.rules.language import gettext as _
from events.rules.language import mark, ngettext
from riders.pictures.counts import HUNDRED, out_of_hundred
from riders.pictures.ink import LINE, NARROW, box, picture, say, width_of
from riders.pictures.words import shorthand
from riders.planning.survival import Survival

FALLS = (mark("no fall"), mark("one fall"), mark("more falls"))
_OF_RUNS = (mark("{number} no fall"), mark("{number} one fall"), mark("{number} more falls"))
_WITH_FALLS = (
    mark("{number} with no fall"),
    mark("{number} with one fall"),
    mark("{number} with more falls"),
)
NEVER, RARELY = mark("no run gets here"), mark("less than one run in 100")
BAR = 14.0
ROW_GAP = 9.0
COLUMN = 92.0  # px: the height of the tallest column of the landed tricks
COLUMNS_NUMBERED = 14  # more columns than these are too narrow for a number on each
# Black, then lines, then dots: told apart in grey, and by a photocopier.
PATTERNS = (
    '<defs><pattern id="one-fall" width="5" height="5" patternUnits="userSpaceOnUse" '
    'patternTransform="rotate(45)"><path d="M0 0V5" stroke="currentColor" '
    'stroke-width="4"/></pattern><pattern id="more-falls" width="5" height="5" '
    'patternUnits="userSpaceOnUse"><circle cx="2.5" cy="2.5" r="1.3" '
    'fill="currentColor"/></pattern></defs>'
)
FILLS = ("currentColor", "url(#one-fall)", "url(#more-falls)")


@dataclass(frozen=True, slots=True)
class AliveRow:
    """One trick: of 100 runs, how many try it by falls so far (none, one, more), how many
    do not try it, how many end with a fall on it, and how many land it. `rare` is a trick
    that some runs try, but less than one in 100."""

    label: str
    falls: tuple[int, int, int]
    absent: int
    end: int
    rare: bool = False
    landed: int = 0

    @property
    def tried(self) -> int:
        """How many of 100 runs try it."""
        return sum(self.falls)


def alive_rows(survival: Survival) -> tuple[AliveRow, ...]:
    """The rows of the picture; none where the figures cannot be told."""
    if survival.tricks is None or survival.alive is None or survival.ends is None:
        return ()
    *ends, _rest = out_of_hundred([*survival.ends, max(0.0, 1 - sum(survival.ends))])
    rows = []
    for odds, alive, end in zip(survival.tricks, survival.alive, ends, strict=True):
        by_falls = (sum(alive[:1]), sum(alive[1:2]), sum(alive[2:]))
        none, one, more, absent = out_of_hundred([*by_falls, max(0.0, 1 - sum(alive))])
        place = odds.place
        name = f"{place.planned.bonus}: " if place.planned.bonus else ""
        label = f"{place.pass_no}.{place.position} {name}{shorthand(place.planned)}"
        rare = not none + one + more and odds.reach > 0
        landed = min(none + one + more, round(HUNDRED * odds.land))
        rows.append(AliveRow(label, (none, one, more), absent, end, rare, landed))
    return tuple(rows)


def alive(survival: Survival, *, title: str) -> str:
    """The picture as the text of an accessible `<svg>`; empty without figures."""
    rows = alive_rows(survival)
    if not rows:
        return ""
    parts = [PATTERNS]
    y = 0.0
    most = max(at for row in rows for at, count in enumerate(row.falls) if count or not at)
    parts += _legend(most)
    y += 26
    for row in rows:
        parts += _row(row, y)
        y += 2 * LINE + BAR + ROW_GAP
    rest = HUNDRED - sum(row.end for row in rows)
    parts.append(say("0", y + LINE, _to_the_end(rest), "words"))
    words = " ".join([*(f"{_in_words(row)}." for row in rows), _to_the_end(rest)])
    return picture("alive", title, words, parts, y + LINE + 8)


def _to_the_end(rest: int) -> str:
    return ngettext(
        "{number} of 100 runs are not ended by a fall.",
        "{number} of 100 runs are not ended by a fall.",
        rest,
    ).format(number=rest)


def _in_words(row: AliveRow) -> str:
    if not row.tried:
        return f"{row.label}: {_(RARELY if row.rare else NEVER)}"
    tried = _("{tried} of 100 runs try it and {landed} land it").format(
        tried=row.tried, landed=row.landed
    )
    said = ", ".join([tried, *_by_falls(row, _WITH_FALLS)])
    return f"{row.label}: {'; '.join([said, *_end_here(row)])}"


def _by_falls(row: AliveRow, words: Sequence[str]) -> list[str]:
    """How many try it with how many falls so far, where some do."""
    pairs = zip(row.falls, words, strict=True)
    return [_(said).format(number=count) for count, said in pairs if count]


def _end_here(row: AliveRow) -> list[str]:
    if not row.end:
        return []
    said = ngettext("{number} end here", "{number} end here", row.end)
    return [said.format(number=row.end)]


def _legend(most: int) -> Iterator[str]:
    x = 0.0
    for fill, name in zip(FILLS[: most + 1], map(_, FALLS), strict=False):
        yield (
            f'<rect class="edge" x="{short(x)}" y="3" width="16" height="{short(BAR)}" '
            f'fill="{fill}" stroke="currentColor"/>'
        )
        yield say(short(x + 22), 14.5, name, "soft")
        x += 22 + width_of(name) + 10


def _row(row: AliveRow, y: float) -> Iterator[str]:
    counts = "0"
    if row.tried:
        counts = _("{tried} try, {landed} land").format(tried=row.tried, landed=row.landed)
    room = int((NARROW - width_of(counts) - 8) / width_of("x"))
    label = row.label if len(row.label) <= room else f"{row.label[: room - 1]}…"
    yield say("0", y + 13, label, "words")
    yield say("100%", y + 13, counts, "count", "end")
    top = y + LINE + 1
    left = 0.0
    for count, fill in zip(row.falls, FILLS, strict=True):
        if count:
            yield box("part", left, top, count, BAR, fill)
            left += count
    yield (
        f'<rect class="edge" x="0" y="{short(top)}" width="100%" height="{short(BAR)}" '
        f'fill="none" stroke="currentColor"/>'
    )
    said = " · ".join(_by_falls(row, _OF_RUNS)) or _(RARELY if row.rare else NEVER)
    yield say("0", top + BAR + 14, said, "soft")
    yield say("100%", top + BAR + 14, "".join(_end_here(row)), "soft", "end")


def landed_counts(survival: Survival) -> tuple[int, ...]:
    """Of 100 runs, how many land exactly 0, 1, 2 ... tricks; none without figures."""
    return out_of_hundred(survival.landed) if survival.landed is not None else ()


def landed_distribution(survival: Survival, *, title: str) -> str:
    """How many tricks are landed, as columns; empty without figures."""
    counts = landed_counts(survival)
    if not counts:
        return ""
    words = [
        _("{number} of 100 runs land {landed}").format(number=count, landed=at)
        for at, count in enumerate(counts)
        if count
    ]
    parts = list(_columns(counts))
    return picture("landed", title, f"{'; '.join(words)}.", parts, COLUMN + 62)


def _columns(counts: Sequence[int]) -> Iterator[str]:
    top, foot = max(counts), COLUMN + 22
    step = 100 / len(counts)
    every = -(-len(counts) // COLUMNS_NUMBERED)
    best = counts.index(top)
    for at, count in enumerate(counts):
        middle, height = step * (at + 0.5), count / top * COLUMN
        if count:
            yield box("column", step * (at + 0.1), foot - height, step * 0.8, height)
            if every == 1 or at == best:
                yield say(f"{short(middle)}%", foot - height - 5, str(count), "count", "middle")
        if at % every == 0:
            yield say(f"{short(middle)}%", foot + 17, str(at), "words", "middle")
    yield (
        f'<line class="axis" x1="0" x2="100%" y1="{short(foot)}" y2="{short(foot)}" '
        f'stroke="currentColor"/>'
    )
    yield say("0", foot + 35, _("Tricks landed; the columns count runs out of 100."), "soft")
