"""The forms of a ride: the panel, the times of a heat, and the sheet of one run."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.faults import Fault
from events.rules.run import Run
from riders.services import wording
from runsheets.judging.scoring import Marked
from runsheets.models import Judge, RiddenTrick, Ride
from runsheets.ride_sheet import Cell, Kind, key, number_value, trick_value
from runsheets.rides import Clash, Typed

MOST_OFF = Decimal("99999.99")
LONGEST = {"reason": 200, "points_reason": 200, "trick": 160}
OUTCOMES = (
    (RiddenTrick.Outcome.LANDED.value, gettext_lazy("Landed")),
    (RiddenTrick.Outcome.FALLEN.value, gettext_lazy("Fell")),
    (RiddenTrick.Outcome.NOT_REACHED.value, gettext_lazy("Not ridden")),
    ("", gettext_lazy("Open")),
)
CHANGED = gettext_lazy("Somebody else changed this meanwhile, and theirs stands.")
NO_OUTCOME = gettext_lazy("Say whether it was landed or not.")
NOT_RIDDEN = gettext_lazy("A trick that was not ridden has no other trick in its place.")


@dataclass
class Row:
    """One field on the page, with what is shown in it and what is wrong with it."""

    cell: Cell
    name: str
    label: str
    planned: str = ""
    value: str = ""
    actual: str = ""
    error: str = ""
    clash: str = ""
    least: Fraction | None = None
    most: Fraction | None = None

    @property
    def outcomes(self) -> tuple[tuple[str, str], ...]:
        """What can become of a trick."""
        return OUTCOMES

    def show(self, value: str) -> None:
        """Show a stored or typed value."""
        if self.cell.kind is Kind.TRICK:
            self.value, self.actual = (*value.split("|"), "", "")[:2]
        else:
            self.value = value


class SheetForm:
    """The sheet of a run: its tricks, marks and state, shown and read back.

    Wrong fields do not hold up the others: what can be saved is in `typed`, the others keep
    what was typed, with a sentence beside them.
    """

    def __init__(
        self,
        cells: Iterable[Cell],
        run: Run | None,
        passes: int,
        judges: Iterable[Judge],
        criteria: Iterable[Marked],
    ) -> None:
        """`passes` is how many there are where no run is declared."""
        self.stored = {cell.key: cell for cell in cells}
        self.typed: dict[str, Typed] = {}
        self.passes = self._passes(run, passes)
        criteria = list(criteria)
        self.criteria = [each.name or _("Mark") for each in criteria]
        self.marks = [
            (judge, [self._mark(judge, n, each) for n, each in enumerate(criteria)])
            for judge in judges
        ]
        self.ride = {
            name: self._row(f"r-{name}", label, Kind.RIDE, name)
            for name, label in (
                ("state", _("How far the run is")),
                ("reason", _("Reason, where it was disqualified or is ridden again")),
                ("points_off", _("Points off")),
                ("points_reason", _("What the points are taken off for")),
            )
        }

    @property
    def states(self) -> list[tuple[str, str]]:
        """What a run can be."""
        return [(str(value), str(label)) for value, label in Ride.State.choices]

    @property
    def rows(self) -> list[Row]:
        """Every field of the sheet."""
        tricks = [row for _, rows in self.passes for row in rows]
        marks = [row for _, rows in self.marks for row in rows]
        return [*tricks, *marks, *self.ride.values()]

    @property
    def errors(self) -> list[Row]:
        """The fields with something wrong."""
        return [row for row in self.rows if row.error]

    @property
    def faults(self) -> list[Fault]:
        """What the page's summary says: wrong fields, and those that others changed too."""
        wrong = [row for row in self.rows if row.error or row.clash]
        return [Fault(row.error or CHANGED, row.label, row.name) for row in wrong]

    def read(self, sent: Mapping[str, str]) -> None:
        """Take what was sent."""
        for row in self.rows:
            if f"{row.name}-read" not in sent:
                continue  # not on the page that was sent
            read, version = (
                sent[f"{row.name}-read"],
                sent.get(f"{row.name}-version", ""),
            )
            typed = sent.get(row.name, "").strip()
            row.value = typed
            if row.cell.kind is Kind.TRICK:
                value = self._trick(row, sent)
            elif row.cell.kind is Kind.MARK or row.name == "r-points_off":
                value = self._number(row, typed)
            else:
                value = self._word(row, typed)
            if not row.error:
                number = int(version) if version.isascii() and version.isdecimal() else 0
                self.typed[row.cell.key] = Typed(read, number, value)
        self._ask_reasons()

    def read_errors(self, other: "SheetForm") -> None:
        """Take over what was typed wrong on another sheet of the same run."""
        wrong = {row.name: row for row in other.errors}
        for row in self.rows:
            if found := wrong.get(row.name):
                row.value, row.actual, row.error = found.value, found.actual, found.error

    def clashed(self, clashes: Iterable[Clash]) -> None:
        """Show what others wrote, with what was typed kept beside it."""
        held = {clash.cell.key: clash for clash in clashes}
        for row in self.rows:
            if clash := held.get(row.cell.key):
                row.cell = clash.cell
                row.clash = clash.typed.replace("|", " ").strip() or "empty"
                row.show(clash.cell.value)

    def _passes(self, run: Run | None, passes: int) -> list[tuple[int, list[Row]]]:
        planned = {
            (p.pass_no, p.planned.bonus, p.position): wording(p.planned)
            for p in (run.places() if run else ())
        }
        numbers = [len(run.passes) if run else passes]
        for cell in self.stored.values():
            if cell.kind is Kind.TRICK:
                stored = (*cell.value.split("|"), "", "")[2]
                planned.setdefault((cell.pass_no, cell.bonus, cell.place), stored)
                numbers.append(cell.pass_no)
        found = []
        for n in range(1, max(numbers) + 1):
            places = sorted((b, place) for number, b, place in planned if number == n)
            rows = [self._trick_row(n, b, place, planned[n, b, place]) for b, place in places]
            free = max((place for b, place in places if not b), default=0) + 1
            rows.append(self._trick_row(n, "", free, ""))
            found.append((n, rows))
        return found

    def _trick_row(self, pass_no: int, bonus: str, place: int, planned: str) -> Row:
        name = f"{'b' if bonus else 't'}-{pass_no}-{place}"
        label = planned or _("A trick that was not declared")
        if bonus:
            label = f"{bonus[:1].upper()}{bonus[1:]}: {label}"
        row = self._row(name, label, Kind.TRICK, pass_no, bonus, place)
        row.planned = planned
        return row

    def _mark(self, judge: Judge, n: int, each: Marked) -> Row:
        label = _("{criterion}, judge {number} {name}").format(
            criterion=each.name or _("Mark"), number=judge.number, name=judge.name
        )
        row = self._row(
            f"m-{judge.pk}-{n}", label, Kind.MARK, judge.pk, each.name, judge.number
        )
        row.least, row.most = each.least, each.most
        return row

    def _row(self, name: str, label: str, *parts: object) -> Row:
        at = key(*parts)
        row = Row(self.stored.get(at) or Cell.empty(at), name, label)
        row.show(row.cell.value)
        return row

    def _trick(self, row: Row, sent: Mapping[str, str]) -> str:
        row.actual = sent.get(f"{row.name}-actual", "").replace("|", "/").strip()
        if row.value not in dict(OUTCOMES):
            row.error = NO_OUTCOME
        elif len(row.actual) > LONGEST["trick"]:
            row.error = _("Write at most {most} characters.").format(most=LONGEST["trick"])
        elif (row.actual or not row.planned) and row.value == OUTCOMES[2][0]:
            row.error = NOT_RIDDEN
        elif row.actual and not row.value:
            row.error = NO_OUTCOME
        elif row.value and not row.planned and not row.actual:
            row.error = _("Write which trick it was.")
        return trick_value(row.value, row.actual, row.planned)

    def _number(self, row: Row, typed: str) -> str:
        if not typed:
            return "" if row.cell.kind is Kind.MARK else "0"
        least = row.least or Fraction(0)
        most = row.most if row.most is not None else Fraction(MOST_OFF)
        try:
            if len(typed) > 12:
                raise InvalidOperation
            value = Decimal(typed.replace(",", "."))
            fits = value.is_finite() and least <= Fraction(value) <= most
            fits = fits and value == round(value, 2)
        except (InvalidOperation, ValueError):
            fits = False
        if not fits:
            wrong = _("Write a number from {least} to {most}, with at most two decimals.")
            if row.most is None:
                wrong = _("Write a number of {least} or more, with at most two decimals.")
            row.error = wrong.format(least=f"{float(least):g}", most=f"{float(most or 0):g}")
            return ""
        return number_value(value + 0)

    def _word(self, row: Row, typed: str) -> str:
        if row.name == "r-state" and typed not in dict(self.states):
            row.error = _("Choose how far the run is.")
        elif len(typed) > LONGEST.get(row.name[2:], 200):
            row.error = _("Write at most 200 characters.")
        return typed

    def _ask_reasons(self) -> None:
        state, reason = self.ride["state"], self.ride["reason"]
        if state.value == Ride.State.DISQUALIFIED and not reason.value:
            reason.error = _("Say why the rider is disqualified.")
            self.typed.pop(state.cell.key, None)
            self.typed.pop(reason.cell.key, None)
