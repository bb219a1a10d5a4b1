"""The pieces a course strip is drawn from: outlines, bars, lines and words.

Places along the course are in per cent of the width, everything else is in px.
"""

from functools import lru_cache
from html import escape

from events.rules.language import mark

KINDS = {
    "start": mark("Start buoy"),
    "end": mark("End buoy"),
    "cutoff": mark("Cutoff marker"),
    "no-pickup": mark("No pick-up past"),
    "marker": mark("Other marker"),
}
STATES = {
    "planned": mark("Planned"),
    "expected": mark("Expected"),
    "dropped": mark("Dropped"),
    "set-up": mark("Set-up"),
}

_HOLLOW = 'fill="none" stroke="currentColor" stroke-width="2"'
_SHAPES = {
    "start": '<circle r="6" class="strip-hollow" fill="#fff" stroke="currentColor"'
    ' stroke-width="3"/>',
    "end": '<circle r="7.5" fill="currentColor"/>',
    "cutoff": '<path d="M-8 10 0-6 8 10z" fill="currentColor"/>',
    "no-pickup": '<path class="strip-hollow" d="M-7-7H7V7H-7z" fill="#fff"'
    ' stroke="currentColor" stroke-width="2.5"/>'
    '<path d="M-7 7 7-7" stroke="currentColor" stroke-width="2.5"/>',
    "marker": '<path class="strip-hollow" d="M0-8 8 0 0 8-8 0z" fill="#fff"'
    ' stroke="currentColor" stroke-width="2.5"/>',
    # Two wakes that meet.
    "bonus": f'<path d="M-5-6 5 6M-5 6 5-6" {_HOLLOW}/>',
    "way-right": '<path d="M-3-3 1 0-3 3" fill="none" stroke="currentColor"/>',
    "way-left": '<path d="M3-3-1 0 3 3" fill="none" stroke="currentColor"/>',
    "tick-planned": '<path d="M-8-5H8V5H-8z" fill="currentColor"/>',
    "tick-expected": f'<path d="M-8-5H8V5H-8z" {_HOLLOW}/>',
    "tick-dropped": '<path d="M-8-5H8V5H-8z" fill="none" stroke="currentColor"'
    ' stroke-dasharray="3 3"/>',
    "tick-set-up": '<path d="M-8-2H8V2H-8z" fill="currentColor" fill-opacity="0.35"/>',
}


def symbol(kind: str, at: float, y: float, *, shift: float = 0) -> str:
    """The outline of `kind` centred at `at` per cent of the width and `y` px, moved by
    `shift` px. A kind that has none of its own gets the plain marker's."""
    shape = _SHAPES.get(kind, _SHAPES["marker"])
    if shift:
        shape = f'<g transform="translate({shift:g} 0)">{shape}</g>'
    return (
        f'<svg class="strip-symbol strip-symbol--{escape(kind)}" x="{at:.2f}%" y="{y:.2f}" '
        f'overflow="visible" width="1" height="1">{shape}</svg>'
    )


def bar(state: str, left: float, right: float, y: float) -> str:
    """The bar of one trick: solid if planned, hollow if expected, dashed if dropped."""
    looks = {
        "planned": 'fill="currentColor" stroke="currentColor"',
        "dropped": 'fill="none" stroke="currentColor" stroke-dasharray="3 3"',
        "set-up": 'fill="currentColor" fill-opacity="0.35"',
    }
    look = looks.get(state, 'fill="none" stroke="currentColor" stroke-width="1.5"')
    height = 4 if state == "set-up" else 10
    width = max(right - left, 0.6)  # one that takes no water is still seen
    return (
        f'<rect class="strip-tick strip-tick--{escape(state)}" x="{short(left)}%" '
        f'y="{short(y - height - 1)}" width="{short(width)}%" height="{height}" {look}/>'
    )


def lead(at: float, top: float, bottom: float) -> str:
    """A thin line that ties words to their place on the water."""
    return (
        f'<line class="strip-lead" x1="{short(at)}%" x2="{short(at)}%" y1="{short(top)}" '
        f'y2="{short(bottom)}" stroke="currentColor" stroke-opacity="0.5"/>'
    )


def text(x: str, y: float, words: str, anchor: str, css_class: str, shift: float = 0) -> str:
    """Words at `x` (px, or per cent with its sign), moved aside by `shift` px."""
    aside = f' dx="{short(shift)}"' if shift else ""
    return (
        f'<text class="{css_class}" x="{x}" y="{short(y)}"{aside} text-anchor="{anchor}">'
        f"{escape(words)}</text>"
    )


@lru_cache(maxsize=4096)  # a picture says most of its heights and markers many times
def short(number: float) -> str:
    """A number as short as it can be said, to two decimals."""
    said = f"{number:.2f}".rstrip("0").rstrip(".")
    return "0" if said == "-0" else said
