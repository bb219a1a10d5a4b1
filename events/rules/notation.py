"""A run as one line of text, read and written.

Passes are separated by `|`, tricks by `,`; bonus tricks follow `+` at the end of a pass:

    HS backroll 4/5, TS 180 indy, switch HS 360 | Tantrum 80% + double-up tantrum

A bonus trick claims the double-up unless another name stands before a colon, as in
`+ style trick: HS 180 indy`. After a trick may follow its landings (`4/5`) or a chance
(`60%`), and `x` for a fall. `run-in x` before the first trick and `turn x` after the last
mark falls between tricks. A line break or `;` separates tricks as a comma does; landings
may stand in brackets.

Stance, edge, direction, take-off, degrees and grab may be said beside a name, each once.
What the name itself states is overruled after "but", as in `TS raley but HS`.
"""

from dataclasses import replace
from decimal import Decimal

from events.rules import notation_match
from events.rules.notation_faults import NotationError, Problem
from events.rules.notation_match import DOUBLE_UP, write_words
from events.rules.notation_reading import Reader
from events.rules.run import Pass, PlannedTrick, Run
from events.rules.trick import Takeoff
from events.rules.vocabulary import Vocabulary, standard_vocabulary

__all__ = ["DOUBLE_UP", "NotationError", "Problem", "normalise", "normalise_run", "read_run",
           "read_trick", "write_run", "write_trick"]  # fmt: skip


def read_run(text: str, vocabulary: Vocabulary | None = None) -> Run:
    """The run that a text describes. Raises NotationError with every fault found.

    An empty text has no passes. Empty places between commas are skipped.
    """
    return Reader(text, vocabulary or standard_vocabulary()).read_run()


def read_trick(text: str, vocabulary: Vocabulary | None = None) -> PlannedTrick:
    """One place of a run, with its landings, chance or fall. Raises NotationError."""
    return Reader(text, vocabulary or standard_vocabulary()).read_trick()


def write_run(run: Run) -> str:
    """The line of notation for a run; a normalised run reads back as the same run."""
    if len(run.passes) == 1 and not _write_pass(run.passes[0]):
        return ","  # one empty pass; an empty text would have none
    return " | ".join(map(_write_pass, run.passes)).strip()


def write_trick(planned: PlannedTrick) -> str:
    """The notation of one place, without the name of the bonus that it claims."""
    words = [write_words(planned)]
    if planned.chance is not None:
        words.append(_percent(planned.chance))
    elif planned.tried is not None:
        words.append(f"{planned.landed or 0}/{planned.tried}")
    return " ".join([*words, "x"] if planned.fell else words)


def normalise(planned: PlannedTrick, vocabulary: Vocabulary | None = None) -> PlannedTrick:
    """The form in which the reader gives this trick: fewest modifiers, named entry first.

    "HS FS 180" said to be a 360 becomes "HS FS 360"; a trick that claims the double-up
    leaves from it; a chance stands in place of a record.
    """
    return notation_match.normalise(planned, vocabulary or standard_vocabulary())


def normalise_run(run: Run, vocabulary: Vocabulary | None = None) -> Run:
    """The run with every trick normalised; a bonus trick without a name claims the
    double-up."""
    known = vocabulary or standard_vocabulary()

    def normal(trick: PlannedTrick, bonus: str) -> PlannedTrick:
        return normalise(replace(trick, bonus=bonus), known)

    return Run(tuple(
        replace(each, tricks=tuple(normal(trick, "") for trick in each.tricks),
                bonus=tuple(normal(trick, trick.bonus or DOUBLE_UP) for trick in each.bonus))
        for each in run.passes
    ))  # fmt: skip


def _write_pass(each: Pass) -> str:
    places = ["run-in x"] * each.run_in_falls + [write_trick(trick) for trick in each.tricks]
    bonuses = [f"+ {_write_bonus(trick)}" for trick in each.bonus]
    written = " ".join(filter(None, [", ".join(places), *bonuses]))
    return ", ".join([*filter(None, [written]), *["turn x"] * each.turn_falls])


def _write_bonus(planned: PlannedTrick) -> str:
    if planned.bonus not in ("", DOUBLE_UP):
        return f"{planned.bonus}: {write_trick(planned)}"
    return write_trick(replace(planned, takeoff=Takeoff.DOUBLE_UP))


def _percent(chance: float) -> str:
    """A chance in percent, with just the digits that give the same number when read."""
    digits = format(Decimal(repr(abs(chance))).scaleb(2), "f")
    return (digits.rstrip("0").rstrip(".") if "." in digits else digits) + "%"
