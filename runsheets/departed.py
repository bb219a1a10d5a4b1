"""What is to be told of a run at the table, from the sheet that is on the screen."""

from collections.abc import Callable
from dataclasses import dataclass

from events.rules.format import Format
from events.rules.notation import NotationError, read_trick
from events.rules.run import PlannedTrick, Run
from events.rules.vocabulary import Vocabulary, standard_vocabulary
from runsheets.forms_rides import SheetForm
from runsheets.judging.departures import Departure, Outcome, Ridden, departures
from runsheets.judging.falls_so_far import FallsSoFar, falls_so_far


@dataclass(frozen=True)
class Told:
    """Where the run departs from the declared one or the rules, and what its falls do."""

    departures: tuple[Departure, ...]
    falls: FallsSoFar


def told_of(
    form: SheetForm,
    declared: Run | None,
    format: Format,
    division: str,
    round_name: str,
    vocabulary: Callable[[], Vocabulary],
) -> Told:
    """What the judges should know of the run as it stands on the sheet.

    `vocabulary` gives the tricks that the rider can ride, with those made by the club and
    the rider; it is asked only for what the trade's own names do not hold.
    """
    planned = {
        (place.pass_no, place.planned.bonus, place.position): place.planned
        for place in (declared.places() if declared else ())
    }
    actual = []
    for pass_no, rows in form.passes:
        ridden = []
        for row in rows:
            where = (pass_no, row.cell.bonus, row.cell.place)
            own = planned.get(where)
            if own is None and row.planned:
                own = _read(row.planned, vocabulary)
            instead = _read(row.actual, vocabulary) if row.actual else None
            # Whatever was typed is shown again beside its error; until it is mended it is open.
            outcome = Outcome(row.value) if row.value in set(Outcome) else Outcome.OPEN
            ridden.append(Ridden(own, outcome, instead, row.actual, row.cell.bonus))
        actual.append(ridden)
    return Told(
        departures(declared, actual, format, division, round_name or None),
        falls_so_far(actual, format, division, round_name or None),
    )


def _read(words: str, vocabulary: Callable[[], Vocabulary]) -> PlannedTrick | None:
    """The trick that was typed; the trade's are tried first, since they need no look-up."""
    for known in (standard_vocabulary, vocabulary):
        try:
            return read_trick(words, known())
        except NotationError:
            continue
    return None
