"""A trick's log as a picture: what was landed day by day, and what it says so far.

Inline SVG without scripts. Places along the picture are per cent of its width and heights
are px, so that it fills any width while words and dots keep their size. The description says
in words what is drawn, and nothing is told by colour alone.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from html import escape
from math import sqrt

from events.rules import dates
from events.rules.language import gettext as _
from riders.planning.landing import LandingEstimate, estimate

LEFT, SPAN = 13.0, 83.0  # per cent of the width: where the first day stands, and how far
TOP, HEIGHT = 14.0, 200.0  # px: where 100 % lies, and from there down to 0 %
FOOT = 26.0  # px: the room for the days under the picture
SMALLEST, LARGEST = 3.5, 11.0  # px: radius of a dot
GRID = 1000  # the inner picture's own units, both ways
DAYS_SAID = 12  # more would be read out for minutes; the table below has them all


@dataclass(frozen=True, slots=True)
class TrendPoint:
    """One day, and the estimate from everything up to and with that day."""

    day: date
    landed: int
    tried: int
    so_far: LandingEstimate

    @property
    def share(self) -> float:
        """Landed of tried on that day."""
        return self.landed / self.tried


def trend(days: Sequence[tuple[date, int, int]]) -> list[TrendPoint]:
    """The points of (day, landed, tried); one entry a day, the first day first."""
    points, landed, tried = [], 0, 0
    for day, landed_now, tried_now in days:
        landed, tried = landed + landed_now, tried + tried_now
        points.append(TrendPoint(day, landed_now, tried_now, estimate(landed, tried)))
    return points


def trend_words(
    trick: str, points: Sequence[TrendPoint], percent: Callable[[float], str]
) -> tuple[str, str]:
    """The title and the description of the picture. `percent` writes a share."""
    first, last = points[0].day, points[-1].day
    total = points[-1].so_far
    title = _("{trick}, on {day}") if first == last else _("{trick}, {day} to {last_day}")
    title = title.format(trick=trick, day=dates.day(first), last_day=dates.day(last))
    described = _(
        "Landed of tried: {days}. All together {landed} of {tried}: cautious estimate "
        "{estimate}, 95 % interval between {low} and {high}. The first day alone gave a "
        "cautious estimate of {first_estimate}."
    ).format(
        days=_days_in_words(points),
        landed=total.landed,
        tried=total.tried,
        estimate=percent(total.cautious),
        low=percent(total.low),
        high=percent(total.high),
        first_estimate=percent(points[0].so_far.cautious),
    )
    return title, described


def _days_in_words(points: Sequence[TrendPoint]) -> str:
    """Every day, or of many the best and the worst."""
    if len(points) <= DAYS_SAID:
        said = _("{day} {landed} of {tried}")
        return "; ".join(
            said.format(day=dates.day(point.day), landed=point.landed, tried=point.tried)
            for point in points
        )
    worst = min(points, key=lambda point: point.share)
    best = max(points, key=lambda point: point.share)
    return _(
        "{number} days; the best {best_day} with {best_landed} of {best_tried}, the worst "
        "{worst_day} with {worst_landed} of {worst_tried}"
    ).format(
        number=len(points),
        best_day=dates.day(best.day),
        best_landed=best.landed,
        best_tried=best.tried,
        worst_day=dates.day(worst.day),
        worst_landed=worst.landed,
        worst_tried=worst.tried,
    )


def trend_picture(
    trick: str, points: Sequence[TrendPoint], percent: Callable[[float], str]
) -> str:
    """The picture of at least one point as SVG, safe to put into a page."""
    title, described = trend_words(trick, points, percent)
    parts = [*_grid(), _inner(points), *_dots(points), *_days(points)]
    return (
        f'<svg class="trend" role="img" aria-labelledby="trend-title trend-desc"'
        f' width="100%" height="{TOP + HEIGHT + FOOT:g}">'
        f'<title id="trend-title">{escape(title)}</title>'
        f'<desc id="trend-desc">{escape(described)}</desc>{"".join(parts)}</svg>'
    )


def _places(points: Sequence[TrendPoint]) -> list[float]:
    """Where each day stands, from 0 to 1; a single day stands in the middle."""
    first, last = points[0].day.toordinal(), points[-1].day.toordinal()
    if first == last:
        return [0.5]
    return [(point.day.toordinal() - first) / (last - first) for point in points]


def _down(share: float) -> float:
    return TOP + HEIGHT * (1 - share)


def _grid() -> list[str]:
    lines = []
    for per_cent in (0, 25, 50, 75, 100):
        y = _down(per_cent / 100)
        lines.append(
            f'<line class="trend-grid" x1="{LEFT - 2:g}%" x2="{LEFT + SPAN + 2:g}%"'
            f' y1="{y:g}" y2="{y:g}"/><text class="trend-words" x="{LEFT - 3:g}%"'
            f' y="{y + 4:g}" text-anchor="end">{per_cent} %</text>'
        )
    return lines


def _inner(points: Sequence[TrendPoint]) -> str:
    """The band and the line, in a picture of its own that stretches with the width."""
    across = [GRID * place for place in _places(points)]
    so_far = [point.so_far for point in points]
    if len(points) == 1:  # a single day has no width: draw a short piece
        across, so_far = [GRID * 0.46, GRID * 0.54], so_far * 2
    high = _line(across, [each.high for each in so_far])
    low = _line(across[::-1], [each.low for each in so_far[::-1]])
    middle = _line(across, [each.cautious for each in so_far])
    return (
        f'<svg x="{LEFT:g}%" y="{TOP:g}" width="{SPAN:g}%" height="{HEIGHT:g}"'
        f' viewBox="0 0 {GRID} {GRID}" preserveAspectRatio="none" aria-hidden="true">'
        f'<polygon class="trend-band" points="{high} {low}"/>'
        f'<polyline class="trend-line" vector-effect="non-scaling-stroke" points="{middle}"/>'
        "</svg>"
    )


def _line(across: Sequence[float], shares: Sequence[float]) -> str:
    pairs = zip(across, shares, strict=True)
    return " ".join(f"{x:.1f},{GRID * (1 - share):.1f}" for x, share in pairs)


def _dots(points: Sequence[TrendPoint]) -> list[str]:
    """A dot for each day; its area grows with the tries."""
    most = max(point.tried for point in points)
    return [
        f'<circle class="trend-dot" cx="{LEFT + SPAN * place:.2f}%"'
        f' cy="{_down(point.share):.1f}"'
        f' r="{max(SMALLEST, LARGEST * sqrt(point.tried / most)):.1f}"/>'
        for place, point in zip(_places(points), points, strict=True)
    ]


def _days(points: Sequence[TrendPoint]) -> list[str]:
    y = TOP + HEIGHT + FOOT - 5
    words = '<text class="trend-words" x="{x:g}%" y="{y:g}" text-anchor="{anchor}">{day}</text>'
    first, last = points[0].day, points[-1].day
    if first == last:
        return [
            words.format(x=LEFT + SPAN / 2, y=y, anchor="middle", day=dates.short_day(first))
        ]
    return [
        words.format(x=LEFT - 2, y=y, anchor="start", day=dates.short_day(first)),
        words.format(x=LEFT + SPAN + 2, y=y, anchor="end", day=dates.short_day(last)),
    ]
