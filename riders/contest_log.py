"""What was ridden at a contest, in the landing logs of riders who asked for it.

The note of a line says which run it is from. By that note the lines are found again, so
that a run counts once, is put right when it is corrected, and can be taken out.
"""

from collections.abc import Mapping
from datetime import date

from django.db import transaction

from riders.log_models import NOTE_LONGEST, TRICK_LONGEST, LandingDay
from riders.log_services import reader_of
from riders.log_words import UnknownTrick
from riders.models import Rider

CONTEST = LandingDay.Setting.CONTEST


@transaction.atomic
def put_contest_run(
    *, rider: Rider, day: date, source: str, attempts: Mapping[str, tuple[int, int]]
) -> None:
    """Log the attempts of one run, in place of those logged from it before.

    `attempts` gives landed and tried by trick, `source` names the run and is the note of
    the lines. A trick that the vocabulary does not know is kept by the words it stood under.
    """
    take_contest_run(rider=rider, source=source)
    reader = reader_of(rider=rider)
    counts: dict[str, tuple[int, int]] = {}
    for words, (landed, tried) in attempts.items():
        try:
            name = reader.read(words)
        except UnknownTrick:
            name = " ".join(words.split())[:TRICK_LONGEST]
        before = counts.get(name, (0, 0))
        counts[name] = (before[0] + landed, before[1] + tried)
    LandingDay.objects.bulk_create(
        LandingDay(
            rider=rider, trick=name, day=day, landed=landed, tried=tried,
            setting=CONTEST, note=source[:NOTE_LONGEST],
        )
        for name, (landed, tried) in counts.items()
    )  # fmt: skip


def take_contest_run(*, rider: Rider, source: str) -> int:
    """Take out what was logged from a run; how many lines they were.

    Lines whose note the rider has changed since are the rider's own, and stay.
    """
    # The same lock as for every other change of a log.
    Rider.objects.select_for_update().get(pk=rider.pk)
    mine = LandingDay.objects.filter(rider=rider, setting=CONTEST, note=source[:NOTE_LONGEST])
    return mine.delete()[1].get("riders.LandingDay", 0)
