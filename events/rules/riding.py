"""The groups of a format that decide a run: passes, falls, bonus tricks, repeats, limits.

Everywhere None means "not stated". Lengths are metres, times seconds.
"""

from dataclasses import dataclass

from events.rules import schema, words
from events.rules.condition import Condition
from events.rules.language import mark


@dataclass(frozen=True)
class Passes:
    """How many passes, how long, and how many tricks in each."""

    count: int | None = schema.whole(
        mark("Passes"), mark("How many times a run goes down the course."), least=1, most=12
    )
    length_m: tuple[float, ...] | None = schema.numbers(
        mark("Pass length"),
        mark("From start marker to end marker; one number, or one for each pass."),
        least=1,
        most=5000,
        unit="m",
    )
    seconds: tuple[float, ...] | None = schema.numbers(
        mark("Pass time"),
        mark("Where a pass is limited by time; one number, or one for each pass."),
        least=1,
        most=600,
        unit="s",
    )
    seconds_most: float | None = schema.number(
        mark("Pass time, at most"),
        mark("The upper end, where the time is a range."),
        least=1,
        most=600,
        unit="s",
    )
    ended_by: words.EndedBy | None = schema.choice(
        words.EndedBy,
        mark("Pass ends at"),
        mark("Whether the end marker, the clock, or whichever comes first ends a pass."),
    )
    direction: words.Course | None = schema.choice(
        words.Course,
        mark("Direction"),
        mark(
            "Whether the boat comes back along the course or starts each pass at the same end."
        ),
    )
    tricks_expected: int | None = schema.whole(
        mark("Tricks expected"),
        mark("The usual number in one pass; no rule, only a guide."),
        most=60,
    )
    tricks_least: int | None = schema.whole(
        mark("Tricks, at least"), mark("The least number in one pass."), most=60
    )
    tricks_most: int | None = schema.whole(
        mark("Tricks, at most"), mark("The most tricks in one pass."), most=60
    )
    tricks_over: words.Breach | None = schema.choice(
        words.Breach,
        mark("A trick too many"),
        mark(
            "What a trick beyond the most means; where not stated, a check takes it as a "
            "breach."
        ),
    )
    any_number: bool | None = schema.yes_no(
        mark("Any number of tricks"), mark("Yes where there is no least and no most.")
    )
    different_least: int | None = schema.whole(
        mark("Different tricks, at least"),
        mark("The least number of different tricks in the whole run."),
        most=100,
    )
    begun_counts: bool | None = schema.yes_no(
        mark("Trick begun in time counts"),
        mark("Whether a trick begun before the end of the pass counts when it lands beyond."),
    )


@dataclass(frozen=True)
class DeclaredOrder:
    """Whether riders must ride the tricks in the order they declared."""

    binding: bool | None = schema.yes_no(
        mark("Declared order is binding"), mark("No: the declared run is for information only.")
    )
    out_of_order: words.OutOfOrder | None = schema.choice(
        words.OutOfOrder,
        mark("Out of order"),
        mark("What a trick ridden out of order is worth."),
    )


@dataclass(frozen=True)
class Falls:
    """How many falls, which ones count, and what the next one does."""

    allowed: int | None = schema.whole(
        mark("Falls allowed"),
        mark("Falls after which riding goes on; the next one has the effect below."),
        most=20,
    )
    counted_per: words.Per | None = schema.choice(
        words.Per,
        mark("Counted per"),
        mark("Whether falls add up over the run or start afresh in each pass."),
    )
    next_fall: words.NextFall | None = schema.choice(
        words.NextFall,
        mark("The next fall"),
        mark("What the fall after the last allowed one does."),
    )
    run_in: words.RunIn | None = schema.choice(
        words.RunIn,
        mark("Fall in the run-in"),
        mark("Between the start dock and the first marker."),
    )
    course: words.Counts | None = schema.choice(
        words.Counts, mark("Fall on the course"), mark("Between the markers.")
    )
    turn: words.Counts | None = schema.choice(
        words.Counts, mark("Fall in the turn"), mark("Between two passes.")
    )
    after_end: words.Counts | None = schema.choice(
        words.Counts, mark("Fall after the end"), mark("Past the last marker.")
    )
    water_allowed: int | None = schema.whole(
        mark("Of these, on the water"),
        mark("Where water and obstacles have allowances of their own."),
        most=20,
    )
    obstacle_allowed: int | None = schema.whole(
        mark("Of these, on obstacles"),
        mark("Where water and obstacles have allowances of their own."),
        most=20,
    )
    restart_m: float | None = schema.number(
        mark("Course lost by a fall"),
        mark("Metres of course that a pick-up uses up."),
        most=5000,
        unit="m",
    )
    restart_s: float | None = schema.number(
        mark("Time lost by a fall"),
        mark("Seconds of pass time that a pick-up uses up."),
        most=600,
        unit="s",
    )


@dataclass(frozen=True)
class DoubleUp:
    """A bonus trick after the tricks of a pass: a double-up, or another named extra."""

    name: str | None = schema.words(
        mark("Name"), mark("double-up, or the name of another extra trick."), mark("double-up")
    )
    after_pass: int | None = schema.whole(
        mark("After pass"), mark("The pass after which it is offered."), least=1, most=12
    )
    rounds: tuple[str, ...] | None = schema.list_of_words(
        mark("Rounds"), mark("Only in these rounds; empty for all.")
    )
    divisions: tuple[str, ...] | None = schema.list_of_words(
        mark("Divisions"), mark("Only in these divisions; empty for all.")
    )
    optional: bool | None = schema.yes_no(
        mark("Optional"), mark("Whether a rider may leave it out.")
    )
    condition: words.BonusCondition | None = schema.choice(
        words.BonusCondition, mark("Offered if"), mark("What must hold when the pass ends.")
    )
    falls_fewer_than: int | None = schema.whole(
        mark("Fewer falls than"),
        mark("For the condition on falls in the run."),
        least=1,
        most=20,
    )
    cutoff_m: float | None = schema.number(
        mark("Cutoff marker"),
        mark("A fall past it loses the double-up; metres from the start of the pass."),
        most=5000,
        unit="m",
    )
    cutoff_fraction: float | None = schema.number(
        mark("Cutoff marker, as a part"),
        mark("The same as a part of the pass, 0 to 1."),
        most=1,
    )
    excludes: tuple[str, ...] | None = schema.list_of_words(
        mark("Not together with"), mark("Names of other extras that may not be ridden as well.")
    )
    limits_bind: bool | None = schema.yes_no(
        mark("Limits bind it"), mark("Whether limits and repeats hold for it too.")
    )
    counts_as_trick: bool | None = schema.yes_no(
        mark("Counts as a trick"), mark("Whether it is one of the tricks of its pass.")
    )
    fall_counts: bool | None = schema.yes_no(
        mark("A fall on it counts"), mark("Yes where nothing is stated.")
    )
    marked: words.BonusMarks | None = schema.choice(
        words.BonusMarks, mark("Marked"), mark("How the judges mark it.")
    )

    def __post_init__(self) -> None:
        if not self.name:
            object.__setattr__(self, "name", "double-up")


@dataclass(frozen=True)
class PickupCutoff:
    """A marker past which a rider who falls is not picked up."""

    pass_no: int | None = schema.whole(
        mark("Pass"), mark("The pass it stands in."), least=1, most=12, key="pass"
    )
    at_m: float | None = schema.number(
        mark("Marker"), mark("Metres from the start of the pass."), most=5000, unit="m"
    )
    at_fraction: float | None = schema.number(
        mark("Marker, as a part"), mark("The same as a part of the pass, 0 to 1."), most=1
    )
    fall: words.WhichFall | None = schema.choice(
        words.WhichFall, mark("Which fall"), mark("The first fall of the rider, or any.")
    )
    effect: words.CutoffEffect | None = schema.choice(
        words.CutoffEffect,
        mark("Effect"),
        mark("What a fall past it ends, even with falls in hand."),
    )


@dataclass(frozen=True)
class Repeats:
    """Whether a trick may be done again, and what makes two tricks different."""

    rule: words.Repeat | None = schema.choice(
        words.Repeat, mark("Repeats"), mark("What doing the same trick again means.")
    )
    per: words.Per | None = schema.choice(
        words.Per, mark("Within"), mark("Whether the same trick in another pass is a repeat.")
    )
    differs_by: tuple[words.Attribute, ...] | None = schema.choices(
        words.Attribute, mark("Tricks differ by"), mark("What makes two tricks different ones.")
    )
    uses_limit: bool | None = schema.yes_no(
        mark("A repeat uses up a limit"),
        mark("Whether a repeated trick counts against the limits again."),
    )


@dataclass(frozen=True)
class Limit:
    """A limit on tricks of one kind, with the words that riders read."""

    say: str | None = schema.words(
        mark("Words"), mark("How riders read it, in your own words.")
    )
    when: Condition | None = schema.condition(
        Condition,
        mark("Which tricks"),
        mark("The tricks that the limit speaks of; all where nothing is chosen."),
        mark("when"),
    )
    most: int | None = schema.whole(mark("At most"), mark("0 means banned."), most=100)
    least: int | None = schema.whole(
        mark("At least"), mark("How many there must be."), most=100
    )
    per: words.Per | None = schema.choice(
        words.Per, mark("Counted per"), mark("In one pass, or in the whole run.")
    )
    pass_no: int | None = schema.whole(
        mark("Only in pass"), mark("Leave empty for every pass."), least=1, most=12, key="pass"
    )
    used_by: words.UsedBy | None = schema.choice(
        words.UsedBy, mark("Used up by"), mark("Tricks tried, or only tricks landed.")
    )
    differs_by: tuple[words.Attribute, ...] | None = schema.choices(
        words.Attribute,
        mark("Tricks differ by"),
        mark(
            "With these, at most counts tricks that are the same, such as two with the same "
            "grab; at least counts different ones."
        ),
    )
    inverted_spins: bool | None = schema.yes_no(
        mark("Inverted spins count here"),
        mark("Whether a spinning invert uses this limit too."),
    )
    breach: words.Breach | None = schema.choice(
        words.Breach,
        mark("If not kept"),
        mark("The effect; a check takes it as a breach if not stated."),
    )
