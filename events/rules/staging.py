"""The groups of a format that stage a contest: boat, rounds, riders, judges, clock, course.

Everywhere None means "not stated". Amounts keep the unit they were typed in.
"""

from dataclasses import dataclass
from datetime import date, datetime

from events.rules import schema, words
from events.rules.language import mark
from events.rules.units import Amount


@dataclass(frozen=True)
class Ballast:
    """Weight in one place of the boat."""

    position: str | None = schema.words(mark("Position"), mark("Where in the boat."))
    amount: Amount | None = schema.amount(
        "mass", mark("Weight"), mark("Never above the boat's capacity plate.")
    )


@dataclass(frozen=True)
class Boat:
    """The boat, its speed, rope and weight."""

    description: str | None = schema.words(
        mark("Boat"), mark("What riders need to know it by.")
    )
    driver: str | None = schema.words(
        mark("Driver"), mark("Who drives, or which licence is asked.")
    )
    speed_rule: words.WhoSets | None = schema.choice(
        words.WhoSets, mark("Speed is"), mark("Who decides the speed.")
    )
    speed: Amount | None = schema.amount(
        "speed", mark("Speed"), mark("The fixed speed, or the baseline.")
    )
    speed_least: Amount | None = schema.amount(
        "speed", mark("Speed, from"), mark("The slowest a rider may ask for.")
    )
    speed_most: Amount | None = schema.amount(
        "speed", mark("Speed, to"), mark("The fastest a rider may ask for.")
    )
    rope_from: words.RopeFrom | None = schema.choice(
        words.RopeFrom, mark("Rope"), mark("Whose rope is ridden.")
    )
    rope: Amount | None = schema.amount(
        "length", mark("Rope length"), mark("With handle; the fixed or usual length.")
    )
    ballast_rule: words.WhoSets | None = schema.choice(
        words.WhoSets, mark("Ballast is"), mark("Who decides the weight.")
    )
    ballast: tuple[Ballast, ...] | None = schema.entries(
        Ballast, mark("Ballast"), mark("Weight by position in the boat.")
    )
    crew: str | None = schema.words(mark("Crew"), mark("Who is in the boat."))
    warm_up_laps: int | None = schema.whole(
        mark("Warm-up laps"), mark("Laps before a rider's first pass."), most=10
    )
    pickup: str | None = schema.words(mark("Pick-up"), mark("How a fallen rider is picked up."))


@dataclass(frozen=True)
class Round:
    """One round of the contest."""

    name: str | None = schema.words(mark("Name"), mark("What the round is called."))
    kind: words.RoundKind | None = schema.choice(
        words.RoundKind, mark("Kind"), mark("What it is for.")
    )
    heat_size: int | None = schema.whole(
        mark("Riders per heat"), mark("The most riders in one heat."), least=1, most=60
    )
    advance: int | None = schema.whole(mark("Advance"), mark("How many go on."), most=60)
    advance_from: words.AdvanceFrom | None = schema.choice(
        words.AdvanceFrom,
        mark("Advance from"),
        mark("Whether so many of each heat or of the whole round."),
    )
    ties: words.Ties | None = schema.choice(
        words.Ties, mark("A tie at the cut"), mark("What a tie for the last place does.")
    )
    order: words.RidingOrder | None = schema.choice(
        words.RidingOrder, mark("Riding order"), mark("How it is found.")
    )
    run: words.RunAgain | None = schema.choice(
        words.RunAgain, mark("Run"), mark("A new run for this round, or the same one.")
    )
    best_of: int | None = schema.whole(
        mark("Best of"), mark("How many runs, of which the best counts."), least=1, most=9
    )
    late: words.Late | None = schema.choice(
        words.Late, mark("Not ready"), mark("What happens to a rider who is not ready.")
    )
    late_points: float | None = schema.number(
        mark("Points off"), mark("For a rider who is not ready."), most=100
    )


@dataclass(frozen=True)
class Eligibility:
    """Who may enter the division, and how many."""

    ability: str | None = schema.words(mark("Ability"), mark("The riders it is meant for."))
    sex: words.Sex | None = schema.choice(
        words.Sex, mark("Open to"), mark("Women, men, or everybody.")
    )
    age_least: int | None = schema.whole(
        mark("Age, from"), mark("Youngest age."), most=120, unit=mark("years")
    )
    age_most: int | None = schema.whole(
        mark("Age, to"), mark("Oldest age."), most=120, unit=mark("years")
    )
    age_on: words.AgeOn | None = schema.choice(
        words.AgeOn, mark("Age on"), mark("The day on which age is taken.")
    )
    age_date: date | None = schema.day(
        mark("Age on the date"), mark("Where a date of your own decides.")
    )
    entries_most: int | None = schema.whole(
        mark("Entries, at most"), mark("The most riders."), least=1, most=1000
    )
    first_come: int | None = schema.whole(
        mark("Places, first come"),
        mark("How many places go to those who enter first."),
        most=1000,
    )
    beyond: words.Beyond | None = schema.choice(
        words.Beyond, mark("Beyond that"), mark("What happens to further entries.")
    )
    riders_least: int | None = schema.whole(
        mark("Riders, at least"), mark("The fewest to run the division."), most=1000
    )
    below: words.Below | None = schema.choice(
        words.Below, mark("Below that"), mark("What happens with fewer.")
    )
    several: bool | None = schema.yes_no(
        mark("Other divisions too"), mark("Whether a rider may enter another division as well.")
    )


@dataclass(frozen=True)
class Criterion:
    """One thing that the judges mark."""

    name: str | None = schema.words(mark("Criterion"), mark("What is marked."))
    weight: float | None = schema.number(
        mark("Weight"), mark("Its share of the whole mark."), most=100
    )


@dataclass(frozen=True)
class Judging:
    """What the judges mark and how their marks combine."""

    criteria: tuple[Criterion, ...] | None = schema.entries(
        Criterion, mark("Criteria"), mark("What is marked, with weights.")
    )
    mark_least: float | None = schema.number(
        mark("Lowest mark"),
        mark("Of each criterion, or of the run where it has one mark."),
        most=1000,
    )
    mark_most: float | None = schema.number(
        mark("Highest mark"),
        mark("Of each criterion, or of the run where it has one mark."),
        most=1000,
    )
    panel: int | None = schema.whole(
        mark("Judges"), mark("How many mark each run."), least=1, most=15
    )
    place: words.JudgePlace | None = schema.choice(
        words.JudgePlace, mark("Judges are"), mark("Where they watch from.")
    )
    combine: words.Combine | None = schema.choice(
        words.Combine, mark("Marks combine by"), mark("How the marks make one.")
    )
    tie_breaks: tuple[str, ...] | None = schema.list_of_words(
        mark("Tie-breaks"), mark("What decides a tie, first to last.")
    )


@dataclass(frozen=True)
class Clock:
    """Until when things can be done."""

    entries_open: datetime | None = schema.moment(
        mark("Entries open"), mark("In the event's own time.")
    )
    entries_close: datetime | None = schema.moment(
        mark("Entries close"), mark("In the event's own time.")
    )
    declare_by: datetime | None = schema.moment(
        mark("Declare by"),
        mark("Until when a run can be declared; the event's own deadline where not stated."),
    )
    ready_min: int | None = schema.whole(
        mark("Ready before the start"),
        mark("How early a rider must be at the dock."),
        most=600,
        unit="min",
    )
    protest_min: int | None = schema.whole(
        mark("Protest within"), mark("After the results are posted."), most=600, unit="min"
    )


@dataclass(frozen=True)
class Note:
    """A rule that no other value holds, in the organiser's words. No check depends on it."""

    about: str | None = schema.words(
        mark("About"), mark("Such as re-rides, weather or life vests.")
    )
    say: str | None = schema.words(
        mark("Rule"), mark("What riders must know, in your own words.")
    )


@dataclass(frozen=True)
class Route:
    """What riding uses up, for planning. No rule: organisers measure and edit it."""

    trick_m: float | None = schema.number(
        mark("A trick uses"),
        mark("Course from one cut to the next."),
        least=1,
        most=1000,
        unit="m",
    )
    turn_m: float | None = schema.number(
        mark("A turn uses"),
        mark("A surface or ollie 180 to change stance."),
        most=1000,
        unit="m",
    )
    cross_m: float | None = schema.number(
        mark("A crossing uses"),
        mark("Riding over the wakes to the other side."),
        most=1000,
        unit="m",
    )
