"""What an organiser's own words on ties mean: each phrase as one of the known ways.

Pure Python. A phrase is read only if all of it is understood; whatever else is said stays
as it was typed, and no tie is decided by it or by anything named after it.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum


class By(StrEnum):
    """What a tie is decided by."""

    CRITERION = "a criterion"
    BEST_JUDGE = "the best mark of a single judge"
    ONE_JUDGE = "the mark of one judge"
    BEST_PLACING = "the best placing by a judge"
    MOST_FIRSTS = "the most first places"
    OTHER_RUN = "the next best run"
    FEWER_FALLS = "fewer falls"
    PREVIOUS_ROUND = "the previous round"
    RANKING = "the ranking"
    RIDE_OFF = "a ride-off"
    JUDGES_DECIDE = "the judges"
    SHARED = "nothing: the place is shared"
    UNREAD = "words that are not understood"


@dataclass(frozen=True, slots=True)
class TieBreak:
    """One tie-break. `words` are the organiser's; `criterion` and `judge` where it names one.

    `judge` counts from 1, the head judge.
    """

    by: By
    words: str
    criterion: str = ""
    judge: int = 0


# Words that say nothing by themselves: "the higher mark for execution" is "execution".
_FILLERS = {
    "a", "an", "the", "and", "by", "on", "in", "of", "for", "with", "who", "to", "has", "have",
    "had", "is", "are", "was", "higher", "highest", "better", "best", "mark", "marks", "score",
    "scores", "total", "average", "mean", "points",
}  # fmt: skip
_SPLIT = re.compile(r"\s*(?:;|,|\bthen\b)\s*")
_BEST_JUDGE = re.compile(
    r"(the )?(highest|best|higher|better) "
    r"((single|individual) )?(judges? s? ?)?(single )?(mark|score|total)"
    r"( (of|by|from) (a|any|one) (single )?judge)?"
)
_JUDGE = re.compile(r"judge(?: no| number)? (\d{1,2})(?: s)?")
_WAYS: tuple[tuple[By, re.Pattern[str]], ...] = tuple(
    (by, re.compile(pattern))
    for by, pattern in (
        (By.RIDE_OFF, r"(?:ride|run) ?offs?(?: decides)?"),
        (
            By.JUDGES_DECIDE,
            r"(?:head |chief )?judges? (?:s )?(?:decides?|decision)|decision (?:head )?judges?"
            r"|panel decides",
        ),
        (By.ONE_JUDGE, r"(?:head|chief) judge(?: s)?"),
        (By.MOST_FIRSTS, r"(?:most|more) (?:firsts|first places|first placings)"),
        (By.BEST_PLACING, r"(?:single )?(?:placing|place)(?: any| one| single| judge)*"),
        (By.FEWER_FALLS, r"(?:fewer|fewest|less|least|number) falls"),
        (
            By.PREVIOUS_ROUND,
            r"(?:results? |place |placing )?(?:previous|earlier|last|preceding|qualifying|"
            r"preliminary) round(?: results?| place| placing)?"
            r"|(?:results? |place |placing )?qualifying(?: results?| place| placing)?"
            r"|round before",
        ),
        (By.RANKING, r"(?:world |season |club |current )?(?:ranking|rank|seeding|seed)"),
        (
            By.SHARED,
            r"nothing|none|(?:tie|ties) (?:stands?|stays?)|(?:place )?shared(?: place)?",
        ),
    )
)
# Not among the ways above, since without "best" these would mean run number two.
_OTHER_RUN = frozenset({"second best run", "next best run", "better other run", "other run"})


def read_tie_breaks(
    phrases: Iterable[str], criteria: Sequence[str] = ()
) -> tuple[TieBreak, ...]:
    """The tie-breaks that some phrases name, in order. `criteria` are the names marked.

    A phrase may name several, with commas or "then" between them: "fewer falls, then the
    head judge". Capitals, hyphens and words such as "the highest mark for" do not matter.
    """
    return tuple(found for phrase in phrases for found in _parts(phrase, criteria))


def _parts(phrase: str, criteria: Sequence[str]) -> Iterator[TieBreak]:
    whole = " ".join(phrase.split())
    if not whole:
        return
    if (found := _read(whole, criteria)).by is not By.UNREAD:
        yield found
        return
    for part in _SPLIT.split(whole):
        if part.strip():
            yield _read(part.strip(), criteria)


def _read(words: str, criteria: Sequence[str]) -> TieBreak:
    plain = _plain(words)
    core = _core(plain)
    for name in criteria:
        if plain == _plain(name) or (core and core == _core(_plain(name))):
            return TieBreak(By.CRITERION, words, criterion=name)
    if _BEST_JUDGE.fullmatch(plain):
        return TieBreak(By.BEST_JUDGE, words)
    if found := _JUDGE.fullmatch(core):
        number = int(found[1])
        return TieBreak(By.ONE_JUDGE if number else By.UNREAD, words, judge=number)
    if plain.removeprefix("the ") in _OTHER_RUN:
        return TieBreak(By.OTHER_RUN, words)
    for by, pattern in _WAYS:
        if pattern.fullmatch(core):
            return TieBreak(by, words, judge=1 if by is By.ONE_JUDGE else 0)
    return TieBreak(By.UNREAD, words)


def _plain(words: str) -> str:
    return " ".join(re.findall(r"\w+", words.casefold()))


def _core(plain: str) -> str:
    return " ".join(word for word in plain.split() if word not in _FILLERS)
