"""The pieces that the pictures of a run are drawn from, beside those of the course strip.

Places along the course are in per cent of the width, everything else is in px, so that a
picture fills any width while its words keep their size.
"""

from html import escape

from events.course_symbols import short, text

NARROW = 320.0  # px: the width that words are laid out for
CHARACTER = 6.9  # px: a generous mean width of a 13 px letter
LINE = 18.0  # px from one line of words to the next
DISC = 9.0  # px: the radius of a number's disc

_LOOP = '<path d="M-6 2C-2 4 5 1 4-4 3-8-4-8-4-3-4 1 2 4 6 2" fill="none"/>'


def picture(css_class: str, title: str, words: str, parts: list[str], height: float) -> str:
    """A whole picture as an accessible `<svg>`: its title, itself in words, and its parts."""
    return (
        f'<svg class="picture {css_class}" xmlns="http://www.w3.org/2000/svg" role="img" '
        f'width="100%" height="{short(height)}" font-size="13" fill="currentColor">'
        f"<title>{escape(title)}</title><desc>{escape(words)}</desc>{''.join(parts)}</svg>"
    )


def line(css_class: str, x1: float, y1: float, x2: float, y2: float, dash: str = "") -> str:
    """A straight line; x in per cent, y in px."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line class="{css_class}" x1="{short(x1)}%" y1="{short(y1)}" x2="{short(x2)}%" '
        f'y2="{short(y2)}" stroke="currentColor"{dashed}/>'
    )


def box(css_class: str, left: float, y: float, width: float, height: float,
        fill: str = "currentColor", opacity: float = 1) -> str:  # fmt: skip
    """A rectangle; `left` and `width` in per cent."""
    pale = f' fill-opacity="{short(opacity)}"' if opacity < 1 else ""
    return (
        f'<rect class="{css_class}" x="{short(left)}%" y="{short(y)}" width="{short(width)}%" '
        f'height="{short(height)}" fill="{fill}"{pale}/>'
    )


def placed(css_class: str, at: float, y: float, shape: str, shift: float = 0) -> str:
    """A shape drawn around 0, 0, moved to `at` per cent and `shift` px, and to `y`."""
    if shift:
        shape = f'<g transform="translate({short(shift)} 0)">{shape}</g>'
    return (
        f'<svg class="{css_class}" x="{short(at)}%" y="{short(y)}" overflow="visible" '
        f'width="1" height="1">{shape}</svg>'
    )


def disc(number: str, at: float, y: float, kind: str, shift: float = 0) -> str:
    """A number in a disc: "own" is filled, "switch" hollow; "dropped" has a broken edge."""
    dash = ' stroke-dasharray="3 2.5"' if "dropped" in kind else ""
    back, front = ("currentColor", "#fff") if kind == "own" else ("#fff", "currentColor")
    return placed(
        f"disc disc--{kind.replace(' ', ' disc--')}",
        at,
        y,
        f'<circle r="{short(DISC)}" fill="{back}" stroke="currentColor"{dash}/>'
        f'<text y="4.5" text-anchor="middle" fill="{front}">{escape(number)}</text>',
        shift,
    )


def loop(at: float, y: float, shift: float = 0, dropped: bool = False) -> str:
    """A turn on the water: a small loop."""
    kind = "turn turn--dropped" if dropped else "turn"
    return placed(kind, at, y, f'<g stroke="currentColor">{_LOOP}</g>', shift)


def say(x: str, y: float, words: str, css_class: str = "words", anchor: str = "start",
        shift: float = 0) -> str:  # fmt: skip
    """Words at `x` (px, or per cent with its sign)."""
    return text(x, y, words, anchor, css_class, shift)


def width_of(words: str) -> float:
    """About how wide words are, in px, on the narrow side of caution."""
    return len(words) * CHARACTER
