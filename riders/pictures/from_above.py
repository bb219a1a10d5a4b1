"""A run seen from above: the boat's wake, and the rider's line from side to side of it.

Drawn to scale along the course, not across it. Nothing is told by colour alone: a filled
number is ridden in the rider's own stance and a hollow one switch, set-up moves have marks
of their own, and what no longer fits is dashed. The whole run is repeated in words.
"""

from collections.abc import Iterator, Sequence

from events.course_symbols import KINDS, short, symbol
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.format import Format
from events.rules.language import gettext as _
from events.rules.language import mark
from riders.pictures.course import Water, water_of
from riders.pictures.ink import DISC, NARROW, disc, loop, picture, say
from riders.pictures.pass_picture import DASHES, KEY_INDENT, PassPicture, Stretch
from riders.pictures.track import Kind
from riders.pictures.words import start_in_words, start_of, step_in_words
from riders.planning.route import Route

EXTRA = 0.16  # of the water drawn is given to each bonus trick, which itself uses none
OPEN_END = 1.1  # a pass of no stated length is drawn this much past the last thing on it
KEYS = ("own", "switch", "turn", "cross", "dropped")
KEY_WORDS = {
    "own": mark("Own stance"),
    "switch": mark("Switch"),
    "turn": mark("Turn on the water"),
    "cross": mark("Crossing"),
    "dropped": mark("No longer fits"),
}


def from_above(route: Route, format: Format, *, title: str, units: Units = AS_PUBLISHED) -> str:
    """The passes of a route one below the other, as the text of an accessible `<svg>`.

    A pass that comes back runs from right to left, and then port lies below.
    """
    waters = [water_of(format, each.pass_no) for each in route.passes]
    stretch = _stretch(route, waters)
    parts: list[str] = []
    y = 0.0
    for each, water in zip(route.passes, waters, strict=True):
        drawn = PassPicture(route, each, water, format, stretch, units)
        parts += drawn.parts(y)
        y = drawn.bottom
    keys = _keys(route, waters)
    parts += _legend(keys, y)
    y += 12 + (len(keys) + 1) // 2 * 22
    words = " ".join(in_words(route, format, units))
    return picture("from-above", title, words, parts, y)


def in_words(route: Route, format: Format, units: Units = AS_PUBLISHED) -> list[str]:
    """What the picture shows, in sentences: each pass, then its tricks in order."""
    said = []
    for each in route.passes:
        water = water_of(format, each.pass_no)
        said.append(f"{water.heading(units)}.")
        start = start_of(route, each.pass_no)
        if start is not None:
            said.append(start_in_words(start))
        said += [f"{step_in_words(step)}." for step in each.steps]
        if not each.steps:
            said.append(_("No tricks planned."))
        said += [f"{marker.words(units)}." for marker in water.markers]
    return said


def _stretch(route: Route, waters: Sequence[Water]) -> Stretch:
    """Every marker and every trick, also what does not fit, and room for bonus tricks."""
    low, high, extras = 0.0, 1.0, 0
    for each, water in zip(route.passes, waters, strict=True):
        tricks = [step.end_m for step in each.steps if not step.planned.bonus]
        marks = [marker.metres for marker in water.markers]
        open_end = OPEN_END if water.length_m is None else 1.0
        low = min([low, *marks])
        high = max([high, *marks, *(metres * open_end for metres in tricks)])
        extras = max(extras, sum(bool(step.planned.bonus) for step in each.steps))
    extra = EXTRA * (high - low)
    return Stretch(low, high + extra * extras, extra)


def _keys(route: Route, waters: Sequence[Water]) -> list[tuple[str, str]]:
    """(mark, words) of everything that the picture uses."""
    steps = list(route.steps())
    moves = {move.value for step in steps for move in step.moves}
    used = {step.before.stance.value.replace("regular", "own") for step in steps} | moves
    if any(not step.fits for step in steps):
        used.add("dropped")
    kinds = {"start"} | {marker.kind for water in waters for marker in water.markers}
    keys = [(key, _(KEY_WORDS[key])) for key in KEYS if key in used]
    return keys + [(kind, _(words)) for kind, words in KINDS.items() if kind in kinds]


def _legend(keys: Sequence[tuple[str, str]], y: float) -> Iterator[str]:
    for place, (key, words) in enumerate(keys):
        left, down = place % 2 * NARROW / 2, y + 14 + place // 2 * 22
        shift = left + DISC + 1
        if key in ("own", "switch"):
            yield disc("", 0, down, key, shift)
        elif key == "turn":
            yield loop(0, down, shift)
        elif key in ("cross", "dropped"):
            dash = DASHES[Kind(key)]
            yield (
                f'<line class="rider rider--{key}" x1="{short(left)}" x2="{short(left + 20)}" '
                f'y1="{short(down)}" y2="{short(down)}" stroke="currentColor" '
                f'stroke-dasharray="{dash}"/>'
            )
        else:
            yield symbol(key, 0, down, shift=shift)
        yield say(short(left + KEY_INDENT), down + 4.5, words, "soft")
