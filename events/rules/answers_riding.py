"""What riders read about a run: passes, falls, declared order, repeats and limits."""

from collections.abc import Iterator

from events.rules.answers_words import (
    ASK,
    Point,
    Topic,
    capital,
    count,
    joined,
    measure,
    missing,
    number,
    ordinal,
)
from events.rules.figures import AS_PUBLISHED, Units
from events.rules.format import Format
from events.rules.riding import Falls, Passes
from events.rules.units import plain
from events.rules.words import (
    Breach,
    Counts,
    Course,
    EndedBy,
    NextFall,
    Per,
    RunIn,
)

RUN = "Your run"

_ENDS = {
    EndedBy.MARKER: "A pass ends at the end marker.",
    EndedBy.TIME: "A pass ends when its time is up.",
    EndedBy.FIRST_OF_BOTH: (
        "A pass ends at the end marker or when its time is up, whichever comes first."
    ),
}
_DIRECTIONS = {
    Course.THERE_AND_BACK: (
        "The boat comes back along the course: each pass goes the other way from the last."
    ),
    Course.SAME_WAY: "Every pass starts at the same end and goes the same way.",
}
_TOO_MANY = {
    None: "What a trick too many means is not stated; a check takes it as a breach.",
    Breach.NOT_COUNTED: "A trick too many is not counted.",
    Breach.MOVED_UP: "A rider with a trick too many is moved up a division.",
    Breach.DISQUALIFIED: "A rider with a trick too many is disqualified.",
    Breach.JUDGES_DECIDE: "The judges decide what a trick too many is worth.",
    Breach.FOR_INFORMATION: "A trick too many has no effect: the number is for information.",
}
_NEXT_FALL = {
    NextFall.ENDS_RUN: "ends your run",
    NextFall.ENDS_PASS: "ends that pass",
    NextFall.NOTHING_LATER_COUNTS: "means that nothing later counts",
}
_RUN_IN = {
    RunIn.COUNTS: "A fall in the run-in counts.",
    RunIn.FREE: "A fall in the run-in is free.",
    RunIn.FIRST_FREE: "The first fall in the run-in is free; a second one there counts.",
}
_PLACES = (
    ("turn", "Fall in the turn", "a fall in the turn between two passes"),
    ("after_end", "Fall after the end", "a fall past the last marker"),
    ("course", "Fall on the course", "a fall on the course, between the markers,"),
)


def passes(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """How many passes, how long, what ends them, and how many tricks in each."""
    return Topic(
        "passes",
        "How many passes?",
        RUN,
        (*_course(format.passes, units), *_tricks(format.passes)),
        f"How many passes there are, and how long, is {ASK}",
    )


def _course(stated: Passes, units: Units) -> Iterator[Point]:
    if stated.count is None:
        yield missing("count", "Passes", "how many passes a run has")
    else:
        yield Point("count", "Passes", f"A run has {count(stated.count, 'pass')}.")
    if stated.length_m:
        lengths = [units.published_metres(length) for length in stated.length_m]
        text = _each_pass(lengths, stated.count, "is {} long")
        yield Point("length", "Length of a pass", text)
    elif not stated.seconds or stated.ended_by in (EndedBy.MARKER, EndedBy.FIRST_OF_BOTH):
        yield missing("length", "Length of a pass", "the length of a pass")
    yield from _time(stated)
    if stated.ended_by is None:
        yield missing("end", "End of a pass", "what ends a pass, the marker or the clock,")
    else:
        yield Point("end", "End of a pass", _ENDS[stated.ended_by])
    if stated.direction is not None:
        yield Point("direction", "Direction", _DIRECTIONS[stated.direction])
    elif stated.count != 1:
        yield missing("direction", "Direction", "which way the passes go")


def _time(stated: Passes) -> Iterator[Point]:
    most = None if stated.seconds_most is None else measure(stated.seconds_most, "second")
    label = "Time of a pass"
    if stated.seconds:
        times = [measure(time, "second") for time in stated.seconds]
        if most and len(times) == 1:
            times = [f"{plain(stated.seconds[0])} to {most}"]
        text = _each_pass(times, stated.count, "lasts {}")
        if most and len(times) > 1:
            text += f" No pass lasts longer than {most}."
        yield Point("time", label, text)
    elif most:
        yield Point("time", label, f"A pass lasts at most {most}.")
    elif stated.ended_by in (EndedBy.TIME, EndedBy.FIRST_OF_BOTH):
        yield missing("time", label, "the time of a pass")


def _each_pass(values: list[str], passes: int | None, verb: str) -> str:
    if len(values) == 1:
        return f"{'The' if passes == 1 else 'Each'} pass {verb.format(values[0])}."
    each = [f"pass {no} {verb.format(value)}" for no, value in enumerate(values, 1)]
    return f"{capital(joined(each))}."


def _tricks(stated: Passes) -> Iterator[Point]:
    label = "Tricks in a pass"
    least, most, expected = stated.tricks_least, stated.tricks_most, stated.tricks_expected
    if expected is not None:
        verb = "is" if expected == 1 else "are"
        about = capital(f"{'about ' if expected else ''}{count(expected, 'trick')}")
        text = f"{about} {verb} expected in each pass; this is a guide, not a rule."
        yield Point("expected", label, text)
    if least is not None:
        asked = f"At least {count(least, 'trick')}" if least else "No least number of tricks"
        yield Point("least", label, f"{asked} in each pass.")
    if most is not None:
        text = (
            f"At most {count(most, 'trick')} in each pass." if most else "No tricks in a pass."
        )
        yield Point("most", label, text)
    if stated.any_number is not None:
        text = (
            "You may ride any number of tricks: there is no least and no most."
            if stated.any_number
            else "The number of tricks is not free."
        )
        yield Point("any", label, text)
    elif expected is None and least is None and most is None:
        yield missing("tricks", label, "how many tricks go into a pass")
    if most is not None or stated.tricks_over is not None:
        known = stated.tricks_over is not None
        yield Point("over", "A trick too many", _TOO_MANY[stated.tricks_over], known)
    if stated.different_least is not None:
        asked = (
            f"At least {count(stated.different_least, 'different trick')}"
            if stated.different_least
            else "No least number of different tricks"
        )
        yield Point("different", "Different tricks", f"{asked} in the run.")
    begun = "Trick begun in time"
    if stated.begun_counts is None:
        yield missing("begun", begun, "whether a trick begun before the end of a pass counts")
    else:
        yield Point(
            "begun",
            begun,
            "A trick begun before the end of a pass counts, even if it lands beyond."
            if stated.begun_counts
            else "A trick counts only if it is landed before the end of the pass.",
        )


def falls(format: Format, units: Units = AS_PUBLISHED) -> Topic:
    """How many falls, counted over what, and what the next one does."""
    stated = format.falls
    return Topic(
        "falls",
        "How many falls, and what does the next one do?",
        RUN,
        tuple(_falls(stated, units)),
        f"How many falls are allowed, and what the next one does, is {ASK}",
    )


def falls_sentence(stated: Falls) -> str:
    """Falls both ways: "One fall allowed: the second ends your run."."""
    span = " in each pass" if stated.allowed else " in any pass"
    in_pass = span if stated.counted_per is Per.PASS else ""
    if stated.allowed is None:
        if stated.next_fall is None:
            return f"How many falls are allowed, and what the next one does, is {ASK}"
        effect = _NEXT_FALL[stated.next_fall]
        return f"The fall after the last one allowed {effect}; how many are allowed is {ASK}"
    allowed = count(stated.allowed, "fall") if stated.allowed else "no fall"
    next_one = ordinal(stated.allowed + 1)
    if stated.next_fall is None:
        return f"{capital(allowed)} allowed{in_pass}; what the {next_one} does is {ASK}"
    within = " in a pass" if in_pass and stated.next_fall is NextFall.ENDS_RUN else ""
    return f"{capital(allowed)} allowed{in_pass}: the {next_one}{within} " + (
        f"{_NEXT_FALL[stated.next_fall]}."
    )


def _falls(stated: Falls, units: Units) -> Iterator[Point]:
    known = stated.allowed is not None or stated.next_fall is not None
    yield Point("allowed", "Falls", falls_sentence(stated), known)
    if stated.counted_per is not None:
        text = (
            "Falls are counted over the whole run."
            if stated.counted_per is Per.RUN
            else "Falls are counted afresh in each pass."
        )
        yield Point("per", "Falls counted per", text)
    elif stated.allowed != 0 or stated.next_fall is not NextFall.ENDS_RUN:
        what = "whether falls add up over the run or start afresh in each pass"
        yield missing("per", "Falls counted per", what)
    kinds = (
        ("on the water", stated.water_allowed),
        ("on an obstacle", stated.obstacle_allowed),
    )
    shares = [
        f"{f'at most {number(most)}' if most else 'none'} may be {place}"
        for place, most in kinds
        if most is not None
    ]
    if shares:
        text = f"Of the falls allowed, {joined(shares)}."
        yield Point("kinds", "Falls on water and obstacles", text)
    if stated.restart_m is not None:
        text = f"A fall uses up {units.published_metres(stated.restart_m)} of the course."
        yield Point("restart-m", "Course lost by a fall", text)
    if stated.restart_s is not None:
        text = f"A fall uses up {measure(stated.restart_s, 'second')} of the pass."
        yield Point("restart-s", "Time lost by a fall", text)
    if stated.restart_m is None and stated.restart_s is None:
        what = "how much of the course a fall uses up"
        yield missing("restart", "Course lost by a fall", what)


def fall_places(format: Format) -> Topic:
    """Which places count: run-in, turn, after the end, and the course."""
    stated = format.falls
    points = [
        missing("run_in", "Fall in the run-in", "whether a fall in the run-in counts")
        if stated.run_in is None
        else Point("run_in", "Fall in the run-in", _RUN_IN[stated.run_in])
    ]
    for name, label, fall in _PLACES:
        value: Counts | None = getattr(stated, name)
        if value is not None:
            effect = "counts" if value is Counts.COUNTS else "is free"
            points.append(Point(name, label, f"{capital(fall)} {effect}."))
        elif name != "course":  # that a fall on the course counts is what falls are about
            points.append(missing(name, label, f"whether {fall} counts"))
    return Topic(
        "run-in",
        "Does a fall in the run-in count?",
        RUN,
        tuple(points),
        f"Whether a fall in the run-in, in the turn or past the last marker counts is {ASK}",
    )
