"""Whether a suggested run is worth taking: legal is not enough.

A sure trick ridden again raises the chance to land everything, and is worth nothing where a
repeat does not count. So no suggestion may leave more tricks uncounted, repeated against
the organiser's wish, or repeated where the rule on repeats is not stated.
"""

from events.rules.findings import Grade
from events.rules.run import Run
from riders.planning.ground import Ground

_IN_VAIN = {"repeat-backup", "repeat-discouraged", "repeats-unstated"}
"""Repeats that are legal and may bring nothing. Those that only may be a repeat, because an
edge or a direction is left open, are not among them: the rider can name the edge."""


def wasted(run: Run, ground: Ground) -> int:
    """How many findings say that a trick is not counted, or may be a repeat for nothing."""
    return sum(
        each.grade is Grade.UNCOUNTED or each.code in _IN_VAIN for each in ground.legality(run)
    )
