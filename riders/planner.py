"""A planner's page: the rows as typed, read into a run, checked, and put beside each other."""

from dataclasses import dataclass, field, replace
from functools import cached_property

from django.utils.formats import number_format
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from events.faults import Fault, faults_of
from events.models import Edition
from events.rules.answers_bonus import bonus_word
from events.rules.answers_words import capital
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.findings import Finding, Grade
from events.rules.format import Format
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.vocabulary import Vocabulary, standard_vocabulary
from riders.forms import RowForm
from riders.log_services import logged_counts
from riders.models import Declaration, Entry, LandingRecord, PlanVariant
from riders.planning.check import Check
from riders.planning.unknowns import CHANCE_MISSING
from riders.rows import PassRows, Row, Sheet
from riders.services import Window, check_under, vocabulary_of, wording

PASSES_USUAL = 2  # common practice, no source; only where the format does not say
TRICKS_USUAL = 5
ROWS_MOST = 60
TOO_MANY = format_lazy(
    gettext_lazy(
        "At most {number} tricks can be planned in one run. Nothing is lost: take some rows "
        "out and check again."
    ),
    number=ROWS_MOST,
)


@dataclass
class PlannerRow:
    """One row on the page: its form, and once checked what was found about it."""

    form: RowForm
    prefix: str
    number: int
    name: str = ""
    place: tuple[int, int] | None = None
    findings: tuple[Finding, ...] = ()
    focus: bool = False
    remembered: str = ""
    from_log: bool = False

    @property
    def place_in_words(self) -> str:
        """Where the row stands in the run."""
        number = self.prefix[1:].partition("-")[0]
        if self.name:
            said = _("{bonus} of pass {number}")
            return said.format(bonus=capital(bonus_word(self.name)), number=number)
        return _("Trick {place} of pass {number}").format(place=self.number, number=number)

    @property
    def faults(self) -> list[Fault]:
        """What is wrong in the row, and where; the trick needs no name of its own."""
        where = self.place_in_words
        told = faults_of(self.form, where)
        # The labels on the page read on from one another: "Landed", "of tried", "or chance".
        words = {
            "tried": _("{place}, tried").format(place=where),
            "chance": _("{place}, chance").format(place=where),
            "trick": where,
        }
        wrong = [
            replace(each, label=words.get(each.target.rpartition("-")[2], each.label))
            for each in told
        ]
        trick = self.form["trick"].id_for_label
        broken = [each for each in self.findings if each.grade is Grade.RULE]
        return wrong + [Fault(each.message, where, trick) for each in broken]

    @property
    def filled_in(self) -> str:
        """Which record stands for the empty fields, in a sentence; empty where none does."""
        if not self.remembered:
            return ""
        said = (
            _("From your log: {record}.") if self.from_log else _("From your record: {record}.")
        )
        return said.format(record=self.remembered)


@dataclass
class PlannerPass:
    """One pass on the page."""

    number: int
    rows: list[PlannerRow] = field(default_factory=list)
    bonus: list[PlannerRow] = field(default_factory=list)


class Planner:
    """Everything that the planner's page shows for one entry and one round."""

    def __init__(
        self,
        entry: Entry,
        edition: Edition,
        round_name: str,
        sheet: Sheet,
        focus: str = "",
        *,
        units: Units = AS_PUBLISHED,
    ) -> None:
        self.entry = entry
        self.edition = edition
        self.round_name = round_name
        self.format: Format = edition.effective(round_name or None)
        self.sheet = _fitted(sheet, self.format)
        self.focus = focus
        self.units = units
        self.is_refused = False
        self.window: Window | None = None  # the open page in which it is typed
        self.elsewhere: PlanVariant | None = None  # keeps what another page had put there
        self.too_many = self.sheet.size > ROWS_MOST
        self.passes = [self._pass(n, each) for n, each in enumerate(self.sheet.passes, start=1)]
        self.run, self.unread = self._read()
        self.check: Check | None = None
        if not self.too_many:
            self.check = check_under(
                edition, self.run, entry.rider, self.sheet.side, round_name, units
            )
            self._spread(self.check)

    @cached_property
    def vocabulary(self) -> Vocabulary:
        """The tricks that the rider can plan."""
        if not getattr(self.entry, "has_made_tricks", True):
            return standard_vocabulary()
        return vocabulary_of(self.entry.rider, self.entry.division.event.club)

    def _words(self) -> Vocabulary:
        # A row asks only when something was typed into it.
        return self.vocabulary

    @cached_property
    def records(self) -> dict[str, LandingRecord]:
        """The rider's landing records by trick; the log comes before what was typed once."""
        return {record.trick: record for record in self.entry.rider.records.all()} | self.logged

    @cached_property
    def logged(self) -> dict[str, LandingRecord]:
        """What the rider's landing log adds up to, by trick."""
        counts = logged_counts(rider=self.entry.rider)
        return {
            trick: LandingRecord(trick=trick, landed=landed, tried=tried)
            for trick, (landed, tried) in counts.items()
        }

    @property
    def typed(self) -> Run:
        """The run with the records that were typed into it, none that was remembered."""
        return Run(tuple(
            Pass(_typed(each.rows), _typed(each.bonus)) for each in self.passes
        ))  # fmt: skip

    @property
    def rows(self) -> list[PlannerRow]:
        """Every row of the page."""
        return [row for each in self.passes for row in each.rows + each.bonus]

    @property
    def faults(self) -> list[Fault]:
        """What has to be put right before the run can be declared, once that was asked.

        While somebody types, the sentences beside the rows are enough.
        """
        if not self.is_refused:
            return []
        general = self.check.general if self.check else ()
        whole = [Fault(f.message, target="check") for f in general if f.grade is Grade.RULE]
        return whole + [fault for row in self.rows for fault in row.faults]

    def newest_declaration(self) -> Declaration | None:
        """The declared run in force for this entry and round."""
        return self.entry.declarations.filter(round_name=self.round_name).first()

    def _pass(self, number: int, each: PassRows) -> PlannerPass:
        rows = [self._row(f"p{number}", i, row) for i, row in enumerate(each.tricks, start=1)]
        bonus = [self._row(f"b{number}", i, row) for i, row in enumerate(each.bonus, start=1)]
        return PlannerPass(number, rows, bonus)

    def _row(self, prefix: str, number: int, row: Row) -> PlannerRow:
        prefix = f"{prefix}-{number}"
        values = {f"{prefix}-{key}": getattr(row, key) for key in Row.__annotations__}
        form = RowForm(values, prefix=prefix, vocabulary=self._words, bonus=row.name)
        return PlannerRow(form, prefix, number, row.name, focus=prefix == self.focus)

    def _read(self) -> tuple[Run, int]:
        passes, unread = [], 0
        for each in self.passes:
            tricks = [p for row in each.rows if (p := self._planned(row)) is not None]
            bonus = [p for row in each.bonus if (p := self._planned(row)) is not None]
            unread += sum(not row.form.is_valid() for row in each.rows + each.bonus)
            passes.append(Pass(tuple(tricks), tuple(bonus)))
            readable = [
                r for r in each.rows + each.bonus if r.form.is_valid() and r.form.planned
            ]
            for position, row in enumerate(readable, start=1):
                row.place = (each.number, position)
        return Run(tuple(passes)), unread

    def _planned(self, row: PlannerRow) -> PlannedTrick | None:
        planned = row.form.planned if row.form.is_valid() else None
        if planned is None or planned.likelihood is not None:
            return planned
        record = self.records.get(wording(planned))
        if record is None:
            return planned
        row.remembered = _said(record)
        row.from_log = record.trick in self.logged
        return replace(planned, landed=record.landed, tried=record.tried, chance=record.chance)

    def _spread(self, check: Check) -> None:
        for row in self.rows:
            if row.place is not None:
                found = check.at(*row.place)
                # The empty fields of the row say it already.
                row.findings = tuple(f for f in found if f.code != CHANCE_MISSING)

    @property
    def broken(self) -> int:
        """How many findings break a rule."""
        found = self.check.findings if self.check else ()
        return sum(finding.grade is Grade.RULE for finding in found)


def _typed(rows: list[PlannerRow]) -> tuple[PlannedTrick, ...]:
    return tuple(r.form.planned for r in rows if r.form.is_valid() and r.form.planned)


def _said(record: LandingRecord) -> str:
    if record.chance is not None:
        return _("{number} %").format(number=number_format(f"{record.chance * 100:g}"))
    return _("{landed} landed of {tried} tried").format(
        landed=record.landed, tried=record.tried
    )


def _fitted(sheet: Sheet, format: Format) -> Sheet:
    """The sheet with a place for every pass and every bonus trick of the format."""
    wanted = format.passes.count or PASSES_USUAL
    is_new = not sheet.passes
    while len(sheet.passes) < wanted:
        sheet.passes.append(PassRows())
    for number, each in enumerate(sheet.passes, start=1):
        if is_new:
            usual = format.passes.tricks_expected or TRICKS_USUAL
            each.tricks = [Row() for _ in range(min(usual, ROWS_MOST // len(sheet.passes)))]
        names = [bonus.name or "" for bonus in format.bonus_after(number)]
        if format.double_ups is None and number == len(sheet.passes):
            names = ["double-up"]
        kept = {row.name: row for row in each.bonus}
        each.bonus = [kept.pop(name, Row(name=name)) for name in names]
        each.bonus += [row for row in kept.values() if not row.is_blank]
    return sheet
