"""Who may enter a division, and whether there is a place: what the format states, exactly.

Pure Python. What a format does not state is not checked, and said to be not stated.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from enum import StrEnum

from events.rules.dates import weekday
from events.rules.language import gettext as _
from events.rules.language import mark
from events.rules.staging import Clock, Eligibility
from events.rules.words import AgeOn, Beyond, Sex


class About(StrEnum):
    """What a sentence is about; the name of the field beside which it is shown."""

    AGE = "born_on"
    SEX = "sex"
    SEVERAL = "several"


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Another division of the event in which the rider is entered."""

    name: str
    several: bool | None = None


@dataclass(frozen=True, slots=True)
class Applicant:
    """What a format can ask about a rider; None and "" where it is not known."""

    born_on: date | None = None
    sex: str = ""
    elsewhere: tuple[Elsewhere, ...] = ()


@dataclass(frozen=True, slots=True)
class Barrier:
    """A condition that is not met: a sentence that says what to do."""

    about: About
    say: str


@dataclass(frozen=True, slots=True)
class Answer:
    """Whether a rider may enter: nothing stands against it where `barriers` is empty.

    `unstated` are sentences on what could not be checked.
    """

    barriers: tuple[Barrier, ...] = ()
    unstated: tuple[str, ...] = ()


def age_on(born_on: date, at: date) -> int:
    """Completed years of age on a day; below 0 before the birth.

    Who was born on 29 February completes a year on 1 March where the year has no such day,
    since only then has a whole year passed. Law differs on this; it is one day in a life.
    """
    return at.year - born_on.year - ((at.month, at.day) < (born_on.month, born_on.day))


def age_day(stated: Eligibility, first_day: date) -> date | None:
    """The day on which the format takes age; None where that cannot be told.

    Years are those of the event's first day. For the year of birth it is the year's end, by
    which everybody has had their birthday.
    """
    if stated.age_on is None:
        return stated.age_date
    return {
        AgeOn.NEW_YEAR: date(first_day.year, 1, 1),
        AgeOn.YEAR_END: date(first_day.year, 12, 31),
        AgeOn.BIRTH_YEAR: date(first_day.year, 12, 31),
        AgeOn.FIRST_DAY: first_day,
        AgeOn.OWN_DATE: stated.age_date,
    }[stated.age_on]


def asks_age(stated: Eligibility) -> bool:
    """Whether the format limits the age."""
    return stated.age_least is not None or stated.age_most is not None


def asks_sex(stated: Eligibility) -> bool:
    """Whether the format is for women or for men only."""
    return stated.sex is not None and stated.sex is not Sex.OPEN


def may_enter(stated: Eligibility, applicant: Applicant, first_day: date) -> Answer:
    """Look at every condition that the format states.

    `first_day` is the first day of the event.
    """
    unstated: list[str] = []
    barriers = [
        *_age(stated, applicant, first_day, unstated),
        *_sex(stated, applicant, unstated),
        *_several(stated, applicant, unstated),
    ]
    return Answer(tuple(barriers), tuple(unstated))


def _age(
    stated: Eligibility, applicant: Applicant, first_day: date, unstated: list[str]
) -> Iterator[Barrier]:
    if not asks_age(stated):
        unstated.append(_("Which ages may enter is not stated, so age is not checked."))
        return
    at = age_day(stated, first_day)
    if at is None:
        unstated.append(
            _(
                "On which day age is taken is not stated, so age is not checked: ask the "
                "organiser."
            )
        )
        return
    if applicant.born_on is None:
        yield Barrier(About.AGE, _("This division has an age limit: write the date of birth."))
        return
    age = age_on(applicant.born_on, at)
    if (stated.age_least or 0) <= age <= (stated.age_most or 999):
        return
    yield Barrier(
        About.AGE,
        _wrong_age(stated).format(
            least=stated.age_least, most=stated.age_most, day=weekday(at), age=age
        ),
    )


def _wrong_age(stated: Eligibility) -> str:
    """The sentence for an age outside the limits, with the names of its figures in braces."""
    least, most = stated.age_least, stated.age_most
    if least is None:
        return _(
            "This division is for riders aged {most} or less, and the age on {day} is {age}. "
            "Check the date, choose another division, or ask the organiser."
        )
    if most is None:
        return _(
            "This division is for riders aged {least} or more, and the age on {day} is {age}. "
            "Check the date, choose another division, or ask the organiser."
        )
    if least == most:
        return _(
            "This division is for riders aged {least}, and the age on {day} is {age}. Check "
            "the date, choose another division, or ask the organiser."
        )
    return _(
        "This division is for riders aged {least} to {most}, and the age on {day} is {age}. "
        "Check the date, choose another division, or ask the organiser."
    )


_ONLY = {
    Sex.WOMEN: mark("This division is for women only. Choose another division."),
    Sex.MEN: mark("This division is for men only. Choose another division."),
}
_ONLY_SAY = {
    Sex.WOMEN: mark("This division is for women only: say which you are."),
    Sex.MEN: mark("This division is for men only: say which you are."),
}


def _sex(stated: Eligibility, applicant: Applicant, unstated: list[str]) -> Iterator[Barrier]:
    if stated.sex is None:
        unstated.append(
            _("Whether women and men may enter is not stated, so it is not checked.")
        )
    if not asks_sex(stated) or stated.sex is None or applicant.sex == stated.sex.value:
        return
    sentences = _ONLY if applicant.sex else _ONLY_SAY
    yield Barrier(About.SEX, _(sentences[stated.sex]))


def _several(
    stated: Eligibility, applicant: Applicant, unstated: list[str]
) -> Iterator[Barrier]:
    """A rule of either division against a second one stands against the entry."""
    if not applicant.elsewhere:
        return
    names = ", ".join(each.name for each in applicant.elsewhere)
    against = [each.name for each in applicant.elsewhere if each.several is False]
    if stated.several is False:
        yield Barrier(
            About.SEVERAL,
            _(
                "Riders of this division may not enter another one, and there is an entry in "
                "{divisions}. Withdraw that one first."
            ).format(divisions=names),
        )
    elif against:
        yield Barrier(
            About.SEVERAL,
            _(
                "Riders of {divisions} may not enter another division. Withdraw the entry "
                "there first."
            ).format(divisions=", ".join(against)),
        )
    elif stated.several is None:
        unstated.append(
            _(
                "Whether riders of {divisions} may enter this division too is not stated: ask "
                "the organiser."
            ).format(divisions=names)
        )


class Window(StrEnum):
    """Whether entries are taken at a moment."""

    EARLY = "not open yet"
    OPEN = "open"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True)
class Entries:
    """From when until when a division takes entries; both ends belong to it."""

    opens: datetime | None
    closes: datetime

    def at(self, moment: datetime) -> Window:
        """How it stands at a moment."""
        if self.opens is not None and moment < self.opens:
            return Window.EARLY
        return Window.OPEN if moment <= self.closes else Window.CLOSED


def entries_of_format(clock: Clock, event_closes: datetime, zone: tzinfo) -> Entries:
    """The format's own times where it states them, else until the event's closing.

    Times without a zone are the lake's.
    """

    def at_lake(moment: datetime | None) -> datetime | None:
        return moment if moment is None or moment.tzinfo else moment.replace(tzinfo=zone)

    return Entries(at_lake(clock.entries_open), at_lake(clock.entries_close) or event_closes)


class Place(StrEnum):
    """What becomes of the next entry."""

    GIVEN = "has a place"
    WAITING = "waits"
    REFUSED = "is refused"


def first_places(stated: Eligibility) -> int | None:
    """How many places go to those who enter first; None where there is no limit.

    All of them, unless the rest is drawn by lot and the format says how many are not.
    """
    if stated.beyond is Beyond.BY_LOT and stated.first_come is not None:
        most = stated.entries_most
        return stated.first_come if most is None else min(stated.first_come, most)
    return stated.entries_most


def next_place(stated: Eligibility, riding: int, waiting: int) -> Place:
    """What becomes of an entry when so many have a place and so many wait.

    Nobody overtakes those who wait. Where the format does not say what happens beyond its
    limit the entry waits, so that the organiser can decide and nobody is turned away.
    """
    places = first_places(stated)
    if places is None or (riding < places and not waiting):
        return Place.GIVEN
    return Place.REFUSED if stated.beyond is Beyond.REFUSED else Place.WAITING


def free_places(stated: Eligibility, riding: int) -> int | None:
    """How many places are free; None without a limit. Never below 0."""
    if stated.entries_most is None:
        return None
    return max(stated.entries_most - riding, 0)


def to_promote(stated: Eligibility, riding: int, waiting: int) -> int:
    """How many of those who wait get a place at once, the first first.

    None where places are drawn by lot: the organiser draws them.
    """
    if stated.beyond is Beyond.BY_LOT:
        return 0
    free = free_places(stated, riding)
    return waiting if free is None else min(free, waiting)
