"""A rider on the scribe's sheet: each trick as planned, and a line for what was ridden."""

from dataclasses import dataclass

from events.rules.language import gettext as _
from runsheets.papers.paper import WrittenRun
from runsheets.pdf.fonts import BOLD, HEAD, REGULAR, Faces
from runsheets.pdf.page import FINE, GREY, HAIR, HEAVY, MEDIUM, Pen, SetText, fit
from runsheets.sheets import RiderSheet

NUMBER, PLANNED, BOXES = 26.0, 0.36, 76.0
NAME, NAME_SMALLEST, ABOUT, LABEL = 14.0, 11.0, 9.0, 7.5
ROW, ROW_PAD = 18.0, 5.0
TRICK, TRICK_SMALLEST, PASS = 10.5, 9.0, 11.5
BOX, PASS_ABOVE = 12.0, 6.0


@dataclass(frozen=True)
class WhoRides:
    """The head of a rider: order, name, bib, and the labels of the columns."""

    order: SetText
    name: SetText
    bib: SetText
    about: SetText
    width: float
    labels: tuple[SetText, ...]
    gap = 12.0
    lead = None

    @property
    def height(self) -> float:
        """Height down to the labels of the columns."""
        return self._words + 12

    @property
    def _words(self) -> float:
        return max(self.name.height + self.about.height, self.order.height) + 6

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it with its upper left corner at (x, y)."""
        pen.rule(x, y, x + self.width, y, HEAVY)
        first = y + 5 + self.name.size * 0.9
        pen.say(x, max(first, y + 5 + self.order.size * 0.75), self.order)
        pen.say(x + self.width, first, self.bib, "right")
        left = x + max(NUMBER, self.order.width + 8)
        last = pen.say(left, first, self.name)
        pen.say(left, last + self.about.size * 1.3, self.about, ink=GREY)
        base = y + self.height - 3
        planned, ridden, landed, fell = self.labels
        pen.say(x + NUMBER, base, planned, ink=GREY)
        pen.say(x + _ridden(self.width), base, ridden, ink=GREY)
        pen.say(x + self.width - BOXES * 0.75, base, landed, "centre", GREY)
        pen.say(x + self.width - BOXES * 0.25, base, fell, "centre", GREY)


def _ridden(width: float) -> float:
    return NUMBER + PLANNED * width + 8


@dataclass(frozen=True)
class PassName:
    """The name of a pass, over a rule."""

    text: SetText
    lead: WhoRides
    width: float
    gap: float

    @property
    def height(self) -> float:
        """Height down to the rule."""
        return self.text.height + 3

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it with its upper left corner at (x, y)."""
        pen.say(x, y + self.text.size * 0.95, self.text)
        pen.rule(x, y + self.height, x + self.width, y + self.height, MEDIUM)


@dataclass(frozen=True)
class WrittenLine:
    """One trick as planned, a line to write on, and two boxes."""

    label: SetText
    planned: SetText
    lead: WhoRides
    width: float
    gap = 0.0

    @property
    def height(self) -> float:
        """Height down to the line."""
        return max(ROW, self.planned.height + ROW_PAD)

    def draw(self, pen: Pen, x: float, y: float) -> None:
        """Draw it with its upper left corner at (x, y)."""
        first = y + (self.height - self.planned.height) / 2 + TRICK * 0.98
        base = first if self.planned.lines else y + self.height / 2 + TRICK * 0.36
        pen.say(x, base, self.label)
        pen.say(x + max(NUMBER, self.label.width + 6), first, self.planned)
        foot = y + self.height
        pen.rule(x, foot, x + _ridden(self.width) - 8, foot, HAIR, GREY)
        pen.rule(x + _ridden(self.width), foot, x + self.width - BOXES - 4, foot, FINE)
        for part in (0.75, 0.25):
            left = x + self.width - BOXES * part - BOX / 2
            pen.box(left, y + (self.height - BOX) / 2, BOX, BOX, FINE, fill=1)


Part = PassName | WrittenLine


def measure_written_run(faces: Faces, run: WrittenRun, width: float) -> list[Part]:
    """Set a rider within a width, as blocks that stay together where a page has the room."""
    who = _who(faces, run.sheet, width)
    parts: list[Part] = []
    for each in run.sheet.passes:
        heading = fit(faces, each.heading, HEAD, width, PASS, PASS - 2)
        parts.append(PassName(heading, who, width, PASS_ABOVE if parts else 0.0))
        for line in (*each.lines, *each.bonus):
            label = fit(faces, line.label, BOLD, PLANNED * width / 2, ABOUT, ABOUT - 1.5)
            room = PLANNED * width - max(0, label.width + 6 - NUMBER)
            text = fit(faces, line.text, REGULAR, room, TRICK, TRICK_SMALLEST)
            parts.append(WrittenLine(label, text, who, width))
    return parts


def _who(faces: Faces, sheet: RiderSheet, width: float) -> WhoRides:
    number = _("bib {bib}").format(bib=sheet.bib) if sheet.bib else _("no bib")
    bib = fit(faces, number, HEAD, width / 5, NAME, 9)
    order = fit(faces, str(sheet.order or ""), HEAD, width / 6, 22, 12)
    room = width - max(NUMBER, order.width + 8) - bib.width - 14
    about = "  ·  ".join(filter(None, (sheet.stance, sheet.club, sheet.note)))
    labels = (_("planned"), _("what was ridden"), _("landed"), _("fell"))
    return WhoRides(
        order,
        fit(faces, sheet.name, BOLD, room, NAME, NAME_SMALLEST),
        bib,
        fit(faces, about, REGULAR, room, ABOUT, ABOUT - 1),
        width,
        tuple(fit(faces, label, REGULAR, BOXES, LABEL) for label in labels),
    )
