"""Suggestions for a plan, and how one of them becomes the plan."""

from dataclasses import dataclass, replace
from functools import cached_property

from events.rules.language import gettext as _
from events.rules.notation import NotationError, read_trick, write_trick
from events.rules.run import PlannedTrick, Run
from riders.forms import CLEAN_USUAL
from riders.planner import Planner
from riders.planning.backups import BackUp, back_up_line, back_ups
from riders.planning.band import Band, clean_band, no_band
from riders.planning.changes import Change, single_changes
from riders.planning.goals import at_least, most_tiers
from riders.planning.ground import Goal, Ground, Record, Suggestion
from riders.planning.order import best_order
from riders.planning.route import Foot, Side
from riders.planning.training import Training, training
from riders.rows import PassRows, Row, Sheet
from riders.services import wording

CHANGES_SHOWN = 8


def ground_of(planner: Planner) -> Ground:
    """The rules and the rider that a plan is made for."""
    return Ground(
        planner.format,
        Foot(planner.entry.rider.foot),
        Side(planner.sheet.side),
        planner.entry.division.name,
        planner.round_name or None,
        planner.units,
    )


def sure(planner: Planner) -> Band | None:
    """How sure the chance to land everything is; None where that cannot be told."""
    return clean_band(planner.run, ground_of(planner))


def known_tricks(planner: Planner) -> Record:
    """Every trick that the rider has a record of, or a chance, and that can be read."""
    found = []
    for words, record in planner.records.items():
        try:
            trick = read_trick(words, planner.vocabulary)
        except NotationError:
            continue  # an own trick that is gone, or one of another club
        found.append(
            replace(trick, landed=record.landed, tried=record.tried, chance=record.chance)
        )
    return tuple(found)


@dataclass
class Suggestions:
    """Everything that is suggested for one plan. Each part is worked out when it is shown."""

    planner: Planner
    goal: Goal = Goal.CLEAN
    clean: int = CLEAN_USUAL

    @cached_property
    def ground(self) -> Ground:
        """The rules and the rider."""
        return ground_of(self.planner)

    @cached_property
    def record(self) -> Record:
        """The tricks that the rider knows the chance of."""
        return known_tricks(self.planner)

    @property
    def run(self) -> Run:
        """The plan as it is."""
        return self.planner.run

    @property
    def order(self) -> Suggestion:
        """The best order of the same tricks."""
        return best_order(self.run, self.ground, goal=self.goal)

    @property
    def changes(self) -> tuple[Change, ...]:
        """The single changes that gain most."""
        found = single_changes(
            self.run, self.ground, record=self.record, goal=self.goal, limit=CHANGES_SHOWN
        )
        return found

    @property
    def goals(self) -> list[tuple[str, Suggestion]]:
        """Ways to a wished-for chance to land everything, each with its heading."""
        share = self.clean / 100
        pairs = (
            (
                _("Reach {number} % clean").format(number=self.clean),
                at_least(self.run, self.ground, self.record, share),
            ),
            (
                _("The most tiers at no less than {number} % clean").format(number=self.clean),
                most_tiers(self.run, self.ground, self.record, share),
            ),
        )
        return [(heading, found) for heading, found in pairs if found is not None]

    @cached_property
    def back_ups(self) -> tuple[BackUp, ...]:
        """What to ride instead after a fall, place by place."""
        return back_ups(self.run, self.ground, self.record)

    @property
    def back_up_line(self) -> str:
        """The back-ups as one line of notation."""
        return back_up_line(self.run, self.back_ups)

    @property
    def training(self) -> tuple[Training, ...]:
        """What practice of each trick would bring."""
        return training(self.run, self.ground)

    @property
    def band(self) -> Band | None:
        """How sure the chance to land everything is."""
        return clean_band(self.run, self.ground)

    @property
    def no_band(self) -> str | None:
        """Why there is no band."""
        return no_band(self.run, self.ground)


def sheet_of(run: Run, planner: Planner) -> Sheet:
    """The rows of a suggested run; rows of the plan that cannot be read stay at the end."""
    passes = []
    for number, each in enumerate(run.passes, start=1):
        tricks = [_row(planned, planner) for planned in each.tricks]
        bonus = [_row(planned, planner) for planned in each.bonus]
        passes.append(PassRows(tricks, bonus))
        if number <= len(planner.passes):
            kept = planner.passes[number - 1]
            rows = planner.sheet.passes[number - 1]
            passes[-1].tricks += [
                typed
                for row, typed in zip(kept.rows, rows.tricks, strict=True)
                if not row.form.is_valid()
            ]
    return Sheet(planner.sheet.side, passes)


def _row(planned: PlannedTrick, planner: Planner) -> Row:
    words = write_trick(replace(planned, landed=None, tried=None, chance=None, fell=False))
    if planned.bonus:
        words = wording(planned)
    row = Row(trick=words, name=planned.bonus)
    if _is_remembered(planned, planner):
        return row
    if planned.chance is not None:
        row.chance = f"{planned.chance * 100:.0f}"
    elif planned.tried is not None:
        row.landed, row.tried = str(planned.landed or 0), str(planned.tried)
    return row


def _is_remembered(planned: PlannedTrick, planner: Planner) -> bool:
    record = planner.records.get(wording(planned))
    if record is None:
        return False
    said = (planned.landed, planned.tried, planned.chance)
    return said == (record.landed, record.tried, record.chance)
